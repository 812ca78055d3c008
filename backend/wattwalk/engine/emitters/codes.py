"""What may be found about radiators and heated floors."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    covering_too_thick="The covering is too thick for a heated floor",
    emitter_condition="A radiator is rusty or has cold patches",
    floor_insulation_low="There is too little insulation below a heated floor",
    floor_too_warm="A heated floor would be too warm to stand on",
    loop_flow="The flow of a heated floor’s loops is out of its range",
    loop_pressure="The loops of a heated floor ask too much of the pump",
    loop_too_long="The loops of a heated floor are too long",
    towel_rail="A towel rail is counted bare",
)
