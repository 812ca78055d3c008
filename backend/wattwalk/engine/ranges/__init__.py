"""How sure the figures are, and a year of the present fuel as a witness of them."""

from .whole import work_out_ranges

__all__ = ["work_out_ranges"]
