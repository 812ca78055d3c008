"""Hot water: need, store, charge, place, discharge."""

from .whole import assess_hot_water, hot_water_day

__all__ = ["assess_hot_water", "hot_water_day"]
