"""Whether the new cylinder goes through the door, into its place, under its ceiling, and whether the floor can carry it."""

from __future__ import annotations

from functools import lru_cache
from math import hypot, pi
from typing import Literal

from wattwalk.catalogue import Row, table
from wattwalk.survey.services import HotWater
from wattwalk.survey.works import Design

from ..answers import CylinderFit, CylinderTrial, Finding, Severity
from ..answers.citing import COMMON_PRACTICE, finding
from ..answers.rounding import figure, rounded, rounded_if_any

#: Common practice, no source: room left about a cylinder for lifting in and for its valves, mm.
SIDE_GAP_MM, TOP_GAP_MM = 25.0, 150.0
#: Load that a floor of a home is designed for, kN/m² (EN 1991-1-1, from memory).
FLOOR_KN_M2 = 1.5


#: Ordinary sizes of cylinders, common practice; a maker's own papers decide.
SIZES = "cylinder_sizes_2026"
#: Mass of a litre of water, kg.
WATER_KG_L = 1.0

_Fit = Literal["fits", "tight", "too_small", "not_known"]
#: The worst first: what is too small keeps it out whatever else was not measured.
_WORST: tuple[_Fit, ...] = ("too_small", "not_known", "tight", "fits")


def cylinder_fits(water: HotWater, design: Design) -> tuple[CylinderFit, ...]:
    """Return the room on the way and in the place against the size of the cylinder: ``fits``, ``tight``, ``too_small`` or ``not_known``."""
    return _fits(_clear(water), design.cylinder_diameter_mm, design.cylinder_height_mm)


#: What is clear: the narrowest door, then width, depth and height of the place, mm.
_Clear = tuple[float | None, float | None, float | None, float | None]


def _clear(water: HotWater) -> _Clear:
    return water.door_width_mm, water.place_width_mm, water.place_depth_mm, water.place_height_mm


def _fits(clear: _Clear, across: float | None, tall: float | None) -> tuple[CylinderFit, ...]:
    door, width, depth, height = clear
    asked = (
        ("narrowest door on the way", door, across, 2 * SIDE_GAP_MM),
        ("width of its place", width, across, 2 * SIDE_GAP_MM),
        ("depth of its place", depth, across, 2 * SIDE_GAP_MM),
        ("height of its place", height, tall, TOP_GAP_MM),
    )
    found = []
    state: _Fit
    for what, has, needs, gap in asked:
        if has is None or needs is None:
            state = "not_known"
        elif has < needs:
            state = "too_small"
        else:
            state = "tight" if has < needs + gap else "fits"
        found.append(CylinderFit(what, rounded_if_any(has, 0), rounded_if_any(needs, 0), state))
    return tuple(found)


def tried_sizes(water: HotWater) -> tuple[CylinderTrial, ...]:
    """Return the ordinary sizes of cylinders tried in the place that was measured; none while nothing of it was.

    Each stands upright on the floor of its place. ``tight`` is less than 25 mm all round or 150 mm above it, or a ceiling too low to tilt
    it up under (common practice, no source).
    """
    clear = _clear(water)
    return () if all(one is None for one in clear) else _tried(clear)


@lru_cache(maxsize=64)
def _tried(clear: _Clear) -> tuple[CylinderTrial, ...]:
    return tuple(_trial(row, clear) for row in table(SIZES).rows)


def _trial(row: Row, clear: _Clear) -> CylinderTrial:
    across, tall, nominal = (row.number(name) for name in ("across_mm", "tall_mm", "nominal_l"))
    fits = _fits(clear, across, tall)
    state = next(worst for worst in _WORST if any(fit.state == worst for fit in fits))
    words = [words for fit in fits if (words := _fit_words(fit, state))]
    height = clear[3]
    if height is not None and tall <= height < hypot(tall, across):
        if state == "fits":
            state = "tight"
        if state != "too_small":
            words.append(
                f"it cannot be tilted up there: that takes {figure(hypot(tall, across), 0)} mm, so it comes in upright"
            )
    said = "; ".join(words)
    return CylinderTrial(
        nominal_l=rounded(nominal, 0),
        across_mm=rounded(across, 0),
        tall_mm=rounded(tall, 0),
        full_kg=rounded(nominal * WATER_KG_L + row.number("empty_kg"), 0),
        state=state,
        fits=fits,
        words=f"{said[0].upper()}{said[1:]}." if said else "",
        source=COMMON_PRACTICE,
    )


def _fit_words(fit: CylinderFit, state: _Fit) -> str:
    """Return what is to be said of one opening or side, where the whole is in ``state``: of one that does not go in only what keeps it out."""
    has, needs = fit.has_mm, fit.needs_mm
    if fit.state == "not_known" and state == "not_known":
        return f"the {fit.what} is not measured"
    if has is None or needs is None or fit.state == "fits" or (state == "too_small" and fit.state != "too_small"):
        return ""
    if fit.state == "too_small":
        return f"the {fit.what} is {figure(has, 0)} mm and it needs {figure(needs, 0)} mm"
    return f"the {fit.what} leaves {figure(has - needs, 0)} mm"


#: Choose so, where the cylinder cannot go in.
_OTHER = "Choose another cylinder or another place."


