"""What size of panel radiator would do in a room that is short, of those that fit the place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import ceil

from wattwalk.catalogue import table
from wattwalk.survey.building import EMITTER_TYPES, PANEL_TYPES, Emitter

from ..answers import Replacement
from ..answers.citing import cite_row
from ..answers.rounding import LENGTH_MM, WATTS, figure, rounded
from .radiators import EXPONENTS, OUTPUTS, driving_ratio

#: What must stay free beside a radiator for its valves, and below and above it together for the air, mm.
FREE_BESIDE_MM, FREE_ABOVE_AND_BELOW_MM = 150.0, 150.0
#: Lengths that panels are made in: steps, shortest and longest, mm.
STEP_MM, SHORTEST_MM, LONGEST_MM = 100, 400, 3000
#: Types offered, thin ones first.
OFFERED = ("panel_11", "panel_21", "panel_22", "panel_33")


_LABELS = {item[0]: item[1] for item in EMITTER_TYPES}


@dataclass(frozen=True)
class Place:
    """Where a radiator could hang: the longest and highest one, mm, and how that is known."""

    length_mm: float
    height_mm: float
    words: str


@dataclass(frozen=True)
class Panel:
    """A panel radiator: type, size in mm, output at 50 K in W and exponent."""

    type: str
    height_mm: float
    length_mm: float
    rated_w: float
    exponent: float

    @property
    def words(self) -> str:
        """Return its type and size as a person says them."""
        return f"{_LABELS[self.type].split(',')[0]} (type {self.type.removeprefix('panel_')}), {figure(self.height_mm, 0)} × {figure(self.length_mm, 0)} mm"


@cache
def outputs_per_metre(panel: str) -> tuple[tuple[float, float], ...]:
    """Return the heights in mm of a type of panel with the output of a metre of it at 50 K, W."""
    return tuple((row.number("height_mm"), row.number("output_w_m")) for row in table(OUTPUTS).where("type", panel))


@cache
def exponent_of_type(panel: str) -> float:
    """Return the usual exponent of a type of panel.

    Parameters
    ----------
    panel : str
        A type of panel, such as ``panel_22``.

    Examples
    --------
    >>> exponent_of_type('panel_22')
    1.33
    """
    return table(EXPONENTS).get(type=panel).number("exponent")


def place_of(emitter: Emitter) -> Place | None:
    """Return the place that an emitter leaves for another one, or None when neither the wall nor the emitter was measured.

    Notes
    -----
    Measured wall space less 150 mm each way; without it the new radiator is no longer and no higher than the old.
    """
    length = emitter.length_mm if emitter.free_width_mm is None else emitter.free_width_mm - FREE_BESIDE_MM
    height = emitter.height_mm if emitter.free_height_mm is None else emitter.free_height_mm - FREE_ABOVE_AND_BELOW_MM
    if length is None or height is None:
        return None
    measured = [
        words
        for words, value in (("width", emitter.free_width_mm), ("height", emitter.free_height_mm))
        if value is not None
    ]
    words = (
        f"free {' and '.join(measured)} of the wall as measured, less 150 mm"
        if measured
        else "no bigger than the one there: the free wall was not measured"
    )
    return Place(length, height, words)


def panel_of(panel: str, height_mm: float, length_mm: float, per_metre_w: float) -> Panel:
    """Return a panel of the table."""
    return Panel(panel, height_mm, length_mm, per_metre_w * length_mm / 1000, exponent_of_type(panel))


def smallest_panels(needed_w: float, place: Place, flow_c: float, return_c: float, inside_c: float) -> list[Panel]:
    """Return for each type the panel with the smallest face that gives what is needed and fits, smallest first.

    Parameters
    ----------
    needed_w : float
        Output that the room lacks without the radiator to be replaced, W, more than nothing.
    place : Place
        Where it would hang.
    flow_c, return_c, inside_c : float
        °C.
    """
    _mean, ratio, _is_log = driving_ratio(flow_c, return_c, inside_c)
    if ratio <= 0:
        return []
    longest = min(place.length_mm, LONGEST_MM)
    chosen = []
    for panel in OFFERED:
        rated = needed_w / ratio ** exponent_of_type(panel)
        # Face, height, length and output by the metre of each height that fits: the smallest comes first.
        fits = []
        for height, per_metre in outputs_per_metre(panel):
            if height > place.height_mm + 1e-9:
                continue
            # A millimetre's thousandth decides nothing, so that a panel that just does is not made a step longer.
            length = float(max(SHORTEST_MM, STEP_MM * ceil(rated / per_metre * 1000 / STEP_MM - 1e-6)))
            if length <= longest + 1e-9:
                fits.append((height * length, height, length, per_metre))
        if fits:
            _face, height, length, per_metre = min(fits)
            chosen.append(panel_of(panel, height, length, per_metre))
    return sorted(chosen, key=lambda item: (item.height_mm * item.length_mm, OFFERED.index(item.type)))


def biggest_panels(emitter: Emitter, place: Place) -> list[Panel]:
    """Return the bigger panels that could take an emitter's place: the highest and longest that fits of each deeper type.

    Only types at least as deep as the present one are offered; another kind of emitter gives way to types 22 and 33.
    """
    least = PANEL_TYPES.index(emitter.type) if emitter.type in PANEL_TYPES else PANEL_TYPES.index("panel_22")
    found = []
    for panel in OFFERED:
        if PANEL_TYPES.index(panel) < least:
            continue
        heights = [item for item in outputs_per_metre(panel) if item[0] <= place.height_mm + 1e-9]
        length = STEP_MM * int((min(place.length_mm, LONGEST_MM) + 1e-9) // STEP_MM)
        if heights and length >= SHORTEST_MM:
            found.append(panel_of(panel, heights[-1][0], float(length), heights[-1][1]))
    return found


def replacements(
    emitter: Emitter, needed_w: float, flow_c: float, return_c: float, inside_c: float
) -> tuple[Replacement, ...]:
    """Return the panels that would do in an emitter's place, as the results have them."""
    place = place_of(emitter)
    if place is None:
        return ()
    results = []
    for panel in smallest_panels(needed_w, place, flow_c, return_c, inside_c):
        output = panel.rated_w * driving_ratio(flow_c, return_c, inside_c)[1] ** panel.exponent
        results.append(
            Replacement(
                emitter=emitter.id,
                type=panel.type,
                words=panel.words,
                height_mm=rounded(panel.height_mm, LENGTH_MM),
                length_mm=rounded(panel.length_mm, LENGTH_MM),
                rated_w=rounded(panel.rated_w, WATTS),
                output_w=rounded(output, WATTS),
                place=place.words,
                source=cite_row(table(OUTPUTS).rows[0]),
            )
        )
    return tuple(results)


def to_replace(emitters: Sequence[tuple[Emitter, float | None]]) -> Emitter | None:
    """Return which of a room's emitters would be replaced: the one that gives most and is no heated floor."""
    candidates = [
        (-output, emitter.id, emitter)
        for emitter, output in emitters
        if output is not None and emitter.type != "underfloor"
    ]
    return min(candidates, key=lambda item: item[:2], default=(0.0, "", None))[2]
