"""The units in question against the house: which cover it, what each would take in a year, and what to say of the chosen one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wattwalk.survey.document import Survey
from wattwalk.survey.holders import LEFT_LIST
from wattwalk.survey.known import known
from wattwalk.survey.standing import unit_words
from wattwalk.survey.unit import Unit
from wattwalk.survey.works import Design

from ..answers import DayPart, Finding, Severity, Step, UnitResult
from ..answers.citing import COMMON_PRACTICE, DECLARED
from ..answers.rounding import TEMPERATURE, figure, rounded, rounded_if_any
from ..answers.unit import UnitVerdict, chosen_of
from ..climate.weather import SPREAD
from .scop import EN_14825, outlet_of, rate_table
from .table import BY_EXERGY, UnitTable, UnitTableError, table_of
from .year import House, UnitYear, bivalent_point, year_with

#: A share of the load within this of the whole counts as the whole.
SHARE_TOLERANCE = 1e-9
#: Common practice, no source: output under this share of the load leaves the house cold; over that one the unit is large; this share of the year's heat given while switching on and off is a lot.
STOP_SHARE, LARGE_SHARE, MUCH_CYCLING = 0.9, 1.5, 0.5
#: Common practice, no source: a declared seasonal efficiency this far above what the table gives wants a second look.
SCOP_APART = 0.15
#: A typed output this far from the table's is a contradiction.
TYPED_APART = 0.05
#: Those that cover the house come before those that are large for it, and those before the rest.
_RANK = {"covers": 0, "large": 1}
#: Outside temperatures shown for the chosen unit, besides the design cold, °C.
SHOWN_C = (-7.0, -3.0, 2.0, 7.0, 12.0)


@dataclass(frozen=True)
class Units:
    """The units in question, and the chosen one's table and year."""

    results: tuple[UnitResult, ...] = ()
    table: UnitTable | None = None
    year: UnitYear | None = None
    day_parts: tuple[DayPart, ...] = ()
    scop_35: float | None = None
    scop_55: float | None = None
    steps: tuple[Step, ...] = ()
    scop_words: str = ""
    #: Of the chosen one nothing but its papers' other data is there: a typed output counts.
    is_without_table: bool = False

    def capacity_kw(self, design: Design) -> float | None:
        """Return the output at the design cold, kW: by the chosen unit's table, which knows better than what was typed."""
        return design.unit_capacity_kw if self.chosen is None or self.is_without_table else self.chosen.capacity_kw

    def known_to(self, design: Design) -> Design:
        """Return the design with the output of the chosen unit's table in the place of a typed one."""
        return (
            design
            if self.chosen is None or self.chosen.capacity_kw is None
            else replace(design, unit_capacity_kw=self.chosen.capacity_kw)
        )

    @property
    def chosen(self) -> UnitResult | None:
        """The unit that the design names, if it is one of those in question."""
        return chosen_of(self.results)


def assess_units(survey: Survey, design: Design, house: House | None, flow_c: float) -> tuple[Units, list[Finding]]:
    """Return every unit in question against the house, the best first, and the findings on them.

    Parameters
    ----------
    survey, design
        The survey and its design; ``design.unit`` names the chosen unit.
    house : House or None
        None while the house's load or its compensation line is not known.
    flow_c : float
        Flow temperature at the design cold, °C.
    """
    findings: list[Finding] = []
    results, chosen = [], Units()
    for record in survey.of_kind(Unit):
        name = record.title
        is_chosen = record.id == design.unit
        if not record.points:
            results.append(_unknown(record, name, is_chosen, ("its table over outside and flow temperature",)))
            if is_chosen:
                chosen = Units(is_without_table=True)
                findings += _table_wanted(record, name, design)
            continue
        try:
            table = table_of(record)
        except UnitTableError as error:
            more = f" And {len(error.problems) - 3} more like these." if len(error.problems) > 3 else ""
            findings.append(
                Finding(
                    Severity.STOP if is_chosen else Severity.CHECK,
                    "unit_table_wrong",
                    record.key(),
                    "points",
                    f"{' '.join(error.problems[:3])}{more}",
                    "Correct the table from the maker's paper; nothing is worked out from it until then.",
                    DECLARED,
                )
            )
            results.append(_unknown(record, name, is_chosen, ("a table without a hole",)))
            continue
        result, year = _against(record, name, is_chosen, table, house, flow_c)
        results.append(result)
        if is_chosen:
            chosen = _chosen(table, house, flow_c, result, year)
            findings += _chosen_findings(record, design, table, house, flow_c, result, chosen)
    if design.unit is not None:
        findings += _gone_findings(design, survey.find(Unit, design.unit))
    if chosen.table is None:
        findings += _typed_findings(survey, design, house)
    results.sort(
        key=lambda item: (_RANK.get(item.verdict, 2), item.electricity_kwh is None, item.electricity_kwh or 0.0)
    )
    return replace(chosen, results=tuple(results)), findings


