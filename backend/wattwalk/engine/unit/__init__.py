"""The outdoor units in question: their tables, their year, which of them covers the house."""

from .load import HotWaterDay, house_load, unit_load
from .shortlist import Units, assess_units

__all__ = ["HotWaterDay", "Units", "assess_units", "house_load", "unit_load"]
