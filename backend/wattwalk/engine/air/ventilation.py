"""Heat carried out of each room by air, by the way of counting chosen, and what the other ways would have given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import fsum

from wattwalk.catalogue import CatalogueError, Row, table
from wattwalk.survey.building import Room
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.parts import HousePart, HouseParts

from ..answers import Finding, Severity, Step, VentilationLoss, VentilationMethod
from ..answers.citing import COMMON_PRACTICE, SURVEYOR, cite, cite_row
from ..answers.rounding import TEMPERATURE, WATTS, figure, listed, rounded
from .leakage import (
    LEAST_FLOW,
    OPENINGS,
    SAP_LEAKAGE,
    Leakage,
    effective_air_changes,
    house_leakage,
    least_flow_m3_h,
    mechanical_air,
    test_of,
)

AIR_CHANGES = "room_air_changes_heating_design_guide"
CHIMNEYS = "open_chimney_heating_design_guide"

#: Heat content of air, Wh/m³K: UK practice and SAP; EN 12831:2003 has 0.34.
HEAT_WH_M3K = 0.33
OLDER_HEAT_WH_M3K = 0.34

CHIMNEY_WORDS = "room with an open chimney"

METHODS = ("room_table", "en_12831_2017", "air_permeability", "mechanical")

#: EN 12831-1:2017 Annex B, recalled: least air changes of a room, leakage in a storm as a share of that at 50 Pa where more
#: than one façade faces outside, and how much more than its share the room on the windward side may get.
EN_LEAST_H, EN_SHARE_OF_50_PA, EN_WINDWARD = 0.5, 0.05, 2.0
#: Share of the rooms' least flows that the house needs at the same time.
EN_AT_ONCE = 0.5

EN_AIR = cite("en_12831_1_2017", "ventilation of a room", "from memory")

#: A year of building in each age that the survey knows.
_BUILT = {"before_2000": 1999, "2000_to_2006": 2006, "after_2006": 2007}


def usual_air_changes(use: str, built: int) -> Row:
    """Return the row of the usual air changes of a room by its use and the year the house was built, or made tight since.

    Raises
    ------
    CatalogueError
        When the table has no row for them.
    """
    for row in table(AIR_CHANGES).where("use", use):
        first, last = row.number_if_any("built_from"), row.number_if_any("built_to")
        if (first is None or first <= built) and (last is None or built <= last):
            return row
    raise CatalogueError(f"{AIR_CHANGES} has no row for {use!r} built in {built}")


def ventilation_loss(
    air_changes_h: float, volume_m3: float, difference_k: float, heat_wh_m3k: float = HEAT_WH_M3K
) -> float:
    """Return the heat in W carried by air: ``heat × air changes × volume × difference``.

    Parameters
    ----------
    air_changes_h : float
        Air changes per hour, 1/h.
    volume_m3 : float
        Volume of the room, m³.
    difference_k : float
        Inside less outside, K.
    heat_wh_m3k : float
        Heat content of air, Wh/m³K.

    Examples
    --------
    >>> round(ventilation_loss(1.0, 42.0, 24), 1)
    332.6
    """
    return heat_wh_m3k * air_changes_h * volume_m3 * difference_k


def with_open_chimney(air_changes_h: float, volume_m3: float) -> tuple[float, str]:
    """Return the air changes of a room with an open chimney, and the source.

    The tabulated rate of such a room takes the place of a lower usual rate; a room bigger than the table
    keeps the flow of the table's biggest room.

    Parameters
    ----------
    air_changes_h : float
        Usual air changes of the room, 1/h.
    volume_m3 : float
        m³.

    Examples
    --------
    >>> with_open_chimney(1.0, 42.0)[0]
    3.5
    """
    rows = table(CHIMNEYS).rows
    for row in rows:
        if volume_m3 <= row.number("up_to_m3"):
            return max(air_changes_h, row.number("air_changes_h")), cite_row(row)
    last = rows[-1]
    return max(air_changes_h, last.number("air_changes_h") * last.number("up_to_m3") / volume_m3), cite_row(last)


def en_12831_2017_flow(volume_m3: float, leak_m3_h: float, house_leak_m3_h: float) -> float:
    """Return the outside air of a naturally ventilated room in m³/h by EN 12831-1:2017.

    Parameters
    ----------
    volume_m3 : float
        Volume of the room, m³.
    leak_m3_h, house_leak_m3_h : float
        The room's share of the leakage in design weather, and that of the house, m³/h.

    References
    ----------
    EN 12831-1:2017, ``max(q_env; n_min V)`` with ``q_env = min(q_env,z; f_dir q_leak)`` (from memory).

    Examples
    --------
    >>> round(en_12831_2017_flow(42.0, 12.0, 90.0), 1)
    24.0
    """
    return max(min(house_leak_m3_h, EN_WINDWARD * leak_m3_h), EN_LEAST_H * volume_m3)


@dataclass(frozen=True)
class AirRoom:
    """A room as the air needs it: volume, temperature, how much of the house's envelope is its own, and the part of the house it is in."""

    room: Room
    name: str
    volume_m3: float
    inside_c: float
    envelope_m2: float
    floor_area_m2: float
    part: HousePart


