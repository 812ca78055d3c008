"""Hot water: need, store, charge, place, discharge."""

from .whole import assess_hot_water

__all__ = ["assess_hot_water"]
