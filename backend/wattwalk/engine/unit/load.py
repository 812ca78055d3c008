"""What the unit has to serve: the load as a sum of terms, each with its reason, and the house's line through the year."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from wattwalk.catalogue import table
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known

from ..answers import BuildingLoss, Climate, Finding, LoadTerm, RoomAssessment, RunHeat, Severity, SurfaceLoss
from ..answers.citing import COMMON_PRACTICE, EN_12831, EN_12831_NEIGHBOUR, cite, cite_row
from ..answers.rounding import WATT_TOLERANCE, WATTS, figure, listed, rounded, rounded_if_any
from ..answers.unit import LoadCode
from ..fabric.room_loss import TEMPERATURES, RoomWork
from ..rooms import HeatedRoom
from ..season.compensation import HeatCurve
from ..season.year_load import YearPart, together
from .year import House

HEATING_UP = "heating_up_en_12831_2003"
#: A room this much colder than is usual for its use is kept cold on purpose, K.
KEPT_COLD_K = 0.5
#: Below this difference in K no share of a loss can be formed.
LEAST_DIFFERENCE_K = 0.1

COUNTED = "counted"
#: The survey's choices of what counts.
LOAD_CHOICES = ("load_neighbours", "load_pipes", "load_floors", "load_hot_water", "heating_up")
Switches = Mapping[str, str]
DOWNWARD = cite("en_1264_2_2021", "downward heat flow")
DAY_MEAN = cite("common_practice", "heat of the day over its 24 hours", "common practice")


@dataclass(frozen=True)
class HotWaterDay:
    """The mean heat of the hot water over the coldest day in W, or None, and where it comes from or what is missing."""

    watts: float | None
    words: str


@dataclass(frozen=True)
class UnitLoad:
    """The load as its terms, and their sum in W: None while a room is missing."""

    terms: tuple[LoadTerm, ...]
    total_w: float | None

    def counted_w(self, code: str) -> float:
        """Return what a term adds to the sum, W."""
        return fsum(term.watts for term in self.terms if term.code == code and term.counts and term.watts is not None)


def unit_load(
    record: SurveyRecord,
    building: BuildingLoss,
    heated: Sequence[HeatedRoom],
    rooms: Sequence[RoomAssessment],
    pipes: Sequence[RunHeat],
    water: HotWaterDay,
    switches: Switches,
) -> tuple[UnitLoad, list[Finding]]:
    """Return what the unit has to give at the design cold as a sum with its terms.

    Parameters
    ----------
    record : SurveyRecord
        With the choice of which terms count.
    building : BuildingLoss
        The rooms added up.
    heated, rooms
        Each room with its emitters, and its result at the design flow.
    pipes : sequence of RunHeat
        What each run of heating pipe loses.
    water : HotWaterDay
        Hot water, averaged over the day.
    switches : mapping
        The words of each choice of ``LOAD_CHOICES``, by its name.

    Notes
    -----
    Between two heated rooms heat only changes hands, so the sum of the rooms holds none of it; but a room that takes more from the
    others than it loses lowers that sum below what the emitters have to give, and is counted as needing nothing.
    """
    if building.total_w is None:
        return UnitLoad((), None), []
    works = [room.work for room in heated]
    neighbours = [[watts for loss, watts in work.surfaces if loss.other_side == "neighbour"] for work in works]
    counts = record.effective("load_neighbours") == COUNTED
    own = [known(work.total_w) - fsum(flows) for work, flows in zip(works, neighbours, strict=True)]
    lost = [fsum(max(0.0, watts) for watts in flows) for flows in neighbours]
    gained = fsum(min(0.0, watts) for flows in neighbours for watts in flows)
    needs = [room + (out if counts else 0.0) for room, out in zip(own, lost, strict=True)]
    idle = -fsum(min(0.0, watts) for watts in needs)
    terms = [
        _term("rooms", "Rooms, without what flows to neighbours", fsum(own), True, "always counted", "", EN_12831),
        _neighbours(record, switches, fsum(lost), counts),
        _pipes(record, switches, pipes),
        _floors(record, switches, heated, rooms),
        _hot_water(record, switches, water),
        _heating_up(record, switches, building.floor_area_m2),
    ]
    if idle > WATT_TOLERANCE:
        names = listed([work.name for work, watts in zip(works, needs, strict=True) if watts < 0])
        words = (
            f"{names}: colder than what is around, fed by other rooms; what they take counts with those that give it"
        )
        terms.insert(1, _term("cold_rooms", "Rooms that take more than they lose", idle, True, words, "", EN_12831))
    if gained < -WATT_TOLERANCE:
        words = "left out: whether neighbours heat is not in this house's hands"
        terms.append(_term("neighbour_gain", "Heat from neighbours", gained, False, words, "", EN_12831_NEIGHBOUR))
    total = fsum(term.watts for term in terms if term.counts and term.watts is not None)
    return UnitLoad(tuple(terms), rounded(total, WATTS)), _kept_cold(record, works, counts)


def _term(
    code: LoadCode, label: str, watts: float | None, counts: bool, words: str, switch: str, source: str
) -> LoadTerm:
    return LoadTerm(code, label, rounded_if_any(watts, WATTS), counts, words, switch, source)


def _neighbours(record: SurveyRecord, switches: Switches, watts: float, counts: bool) -> LoadTerm:
    if record.effective("separate_neighbour") == "same_temperature":
        words = "nothing: neighbours are taken to be as warm as the house"
    elif counts:
        words = "counted: taken as not heating, they take it from this house"
    else:
        words = "left out by choice: should they stop heating, the unit lacks it"
    switch = switches["load_neighbours"]
    return _term("neighbours", "To neighbours who do not heat", watts, counts, words, switch, EN_12831_NEIGHBOUR)


def _pipes(record: SurveyRecord, switches: Switches, pipes: Sequence[RunHeat]) -> LoadTerm:
    label, switch = "Pipes outside heated rooms", switches["load_pipes"]
    counts = record.effective("load_pipes") == COUNTED
    told = [run.outside_loss_w for run in pipes if run.outside_loss_w is not None]
    unknown = [run.name for run in pipes if run.outside_loss_w is None]
    if not told:
        words = f"not known yet: {listed(unknown)}" if unknown else "not known: no pipe run is written down"
        return _term("pipes", label, None, False, f"{words}; the sum is without it", switch, COMMON_PRACTICE)
    words = "counted: the unit gives it before a room has it" if counts else "left out by choice"
    if unknown:
        words += f"; without {listed(unknown)}, not known yet"
    source = next((step.source for run in pipes for step in run.steps), COMMON_PRACTICE)
    return _term("pipes", label, fsum(told), counts, words, switch, source)


def _floors(
    record: SurveyRecord, switches: Switches, heated: Sequence[HeatedRoom], rooms: Sequence[RoomAssessment]
) -> LoadTerm:
    """Return what heated floors lose downward beyond what the floor's own surface already counts."""
    more, inner, has_floor = [], 0, False
    for room, result in zip(heated, rooms, strict=True):
        down, area = [], []
        for work, output in zip(room.emitters, result.emitters, strict=True):
            if output.floor is None or not work.counts:
                continue
            has_floor = True
            if work.emitter.effective("below") == "heated":
                inner += 1
                continue
            down.append(output.floor.downward_w_m2 * work.area_m2)
            area.append(work.area_m2)
        if down:
            more.append(max(0.0, fsum(down) - _counted_below(room.work.surfaces, fsum(area))))
    label, switch = "Down from heated floors, beyond the floor's own loss", switches["load_floors"]
    counts = record.effective("load_floors") == COUNTED
    words = "nothing: no heated floor" if not has_floor else "left out by choice"
    if has_floor and counts:
        words = "counted: the floor is warmer than the room that its loss was worked out for"
    if inner:
        words += "; what goes to a heated room below stays in the house"
    return _term("floors", label, fsum(more), counts, words, switch, DOWNWARD)