def _gone_findings(design: Design, unit: Unit | None) -> list[Finding]:
    """Return what is to be said where the unit that the design names is there no more, or is no longer in the firm's list."""
    if unit is None:
        return [
            Finding(
                Severity.CHECK,
                "unit_gone",
                design.key(),
                "unit",
                "The design names a unit that is no longer among those in question.",
                "Choose one of the units, or bring its table in again.",
                COMMON_PRACTICE,
            )
        ]
    if unit.firm_list != LEFT_LIST:
        return []
    return [
        Finding(
            Severity.CHECK,
            "unit_left",
            design.key(),
            "unit",
            f"{unit.title} is no longer in the firm's list of units. It is worked out as it stood there last.",
            "Ask whether it can still be had, or choose another unit.",
            COMMON_PRACTICE,
        )
    ]


def _table_wanted(record: Unit, name: str, design: Design) -> list[Finding]:
    """Return that a chosen unit has no table, while nothing was typed in its place."""
    if design.unit_capacity_kw is not None or design.unit_name is not None:
        return []
    return [
        Finding(
            Severity.STOP,
            "unit_table_wrong",
            record.key(),
            "points",
            f"{name}: it has no table yet, so nobody can say whether it is enough.",
            "Enter its table from the maker's paper, or take it in with the firm's list.",
            DECLARED,
        )
    ]


def _unknown(
    record: Unit,
    name: str,
    is_chosen: bool,
    missing: tuple[str, ...],
    verdict: UnitVerdict = "not_known",
    edges: tuple[str, ...] = (),
) -> UnitResult:
    return UnitResult(
        id=record.id,
        name=name,
        is_chosen=is_chosen,
        capacity_kw=None,
        cop=None,
        covers=None,
        bivalent_c=None,
        bivalent_words="not known yet",
        seasonal_efficiency=None,
        electricity_kwh=None,
        heater_kwh=None,
        cycling_share=None,
        verdict=verdict,
        edges=edges,
        missing=missing,
        table_from=record.table_from or "",
    )


def _against(
    record: Unit, name: str, is_chosen: bool, table: UnitTable, house: House | None, flow_c: float
) -> tuple[UnitResult, UnitYear | None]:
    if house is None:
        return _unknown(record, name, is_chosen, ("the load of the whole house and its compensation line",)), None
    edges = table.beyond(house.outside_c, flow_c)
    if flow_c > table.hottest_c + 1e-9:
        return _unknown(
            record,
            name,
            is_chosen,
            (f"a flow that the unit can make: its table ends at {figure(table.hottest_c, 1)} °C",),
            "too_cool",
            edges,
        ), None
    at_design = table.at(house.outside_c, flow_c)
    load = house.load_kw(house.outside_c)
    covers = at_design.capacity_kw / load if load > 0 else None
    meeting = bivalent_point(
        house.load_kw,
        lambda outside: table.at(outside, house.curve.flow_at(outside)).capacity_kw,
        min(house.outside_c, table.outside_c[0]),
    )
    if meeting is not None:
        bivalent, words = rounded(meeting[0], 1), f"at {figure(meeting[0], 1)} °C"
    else:
        bivalent = None
        words = (
            f"covers down to {figure(min(house.outside_c, table.outside_c[0]), 1)} °C"
            if covers is None or covers >= 1
            else "never covers the load"
        )
    year = year_with(table, house)
    verdict: UnitVerdict = "covers"
    if house.so_far:
        verdict = "not_known"
    elif covers is not None and covers < 1 - SHARE_TOLERANCE:
        verdict = "short"
    elif (covers or 0.0) > LARGE_SHARE or (year is not None and year.cycling_share > MUCH_CYCLING):
        verdict = "large"
    result = UnitResult(
        id=record.id,
        name=name,
        is_chosen=is_chosen,
        capacity_kw=rounded(at_design.capacity_kw, 2),
        cop=rounded(at_design.cop, 2),
        covers=rounded_if_any(covers, 3),
        bivalent_c=bivalent,
        bivalent_words=words,
        seasonal_efficiency=None if year is None else rounded(year.efficiency, 2),
        electricity_kwh=None if year is None else rounded(year.electricity_kwh, 0),
        heater_kwh=None if year is None else rounded(year.heater_kwh, 0),
        cycling_share=None if year is None else rounded(year.cycling_share, 3),
        verdict=verdict,
        edges=edges,
        missing=(f"the load of the whole house: it is {house.so_far}",) if house.so_far else (),
        table_from=record.table_from or "",
    )
    return result, year


