"""What each change to the house would buy: a lower flow temperature, a better season, a smaller bill; the best first."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import fsum, inf

from wattwalk.catalogue import Row, table
from wattwalk.survey.building import Emitter, Room, Surface
from wattwalk.survey.constructions import Construction
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.parts import HouseParts

from ..answers import Climate, Improvement, Improvements
from ..answers.citing import COMMON_PRACTICE, EN_442, cite_row
from ..answers.rounding import TEMPERATURE, figure, listed, rounded, rounded_if_any, serving
from ..answers.values import Value
from ..emitters.radiators import corrections
from ..emitters.replacement import biggest_panels, place_of
from ..emitters.work import EmitterWork
from ..fabric.constructions import Constructions
from ..fabric.room_loss import mean_difference_k
from ..rooms.heated import HIGHEST_C, LOWEST_C, STEPS_PER_K, HeatedRoom, by_age, lowest_step
from .compensation import HeatCurve
from .heating_year import Use, pounds, yearly_use
from .year_load import YearLoad

DEFAULTS, BY_INSULATION = "u_values_rdsap_10_2025", "u_values_by_insulation_rdsap_2012"

#: Loft quilt proposed, mm.
LOFT_MM = 300.0
#: Wool proposed between the joists of a suspended floor, mm.
FLOOR_MM = 100.0
#: Rigid board proposed on a solid floor, mm; how far the floor rises with the deck on it, mm; and the room height that has to be left, m (common practice, no source).
SLAB_MM, SLAB_RISE_MM, LEAST_HEIGHT_M = 50.0, 75.0, 2.1
#: A new U-value has to be lower by so much to be worth naming, W/m²K, and a radiator stronger by so much.
WORTH_U, WORTH_OUTPUT = 0.05, 1.05
#: Changes shown one after the other, and the gain below which no further one is shown, K.
MOST_IN_TURN, LEAST_GAIN_K = 4, 0.3
#: A radiator that gains no more than this is held back by the next room, which is then tried with it, K.
HELD_BACK_K = 1.0
#: Looks that glazing of 2022 would replace.
OLD_GLAZING = ("window_single", "window_double_old", "window_secondary", "window_triple_old")


#: The heat curve of a house whose flow at the design cold and most curved exponent are these, or None.
CurveOf = Callable[[float, float], HeatCurve | None]


@dataclass(frozen=True)
class RoomState:
    """A room as it would be: its loss in W and the emitters that count."""

    total_w: float
    emitters: tuple[EmitterWork, ...]

    def lowest_step(self, difference_k: float) -> int | None:
        """Return the lowest flow temperature at which the room would be warm, in steps of `STEPS_PER_K` to the degree."""
        return lowest_step(self.emitters, self.total_w, difference_k)


@dataclass(frozen=True)
class Candidate:
    """One change: in words, the record it is about, and what becomes of the rooms it touches."""

    kind: str
    what: str
    record: str
    room: str | None
    changes: Mapping[int, RoomState]
    saved_w: float
    source: str
    limits: str = ""


@dataclass(frozen=True)
class Outcome:
    """The house after a change: lowest common flow in °C (None when none serves), the room that sets it, the use of a year."""

    lowest_c: float | None
    setter: int | None
    use: Use | None


class House:
    """The heated rooms of a house, their losses by construction, and its climate."""

    def __init__(
        self,
        survey: Survey,
        record: SurveyRecord,
        rooms: Sequence[HeatedRoom],
        difference_k: float,
        climate: Climate,
        load: YearLoad,
        curve_of: CurveOf,
        *,
        constructions: Constructions,
    ):
        self.record, self.difference_k, self.climate = record, difference_k, climate
        self.parts = constructions.parts
        self._load, self._curve_of = load, curve_of
        self.rooms = [room for room in rooms if room.needs_heat and room.has_emitter]
        self.states = {place: RoomState(known(room.total_w), room.counted) for place, room in enumerate(self.rooms)}
        self._by_age = sorted(self.states, key=lambda place: by_age(self.rooms[place].work.room.id))
        self.mean_k = mean_difference_k([room.work for room in rooms], climate.outside_c) or 0.0
        # No change to a room moves these, so they are looked up once for all that is tried.
        self.better = better_u_values(survey, constructions)

    def lowest(self, states: Mapping[int, RoomState], first: int | None) -> tuple[float | None, int | None]:
        """Return the lowest common flow in °C, None when none serves, and the room that sets it; ``first`` is the one likely to, which saves looking."""
        low, setter = LOWEST_C * STEPS_PER_K, None
        for place in sorted(self._by_age, key=lambda place: place != first):
            step = states[place].lowest_step(self.difference_k)
            if step is None:
                return None, place
            if step > low:
                low, setter = step, place
        return low / STEPS_PER_K, setter

    def outcome(self, states: Mapping[int, RoomState], saved_w: float, first: int | None) -> Outcome:
        """Return what a house of these rooms comes to, its loss lower by so much; ``first`` as in :meth:`lowest`."""
        lowest, setter = self.lowest(states, first)
        if lowest is None:
            return Outcome(None, setter, None)
        load = self._load.less(saved_w / self.mean_k if self.mean_k > 0 else 0.0)
        exponent = max(item.exponent or 1.0 for state in states.values() for item in state.emitters)
        curve = self._curve_of(lowest, exponent)
        region, warmer = float(self.climate.region), self.climate.warmer_k
        use = yearly_use(load, curve, region, warmer) if curve is not None else None
        return Outcome(lowest, setter, use)


def radiator_candidates(house: House, states: Mapping[int, RoomState], place: int) -> list[Candidate]:
    """Return the bigger radiators that fit a room in place of one it has."""
    room, state, found = house.rooms[place], states[place], []
    for number, work in enumerate(state.emitters):
        for bigger, words in _bigger_radiators(work):
            emitters = (*state.emitters[:number], bigger, *state.emitters[number + 1 :])
            instead = f", in place of {_lower(work.words)}" if len(state.emitters) > 1 else ""
            found.append(
                Candidate(
                    "radiator",
                    f"Bigger radiator in {room.work.name}: {_lower(words)}{instead}",
                    work.emitter.key(),
                    room.work.room.id,
                    {place: RoomState(state.total_w, emitters)},
                    0.0,
                    EN_442,
                )
            )
    return found


@lru_cache(maxsize=2048)
def _bigger_radiators(work: EmitterWork) -> tuple[tuple[EmitterWork, str], ...]:
    """Return the bigger radiators that fit in place of an emitter, each with its words; one that is as before gives the same ones again."""
    if work.rated_w is None or (where := place_of(work.emitter)) is None:
        return ()
    # The new one hangs where the old one hung, behind the same shelf or cover.
    around = next((item.factor for item in corrections(work.emitter) if item.field == "enclosure"), 1.0)
    panels = [(panel, panel.rated_w * around) for panel in biggest_panels(work.emitter, where)]
    return tuple(
        (replace(work, rated_w=rated_w, exponent=panel.exponent, words=panel.words), panel.words)
        for panel, rated_w in panels
        if rated_w >= WORTH_OUTPUT * work.rated_w
    )


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


@dataclass(frozen=True)
class Better:
    """A construction that could be better: its id and key, the work in words, its new U-value with the source by the part of the house, and what the work costs the rooms."""

    construction: str
    key: str
    words: str
    values: Mapping[str, tuple[float, str]]
    limits: str = ""


def better_u_values(survey: Survey, constructions: Constructions) -> list[Better]:
    """Return each construction that could be better, with the U-values that it would have."""
    found, parts = [], constructions.parts
    for item in survey.of_kind(Construction):
        if item.known_by != "look":
            continue
        name, limits = item.title, ""
        if item.look == "roof_loft":
            values = _in_every_part(parts, table(BY_INSULATION).get(look="roof_loft", insulation_mm=LOFT_MM))
            words = f"Loft quilt to {figure(LOFT_MM, 0)} mm: {name}"
        elif item.look == "wall_cavity":
            values = {
                part.key: (row.number("u_value_w_m2k"), cite_row(row))
                for part in parts.every
                if (row := table(DEFAULTS).find(look="wall_cavity_filled", age_band=part.age_band or "")) is not None
            }
            words = f"Cavity filled: {name}"
        elif item.look == "floor_suspended" and (item.insulation_mm or 0.0) < FLOOR_MM:
            values = _insulated(constructions, item, FLOOR_MM)
            words = f"{figure(FLOOR_MM, 0)} mm of wool between the floor joists: {name}"
        elif item.look == "floor_solid" and (item.insulation_mm or 0.0) < SLAB_MM and not item.depth_m:
            rise = _rise_words(survey, item)
            if rise is None:
                continue
            values, limits = _insulated(constructions, item, (item.insulation_mm or 0.0) + SLAB_MM), rise
            words = f"{figure(SLAB_MM, 0)} mm of insulating board and a deck on the solid floor: {name}"
        elif item.look in OLD_GLAZING and item.element == "window":
            values = _in_every_part(parts, table(DEFAULTS).get(look="window_double_2022", age_band="any"))
            words = f"New windows: {name}"
        else:
            continue
        if values:
            found.append(Better(item.id, item.key(), words, values, limits))
    return found


def _insulated(constructions: Constructions, item: Construction, insulation_mm: float) -> dict[str, tuple[float, str]]:
    """Return the U-value of a ground floor with so much insulation in mm, by the part of the house."""
    better = replace(item, insulation_mm=insulation_mm)
    made = {part.key: constructions.changed_floor(better, part) for part in constructions.parts.every}
    return {key: (value.u_value, value.step.source) for key, value in made.items() if isinstance(value, Value)}


def _rise_words(survey: Survey, floor: Construction) -> str | None:
    """Return what board on a solid floor costs the rooms that stand on it, or None where it cannot lie there."""
    here = {
        item.room
        for item in survey.of_kind(Surface)
        if item.element == "ground_floor" and item.construction == floor.id
    }
    if any(item.room in here and item.type == "underfloor" for item in survey.of_kind(Emitter)):
        return None
    heights = [room.height_m for room in survey.of_kind(Room) if room.id in here and room.height_m is not None]
    left = min(heights) - SLAB_RISE_MM / 1000 if heights else None
    if left is not None and left < LEAST_HEIGHT_M - 1e-9:
        return None
    lowest = "" if left is None else f", which leaves {figure(left)} m in the lowest room"
    return f"The floor rises by about {figure(SLAB_RISE_MM, 0)} mm{lowest}: doors, skirtings, sockets, pipes and the lowest step of a stair have to follow. The floor has to be dry and level."


def _in_every_part(parts: HouseParts, row: Row) -> dict[str, tuple[float, str]]:
    """Return a value that hangs on no age, for each part of the house."""
    return dict.fromkeys([part.key for part in parts.every], (row.number("u_value_w_m2k"), cite_row(row)))


def insulation_candidates(house: House, states: Mapping[int, RoomState], done: set[str]) -> list[Candidate]:
    """Return what better insulation and windows would change, room by room."""
    found = []
    for better in house.better:
        if better.key in done:
            continue
        changes, saved, sources = {}, [], []
        for place, room in enumerate(house.rooms):
            part = house.parts.of_room(room.work.room.id)
            if part is None or part.key not in better.values:
                continue
            u_value, source = better.values[part.key]
            less = [
                watts * (1 - (u_value + loss.bridge_w_m2k) / (loss.u_value_w_m2k + loss.bridge_w_m2k))
                for loss, watts in room.work.surfaces
                if loss.construction == better.construction
                and loss.other_side in ("outside", "unheated", "ground")
                and loss.u_value_w_m2k - u_value > WORTH_U
            ]
            if less:
                changes[place] = replace(states[place], total_w=states[place].total_w - fsum(less))
                saved += less
                sources.append(source)
        if changes:
            found.append(
                Candidate("insulation", better.words, better.key, None, changes, fsum(saved), sources[0], better.limits)
            )
    return found


def _in_two_rooms(
    house: House, states: Mapping[int, RoomState], present: Outcome, results: Sequence[tuple[Candidate, Outcome]]
) -> list[Candidate]:
    """Return the radiators of the setting room that are held back by the next room, each with that room's best radiator."""
    found = []
    for item, after in results:
        if item.kind != "radiator" or after.setter is None or after.setter == present.setter:
            continue
        if after.lowest_c is None or present.lowest_c is None or present.lowest_c - after.lowest_c > HELD_BACK_K:
            continue
        others = []
        for other in radiator_candidates(house, states, after.setter):
            lowest, _setter = house.lowest({**states, **item.changes, **other.changes}, after.setter)
            if lowest is not None and lowest < after.lowest_c:
                others.append((lowest, other.what, other.record, other))
        if others:
            other = min(others, key=lambda level: level[:3])[3]
            found.append(
                Candidate(
                    "radiator",
                    f"{item.what}, and b{other.what[1:]}",
                    item.record,
                    item.room,
                    {**item.changes, **other.changes},
                    0.0,
                    EN_442,
                )
            )
    return found


