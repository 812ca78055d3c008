"""Drawings as SVG text from engine results: the phone, the office page and the PDF show the same picture.

Everything a drawing needs is in its attributes (no classes, no style sheets, no ids), so that it may stand
inline in a page, in an ``<img>`` and in the report without one disturbing another.
"""

from .base_plan import base_plan
from .cable_schedule import cable_schedule
from .circuit_scheme import circuit_scheme
from .compensation import compensation
from .cost_bars import cost_bars
from .cylinder_plan import cylinder_plan
from .flow_search import flow_search
from .house_plans import house_plan_words, house_plans
from .improvements import improvements
from .placed_things import PlacedThing, placed_things
from .room_losses import room_losses, room_losses_sheets
from .storey_plan import storey_places, storey_plan
from .svg import DARK, PAPER, Palette
from .zone_plan import feet_at, zone_plan

__all__ = [
    "DARK",
    "PAPER",
    "Palette",
    "PlacedThing",
    "base_plan",
    "cable_schedule",
    "circuit_scheme",
    "compensation",
    "cost_bars",
    "cylinder_plan",
    "flow_search",
    "house_plan_words",
    "house_plans",
    "improvements",
    "placed_things",
    "room_losses",
    "room_losses_sheets",
    "feet_at",
    "storey_places",
    "storey_plan",
    "zone_plan",
]