def _chosen(table: UnitTable, house: House | None, flow_c: float, result: UnitResult, year: UnitYear | None) -> Units:
    """Return what is known of the chosen unit, whose table is there; the units in question are not in it."""
    scop_35, scop_55 = (
        rate_table(table, application).scop if table.hottest_c >= application else None for application in (35.0, 55.0)
    )
    if house is None or result.capacity_kw is None:
        return Units(
            table=table,
            scop_35=rounded_if_any(scop_35, 2),
            scop_55=rounded_if_any(scop_55, 2),
            scop_words=_outlets(table),
        )
    steps = [*_steps_at_design(house, flow_c, result), *(_steps_of_year(year) if year is not None else ())]
    for application, value in ((35, scop_35), (55, scop_55)):
        if value is not None:
            steps.append(
                Step(
                    f"Seasonal efficiency by EN 14825 at {application} °C",
                    "Q / (Q / SCOPon + hours of rest)",
                    f"average climate, {outlet_of(table, float(application))[1]}, from this table at full load",
                    rounded(value, 2),
                    "",
                    EN_14825,
                )
            )
    return Units(
        scop_words=_outlets(table),
        table=table,
        year=year,
        day_parts=_day_parts(table, house),
        scop_35=rounded_if_any(scop_35, 2),
        scop_55=rounded_if_any(scop_55, 2),
        steps=tuple(steps),
    )


def _day_parts(table: UnitTable, house: House) -> tuple[DayPart, ...]:
    parts = []
    for outside in sorted({rounded(house.outside_c, 1), *(value for value in SHOWN_C if value > house.outside_c)}):
        flow = house.curve.flow_at(outside)
        point = table.at(outside, flow)
        parts.append(
            DayPart(
                outside,
                rounded(flow, TEMPERATURE),
                rounded(house.load_kw(outside), 2),
                rounded(point.capacity_kw, 2),
                rounded(point.least_kw, 2),
                rounded(point.cop, 2),
            )
        )
    return tuple(parts)


def _steps_at_design(house: House, flow_c: float, result: UnitResult) -> list[Step]:
    """Return the working of a unit's output and efficiency at the design cold, both of which are known."""
    where = f"{figure(house.outside_c, 1)} °C outside, {figure(flow_c, 1)} °C flow"
    capacity = known(result.capacity_kw)
    steps = [
        Step(
            "Output at the design cold",
            "straight lines between the table's points",
            where,
            capacity,
            "kW",
            BY_EXERGY,
        ),
        Step("Its efficiency there", "exergy efficiency · Th/(Th − Tc)", where, known(result.cop), "", BY_EXERGY),
    ]
    if result.covers is not None:
        steps.append(
            Step(
                "Output over load",
                "output / load at the design cold",
                f"{figure(capacity)} / {figure(house.load_kw(house.outside_c))} kW",
                result.covers,
                "",
                COMMON_PRACTICE,
            )
        )
    if result.bivalent_c is not None:
        steps.append(
            Step(
                "Outside temperature at which output and load meet",
                "C(θo) = load − H (θo − θe)",
                f"H {figure(house.coefficient_w_k, 1)} W/K",
                result.bivalent_c,
                "°C",
                BY_EXERGY,
            )
        )
    return steps


def _steps_of_year(year: UnitYear) -> list[Step]:
    return [
        Step(
            "Electricity of a year, heating alone",
            "Σ heat / (COP · cycling factor) + heater",
            f"{figure(year.heat_kwh, 0)} kWh of heat, the heater gives {figure(year.heater_kwh, 0)} kWh",
            rounded(year.electricity_kwh, 0),
            "kWh",
            SPREAD,
        ),
        Step(
            "Seasonal efficiency, heating alone",
            "heat / electricity",
            f"{figure(year.heat_kwh, 0)} / {figure(year.electricity_kwh, 0)}",
            rounded(year.efficiency, 2),
            "",
            BY_EXERGY,
        ),
        Step(
            "Heat given while it switches on and off",
            "Σ heat where load < least output",
            f"{figure(year.cycling_kwh, 0)} of {figure(year.heat_kwh, 0)} kWh",
            rounded(100 * year.cycling_share, 0),
            "%",
            EN_14825,
        ),
    ]


def _outlets(table: UnitTable) -> str:
    """Say at which application the table does not cover the outlet that makers declare for; nothing where it covers both."""
    fixed = [(each, outlet_of(table, each)) for each in (35.0, 55.0) if table.hottest_c >= each]
    return "; ".join(f"at {figure(each, 0)} °C: {words}" for each, (is_covered, words) in fixed if not is_covered)