def improve(house: House) -> Improvements:
    """Return what each change would buy by itself, and the best ones one after the other.

    Notes
    -----
    A radiator lowers the common flow only in the room that sets it, so that room's are tried; where the next room would hold
    the flow up almost as high, a radiator for each of the two is one change.  After each step another room may set it.
    """
    before = house.outcome(house.states, 0.0, None)
    price = house.record.electricity_price_p_kwh

    def tried(
        states: Mapping[int, RoomState], present: Outcome, saved_w: float, done: set[str]
    ) -> list[tuple[Candidate, Outcome]]:
        candidates = radiator_candidates(house, states, present.setter) if present.setter is not None else []
        candidates += insulation_candidates(house, states, done)
        results = [
            (item, house.outcome({**states, **item.changes}, saved_w + item.saved_w, present.setter))
            for item in candidates
        ]
        results += [
            (item, house.outcome({**states, **item.changes}, saved_w, present.setter))
            for item in _in_two_rooms(house, states, present, results)
        ]
        return sorted(
            results,
            key=lambda pair: (
                pair[1].lowest_c if pair[1].lowest_c is not None else inf,
                pair[1].use.electricity_kwh if pair[1].use else inf,
                pair[0].what,
                pair[0].record,
            ),
        )

    results = tried(house.states, before, 0.0, set())
    single = [_result(house, item, before, after, price) for item, after in results]
    in_turn: list[Improvement] = []
    states, present, saved = dict(house.states), before, 0.0
    done: set[str] = set()
    for turn in range(MOST_IN_TURN):
        # The first of them is the best of those tried by themselves.
        if turn:
            results = tried(states, present, saved, done)
        if not results:
            break
        item, after = results[0]
        if after.lowest_c is None:
            break
        gain = inf if present.lowest_c is None else present.lowest_c - after.lowest_c
        if gain < LEAST_GAIN_K:
            break
        in_turn.append(_result(house, item, present, after, price))
        states.update(item.changes)
        saved, present = saved + item.saved_w, after
        done.add(item.record)
    return Improvements(
        flow_c=rounded_if_any(before.lowest_c, TEMPERATURE),
        set_by_room=_room_id(house, before.setter),
        seasonal_efficiency=rounded(before.use.efficiency, 2) if before.use else None,
        electricity_kwh=rounded(before.use.electricity_kwh, 0) if before.use else None,
        cost_pounds=pounds(before.use.electricity_kwh, price) if before.use else None,
        single=tuple(single),
        in_turn=tuple(in_turn),
        words=_words(house, before, in_turn),
        source=COMMON_PRACTICE,
    )


