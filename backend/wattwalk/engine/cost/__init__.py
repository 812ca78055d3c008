"""A year's running cost and carbon, and what holds on a day: the grant, the rates of VAT."""

from .by_day import RateOfDay, grant_of_day, rate_of_day, rate_of_sort
from .heat_year import heat_of_year, heat_year
from .running_cost import assess_cost

__all__ = ["RateOfDay", "assess_cost", "grant_of_day", "heat_of_year", "heat_year", "rate_of_day", "rate_of_sort"]
