"""What may be found while the plan of a storey is drawn out of what was said."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    plan_does_not_close="The rooms of a storey do not fit together",
    plan_floor_wrong_way="A floor or ceiling leads to a storey that is not there",
    plan_outside_faces_room="An outside wall faces a room",
    plan_part_apart="Rooms of a storey are joined to no other",
    plan_room_beyond_itself="A room is told to lie beyond itself",
    plan_rooms_overlap="A room would lie on another",
    plan_roof_not_said="A storey has neither rooms nor a roof over part of it",
    plan_several="The plan of a storey is not settled",
    plan_side_too_long="More lies along a side than it is long",
    plan_storey_stands_out="A storey stands out over the one below it",
    plan_wall_other_storey="A wall leads to a room of another storey",
    plan_wall_two_lengths="A wall is told with two lengths",
)
