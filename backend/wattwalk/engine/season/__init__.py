"""One flow temperature for the house, and the year it makes."""

from .common_flow import find_flow
from .compensation import HeatCurve, heat_curve
from .through_the_year import Season, through_the_year
from .year_load import YearPart

__all__ = ["HeatCurve", "Season", "YearPart", "find_flow", "heat_curve", "through_the_year"]
