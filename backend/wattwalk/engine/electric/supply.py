"""The electricity supply: power cables by table, and what was seen of the meter and the main fuse."""

from __future__ import annotations

from wattwalk.catalogue import Row, table
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known
from wattwalk.survey.runs import run_length, run_title
from wattwalk.survey.services import THREE, CableRun, Supply
from wattwalk.survey.standing import first_place, unit_at
from wattwalk.survey.unit import Unit

from ..answers import CableSizing, Finding, Severity, Step, SupplyAssessment
from ..answers.citing import COMMON_PRACTICE, cite_row, finding
from ..answers.rounding import figure, rounded, rounded_if_any
from .demand import ELECTRICIAN, VOLTS, work_out_demand

RATINGS, GROUPING = "cable_ratings_bs_7671_2018", "cable_grouping_bs_7671_2018"
#: BS 7671, appendix 4: share of the voltage that may be lost from the origin to anything but lighting.
DROP_SHARE = 0.05
POWER = ("supply", "immersion")


def cable_row(cable_type: str | None, size_mm2: float | None) -> Row | None:
    """Return the table's row for a cable, or None when it has no such cable."""
    return (
        None
        if cable_type is None or size_mm2 is None
        else table(RATINGS).find(cable_type=cable_type, size_mm2=float(size_mm2))
    )


def voltage_drop(current_a: float, length_m: float, drop_mv_am: float) -> float:
    """Return the voltage lost along a cable, V, by the table's millivolts for each ampere and metre.

    Parameters
    ----------
    current_a : float
        A.
    length_m : float
        m.
    drop_mv_am : float
        Of the cable, mV/Am.

    References
    ----------
    BS 7671:2018, Appendix 4, voltage drop: ``mV/Am · I · l / 1000`` (from memory).

    Examples
    --------
    >>> round(voltage_drop(16, 12, 11), 2)
    2.11
    """
    return drop_mv_am * current_a * length_m / 1000


def longest_m(current_a: float, drop_mv_am: float, share: float = DROP_SHARE) -> float:
    """Return the longest cable in m that loses no more than ``share`` of 230 V at this current.

    Parameters
    ----------
    current_a : float
        A.
    drop_mv_am : float
        Of the cable, mV/Am.
    share : float
        Share of 230 V that may be lost.

    References
    ----------
    BS 7671:2018, Appendix 4, voltage drop (from memory).

    Examples
    --------
    >>> round(longest_m(16, 11), 1)
    65.3
    """
    return share * VOLTS * 1000 / (drop_mv_am * current_a)


def grouping_factor(circuits: int) -> float:
    """Return by what a cable's rating shrinks among this many loaded circuits; between rows the next harder one counts.

    Parameters
    ----------
    circuits : int
        How many loaded circuits lie together.

    Examples
    --------
    >>> grouping_factor(3)
    0.7
    """
    rows = table(GROUPING).rows
    return next((row for row in rows if row.number("circuits") >= circuits), rows[-1]).number("factor")