@dataclass(frozen=True)
class RoomAir:
    """What one way of counting gives for a room: its heat in W, and the outside air that would carry it."""

    watts: float
    air_changes_h: float
    words: str
    source: str


@dataclass
class Answer:
    """What one way of counting gives for all rooms; None for a room that it cannot tell."""

    rooms: list[RoomAir | None]
    words: str
    source: str
    at_once_w: float | None = None
    missing: list[str] = field(default_factory=list)
    steps: tuple[Step, ...] = ()
    findings: list[Finding] = field(default_factory=list)
    #: What is missing for one room, by its id.
    lacks: dict[str, str] = field(default_factory=dict)


class HouseAir:
    """The air of a whole house, counted in each of the ways there are."""

    def __init__(
        self, survey: Survey, record: SurveyRecord, parts: HouseParts, rooms: Sequence[AirRoom], outside_c: float
    ):
        self._survey, self._record, self._parts = survey, record, parts
        self._rooms, self._outside_c = rooms, outside_c
        self.used = record.effective("ventilation_method")
        self.heat_wh_m3k = OLDER_HEAT_WH_M3K if record.effective("air_heat") == "en_12831_2003" else HEAT_WH_M3K
        self._volume_m3 = fsum(item.volume_m3 for item in rooms)
        #: The parts of the house that the rooms are in, in the order in which they come up.
        self._met = tuple({item.part.key: item.part for item in rooms}.values())
        self._leakages = {part.key: self._leakage_of(part) for part in self._met}
        ways = {
            "room_table": self._by_table,
            "en_12831_2017": self._by_en_12831,
            "air_permeability": self._by_leakage,
            "mechanical": self._by_unit,
        }
        self._answers = {name: ways[name]() for name in METHODS} if rooms else {}

    def _tested_with(self, part: HousePart) -> tuple[float, float]:
        """Return envelope in m² and volume in m³ of all that the pressure test of a part holds for: of it alone, or of the house without such parts."""
        rooms = [
            item
            for item in self._rooms
            if (item.part.key == part.key if part.is_tested_alone else not item.part.is_tested_alone)
        ]
        return fsum(item.envelope_m2 for item in rooms), fsum(item.volume_m3 for item in rooms)

    def _leakage_of(self, part: HousePart) -> Leakage:
        return house_leakage(self._survey, self._record, self._parts, part, self._tested_with(part))

    def _leak_steps(self) -> tuple[Step, ...]:
        return tuple(step for leakage in self._leakages.values() for step in leakage.steps)

    def losses(self) -> tuple[dict[str, tuple[VentilationLoss, float]], list[Finding], dict[str, list[str]]]:
        """Return each room's loss with its unrounded watts, the findings, and what is missing, by the id of the room."""
        if not self._rooms:
            return {}, [], {}
        answer = self._answers[self.used]
        found, missing = {}, {}
        for item, air in zip(self._rooms, answer.rooms, strict=True):
            if air is None:
                lacks = answer.lacks.get(item.room.id)
                missing[item.room.id] = [*answer.missing, *([lacks] if lacks else [])]
                continue
            loss = VentilationLoss(
                rounded(air.air_changes_h, 3),
                rounded(item.volume_m3, 3),
                self.heat_wh_m3k,
                rounded(item.inside_c - self._outside_c, TEMPERATURE),
                rounded(air.watts, WATTS),
                air.words,
                air.source,
            )
            found[item.room.id] = (loss, air.watts)
        return found, answer.findings, missing

    def methods(self) -> tuple[VentilationMethod, ...]:
        """Return what every way of counting gives for the house."""
        label = self._record.kind.field("ventilation_method").choice_label
        results = []
        for name, answer in self._answers.items():
            told = [air for air in answer.rooms if air is not None]
            whole = len(told) == len(self._rooms)
            changes = (
                fsum(
                    air.air_changes_h * item.volume_m3
                    for item, air in zip(self._rooms, answer.rooms, strict=True)
                    if air is not None
                )
                / self._volume_m3
            )
            results.append(
                VentilationMethod(
                    method=name,
                    label=label(name),
                    is_used=name == self.used,
                    house_w=rounded(fsum(air.watts for air in told), WATTS) if whole else None,
                    at_once_w=rounded(answer.at_once_w, WATTS) if whole and answer.at_once_w is not None else None,
                    air_changes_h=rounded(changes, 2) if whole else None,
                    words=answer.words,
                    missing=(*answer.missing, *dict.fromkeys(answer.lacks.values())),
                    steps=answer.steps,
                    source=answer.source,
                )
            )
        return tuple(results)

    def _natural(self, item: AirRoom, rate_h: float, words: str, source: str) -> RoomAir:
        if item.room.air_changes_h is not None:
            rate_h, words, source = item.room.air_changes_h, "as written in the survey", SURVEYOR
        return RoomAir(
            ventilation_loss(rate_h, item.volume_m3, item.inside_c - self._outside_c, self.heat_wh_m3k),
            rate_h,
            words,
            source,
        )

    def _by_table(self) -> Answer:
        source = cite_row(table(AIR_CHANGES).rows[0])
        said = [self._tightness(part) for part in self._met]
        words = listed(list(dict.fromkeys(words for words in said if words)))
        answer = Answer([], f"air changes by the use of each room, {words}", source)
        for item in self._rooms:
            answer.rooms.append(self._room_by_table(item, answer))
        return answer

    def _tightness(self, part: HousePart) -> str:
        """Return how tight a part is by its age, in words; nothing while that age is not known."""
        if part.ventilation_age is None:
            return ""
        return self._record.kind.field("ventilation_age").choice_label(part.ventilation_age).lower()

    def _room_by_table(self, item: AirRoom, answer: Answer) -> RoomAir | None:
        room, age = item.room, item.part.ventilation_age
        if room.air_changes_h is not None or room.use is None:
            # Without a use and a rate the room already says what it lacks.
            return self._natural(item, 0.0, "", "") if room.air_changes_h is not None else None
        if age is None:
            answer.lacks[room.id] = f"the age of {item.part.whose}, by which usual air changes go"
            return None
        row = usual_air_changes(room.use, _BUILT[age])
        rate, words, source = (
            row.number("air_changes_h"),
            f"usual for {room.kind.field('use').choice_label(room.use).lower()}, {self._tightness(item.part)}",
            cite_row(row),
        )
        if room.open_chimney:
            rate, source = with_open_chimney(rate, item.volume_m3)
            words = CHIMNEY_WORDS
            answer.findings.append(_chimney_finding(item, rate, source))
        return self._natural(item, rate, words, source)

    def _by_en_12831(self) -> Answer:
        zones = {part.key: self._zone(part) for part in self._met}
        tests = {zone is None for zone in zones.values()}
        leaks = (
            ", or its leakage by the pressure test"
            if tests == {False}
            else ", leakage not tested and not counted"
            if tests == {True}
            else ", or its leakage in the part that was tested"
        )
        answer = Answer([], f"at least 0.5 an hour in each room{leaks}", EN_AIR)
        at_once = []
        for item in self._rooms:
            house, envelope, _step = zones[item.part.key] or (0.0, 0.0, None)
            share = house * item.envelope_m2 / envelope if envelope else 0.0
            flow = en_12831_2017_flow(item.volume_m3, share, house)
            words = (
                "least of 0.5 an hour"
                if flow <= EN_LEAST_H * item.volume_m3
                else "leakage by the pressure test, twice its share on the windward side"
            )
            rate, source = flow / item.volume_m3, EN_AIR
            is_written = item.room.air_changes_h is not None
            if item.room.open_chimney and not is_written:
                # The least rate and the pressure test, which is made with the flue stopped, know nothing of it.
                rate, source = with_open_chimney(rate, item.volume_m3)
                words = CHIMNEY_WORDS
                answer.findings.append(_chimney_finding(item, rate, source))
            air = self._natural(item, rate, words, source)
            answer.rooms.append(air)
            together = max(share, EN_AT_ONCE * EN_LEAST_H * item.volume_m3)
            if not is_written and not item.room.open_chimney:
                at_once.append(
                    ventilation_loss(
                        together / item.volume_m3, item.volume_m3, item.inside_c - self._outside_c, self.heat_wh_m3k
                    )
                )
            else:
                at_once.append(air.watts)
        answer.at_once_w = fsum(at_once)
        answer.steps = tuple(dict.fromkeys(zone[2] for zone in zones.values() if zone is not None))
        return answer

    def _zone(self, part: HousePart) -> tuple[float, float, Step] | None:
        """Return the leakage in m³/h in design weather of all that was tested together with a part, its envelope in m², and the working; None without a test."""
        tested = test_of(self._parts, part)
        if tested is None:
            return None
        envelope, _volume = self._tested_with(part)
        leak = tested * envelope * EN_SHARE_OF_50_PA
        what = "Leakage in design weather"
        if part.is_tested_alone:
            what = f"{part.name}: leakage in design weather"
        numbers = f"{figure(tested)} × {figure(envelope, 1)} × {figure(EN_SHARE_OF_50_PA)}"
        return leak, envelope, Step(what, "q = q50 · A · f", numbers, rounded(leak, 1), "m³/h", EN_AIR)

    def _by_leakage(self) -> Answer:
        bases = list(dict.fromkeys(_basis(leakage) for leakage in self._leakages.values()))
        words = f"{listed(bases)}, with chimneys, fans and opened windows"
        answer = Answer([], words, SAP_LEAKAGE, steps=self._leak_steps())
        flows = {row.word("opening"): row.number("flow_m3_h") for row in table(OPENINGS).rows}
        for item in self._rooms:
            through = fsum(flows[name] for name in ("open_chimney", "extract_fan") if getattr(item.room, name))
            leakage = self._leakages[item.part.key]
            leaking = leakage.air_changes_h + leakage.shelter * through / item.volume_m3
            words = f"{_basis(leakage)}, {figure(leaking, 2)} an hour, windows opened where that is too little"
            answer.rooms.append(self._natural(item, effective_air_changes(leaking), words, SAP_LEAKAGE))
        return answer

    def _by_unit(self) -> Answer:
        record = self._record
        source = cite("en_12831_1_2017", "mechanical ventilation", "from memory")
        answer = Answer(
            [None] * len(self._rooms), "supply and extract with heat recovery, and the house's own leakage", source
        )
        recovered, bedrooms = record.recovery_efficiency_pct, record.bedrooms
        if recovered is None:
            answer.missing.append("how much heat the ventilation unit recovers")
        flow, flow_source = record.mechanical_flow_m3_h, SURVEYOR
        if flow is None and bedrooms is None:
            answer.missing.append("the flow of the ventilation unit, or the number of bedrooms")
        if answer.missing or recovered is None:
            return answer
        if flow is None:
            flow = least_flow_m3_h(known(bedrooms), fsum(item.floor_area_m2 for item in self._rooms))
            flow_source = LEAST_FLOW
        uses, volumes, inside = (
            [getattr(item, name) for item in self._rooms] for name in ("room", "volume_m3", "inside_c")
        )
        air = mechanical_air(
            [room.use for room in uses],
            volumes,
            inside,
            self._outside_c,
            flow,
            recovered / 100,
            flow_source,
            written_m3_h=[
                None if item.room.air_changes_h is None else item.room.air_changes_h * item.volume_m3
                for item in self._rooms
            ],
        )
        if air is None:
            answer.missing.append("a room to blow fresh air into and one to draw it from")
            return answer
        answer.steps = (*self._leak_steps(), *air.steps)
        chimney = table(OPENINGS).get(opening="open_chimney").number("flow_m3_h")
        for place, item in enumerate(self._rooms):
            difference = item.inside_c - self._outside_c
            if item.room.air_changes_h is not None:
                answer.rooms[place] = self._natural(item, 0.0, "", "")
                continue
            leakage = self._leakages[item.part.key]
            leaking = leakage.air_changes_h
            words = "leakage and the unit's air, as so much outside air"
            if item.room.open_chimney:
                leaking += leakage.shelter * chimney / item.volume_m3
                words = f"{CHIMNEY_WORDS}, leakage and the unit's air, as so much outside air"
                answer.findings.append(_chimney_finding(item, leaking, SAP_LEAKAGE))
            watts = ventilation_loss(leaking, item.volume_m3, difference, self.heat_wh_m3k)
            watts += self.heat_wh_m3k * air.supply_m3_h[place] * (item.inside_c - air.supply_c)
            watts += self.heat_wh_m3k * air.extract_m3_h[place] * (item.inside_c - air.transfer_c)
            carried = self.heat_wh_m3k * item.volume_m3 * difference
            answer.rooms[place] = RoomAir(watts, watts / carried if abs(carried) > 1e-9 else 0.0, words, source)
        return answer


