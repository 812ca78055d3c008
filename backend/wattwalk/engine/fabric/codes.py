"""What may be found about constructions, surfaces and thermal bridges."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    age_band_years="The age band does not fit the year",
    basement_without_depth="A floor in a basement has no depth",
    bridges_twice="Thermal bridges by length are not counted",
    cold_inside_face="An inside face gets cold enough for mould",
    construction_does_not_fit="The construction does not fit its surface",
    floor_below_not_said="What lies below the floor is not said",
    loft_counted_twice="The loft is counted twice",
    no_u_value="The construction has no U-value",
    opening_in_nothing="An opening sits in no wall",
    opening_in_other_room="An opening sits in a wall of another room",
    opening_larger_than_wall="The openings are larger than their wall",
    room_beside_itself="A wall leads to its own room",
    room_beyond_unknown="The room beyond a wall is not known",
    room_shape_not_known="The shape of a room does not give its volume",
    space_beyond_unknown="The space beyond a wall is not known",
    surface_without_room="A surface belongs to no room",
)