def size_cable(run: CableRun, unit: Unit) -> tuple[CableSizing, list[Finding]]:
    """Return one power cable with what it carries and loses, and the findings on it."""
    title = run_title(run)
    missing: list[str] = []
    steps: list[Step] = []
    findings: list[Finding] = []
    current = run.current_a
    if current is None and run.purpose == "supply":
        current = unit.maximum_current_a
    row, length = cable_row(run.cable_type, run.size_mm2), run_length(run.stretches)
    if run.purpose == "supply" and unit.effective("phases") == THREE:
        row = None
        missing.append("a table for cables of three phases")
        findings.append(
            finding(
                Severity.CHECK,
                "cable_of_three_phases",
                run.key(),
                None,
                f"{title} feeds a unit of three phases; the tables held are for cables of a single phase, so neither its rating nor its voltage drop is worked out.",
                "Have it sized by the tables of BS 7671 for three loaded cores. A qualified electrician designs, installs, tests and certifies.",
            )
        )
    elif run.cable_type is not None and run.size_mm2 is not None and row is None:
        missing.append("a cable that is in the table")
    if current is None:
        missing.append("the design current, or the unit's highest current")
    if run.cable_type is None or run.size_mm2 is None:
        missing.append("the kind of cable and its core size")
    if length is None:
        missing.append("its length")
    if run.method is None:
        missing.append("how it is fixed")
    carries = None
    if row is not None and run.method is not None:
        carries = _carries(run, run.method, row, missing, steps, findings)
    drop = longest = None
    if row is not None and current is not None:
        drop, longest = _loses(title, row, current, length, steps)
    findings += _cable_findings(run, title, current, carries, drop, longest, row)
    label = "" if run.cable_type is None else run.kind.field("cable_type").choice_label(run.cable_type)
    words = (
        ""
        if run.cable_type is None
        else f"{label[:1].lower()}{label[1:]}{'' if run.size_mm2 is None else f', {figure(run.size_mm2, 1)} mm²'}"
    )

    sizing = CableSizing(
        id=run.id,
        name=title,
        cable=words,
        current_a=rounded_if_any(current, 1),
        device_a=rounded_if_any(run.device_a, 0),
        carries_a=rounded_if_any(carries, 1),
        length_m=rounded_if_any(length, 1),
        drop_v=rounded_if_any(drop, 2),
        drop_share=rounded_if_any(None if drop is None else drop / VOLTS, 4),
        longest_m=rounded_if_any(longest, 1),
        missing=tuple(missing),
        steps=tuple(steps),
    )
    return sizing, findings


def _carries(
    run: CableRun, method: str, row: Row, missing: list[str], steps: list[Step], findings: list[Finding]
) -> float | None:
    """Return what a cable carries fixed as it is, A, or None where the table has no rating for that."""
    title, words = run_title(run), run.kind.field("method").choice_label(method).lower()
    base = row.number_if_any(f"{method}_a")
    if base is None:
        missing.append("a way of fixing that suits the cable")
        findings.append(
            finding(
                Severity.CHECK,
                "cable_fixed_wrongly",
                run.key(),
                "method",
                f"{title}: the table gives no rating for this cable fixed that way ({words}).",
                f"Another cable or another way. {ELECTRICIAN}",
                cite_row(row),
            )
        )
        return None
    factor = grouping_factor(run.grouped_circuits or 1)
    carries = base * factor
    steps.append(
        Step(
            f"{title}: what the cable carries",
            "It·Cg",
            f"{figure(base, 1)} A ({words}) × {figure(factor, 2)}",
            rounded(carries, 1),
            "A",
            cite_row(row),
        )
    )
    return carries


def _loses(title: str, row: Row, current: float, length: float | None, steps: list[Step]) -> tuple[float | None, float]:
    """Return the voltage lost along a cable, V, where its length is known, and the longest that it may be, m."""
    per, drop = row.number("drop_mv_am"), None
    longest = longest_m(current, per)
    if length is not None:
        drop = voltage_drop(current, length, per)
        steps.append(
            Step(
                f"{title}: voltage lost",
                "mV/A/m · Ib · L/1000",
                f"{figure(per, 1)} × {figure(current, 1)} A × {figure(length, 1)} m/1000",
                rounded(drop, 2),
                "V",
                cite_row(row),
            )
        )
    steps.append(
        Step(
            f"{title}: longest for 5 %",
            "0.05·230·1000/(mV/A/m · Ib)",
            f"11 500/({figure(per, 1)} × {figure(current, 1)})",
            rounded(longest, 1),
            "m",
            cite_row(row),
        )
    )
    return drop, longest


