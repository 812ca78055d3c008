"""Where the unit may stand: protective zone, clearances, sound, base."""

from .places import assess_bases, assess_places

__all__ = ["assess_bases", "assess_places"]
