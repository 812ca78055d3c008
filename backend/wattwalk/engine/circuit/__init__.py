"""The heating water between unit and house: flow, pressure, content, heat lost on the way."""

from .pipe_runs import pipe_findings
from .whole import assess_circuit

__all__ = ["assess_circuit", "pipe_findings"]