def _room_id(house: House, place: int | None) -> str | None:
    return None if place is None else house.rooms[place].work.room.id


def _result(house: House, item: Candidate, before: Outcome, after: Outcome, price: float | None) -> Improvement:
    saved = None
    if before.use is not None and after.use is not None:
        saved = before.use.electricity_kwh - after.use.electricity_kwh
    return Improvement(
        kind=item.kind,
        what=item.what,
        record=item.record,
        room=item.room,
        lowest_flow_c=rounded_if_any(after.lowest_c, TEMPERATURE),
        reduction_k=rounded(before.lowest_c - after.lowest_c, TEMPERATURE)
        if before.lowest_c is not None and after.lowest_c is not None
        else None,
        set_by_room=_room_id(house, after.setter),
        loss_saved_w=rounded(item.saved_w, 0),
        seasonal_efficiency=rounded(after.use.efficiency, 2) if after.use else None,
        electricity_kwh=rounded(after.use.electricity_kwh, 0) if after.use else None,
        saved_kwh=rounded_if_any(saved, 0),
        saved_pounds=None if saved is None else pounds(saved, price),
        source=item.source,
        limits=item.limits,
    )


def _words(house: House, before: Outcome, in_turn: Sequence[Improvement]) -> str:
    bare = [] if before.setter is None else [house.rooms[before.setter].work.name]
    if before.lowest_c is None:
        start = f"No flow up to {HIGHEST_C} °C serves {listed(bare)} as it is."
    elif before.setter is None:
        return "Every room is warm at the lowest flow looked at; nothing needs to change for it."
    else:
        is_open = any(room.work.holes for room in house.rooms)
        warm = "By what is said so far the rooms are" if is_open else "As it is every room is"
        start = f"{warm} warm from {serving(before.lowest_c)} °C; {listed(bare)} sets it."
    if not in_turn:
        return f"{start} No change looked at would lower it."
    count = "One change" if len(in_turn) == 1 else f"{len(in_turn)} changes one after the other"
    return f"{start} {count} would bring it to {serving(known(in_turn[-1].lowest_flow_c))} °C."
