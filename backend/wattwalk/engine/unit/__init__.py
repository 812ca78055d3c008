"""The outdoor units in question: their tables, their year, which of them covers the house."""

from .load import HotWaterDay, UnitLoad, house_load, unit_load
from .shortlist import Units, assess_units
from .year import House
from .year_parts import year_parts

__all__ = ["HotWaterDay", "House", "UnitLoad", "Units", "assess_units", "house_load", "unit_load", "year_parts"]