def _counted_below(surfaces: Sequence[tuple[SurfaceLoss, float]], heated_m2: float) -> float:
    """Return what the room's own floor already loses over the heated area, W."""
    floors = [
        (loss.net_area_m2, watts)
        for loss, watts in surfaces
        if loss.element in ("ground_floor", "floor") and loss.other_side != "room"
    ]
    area = fsum(item for item, _ in floors)
    return fsum(watts for _, watts in floors) * min(1.0, heated_m2 / area) if area > 0 else 0.0


def _hot_water(record: SurveyRecord, switches: Switches, water: HotWaterDay) -> LoadTerm:
    label, switch = "Hot water, averaged over the day", switches["load_hot_water"]
    counts = record.effective("load_hot_water") == COUNTED
    if water.watts is None:
        words = f"not known yet: {water.words}"
        return _term("hot_water", label, None, False, f"{words}; the sum is without it", switch, DAY_MEAN)
    words = "counted" if counts else "left out: it takes hours of the day, which are checked with the cylinder"
    return _term("hot_water", label, water.watts, counts, f"{words}; {water.words}", switch, DAY_MEAN)


def _heating_up(record: SurveyRecord, switches: Switches, area_m2: float) -> LoadTerm:
    label, switch = "Heating up again", switches["heating_up"]
    if record.effective("heating_up") == "continuous":
        words = "nothing: heated day and night, as a heat pump runs"
        return _term("heating_up", label, 0.0, False, words, switch, COMMON_PRACTICE)
    drop, hours = int(record.effective("heating_up_drop")), int(record.effective("heating_up_hours"))
    row = table(HEATING_UP).get(drop_k=drop, hours=hours)
    each = row.number("heat_w_m2")
    words = f"counted: {figure(each, 0)} W/m² on {figure(area_m2, 1)} m², back from {drop} K in {hours} h"
    return _term("heating_up", label, each * area_m2, True, words, switch, cite_row(row))


