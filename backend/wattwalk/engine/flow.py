"""The flow temperature: each room's verdict, and the lowest one that serves every room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import fsum

from .citing import COMMON_PRACTICE, EN_442
from .emitter_work import EmitterWork
from .results import Finding, FlowCandidate, FlowTemperature, Replacement, Severity, Verdict
from .rooms import RoomWork
from .rounding import TEMPERATURE, WATT_TOLERANCE, WATTS, figure, listed, rounded

#: The search looks at whole hundredths of a degree, so its answer needs no rounding and does serve.
LOWEST_C, HIGHEST_C, STEPS_PER_K = 20, 75, 100
CANDIDATES_C = tuple(float(value) for value in range(30, 66, 5))


@lru_cache(maxsize=2048)
def lowest_step(emitters: tuple[EmitterWork, ...], total_w: float, difference_k: float) -> int | None:
    """Return the lowest flow temperature, in steps of a hundredth of a degree, at which these emitters make up for a loss.

    None when no flow up to 75 °C does, or an output is not known.  Outputs rise with the flow, so halving finds it.
    """

    def serves(step: int) -> bool:
        flow_c = step / STEPS_PER_K
        outputs = [item.output_w(flow_c, flow_c - difference_k) for item in emitters]
        return None not in outputs and fsum(outputs) >= total_w - WATT_TOLERANCE

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
        return_c = flow_c - self.difference_k
        outputs = [item.output_w(flow_c, return_c) for item in self.counted]
        return None if None in outputs else fsum(outputs)

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
        if self.total_w is None:
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
        if not self.needs_heat or not self.has_emitter:
            return None
        step = lowest_step(self.counted, self.total_w, self.difference_k)
        return None if step is None else rounded(step / STEPS_PER_K, TEMPERATURE)


def room_findings(room: HeatedRoom, flow_c: float, replacements: Sequence[Replacement] = ()) -> list[Finding]:
    """Return what is to be said of one room's warmth at the design flow, with the smallest radiator that would do."""
    verdict = room.verdict(flow_c)
    if verdict is Verdict.NO_EMITTER:
        return [
            Finding(
                Severity.CHECK, "no_emitter", room.work.room.key(), None, f"{room.work.name} loses {figure(room.total_w, 0)} W and has no emitter.",
                "Give it an emitter, or agree with the household that it stays unheated.", COMMON_PRACTICE,
            )
        ]
    if verdict is not Verdict.SHORT:
        return []
    output = room.output_w(flow_c)
    lowest = room.lowest_flow_c
    needs = f"it would be warm at {figure(lowest)} °C" if lowest is not None else f"no flow up to {HIGHEST_C} °C makes it warm"
    would_do = f" {replacements[0].words} would do ({replacements[0].place})." if replacements else ""
    return [
        Finding(
            Severity.CHECK, "room_short", room.work.room.key(), None,
            f"{room.work.name} loses {figure(room.total_w, 0)} W, and at {figure(flow_c, 1)} °C its emitters give {figure(output, 0)} W; {needs}.",
            f"Fit a bigger or a further emitter, lower the loss, or choose a hotter flow.{would_do}", EN_442,
        )
    ]


def find_flow(rooms: Sequence[HeatedRoom], design_c: float, difference_k: float, design_words: str) -> tuple[FlowTemperature, list[Finding]]:
    """Return the design flow temperature beside the lowest one that serves every room.

    Parameters
    ----------
    rooms : sequence of HeatedRoom
        Every room of the house.
    design_c, difference_k : float
        Flow temperature at the design cold, °C, and flow less return, K.
    design_words : str
        Where the design temperature comes from.
    """
    findings = []
    unknown = [room.work.name for room in rooms if room.needs_heat and room.has_emitter and room.serves(design_c) is None]
    unknown += [room.work.name for room in rooms if room.total_w is None]
    bare = [room.work.name for room in rooms if room.verdict(design_c) is Verdict.NO_EMITTER]
    lowest_of = [(room.lowest_flow_c, room) for room in rooms if room.needs_heat and room.has_emitter and room.serves(design_c) is not None]
    never = [room for flow, room in lowest_of if flow is None]
    known = [(flow, place, room) for place, (flow, room) in enumerate(lowest_of) if flow is not None]
    setter = max(known, key=lambda item: (item[0], -item[1]), default=None)
    lowest = None
    if not rooms:
        words = "There are no rooms yet."
    elif unknown:
        words = f"Not known yet: {listed(unknown)} cannot be worked out."
    elif never:
        words = f"No flow temperature up to {HIGHEST_C} °C serves {listed([room.work.name for room in never])}."
        for room in never:
            findings.append(
                Finding(
                    Severity.CHECK, "beyond_highest_flow", room.work.room.key(), None, f"{room.work.name} cannot be made warm by its emitters at any flow up to {HIGHEST_C} °C.",
                    "Fit bigger or further emitters, or lower the loss of the room.", EN_442,
                )
            )
    elif bare:
        words = f"{listed(bare)} {'has' if len(bare) == 1 else 'have'} no emitter, so no flow temperature serves every room."
        if setter is not None:
            words += f" The other rooms are warm from {figure(setter[0])} °C; {setter[2].work.name} sets it."
    elif setter is None:
        words = "No room needs heat at the design cold."
    else:
        lowest = setter[0]
        words = f"Every room is warm from {figure(lowest)} °C; {setter[2].work.name} sets it."
    candidates = tuple(_candidate(rooms, flow_c) for flow_c in CANDIDATES_C)
    flow = FlowTemperature(
        design_c=rounded(design_c, TEMPERATURE), difference_k=rounded(difference_k, TEMPERATURE), design_words=design_words, lowest_c=lowest,
        set_by_room=None if lowest is None else setter[2].work.room.id, candidates=candidates, words=words, source=EN_442,
    )
    return flow, findings


def _candidate(rooms: Sequence[HeatedRoom], flow_c: float) -> FlowCandidate:
    short = [room for room in rooms if room.verdict(flow_c) in (Verdict.SHORT, Verdict.NO_EMITTER)]
    outputs = [room.output_w(flow_c) for room in rooms]
    return FlowCandidate(flow_c, len(short), rounded(fsum(item for item in outputs if item is not None), WATTS))
