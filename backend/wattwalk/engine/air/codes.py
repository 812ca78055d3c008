"""What may be found about the air of the house."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    damp_seen="Damp or mould was seen",
    open_chimney="An open chimney decides the loss of a room",
    ventilation_choice="Other ways to count the air give other losses",
)
