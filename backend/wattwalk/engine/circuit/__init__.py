"""The heating water between unit and house: flow, pressure, content, heat lost on the way."""

from .pipe_runs import pipe_findings
from .whole import always_warm, assess_circuit, assess_pipe_heat, warm_pipes

__all__ = ["always_warm", "assess_circuit", "assess_pipe_heat", "pipe_findings", "warm_pipes"]
