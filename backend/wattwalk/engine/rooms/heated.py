"""A room with its emitters: whether it is warm at a flow temperature, and the lowest one that makes it so."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import fsum

from ..answers import Verdict
from ..answers.rounding import TEMPERATURE, WATT_TOLERANCE, rounded
from ..emitters.work import EmitterWork
from ..fabric.room_loss import RoomWork

#: The search looks at whole hundredths of a degree, so its answer needs no rounding and does serve.
LOWEST_C, HIGHEST_C, STEPS_PER_K = 20, 75, 100


def _together(emitters: tuple[EmitterWork, ...], flow_c: float, return_c: float) -> float | None:
    """Return what emitters give together, W, or None while one of them cannot be told."""
    outputs = []
    for item in emitters:
        output = item.output_w(flow_c, return_c)
        if output is None:
            return None
        outputs.append(output)
    return fsum(outputs)


def by_age(record_id: str) -> tuple[int, str]:
    """Return what records are put in the order of their making by: a UUIDv7 grows with time, and 'room-10' comes after 'room-2'."""
    return len(record_id), record_id


@lru_cache(maxsize=2048)
def lowest_step(emitters: tuple[EmitterWork, ...], total_w: float, difference_k: float) -> int | None:
    """Return the lowest flow temperature, in steps of a hundredth of a degree, at which these emitters make up for a loss.

    None when no flow up to 75 °C does, or an output is not known.  Outputs rise with the flow, so halving finds it.
    """

    def serves(step: int) -> bool:
        flow_c = step / STEPS_PER_K
        output = _together(emitters, flow_c, flow_c - difference_k)
        return output is not None and output >= total_w - WATT_TOLERANCE

    low, high = LOWEST_C * STEPS_PER_K, HIGHEST_C * STEPS_PER_K
    if not serves(high):
        return None
    if serves(low):
        return low
    while high - low > 1:
        middle = (low + high) // 2
        if serves(middle):
            high = middle
        else:
            low = middle
    return high


@dataclass
class HeatedRoom:
    """A room with the emitters that stay or come."""

    work: RoomWork
    emitters: list[EmitterWork]
    difference_k: float

    def output_w(self, flow_c: float) -> float | None:
        """Return what the room's emitters give together at this flow, W, or None while one of them cannot be told."""
        return _together(self.counted, flow_c, flow_c - self.difference_k)

    def needed_share(self, flow_c: float) -> float:
        """Return what the room loses over what its emitters give at this flow; each is asked for that share of its output. 1 while it is not known."""
        output = self.output_w(flow_c)
        return max(0.0, self.total_w / output) if self.total_w is not None and output else 1.0

    @cached_property
    def counted(self) -> tuple[EmitterWork, ...]:
        """The emitters that stay in the room or come into it."""
        return tuple(item for item in self.emitters if item.counts)

    @cached_property
    def total_w(self) -> float | None:
        """The room's design heat loss, W, or None while something is missing."""
        return self.work.total_w

    @cached_property
    def has_emitter(self) -> bool:
        """Say whether any emitter stays in the room or comes into it."""
        return bool(self.counted)

    @cached_property
    def needs_heat(self) -> bool:
        """Say whether the room is known to lose heat."""
        return self.total_w is not None and self.total_w > WATT_TOLERANCE

    def serves(self, flow_c: float) -> bool | None:
        """Say whether the room is warm at this flow; None when that cannot be told."""
        if self.total_w is None:
            return None
        if not self.needs_heat:
            return True
        output = self.output_w(flow_c)
        return None if output is None else output >= self.total_w - WATT_TOLERANCE

    def verdict(self, flow_c: float) -> Verdict:
        """Return what can be said of the room at this flow."""
        if self.total_w is None or self.work.holes:
            return Verdict.NOT_KNOWN
        if not self.has_emitter:
            return Verdict.NO_EMITTER if self.needs_heat else Verdict.ENOUGH
        served = self.serves(flow_c)
        if served is None:
            return Verdict.NOT_KNOWN
        return Verdict.ENOUGH if served else Verdict.SHORT

    @cached_property
    def lowest_flow_c(self) -> float | None:
        """Return the lowest flow temperature in °C that serves the room, or None when none up to 75 °C does or it is not known.

        A room that needs no heat has none either: every flow serves it.
        """
        if self.total_w is None or not self.needs_heat or not self.has_emitter:
            return None
        step = lowest_step(self.counted, self.total_w, self.difference_k)
        return None if step is None else rounded(step / STEPS_PER_K, TEMPERATURE)
