"""What may be found about a room with its emitters."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    house_not_closed="The house does not close yet",
    no_emitter="A room has no heating of its own",
    part_without_rooms="No room is in an extension",
    part_unknown="A room is in a part of the house that is gone",
    room_short="The heating of a room is too small",
)
