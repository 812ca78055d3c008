"""A year's running cost and carbon, and the grant of the day."""

from .heat_year import heat_of_year, heat_year
from .running_cost import assess_cost

__all__ = ["assess_cost", "heat_of_year", "heat_year"]
