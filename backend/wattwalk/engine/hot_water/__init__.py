"""Hot water: need, store, charge, place, discharge."""

from .charge import Duty
from .whole import assess_hot_water

__all__ = ["Duty", "assess_hot_water"]