def place_findings(water: HotWater, design: Design, content_l: float | None) -> list[Finding]:
    """Return whether the cylinder goes through the door, into its place, upright under its ceiling, and on its floor."""
    findings: list[Finding] = []
    across, tall = design.cylinder_diameter_mm, design.cylinder_height_mm
    if across is not None:
        findings += _width_findings(water, across)
    if tall is not None and water.place_height_mm is not None:
        findings += _height_findings(water, water.place_height_mm, tall, across)
    return findings + _floor_findings(water, design, content_l)


def _width_findings(water: HotWater, across: float) -> list[Finding]:
    found = []
    for field, label in (("place_width_mm", "wide"), ("place_depth_mm", "deep")):
        clear = getattr(water, field)
        if clear is not None and clear < across:
            found.append(
                finding(
                    Severity.STOP,
                    "cylinder_too_wide",
                    water.key(),
                    field,
                    f"The cylinder is {figure(across, 0)} mm across; its place is {figure(clear, 0)} mm {label}.",
                    _OTHER,
                    about=label,
                )
            )
        elif clear is not None and clear < across + 2 * SIDE_GAP_MM:
            found.append(
                finding(
                    Severity.CHECK,
                    "cylinder_tight",
                    water.key(),
                    field,
                    f"The cylinder of {figure(across, 0)} mm leaves {figure(clear - across, 0)} mm in a place {figure(clear, 0)} mm {label}.",
                    "See that it can be lifted in, and that valves and heaters can be reached and drawn.",
                    about=label,
                )
            )
    if water.door_width_mm is not None and water.door_width_mm < across:
        found.append(
            finding(
                Severity.STOP,
                "cylinder_door",
                water.key(),
                "door_width_mm",
                f"The cylinder is {figure(across, 0)} mm across; the narrowest door on the way is {figure(water.door_width_mm, 0)} mm.",
                "Choose a slimmer cylinder, or find another way in. Allow for the door leaf and its stops.",
            )
        )
    elif water.door_width_mm is not None and water.door_width_mm < across + 2 * SIDE_GAP_MM:
        found.append(
            finding(
                Severity.CHECK,
                "cylinder_door_tight",
                water.key(),
                "door_width_mm",
                f"The cylinder of {figure(across, 0)} mm passes a door of {figure(water.door_width_mm, 0)} mm with {figure(water.door_width_mm - across, 0)} mm to spare.",
                "Measure again with the door leaf open, and the turn on the stairs.",
            )
        )
    return found


def _height_findings(water: HotWater, clear: float, tall: float, across: float | None) -> list[Finding]:
    found = []
    if clear < tall:
        found.append(
            finding(
                Severity.STOP,
                "cylinder_too_tall",
                water.key(),
                "place_height_mm",
                f"The cylinder is {figure(tall, 0)} mm tall; its place is {figure(clear, 0)} mm high.",
                _OTHER,
            )
        )
    elif clear < tall + TOP_GAP_MM:
        found.append(
            finding(
                Severity.CHECK,
                "cylinder_top",
                water.key(),
                "place_height_mm",
                f"Above the cylinder {figure(clear - tall, 0)} mm are left for valves and pipes.",
                "See from the maker's drawing that the valves on its top can be fitted and drawn.",
            )
        )
    if across is not None and tall <= clear < hypot(tall, across):
        found.append(
            finding(
                Severity.CHECK,
                "cylinder_tilt",
                water.key(),
                "place_height_mm",
                f"Tilted up from lying, the cylinder reaches {figure(hypot(tall, across), 0)} mm, more than the {figure(clear, 0)} mm of its place.",
                "Bring it in upright, or stand it up outside its place, where the ceiling is high enough.",
            )
        )
    return found


def _floor_findings(water: HotWater, design: Design, content_l: float | None) -> list[Finding]:
    if content_l is None or design.cylinder_empty_kg is None:
        full = "A full cylinder is heavy" if content_l is None else f"Its water alone weighs {figure(content_l, 0)} kg"
        if water.floor_can_carry is not False:
            return []
        words = f"{full}, and the floor does not look able to carry it."
    else:
        mass = content_l + design.cylinder_empty_kg
        words = f"Full, the cylinder weighs about {figure(mass, 0)} kg"
        if design.cylinder_diameter_mm is not None:
            pressure = mass * 9.81 / 1000 / (pi * (design.cylinder_diameter_mm / 2000) ** 2)
            words += f", {figure(pressure, 1)} kN/m² on the floor under it, where a floor of a home is designed for about {figure(FLOOR_KN_M2, 1)} kN/m² over all"
        words += "."
    if water.floor_can_carry is False:
        return [
            finding(
                Severity.STOP,
                "floor_cannot_carry",
                water.key(),
                "floor_can_carry",
                words,
                "Choose another place, or have a structural engineer say how the floor is made to carry it.",
            )
        ]
    severity = Severity.NOTE if water.floor_can_carry else Severity.CHECK
    return [
        finding(
            severity,
            "floor_load",
            water.key(),
            "floor_can_carry",
            words,
            "On timber, stand it across the joists near a load-bearing wall, on a board that spreads the load; in doubt a structural engineer decides. Move it with two people or a stair climber.",
        )
    ]
