"""How sure the figures are: ranges of load, common flow and margins, and which one answer, measured better, would narrow them most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, sqrt

from wattwalk.survey.building import Room
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HouseParts

from ..answers import Assessment, UnitResult
from ..answers.citing import COMMON_PRACTICE
from ..answers.ranges import FactSpan, Ranges, RoomSpan, Span, Surely
from ..answers.rounding import TEMPERATURE, WATTS, rounded
from ..answers.unit import chosen_of
from ..rooms.heated import STEPS_PER_K, lowest_step
from ..rooms.outputs import compiled_emitters
from .advice import HOW_WORDS, advice_for
from .facts import Fact, Facts, House
from .highest import MOST, Bent, quantiles_of_highest
from .spreads import HALF_OF_90
from .witness import witness_of

#: A room's lowest flow is worked out as far off as each end of its own range, and taken as straight to either side; beyond so many deviations none is looked for.
FARTHEST = 2.6
#: The share of cases that lies below the lower end, and below the upper one.
ENDS = (0.05, 0.95)
#: A fact that would take away less than this share of the spread is not named.
LEAST_WORTH = 0.002
NO_SPREAD = (
    "Chosen, and therefore without a spread: the design cold, the temperature of each room, and what of the load counts.",
)


@dataclass(frozen=True)
class Reach:
    """How far one room may lie off, as shares: by each fact of its loss and its output together, in standard deviations of that fact."""

    place: int
    weights: dict[int, float]

    @property
    def deviation(self) -> float:
        """The standard deviation of what the room asks of its emitters, as a share."""
        return sqrt(fsum(item * item for item in self.weights.values()))


def work_out_ranges(survey: Survey, assessed: Assessment) -> Ranges:
    """Return how sure the figures of an assessment are.

    Parameters
    ----------
    survey : Survey
        The survey that was assessed.
    assessed : Assessment
        What was worked out of it.

    Returns
    -------
    Ranges
        Each range holds 90 of 100 cases. While a room does not close, or none is worked out, there are none, and words say why.

    Notes
    -----
    Every loss is linear in its facts, so the spread of the load is the root of the sum of their squares, each fact once. The common flow is the highest of
    what the rooms ask for: those that may set it are looked at together (``highest.py``), which is why two rooms that are level ask for more than one.
    What is left out: a colder unheated space lets less through, which makes the range of a house with one a little too wide.
    """
    survey = survey.measured()
    record = survey.single(SurveyRecord) or SurveyRecord(id=survey.id)
    building = assessed.building
    if not assessed.rooms or building.total_w is None or building.unit_size_w is None:
        return _none("How sure the figures are can be said once every room is worked out.")
    if building.so_far:
        return _none("How sure the figures are can be said once every room closes: what is missing would come on top.")
    facts = Facts(House(survey, record, HouseParts(survey, record), assessed)).all()
    load = building.unit_size_w
    half = _half([fact.load * fact.spread.half for fact in facts])
    reaches = _reaches(assessed, facts)
    flow, effects = _flow(survey, assessed, facts, reaches)
    rooms = tuple(_room_span(assessed, place, facts) for place in sorted(reaches))
    units = assessed.plant.units
    flow_half = _half(list(effects.values()))
    spans = [
        (
            _worth(fact, half, effects.get(number, 0.0), flow_half),
            _fact_span(fact, assessed, half, effects.get(number, 0.0)),
        )
        for number, fact in enumerate(facts)
    ]
    # What could change the unit or a radiator comes first, then what narrows load and flow most.
    spans.sort(key=lambda item: (not (item[1].changes_unit or item[1].rooms), -item[0], item[1].code, item[1].record))
    return Ranges(
        load_w=Span(rounded(load - half, WATTS), rounded(load, WATTS), rounded(load + half, WATTS)),
        flow_c=flow,
        rooms=rooms,
        facts=tuple(span for worth, span in spans if worth >= LEAST_WORTH or span.rooms),
        unit_is_open=_changes_unit(units, load, half),
        witness=witness_of(record, assessed, half / load if load > 0 else 0.0, facts),
        words=NO_SPREAD,
        source=COMMON_PRACTICE,
    )


def _none(words: str) -> Ranges:
    return Ranges(None, None, (), (), False, None, (words,), COMMON_PRACTICE)


def _half(parts: Sequence[float]) -> float:
    """Return half of the range that parts which know nothing of each other have together."""
    return sqrt(fsum(part * part for part in parts))


def _reaches(assessed: Assessment, facts: Sequence[Fact]) -> dict[int, Reach]:
    """Return, for each room whose loss and output are known, how far each fact moves what it asks of its emitters."""
    found = {}
    for place, room in enumerate(assessed.rooms):
        if not room.total_w or room.total_w <= 0 or not room.output_w:
            continue
        weights = {}
        for number, fact in enumerate(facts):
            share = fact.losses.get(place, 0.0) / room.total_w - fact.outputs.get(place, 0.0) / room.output_w
            if share:
                weights[number] = share * fact.spread.half / HALF_OF_90
        found[place] = Reach(place, weights)
    return found


def _room_span(assessed: Assessment, place: int, facts: Sequence[Fact]) -> RoomSpan:
    room = assessed.rooms[place]
    margin = (room.output_w or 0.0) - (room.total_w or 0.0)
    half = _half([_margin(fact, place) * fact.spread.half for fact in facts])
    surely: Surely = "warm" if margin - half >= 0 else "short" if margin + half < 0 else "either"
    span = Span(rounded(margin - half, WATTS), rounded(margin, WATTS), rounded(margin + half, WATTS))
    return RoomSpan(room.id, span, surely)


def _margin(fact: Fact, place: int) -> float:
    return fact.outputs.get(place, 0.0) - fact.losses.get(place, 0.0)


def _flow(
    survey: Survey, assessed: Assessment, facts: Sequence[Fact], reaches: dict[int, Reach]
) -> tuple[Span | None, dict[int, float]]:
    """Return the range of the common flow, and what half of each fact's range does to it in the room that sets it, K."""
    flow = assessed.flow
    if flow is None or flow.lowest_c is None:
        return None, {}
    by_id = {room.id: room for room in survey.of_kind(Room)}
    emitters = compiled_emitters(
        survey, [(room.id, room.inside_c, by_id[room.id].use == "bathroom") for room in assessed.rooms]
    )
    bent: dict[int, Bent] = {}
    is_open = False
    for place, reach in reaches.items():
        room = assessed.rooms[place]
        if room.lowest_flow_c is None:
            continue
        counted = tuple(work for work in emitters[room.id] if work.counts)
        off = HALF_OF_90 * reach.deviation
        low, high = (
            lowest_step(counted, max(0.0, (room.total_w or 0.0) * (1 + side)), flow.difference_k)
            for side in (-off, off)
        )
        # Beyond the highest flow looked at, the room asks for what nothing gives.
        is_open = is_open or high is None
        middle = room.lowest_flow_c
        if low is not None and off > 0:
            below = (middle - low / STEPS_PER_K) / off
            bent[place] = Bent(middle, below, below if high is None else (high / STEPS_PER_K - middle) / off)
    setter = next((place for place in bent if assessed.rooms[place].id == flow.set_by_room), None)
    if setter is None:
        return None, {}
    least = max(item.at(-HALF_OF_90 * reaches[place].deviation) for place, item in bent.items())
    # A room that asks for less at its worst than another at its best never sets the flow.
    worst = {place: item.at(FARTHEST * reaches[place].deviation) for place, item in bent.items()}
    places = sorted((place for place in bent if worst[place] >= least), key=lambda place: -worst[place])[:MOST]
    covariance = [
        [
            fsum(weight * reaches[other].weights.get(number, 0.0) for number, weight in reaches[one].weights.items())
            for other in places
        ]
        for one in places
    ]
    below, above = quantiles_of_highest([bent[place] for place in places], covariance, ENDS)
    slope = (bent[setter].below + bent[setter].above) / 2
    effects = {number: weight * HALF_OF_90 * slope for number, weight in reaches[setter].weights.items()}
    top = None if is_open else rounded(above, TEMPERATURE)
    return Span(rounded(min(below, flow.lowest_c), TEMPERATURE), flow.lowest_c, top), effects


