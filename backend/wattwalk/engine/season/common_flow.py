"""The flow temperature: each room's verdict, and the lowest one that serves every room."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from ..answers import Finding, FlowCandidate, FlowTemperature, Severity, Verdict
from ..answers.citing import EN_442
from ..answers.rounding import TEMPERATURE, WATTS, listed, rounded, serving
from ..rooms.closing import open_rooms
from ..rooms.heated import HIGHEST_C, HeatedRoom, by_age

CANDIDATES_C = tuple(float(value) for value in range(30, 66, 5))


def find_flow(
    rooms: Sequence[HeatedRoom], design_c: float, difference_k: float, design_words: str
) -> tuple[FlowTemperature, list[Finding]]:
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
    unknown = [
        room.work.name for room in rooms if room.needs_heat and room.has_emitter and room.serves(design_c) is None
    ]
    unknown += [room.work.name for room in rooms if room.total_w is None]
    bare = [room.work.name for room in rooms if room.needs_heat and not room.has_emitter]
    lowest_of = [
        (room.lowest_flow_c, room)
        for room in rooms
        if room.needs_heat and room.has_emitter and room.serves(design_c) is not None
    ]
    never = [room for flow, room in lowest_of if flow is None]
    known = [(flow, room) for flow, room in lowest_of if flow is not None]
    # Of rooms that are level the oldest is named, whatever order the records come in.
    setter = min(known, key=lambda item: (-item[0], by_age(item[1].work.room.id)), default=None)
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
                    Severity.CHECK,
                    "beyond_highest_flow",
                    room.work.room.key(),
                    None,
                    f"{room.work.name} cannot be made warm by its emitters at any flow up to {HIGHEST_C} °C.",
                    "Fit bigger or more emitters, or lower the loss of the room.",
                    EN_442,
                )
            )
    elif bare:
        words = f"{listed(bare)} {'has' if len(bare) == 1 else 'have'} no emitter, so no flow temperature serves every room."
        if setter is not None:
            words += f" The other rooms are warm from {serving(setter[0])} °C; {setter[1].work.name} sets it."
    elif setter is None:
        words = "No room needs heat at the design cold."
    else:
        lowest = setter[0]
        words = f"Every room is warm from {serving(lowest)} °C; {setter[1].work.name} sets it."
    so_far = open_rooms([room.work for room in rooms])
    if lowest is not None and setter is not None and so_far:
        words = f"Only {so_far.removeprefix('so far: ')} close; by what is said so far, {serving(lowest)} °C serves and {setter[1].work.name} sets it."
    candidates = tuple(_candidate(rooms, flow_c) for flow_c in CANDIDATES_C)
    flow = FlowTemperature(
        design_c=rounded(design_c, TEMPERATURE),
        difference_k=rounded(difference_k, TEMPERATURE),
        design_words=design_words,
        lowest_c=lowest,
        set_by_room=None if lowest is None or setter is None else setter[1].work.room.id,
        candidates=candidates,
        words=words,
        source=EN_442,
        so_far=so_far,
    )
    return flow, findings


def _candidate(rooms: Sequence[HeatedRoom], flow_c: float) -> FlowCandidate:
    short = [room for room in rooms if room.verdict(flow_c) in (Verdict.SHORT, Verdict.NO_EMITTER)]
    outputs = [room.output_w(flow_c) for room in rooms]
    return FlowCandidate(flow_c, len(short), rounded(fsum(item for item in outputs if item is not None), WATTS))
