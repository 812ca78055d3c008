"""The design cold, and the year outside."""

from .agreement import contradictions
from .design_cold import work_out_climate

__all__ = ["contradictions", "work_out_climate"]