def _worth(fact: Fact, half: float, flow_k: float, flow_half: float) -> float:
    """Return how much of the spread of load and common flow goes away, of 2, once the fact is known as well as it can be on site."""
    better = min(1.0, fact.spread.better / fact.spread.half)
    own = (fact.load * fact.spread.half / half) ** 2 if half > 0 else 0.0
    flow = (flow_k / flow_half) ** 2 if flow_half > 0 else 0.0
    return (own + flow) * (1 - better * better)


def _fact_span(fact: Fact, assessed: Assessment, half: float, flow_k: float) -> FactSpan:
    load = assessed.building.unit_size_w or 0.0
    own = abs(fact.load) * fact.spread.half
    left = half * half - own * own + (abs(fact.load) * min(fact.spread.better, fact.spread.half)) ** 2
    rooms = tuple(
        room.id
        for place, room in enumerate(assessed.rooms)
        if room.margin_w is not None and abs(_margin(fact, place)) * fact.spread.half > abs(room.margin_w)
    )
    share = 1.0 if fact.code == "neighbour_k" else 100.0
    return FactSpan(
        code=fact.code,
        record=fact.record,
        about=fact.about,
        title=fact.title,
        how=fact.how,
        how_words=HOW_WORDS[fact.how],
        spread_pct=rounded(fact.spread.half * share, 0),
        load_w=rounded(own, WATTS),
        flow_k=rounded(abs(flow_k), TEMPERATURE),
        narrows_w=rounded(half - sqrt(max(0.0, left)), WATTS),
        changes_unit=_changes_unit(assessed.plant.units, load, own),
        rooms=rooms,
        advice=advice_for(fact.code, fact.about, fact.element, fact.how),
        source=fact.spread.source,
    )


def _changes_unit(units: Sequence[UnitResult], load_w: float, half_w: float) -> bool:
    """Say whether another unit would be the right one at an end of the range: the chosen one no longer covers it, or a smaller one would."""
    kept = [unit.capacity_kw * 1000 for unit in units if unit.capacity_kw is not None]
    chosen = chosen_of(tuple(units))
    if chosen is not None and chosen.capacity_kw is not None:
        own = chosen.capacity_kw * 1000
        return (own >= load_w) != (own >= load_w + half_w) or any(
            load_w - half_w <= other < min(own, load_w) for other in kept
        )

    def smallest(watts: float) -> float | None:
        return min((other for other in kept if other >= watts), default=None)

    return smallest(load_w - half_w) != smallest(load_w + half_w)
