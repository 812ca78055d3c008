"""What is known of a construction in one use of it: a U-value with its working, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass

from .rounding import U_VALUE, rounded
from .said import Step


@dataclass(frozen=True)
class Value:
    """A construction's U-value in W/m²K in one use of it.

    ``ground`` is ``slab`` (to the yearly mean), ``suspended`` (to outside air) or None; ``to_outside_air``
    says that loft and roof are already in it.
    """

    u_value: float
    step: Step
    ground: str | None = None
    to_outside_air: bool = False


@dataclass(frozen=True)
class Refusal:
    """Why a construction has no U-value, and the record and field where that can be put right."""

    words: str
    record: str
    field: str | None


def u_step(formula: str, numbers: str, u_value: float, source: str) -> Step:
    """Return the line of working that ends in a U-value."""
    return Step("U-value", formula, numbers, rounded(u_value, U_VALUE), "W/m²K", source)