def _kept_cold(record: SurveyRecord, works: Sequence[RoomWork], counts_neighbours: bool) -> list[Finding]:
    """Say by how much a room that is kept colder than is usual for it lowers the load."""
    found = []
    beyond = ("outside", "ground", "unheated", *(("neighbour",) if counts_neighbours else ()))
    usual_of = table(TEMPERATURES[record.effective("room_temperatures")])
    for work in works:
        if work.room.inside_temperature_c is None or work.room.use is None:
            continue
        usual = usual_of.get(use=work.room.use).number("temperature_c")
        shift = usual - known(work.inside_c)
        if shift < KEPT_COLD_K:
            continue
        parts = [(watts, loss.temperature_difference_k) for loss, watts in work.surfaces if loss.other_side in beyond]
        parts.append((work.ventilation_w, known(work.ventilation).temperature_difference_k))
        less = shift * fsum(watts / k for watts, k in parts if abs(k) > LEAST_DIFFERENCE_K)
        if less < 1:
            continue
        found.append(
            Finding(
                Severity.CHECK,
                "room_kept_cold",
                work.room.key(),
                "inside_temperature_c",
                f"{work.name} is kept at {figure(known(work.inside_c), 1)} °C; {figure(usual, 1)} °C is usual for it. The unit is chosen for about {figure(less, 0)} W less because of it.",
                "Agree with the household that it stays so for good, or plan it at its usual temperature.",
                COMMON_PRACTICE,
            )
        )
    return found


def house_load(
    climate: Climate | None,
    building: BuildingLoss,
    load_w: float | None,
    curve: HeatCurve | None,
    terms: Sequence[YearPart],
) -> House | None:
    """Return the house as a unit sees it on the line of the design flow, with the ``terms`` of its year; None while its load in W or its line is not known."""
    if climate is None or load_w is None or building.coefficient_w_k is None:
        return None
    if curve is None or load_w <= 0:
        return None
    return House(
        load_w,
        climate.outside_c,
        building.coefficient_w_k,
        curve,
        float(climate.region),
        climate.warmer_k,
        year=together(terms),
        so_far=building.so_far,
    )
