"""The base of the outdoor unit: a plane through the level readings, its fall, its flatness, packing per foot, its age."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import atan2, degrees, fsum, hypot

from wattwalk.survey.document import Survey
from wattwalk.survey.site import Base, LevelReading
from wattwalk.survey.standing import unit_on
from wattwalk.survey.unit import Unit
from wattwalk.survey.wording import long_date

from ..answers import BaseAssessment, BaseFoot, BasePoint, Finding, Severity, Step
from ..answers.citing import LEAST_SQUARES, finding
from ..answers.rounding import LENGTH_MM, counted, figure, rounded, rounded_if_any

#: Common practice, no source: a fall across the base in mm that a person must look at, and one that stops the job.
CHECK_FALL_MM, STOP_FALL_MM = 4.0, 10.0
#: Common practice, no source: a reading this far from the plane is a hump or a hollow, mm.
UNEVEN_MM = 3.0
#: Common practice, no source: days after pouring before which nothing, and before which nothing heavy, is set down.
STOP_DAYS, CHECK_DAYS = 3, 7

_FIRM = ("concrete", "slabs", "beams")
#: Where the slab falls to, by the bearing from the way of falling x round by way of y, with one's back to the wall: x grows to the left.
_WAYS = ("left", "front left", "front", "front right", "right", "wall right", "wall", "wall left")


@dataclass(frozen=True)
class Plane:
    """A plane ``z = a·x + b·y + c``: slopes in mm per mm, heights and places in mm."""

    a: float
    b: float
    c: float

    def height(self, x_mm: float, y_mm: float) -> float:
        """Return the plane's height in mm at a point."""
        return self.a * x_mm + self.b * y_mm + self.c

    @property
    def fall_mm_m(self) -> float:
        """Steepest fall, mm per m."""
        return hypot(self.a, self.b) * 1000


def fit_plane(points: Sequence[tuple[float, float, float]]) -> Plane | None:
    """Return the least-squares plane through points ``(x, y, z)`` in mm, or None when they lie on one line.

    Parameters
    ----------
    points : sequence of tuple
        At least three.

    Notes
    -----
    Worked out about the centre of the points, so that far-off corners lose no digits.

    Examples
    --------
    >>> fit_plane([(0.0, 0.0, 0.0), (1.0, 0.0, 5.0), (0.0, 1.0, 2.0), (1.0, 1.0, 7.0)])
    Plane(a=5.0, b=2.0, c=0.0)
    """
    count = len(points)
    if count < 3:
        return None
    mean_x, mean_y, mean_z = (fsum(point[axis] for point in points) / count for axis in range(3))
    shifted = [(x - mean_x, y - mean_y, z - mean_z) for x, y, z in points]
    sxx, syy = fsum(x * x for x, _, _ in shifted), fsum(y * y for _, y, _ in shifted)
    sxy, sxz, syz = (
        fsum(x * y for x, y, _ in shifted),
        fsum(x * z for x, _, z in shifted),
        fsum(y * z for _, y, z in shifted),
    )
    determinant = sxx * syy - sxy * sxy
    # On a line the determinant vanishes; the share keeps a line measured to a millimetre from passing for a plane.
    if determinant <= 1e-4 * max(sxx, syy, 1e-9) ** 2:
        return None
    a, b = (sxz * syy - syz * sxy) / determinant, (syz * sxx - sxz * sxy) / determinant
    return Plane(a, b, mean_z - a * mean_x - b * mean_y)


def packing(plane: Plane, feet: Sequence[tuple[float, float]]) -> list[float]:
    """Return the packing in mm under each foot that brings all of them to the highest."""
    heights = [plane.height(x, y) for x, y in feet]
    return [max(heights) - height for height in heights]


def way_of_fall(plane: Plane) -> str:
    """Return where the plane falls to, in words: seen with one's back to the wall, as everything at the unit's place is."""
    return _WAYS[_bearing(plane)]


