"""Whether the base can carry the unit: its edges, the ground, the age of its concrete, its feet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, exp, log, sqrt

from wattwalk.catalogue import table
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known
from wattwalk.survey.site import Base
from wattwalk.survey.standing import NO_UNIT, NOT_CHOSEN, unit_on
from wattwalk.survey.unit import Unit
from wattwalk.survey.wording import long_date

from ..answers import BaseAssessment, BaseStanding, Finding, Severity, Step
from ..answers.citing import COMMON_PRACTICE, DECLARED, cite, cite_row, finding
from ..answers.rounding import figure, rounded, rounded_if_any

GAIN, GROUND = "concrete_gain_en_1992_1_1_2004", "ground_bearing_2026"
GRAVITY, CONCRETE_KG_M3 = 9.80665, 2400.0
#: Common practice, no source: from the middle of a foot to the edge of the base, mm.
EDGE_MM = 100.0
#: Common practice, no source: packing higher than this is bedded on mortar or the base recast, mm.
HIGHEST_PACKING_MM = 10.0
#: Common practice, no source: share of the unit's weight on its heavy side.
HEAVY_SHARE = 0.55
#: Taken when the temperature since pouring is not written down: on the safe side, °C.
COLD_C = 5.0

STRENGTH = cite("en_1992_1_1_2004", "3.1.2, development of strength")
MATURITY = cite("en_1992_1_1_2004", "annex B, adjusted age", "from memory")
NURSE_SAUL = cite("nurse_saul", "M = Σ (T − T0)·Δt, T0 = −10 °C")


def strength_share(age_days: float, s: float) -> float:
    """Return the share of its 28-day strength that concrete has at an age in days at 20 °C.

    Parameters
    ----------
    age_days : float
        Days at 20 °C.
    s : float
        Of the cement: 0.20, 0.25 or 0.38.

    References
    ----------
    EN 1992-1-1, 3.1.2, ``exp(s·(1 − √(28/t)))``.

    Examples
    --------
    >>> round(strength_share(7, 0.25), 2)
    0.78
    """
    return 0.0 if age_days <= 0 else exp(s * (1 - sqrt(28 / age_days)))


def age_for(share: float, s: float) -> float:
    """Return the age in days at 20 °C at which concrete has a share (0 to 1) of its 28-day strength.

    Parameters
    ----------
    share : float
        0 to 1.
    s : float
        Of the cement: 0.20, 0.25 or 0.38.

    References
    ----------
    EN 1992-1-1, 3.1.2, turned round.

    Examples
    --------
    >>> round(age_for(0.7, 0.25), 1)
    4.8
    """
    if not 0 < share <= 1:
        raise ValueError(f"the share must lie above 0 and at most at 1, found {share:g}")
    return 28 / (1 - log(share) / s) ** 2


def ripening(temperature_c: float) -> float:
    """Return how many days at 20 °C one day at this temperature is worth; the slower of two ways of counting.

    Parameters
    ----------
    temperature_c : float
        Mean air temperature, 0 to 40 °C.

    Raises
    ------
    ValueError
        Below freezing, where concrete is spoilt rather than slow.

    References
    ----------
    EN 1992-1-1 annex B, ``exp(13.65 − 4000/(273 + T))``; Nurse and Saul, ``(T + 10)/30``.

    Examples
    --------
    >>> round(ripening(10), 2)
    0.62
    """
    if temperature_c < 0:
        raise ValueError(f"at {temperature_c:g} °C concrete freezes before it hardens")
    return min(exp(13.65 - 4000 / (273 + temperature_c)), (temperature_c + 10) / 30)


def assess_standing(
    survey: Survey, base: Base, level: BaseAssessment, visit_date: str | None
) -> tuple[BaseStanding, list[Finding]]:
    """Return whether one base can carry its unit, and from which day."""
    name = level.name
    unit = unit_on(survey, base)
    missing: list[str] = []
    steps: list[Step] = []
    edge, findings = _edges(base, unit, name)
    bearing, foot = _loads(base, unit, name, missing, steps, findings)
    findings += _feet_findings(base, unit, level, name)
    earliest, age, share = _age(base, name, visit_date, missing, steps, findings)
    result = BaseStanding(
        id=base.id,
        name=name,
        edge_mm=edge,
        bearing_kpa=bearing,
        foot_kpa=foot,
        earliest_day=earliest,
        age_days=rounded_if_any(age, 2),
        share_at_visit=rounded_if_any(share, 3),
        missing=tuple(missing),
        steps=tuple(steps),
    )
    return result, findings


def _edges(base: Base, unit: Unit, name: str) -> tuple[float | None, list[Finding]]:
    across, deep, length, width = unit.feet_across_mm, unit.feet_deep_mm, base.length_mm, base.width_mm
    if across is None or deep is None or length is None or width is None:
        return None, []
    edge = min(length - across, width - deep) / 2
    feet = f"{figure(across, 0)} × {figure(deep, 0)} mm between the feet, {figure(length, 0)} × {figure(width, 0)} mm of base"
    if edge <= 0:
        return rounded(edge, 1), [
            finding(
                Severity.STOP,
                "base_too_small",
                base.key(),
                "length_mm",
                f"{name} is smaller than the feet of the unit: {feet}.",
                "Enlarge it or cast a new one; a foot must bear fully, well inside the edge.",
            )
        ]
    if edge < EDGE_MM - 0.5:
        return rounded(edge, 1), [
            finding(
                Severity.CHECK,
                "feet_near_edge",
                base.key(),
                "length_mm",
                f"{name}: the feet stand {figure(edge, 0)} mm from its edge when the unit stands in its middle ({feet}).",
                f"{figure(EDGE_MM, 0)} mm and more are usual, so that the edge does not break off and fixings hold.",
            )
        ]
    return rounded(edge, 1), []


def _loads(
    base: Base,
    unit: Unit,
    name: str,
    missing: list[str],
    steps: list[Step],
    findings: list[Finding],
) -> tuple[float | None, float | None]:
    mass = unit.mass_kg
    length, width, thick = base.length_mm, base.width_mm, base.thickness_mm
    if mass is None or base.made_of != "concrete" or length is None or width is None or thick is None:
        if base.made_of == "concrete":
            missing.append(
                f"{NOT_CHOSEN}, for what the slab bears"
                if unit is NO_UNIT
                else "the unit's mass and the size of the slab, for what it bears"
            )
        return None, None
    area = length * width / 1e6
    slab = area * thick / 1000 * CONCRETE_KG_M3
    bearing = (mass + slab) * GRAVITY / area / 1000
    steps.append(
        Step(
            f"{name}: pressure on the ground",
            "(unit + slab)·g/area",
            f"({figure(mass, 0)} + {figure(slab, 1)}) kg × {figure(GRAVITY, 3)}/{figure(area, 3)} m²",
            rounded(bearing, 2),
            "kPa",
            COMMON_PRACTICE,
        )
    )
    if base.stands_on == "made_up":
        findings.append(
            finding(
                Severity.CHECK,
                "ground_not_known",
                base.key(),
                "stands_on",
                f"{name} stands on made-up ground or soil: nobody can say what it carries.",
                "Dig to firm ground and cast on compacted hardcore; a competent person looks at it.",
            )
        )
    elif base.stands_on is not None:
        row = table(GROUND).get(ground=base.stands_on)
        if bearing > row.number("pressure_kpa"):
            findings.append(
                finding(
                    Severity.CHECK,
                    "ground_too_soft",
                    base.key(),
                    "stands_on",
                    f"{name} presses with {figure(bearing, 1)} kPa; the ground under it is presumed to carry {figure(row.number('pressure_kpa'), 0)} kPa.",
                    "A larger base; a competent person looks at the ground.",
                    cite_row(row),
                )
            )
    foot = None
    if unit.foot_pad_cm2 is not None:
        share = HEAVY_SHARE if unit.heavy_side in ("left", "right") else 0.5
        force = mass * share / 2 * GRAVITY
        foot = force / (unit.foot_pad_cm2 / 1e4) / 1000
        steps.append(
            Step(
                f"{name}: under the most heavily loaded foot",
                "share·unit·g/2/pad",
                f"{figure(force, 1)} N on {figure(unit.foot_pad_cm2, 0)} cm²",
                rounded(foot, 1),
                "kPa",
                COMMON_PRACTICE,
            )
        )
    return rounded(bearing, 2), rounded_if_any(foot, 1)


def _feet_findings(base: Base, unit: Unit, level: BaseAssessment, name: str) -> list[Finding]:
    if level.fall_mm_m is None:
        return []
    findings = []
    highest = max((foot.packing_mm for foot in level.feet), default=0.0)
    if highest > HIGHEST_PACKING_MM:
        findings.append(
            finding(
                Severity.CHECK,
                "packing_too_high",
                base.key(),
                None,
                f"{name}: one foot would need {figure(highest, 0)} mm of packing; more than about {figure(HIGHEST_PACKING_MM, 0)} mm is a stilt.",
                "Bed the feet on mortar, level the base, or recast it.",
            )
        )
    allowed = unit.level_tolerance_mm_m
    if allowed is not None and level.fall_mm_m > allowed + 1e-9 and unit.feet_mount != "adjustable":
        mount = " and fixed feet cannot take it up" if unit.feet_mount == "fixed" else ""
        findings.append(
            finding(
                Severity.CHECK,
                "beyond_makers_fall",
                base.key(),
                None,
                f"{name} falls {figure(level.fall_mm_m, 1)} mm in a metre; the unit's maker allows {figure(allowed, 1)}{mount}.",
                "Pack the feet level as listed, or level the base, before the unit is lifted onto it.",
                DECLARED,
            )
        )
    return findings


@dataclass(frozen=True)
class _Hardening:
    """Concrete since it was poured: the first day on which it carries, its age at the visit in days, and the share of its strength then."""

    carries_from: date
    age: float | None
    share: float | None


def _harden(
    base: Base, name: str, poured: date, visit_date: str | None, missing: list[str], steps: list[Step]
) -> _Hardening | None:
    """Return how concrete hardens at the temperature it has, or None where it froze young."""
    s, wanted = (
        table(GAIN).get(gain=base.effective("strength_gain")).number("s"),
        base.effective("carries_at_share") / 100,
    )
    given = base.expected_air_temperature_c
    temperature = COLD_C if given is None else given
    if temperature < 0:
        missing.append("a mean temperature above freezing since it was poured")
        return None
    factor, at_twenty = ripening(temperature), age_for(wanted, s)
    days = at_twenty / factor
    said = f"{figure(temperature, 0)} °C" + (" (taken on the safe side; none is written down)" if given is None else "")
    steps += [
        Step(
            f"{name}: age at 20 °C for {figure(wanted * 100, 0)} % of its strength",
            "28/(1 − ln β/s)²",
            f"s {figure(s, 2)}",
            rounded(at_twenty, 2),
            "days",
            STRENGTH,
        ),
        Step(
            f"{name}: worth of a day",
            "the smaller of exp(13.65 − 4000/(273 + T)) and (T + 10)/30",
            said,
            rounded(factor, 3),
            "days at 20 °C",
            MATURITY,
        ),
        Step(
            f"{name}: days needed",
            "age/worth",
            f"{figure(at_twenty, 2)}/{figure(factor, 3)}",
            rounded(days, 1),
            "days",
            NURSE_SAUL,
        ),
    ]
    carries_from = poured + timedelta(days=ceil(days - 1e-9))
    if visit_date is None:
        return _Hardening(carries_from, None, None)
    age = float((date.fromisoformat(visit_date) - poured).days)
    return _Hardening(carries_from, age, strength_share(age * factor, s) if age > 0 else 0.0)


def _age(
    base: Base, name: str, visit_date: str | None, missing: list[str], steps: list[Step], findings: list[Finding]
) -> tuple[str | None, float | None, float | None]:
    if base.made_of != "concrete" or (base.poured_on is None and base.levelled_on is None):
        return None, None, None
    earliest: date | None = None
    age = share = None
    if base.poured_on is not None:
        hardened = _harden(base, name, date.fromisoformat(base.poured_on), visit_date, missing, steps)
        if hardened is None:
            findings.append(
                finding(
                    Severity.STOP,
                    "concrete_frozen",
                    base.key(),
                    "expected_air_temperature_c",
                    f"{name} was poured at a mean of {figure(known(base.expected_air_temperature_c), 0)} °C: concrete that freezes young never gets strong.",
                    "A competent person looks at it before anything is set on it.",
                    MATURITY,
                )
            )
            return None, None, None
        earliest, age, share = hardened.carries_from, hardened.age, hardened.share
    earliest = _levelling(base, name, visit_date, earliest, findings)
    if earliest is None:
        return None, age, share
    day = earliest.isoformat()
    if base.unit_set_on is not None and base.unit_set_on < day:
        findings.append(
            finding(
                Severity.STOP,
                "unit_set_too_early",
                base.key(),
                "unit_set_on",
                f"The unit is to be set on {long_date(base.unit_set_on)}; {name} carries it from {long_date(day)} at the earliest.",
                f"Set it on {long_date(day)} or later, or have the strength proved by test cubes.",
                STRENGTH,
            )
        )
    elif visit_date is not None and (base.poured_on or "") <= visit_date < day:
        findings.append(
            finding(
                Severity.NOTE,
                "base_ready_on",
                base.key(),
                "poured_on",
                f"{name} carries the unit from {long_date(day)} at the earliest, {figure(base.effective('carries_at_share'), 0)} % of its strength being asked for.",
                "Plan the lift for that day or later; cold weather puts it off.",
                STRENGTH,
            )
        )
    return day, age, share


def _levelling(
    base: Base, name: str, visit_date: str | None, earliest: date | None, findings: list[Finding]
) -> date | None:
    if base.levelled_on is None:
        return earliest
    if base.poured_on is not None and base.levelled_on < base.poured_on:
        findings.append(
            finding(
                Severity.CHECK,
                "levelled_before_poured",
                base.key(),
                "levelled_on",
                f"{name} was levelled on {long_date(base.levelled_on)}, before it was poured on {long_date(base.poured_on)}.",
                "Correct one of the two dates.",
            )
        )
        return earliest
    if visit_date is not None and base.levelled_on > visit_date:
        findings.append(
            finding(
                Severity.CHECK,
                "levelled_after_visit",
                base.key(),
                "levelled_on",
                f"{name} was levelled on {long_date(base.levelled_on)}, after the visit of {long_date(visit_date)}.",
                "Correct one of the two dates, and read the level again on the compound.",
            )
        )
    if not base.levelled_outdoor_grade:
        findings.append(
            finding(
                Severity.CHECK,
                "compound_not_for_outdoors",
                base.key(),
                "levelled_outdoor_grade",
                f"{name}: the levelling compound is not said to be for outdoors and frost-proof.",
                "Most compounds are for indoors and burst in the first frost; find out, and take it off again if it is one of them.",
            )
        )
    temperature = base.expected_air_temperature_c
    days = max(1.0, base.levelled_mm or 1.0) * (2 if temperature is None or temperature < 10 else 1)
    dry = date.fromisoformat(base.levelled_on) + timedelta(days=ceil(days))
    return dry if earliest is None else max(earliest, dry)
