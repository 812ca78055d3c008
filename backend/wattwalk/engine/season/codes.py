"""What may be found about the flow temperature."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    beyond_highest_flow="A room stays cold at any flow temperature",
    floor_far_cooler="A heated floor needs far cooler water than the rest",
)
