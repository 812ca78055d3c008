"""One flow temperature for the house, and the year it makes."""

from .common_flow import find_flow
from .through_the_year import Season, through_the_year

__all__ = ["Season", "find_flow", "through_the_year"]
