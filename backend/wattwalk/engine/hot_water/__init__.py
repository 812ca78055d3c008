"""Hot water: need, store, charge, place, discharge."""

from .charge import Duty
from .whole import assess_hot_water, hot_water_day

__all__ = ["Duty", "assess_hot_water", "hot_water_day"]
