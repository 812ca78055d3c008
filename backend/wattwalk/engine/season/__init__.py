"""One flow temperature for the house, and the year it makes."""

from .common_flow import find_flow
from .compensation import HeatCurve, circuit_curve, heat_curve, points_to_set, to_set
from .through_the_year import Season, through_the_year
from .year_load import YearPart

__all__ = [
    "HeatCurve",
    "Season",
    "YearPart",
    "circuit_curve",
    "find_flow",
    "heat_curve",
    "points_to_set",
    "through_the_year",
    "to_set",
]
