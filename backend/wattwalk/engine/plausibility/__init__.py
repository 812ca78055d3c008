"""Whether the figures of a survey can be of one house: what was measured twice, left out or typed in another unit, with both numbers."""

from .whole import implausible

__all__ = ["implausible"]