def _bearing(plane: Plane) -> int:
    """Return where the plane falls to as a place in `_WAYS`."""
    return int((degrees(atan2(-plane.b, -plane.a)) % 360 + 22.5) // 45) % 8


def falls_to_heavy_side(plane: Plane, heavy_side: str | None) -> bool:
    """Say whether the plane falls towards the unit's heavy side, which is told from the unit's front: its left is where x is small."""
    return _bearing(plane) in {"left": (3, 4, 5), "right": (7, 0, 1)}.get(heavy_side or "", ())


def _feet(unit: Unit, length: float | None, width: float | None) -> list[tuple[str, float, float]]:
    if unit.feet_across_mm is None or unit.feet_deep_mm is None or length is None or width is None:
        return []
    across, deep = unit.feet_across_mm / 2, unit.feet_deep_mm / 2
    return [
        (f"{row} {side}", length / 2 + sign * across, width / 2 + out * deep)
        for row, out in (("wall", -1), ("front", 1))
        for side, sign in (("left", 1), ("right", -1))
    ]


@dataclass(frozen=True)
class _Reading:
    """A level reading where it was taken, mm, and its height above the lowest of them, mm."""

    id: str
    x_mm: float
    y_mm: float
    height_mm: float


def _readings(survey: Survey, base: Base) -> list[_Reading]:
    """Return the whole readings of a base in their order."""
    sign = -1.0 if base.effective("instrument") == "laser_up" else 1.0
    raw = [
        (item.id, item.x_mm, item.y_mm, sign * item.reading_mm)
        for item in survey.children(LevelReading, base.id)
        if item.x_mm is not None and item.y_mm is not None and item.reading_mm is not None
    ]
    lowest = min((value for *_, value in raw), default=0.0)
    return [_Reading(id, x, y, value - lowest) for id, x, y, value in raw]


def _fit(
    survey: Survey, base: Base, name: str, missing: list[str], findings: list[Finding]
) -> tuple[Plane | None, list[_Reading]]:
    """Return the plane through the readings of a base with them, or say why there is none."""
    readings = _readings(survey, base)
    if base.made_of == "not_yet":
        missing.append("the base is not made yet")
        findings.append(
            finding(
                Severity.CHECK,
                "base_not_made",
                base.key(),
                "made_of",
                f"{name} is not made yet.",
                "Give the builder its size and specification, and read its level when it is hard.",
            )
        )
        return None, []
    if base.made_of == "frame":
        missing.append("a frame is levelled when it is fixed; no readings are taken")
        return None, []
    if len(readings) < 3:
        missing.append(f"at least three level readings ({len(readings)} found)")
        return None, []
    plane = fit_plane([(item.x_mm, item.y_mm, item.height_mm) for item in readings])
    if plane is None:
        missing.append("readings that do not all lie on one line")
        findings.append(
            finding(
                Severity.CHECK,
                "readings_on_a_line",
                base.key(),
                None,
                f"{name}: its {len(readings)} readings lie on one line, so neither its fall nor the packing can be said.",
                "Read at least one more point well away from that line.",
            )
        )
    return plane, readings


def assess_base(survey: Survey, base: Base, visit_date: str | None) -> tuple[BaseAssessment, list[Finding]]:
    """Return the level of one base and the findings on it.

    Packing and thresholds suppose that readings are good to about 1 mm.
    """
    name = base.title
    unit = unit_on(survey, base)
    findings = _age_findings(base, name, visit_date)
    missing: list[str] = []
    plane, readings = _fit(survey, base, name, missing, findings)
    if plane is None:
        empty = BaseAssessment(
            id=base.id,
            name=name,
            length_mm=rounded_if_any(base.length_mm, LENGTH_MM),
            width_mm=rounded_if_any(base.width_mm, LENGTH_MM),
            points=tuple(_shown(item, 0.0) for item in readings),
            slope_x_mm_m=None,
            slope_y_mm_m=None,
            fall_mm_m=None,
            fall_across_base_mm=None,
            falls_toward=None,
            worst_residual_mm=None,
            feet=(),
            missing=tuple(missing),
            steps=(),
            source=LEAST_SQUARES,
        )
        return empty, findings
    residuals = [item.height_mm - plane.height(item.x_mm, item.y_mm) for item in readings]
    worst = max(abs(value) for value in residuals)
    extent = _extent(base, readings, missing)
    across = abs(plane.a) * extent[0] + abs(plane.b) * extent[1]
    toward = way_of_fall(plane) if plane.fall_mm_m >= 0.05 else None
    feet = _packed_feet(plane, _feet(unit, base.length_mm, base.width_mm))
    if not feet:
        missing.append("the spacing of the unit's feet, or the size of the base, for packing")
    findings += _level_findings(base, unit, name, across, worst, toward, falls_to_heavy_side(plane, unit.heavy_side))
    result = BaseAssessment(
        id=base.id,
        name=name,
        length_mm=rounded_if_any(base.length_mm, LENGTH_MM),
        width_mm=rounded_if_any(base.width_mm, LENGTH_MM),
        points=tuple(_shown(item, residual) for item, residual in zip(readings, residuals, strict=True)),
        slope_x_mm_m=rounded(plane.a * 1000, 3),
        slope_y_mm_m=rounded(plane.b * 1000, 3),
        fall_mm_m=rounded(plane.fall_mm_m, 2),
        fall_across_base_mm=rounded(across, LENGTH_MM),
        falls_toward=toward,
        worst_residual_mm=rounded(worst, LENGTH_MM),
        feet=feet,
        missing=tuple(missing),
        steps=_level_steps(plane, len(readings), extent, across, worst),
        source=LEAST_SQUARES,
    )
    return result, findings


def _shown(item: _Reading, residual_mm: float) -> BasePoint:
    return BasePoint(
        item.id,
        rounded(item.x_mm, 1),
        rounded(item.y_mm, 1),
        rounded(item.height_mm, LENGTH_MM),
        rounded(residual_mm, LENGTH_MM),
    )


def _packed_feet(plane: Plane, feet: Sequence[tuple[str, float, float]]) -> tuple[BaseFoot, ...]:
    """Return the feet with the packing that brings all of them to the highest."""
    if not feet:
        return ()
    shims = packing(plane, [(x, y) for _, x, y in feet])
    return tuple(
        BaseFoot(label, rounded(x, 0), rounded(y, 0), rounded(plane.height(x, y), LENGTH_MM), rounded(shim, 0))
        for (label, x, y), shim in zip(feet, shims, strict=True)
    )


def _level_steps(
    plane: Plane, count: int, extent: tuple[float, float], across: float, worst: float
) -> tuple[Step, ...]:
    size_x, size_y = extent
    return (
        Step(
            "Plane through the readings",
            "z = a·x + b·y + c, least squares",
            f"{count} readings; a {figure(plane.a * 1000, 3)}, b {figure(plane.b * 1000, 3)} mm/m, c {figure(plane.c, 2)} mm",
            rounded(plane.fall_mm_m, 2),
            "mm/m",
            LEAST_SQUARES,
        ),
        Step(
            "Fall across the base",
            "|a|·length + |b|·width",
            f"{figure(abs(plane.a) * 1000, 3)} × {figure(size_x / 1000, 3)} + {figure(abs(plane.b) * 1000, 3)} × {figure(size_y / 1000, 3)}",
            rounded(across, LENGTH_MM),
            "mm",
            LEAST_SQUARES,
        ),
        Step(
            "Worst reading off the plane",
            "max |z − plane|",
            f"{count} readings",
            rounded(worst, LENGTH_MM),
            "mm",
            LEAST_SQUARES,
        ),
    )


def _extent(base: Base, readings: Sequence[_Reading], missing: list[str]) -> tuple[float, float]:
    """Return the base's size in mm, never less than the spread of the readings."""
    spread = [max(places) - min(places) for places in zip(*((item.x_mm, item.y_mm) for item in readings), strict=True)]
    if base.length_mm is None or base.width_mm is None:
        missing.append("length and width of the base (the fall is that between the outermost readings)")
    return max(base.length_mm or 0.0, spread[0]), max(base.width_mm or 0.0, spread[1])


def _level_findings(
    base: Base, unit: Unit, name: str, across: float, worst: float, toward: str | None, to_heavy_side: bool
) -> list[Finding]:
    findings = []
    fall = rounded(across, LENGTH_MM)
    to_words = f" towards the {toward}, as you stand with your back to the wall" if toward else ""
    mass = unit.mass_kg
    what = f"a unit of {figure(mass, 0)} kg" if mass is not None else "the unit"
    heavier = (
        " It falls towards the unit's heavy side, so the load gathers on the low feet and the unit leans further."
        if to_heavy_side and toward is not None
        else ""
    )
    if fall > STOP_FALL_MM:
        findings.append(
            finding(
                Severity.STOP,
                "base_falls",
                base.key(),
                None,
                f"{name} falls {figure(fall, 1)} mm{to_words}: too much to set {what} on fixed feet.{heavier}",
                "Grind the high side back, or level it with an outdoor-grade, frost-proof self-levelling compound, or recast it; then read the level again. Packing is no remedy at this fall.",
            )
        )
    elif fall >= CHECK_FALL_MM:
        findings.append(
            finding(
                Severity.CHECK,
                "base_falls_a_little",
                base.key(),
                None,
                f"{name} falls {figure(fall, 1)} mm{to_words}.{heavier}",
                "Pack with solid, rot-proof plates under the whole of each foot, in whole millimetres (the readings are no finer), or level the base. The unit maker's tolerance governs.",
            )
        )
    if rounded(worst, LENGTH_MM) > UNEVEN_MM:
        findings.append(
            finding(
                Severity.CHECK,
                "base_uneven",
                base.key(),
                None,
                f"{name} is uneven: one reading lies {figure(worst, 1)} mm off the plane through all of them.",
                "Read that point again; if it stands, grind the hump or fill the hollow so that each foot bears fully.",
            )
        )
    return findings


def _age_findings(base: Base, name: str, visit_date: str | None) -> list[Finding]:
    if base.poured_on is None or base.made_of not in (None, *_FIRM):
        return []
    if visit_date is None:
        return [
            finding(
                Severity.CHECK,
                "base_age_unknown",
                base.key(),
                "poured_on",
                f"{name} was poured on {long_date(base.poured_on)}, but the date of the visit is missing.",
                "Write down the date of the visit.",
            )
        ]
    days = (date.fromisoformat(visit_date) - date.fromisoformat(base.poured_on)).days
    cold = base.expected_air_temperature_c
    slower = " Cold air makes it slower still." if cold is not None and cold < 15 else ""
    if days < 0:
        return [
            finding(
                Severity.CHECK,
                "base_poured_after_visit",
                base.key(),
                "poured_on",
                f"{name} was poured on {long_date(base.poured_on)}, after the visit of {long_date(visit_date)}.",
                "Correct one of the two dates, and read the level again once it is hard.",
            )
        ]
    remedy = "Leave it alone and damp, and keep frost off. A competent designer says from the mix and the temperatures when it carries the unit."
    if days < STOP_DAYS:
        return [
            finding(
                Severity.STOP,
                "base_too_young",
                base.key(),
                "poured_on",
                f"{name} was {counted(days, 'day', 'days')} old at the visit: too young to carry anything.{slower}",
                remedy,
            )
        ]
    if days < CHECK_DAYS:
        return [
            finding(
                Severity.CHECK,
                "base_young",
                base.key(),
                "poured_on",
                f"{name} was {counted(days, 'day', 'days')} old at the visit: not yet strong.{slower}",
                remedy,
            )
        ]
    return []