def _basis(leakage: Leakage) -> str:
    return "leakage by the pressure test" if leakage.is_tested else "leakage built up from what is seen, not tested"


def _chimney_finding(item: AirRoom, rate_h: float, source: str) -> Finding:
    return Finding(
        Severity.NOTE,
        "open_chimney",
        item.room.key(),
        "open_chimney",
        f"{item.name} has an open chimney: {figure(rate_h, 2)} air changes an hour are taken, a figure from memory that decides the room's loss.",
        "Close the chimney off with a vented cap if it is not used, or write down a measured rate.",
        source,
    )


def damp_findings(rooms: Sequence[AirRoom]) -> list[Finding]:
    """Return the findings where damp or mould was seen."""
    return [
        Finding(
            Severity.CHECK,
            "damp_seen",
            item.room.key(),
            "damp_seen",
            f"Damp or mould was seen in {item.name}.",
            "Find the cause before the heating changes: a leak, a cold corner, or too little fresh air.",
            COMMON_PRACTICE,
        )
        for item in rooms
        if item.room.damp_seen
    ]


def method_finding(record: SurveyRecord, methods: Sequence[VentilationMethod]) -> list[Finding]:
    """Return a note where the choice of method moves the house's loss by much."""
    used, used_w = next(((item, item.house_w) for item in methods if item.is_used), (None, None))
    if used is None or used_w is None or not used_w > 0:
        return []
    far = [
        f"{item.label}: {figure(item.house_w, 0)} W"
        for item in methods
        if not item.is_used and item.house_w is not None and abs(item.house_w - used_w) > 0.25 * used_w
    ]
    if not far:
        return []
    return [
        Finding(
            Severity.NOTE,
            "ventilation_choice",
            record.key(),
            "ventilation_method",
            f"The air takes {figure(used_w, 0)} W by the method chosen ({used.label}). Other methods would give: {listed(far)}.",
            "Let the designer decide; a pressure test settles it.",
            used.source,
        )
    ]