def _cable_findings(
    run: CableRun,
    title: str,
    current: float | None,
    carries: float | None,
    drop: float | None,
    longest: float | None,
    row: Row | None,
) -> list[Finding]:
    findings = []
    if current is not None and run.device_a is not None and run.device_a < current - 1e-9:
        findings.append(
            finding(
                Severity.CHECK,
                "device_too_small",
                run.key(),
                "device_a",
                f"{title}: a device of {figure(run.device_a, 0)} A for a current of {figure(current, 1)} A would trip.",
                ELECTRICIAN,
            )
        )
    of_cable = "" if row is None else cite_row(row)
    asks = max((item for item in (current, run.device_a) if item is not None), default=None)
    if carries is not None and asks is not None and carries < asks - 1e-9:
        findings.append(
            finding(
                Severity.STOP,
                "cable_too_small",
                run.key(),
                "size_mm2",
                f"{title}: the cable carries {figure(carries, 1)} A as it is fixed; {'its protective device lets' if run.device_a is not None and run.device_a >= (current or 0) else 'the unit draws'} {figure(asks, 1)} A{' pass' if run.device_a is not None and run.device_a >= (current or 0) else ''}.",
                f"A larger core or another way. {ELECTRICIAN}",
                of_cable,
            )
        )
    if drop is not None and drop / VOLTS > DROP_SHARE + 1e-9:
        findings.append(
            finding(
                Severity.CHECK,
                "voltage_drop",
                run.key(),
                "size_mm2",
                f"{title} loses {figure(drop, 1)} V ({figure(drop / VOLTS * 100, 1)} %) at full current; 5 % are the usual limit, and {figure(known(longest), 1)} m the longest for it.",
                f"A larger core or a shorter way. {ELECTRICIAN}",
                of_cable,
            )
        )
    outdoors = any(item.get("place") in ("outdoors", "buried") for item in run.stretches or [])
    if run.cable_type == "twin_and_earth" and outdoors and run.method != "conduit":
        findings.append(
            finding(
                Severity.CHECK,
                "cable_not_for_outdoors",
                run.key(),
                "cable_type",
                f"{title}: flat twin and earth runs outdoors without a conduit; sun and spades spoil it.",
                f"Armoured cable, or a conduit. {ELECTRICIAN}",
            )
        )
    return findings


def assess_supply(survey: Survey) -> tuple[SupplyAssessment | None, list[Finding]]:
    """Return the supply with its power cables, or None when neither supply nor power cable is in the survey."""
    supply = survey.single(Supply)
    runs = [run for run in survey.of_kind(CableRun) if run.purpose in POWER]
    unit = unit_at(survey, first_place(survey))
    findings: list[Finding] = []
    cables = []
    for run in runs:
        sizing, found = size_cable(run, unit)
        cables.append(sizing)
        findings += found
    if supply is None and not cables:
        return None, findings
    result, found = work_out_demand(supply, unit, tuple(cables))
    return result, findings + found


def supply_findings(survey: Survey) -> list[Finding]:
    """Return the findings on the electricity supply from what was seen."""
    supply = survey.single(Supply)
    if supply is None:
        return []
    findings = []
    if supply.cut_out_condition == "unsafe":
        findings.append(
            Finding(
                Severity.STOP,
                "supply_unsafe",
                supply.key(),
                "cut_out_condition",
                "The cut-out or meter looks unsafe.",
                "Touch nothing; report it to the network operator today.",
                COMMON_PRACTICE,
            )
        )
    elif supply.cut_out_condition == "old":
        findings.append(
            Finding(
                Severity.CHECK,
                "supply_old",
                supply.key(),
                "cut_out_condition",
                "The cut-out or meter is old or shows heat marks.",
                "Ask the network operator to look at it before the unit is connected.",
                COMMON_PRACTICE,
            )
        )
    if supply.looped:
        findings.append(
            Finding(
                Severity.CHECK,
                "supply_looped",
                supply.key(),
                "looped",
                "The supply is looped with a neighbour's.",
                "Apply to the network operator before connecting; unlooping takes weeks.",
                COMMON_PRACTICE,
            )
        )
    return findings