def _chosen_findings(
    record: Unit,
    design: Design,
    table: UnitTable,
    house: House | None,
    flow_c: float,
    result: UnitResult,
    chosen: Units,
) -> list[Finding]:
    findings: list[Finding] = []

    def say(
        severity: Severity,
        code: str,
        message: str,
        remedy: str,
        field: str | None = "points",
        source: str = COMMON_PRACTICE,
    ) -> None:
        findings.append(Finding(severity, code, record.key(), field, message, remedy, source))

    name = result.name
    for application, value, declared in (
        (35, chosen.scop_35, record.declared_scop_35),
        (55, chosen.scop_55, record.declared_scop_55),
    ):
        # What is declared is of a variable outlet; a table that has none of it must come out lower.
        covered = outlet_of(table, float(application))[0]
        if covered and value is not None and declared is not None and declared > value * (1 + SCOP_APART):
            say(
                Severity.CHECK,
                "scop_above_table",
                f"{name}: its declared seasonal efficiency at {application} °C is {figure(declared)}; its own table gives {figure(value)}.",
                "Check that both are for the same unit and climate. The table holds full load; part load can be better, but not by much more.",
                f"declared_scop_{application}",
                EN_14825,
            )
    if house is None:
        return findings
    if result.verdict == "too_cool":
        say(
            Severity.STOP,
            "unit_flow_beyond_table",
            f"{name} makes water of at most {figure(table.hottest_c, 1)} °C; the design asks for {figure(flow_c, 1)} °C.",
            "Lower the design flow with bigger emitters, or choose another unit.",
        )
        return findings
    if house.outside_c < table.outside_c[0] - 1e-9:
        say(
            Severity.CHECK,
            "unit_cold_beyond_table",
            f"{name}: its table begins at {figure(table.outside_c[0], 1)} °C outside, the design cold is {figure(house.outside_c, 1)} °C; the figures are those of the table's edge.",
            "Ask the maker for the colder points: the unit gives less there.",
        )
    findings += _size_findings(record, design, house, result)
    capacity = known(result.capacity_kw)
    if design.unit_capacity_kw is not None and abs(design.unit_capacity_kw - capacity) > TYPED_APART * capacity:
        findings.append(
            Finding(
                Severity.CHECK,
                "capacity_contradicts_table",
                design.key(),
                "unit_capacity_kw",
                f"The design says that the unit gives {figure(design.unit_capacity_kw, 1)} kW at the design cold; its table gives {figure(capacity, 1)} kW at {figure(house.outside_c, 1)} °C and {figure(flow_c, 1)} °C flow.",
                "Clear the typed figure, or correct the table. The table is used.",
                DECLARED,
            )
        )
    return findings


def _size_findings(record: Unit, design: Design, house: House, result: UnitResult) -> list[Finding]:
    load = house.load_kw(house.outside_c)
    if result.covers is not None and result.verdict == "short":
        return [_short(record.key(), result.name, known(result.capacity_kw), load, design)]
    if result.verdict == "large":
        share = (
            f"gives {figure(result.covers, 1)} times the load"
            if result.covers is not None
            else "is larger than the load"
        )
        cycling = (
            f" and gives {figure(100 * result.cycling_share, 0)} % of the year's heat while switching on and off"
            if result.cycling_share is not None
            else ""
        )
        return [
            Finding(
                Severity.CHECK,
                "unit_large",
                record.key(),
                "points",
                f"{result.name} {share} at the design cold{cycling}.",
                "Look for a smaller unit, or one with a lower least output; otherwise see that the water content that cannot be shut off gives it long enough runs.",
                COMMON_PRACTICE,
            )
        ]
    return []


def _short(key: str, name: str, capacity_kw: float, load_kw: float, design: Design) -> Finding:
    heater = design.backup_kw or 0.0
    helped = capacity_kw + heater >= load_kw - SHARE_TOLERANCE
    severity = Severity.CHECK if helped or capacity_kw >= STOP_SHARE * load_kw else Severity.STOP
    beside = (
        f" With the electric heater of {figure(heater, 1)} kW it is {'enough' if helped else 'still not enough'}."
        if heater
        else ""
    )
    return Finding(
        severity,
        "unit_short",
        key,
        None,
        f"{name} gives {figure(capacity_kw, 1)} kW at the design cold; the house needs {figure(load_kw, 1)} kW.{beside}",
        "Choose a larger unit or a lower flow, lower the loss, or agree with the household on an electric heater and what it costs.",
        COMMON_PRACTICE,
    )


def _typed_findings(survey: Survey, design: Design, house: House | None) -> list[Finding]:
    """Return the findings while only an output was typed and no table is there."""
    if house is None or house.so_far or design.unit_capacity_kw is None:
        return []
    load = house.load_kw(house.outside_c)
    if design.unit_capacity_kw >= load * (1 - SHARE_TOLERANCE):
        return []
    return [_short(design.key(), unit_words(survey) or "The unit", design.unit_capacity_kw, load, design)]
