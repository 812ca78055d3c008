"""Pipe and cable runs as they were said: their length and what they are called."""

from __future__ import annotations

from math import fsum

from .services import CableRun, PipeRun


def run_length(stretches: list | None) -> float | None:
    """Return the length of a run in m, or None while a stretch has no length."""
    lengths = [row.get("length_m") for row in stretches or []]
    if not lengths or None in lengths:
        return None
    return fsum(lengths)


def run_title(record: CableRun | PipeRun) -> str:
    """Return what a run is called: its name, else what it is for."""
    if record.name:
        return record.name
    return record.kind.field("purpose").choice_label(record.purpose) if record.purpose else record.kind.label
