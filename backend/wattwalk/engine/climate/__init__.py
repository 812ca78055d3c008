"""The design cold, and the year outside."""

from .design_cold import work_out_climate

__all__ = ["work_out_climate"]
