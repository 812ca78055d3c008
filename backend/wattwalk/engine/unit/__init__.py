"""The outdoor units in question: their tables, their year, which of them covers the house."""

from .load import house_load
from .shortlist import Units, assess_units
from .year import House

__all__ = ["House", "Units", "assess_units", "house_load"]
