"""Pipe and cable runs as they were said: their length and what they are called."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from .fields import Row
from .services import CableRun, PipeRun


def run_length(stretches: Sequence[Row] | None) -> float | None:
    """Return the length of a run in m, or None while a stretch has no length."""
    lengths = [row.get("length_m") for row in stretches or []]
    told = [length for length in lengths if length is not None]
    return fsum(told) if told and len(told) == len(lengths) else None


def run_title(record: CableRun | PipeRun) -> str:
    """Return what a run is called: its name, else what it is for."""
    if record.name:
        return record.name
    return record.kind.field("purpose").choice_label(record.purpose) if record.purpose else record.kind.label
