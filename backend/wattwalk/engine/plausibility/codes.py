"""What may be found about figures that can hardly be so."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    air_changes_odd="The air changes of a room are far off",
    ceiling_larger_than_room="The ceilings of a room are far larger than its floor",
    edge_odd="The outside edge does not fit the ground floor",
    emitter_rating_odd="The output of an emitter does not fit its size",
    emitter_size_odd="An emitter has an odd size",
    floor_larger_than_room="The floors of a room are larger than the room",
    ground_floors_over_footprint="The ground floors are larger than the footprint",
    heated_floor_over_room="The heated floor is larger than the room",
    insulation_thin="The loft insulation is oddly thin",
    loss_odd="The loss for each square metre is far off",
    opening_beyond_wall="A window or door reaches beyond its wall",
    opening_size_odd="A window or door has an odd size",
    outside_temperature_odd="The design cold is far from any station's",
    outside_walls_over_edge="The outside walls are longer than the outside edge",
    outside_walls_short="The outside walls are shorter than the outside edge",
    partition_twice="A wall between two rooms is written down twice",
    room_area_odd="The sizes of a room do not fit each other",
    room_height_odd="A room has an odd height",
    room_size_odd="A room has an odd length or width",
    room_temperature_odd="A room has an odd temperature",
    storey_over_storey="A storey is larger than the one below",
    storey_under_storey="A storey is far larger than the one above",
    u_value_odd="A U-value is far from the usual",
    wall_higher_than_room="A wall is far higher than its room",
    wall_twice="A wall is written down twice",
    walls_too_long="The walls of a room are too long for it",
    window_area_odd="The area of all windows is far from the usual",
)
