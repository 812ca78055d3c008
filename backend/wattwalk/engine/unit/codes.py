"""What may be found about the outdoor units in question."""

from ..answers.codes import declare

CODES = declare(
    "site",
    capacity_contradicts_table="The output in the design is not that of the unit’s table",
    room_kept_cold="A room kept cold lowers the unit’s load",
    scop_above_table="The declared seasonal efficiency is above that of the unit’s table",
    unit_cold_beyond_table="The unit’s table ends above the design cold",
    unit_flow_beyond_table="The unit cannot make water as hot as the design asks for",
    unit_gone="The chosen unit is no longer among those in question",
    unit_left="The chosen unit has left the firm’s list",
    unit_large="The unit is large for the house",
    unit_short="The unit is too small for the house",
    unit_table_wrong="The unit’s table cannot be right",
)
