"""What may be found about a room with its emitters."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    house_not_closed="The house does not close yet",
    no_emitter="A room has no emitter",
    room_short="The emitters of a room are too small",
)
