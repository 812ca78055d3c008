"""Heat lost by insulated pipes by place, what thicker insulation saves, and how long still water takes to freeze."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import fsum, log, pi, sqrt
from typing import Any

from wattwalk.catalogue import Row, interpolate, table
from wattwalk.survey.known import known
from wattwalk.survey.services import PipeRun

from ..answers import Climate, Finding, RunHeat, Severity, Step, StretchHeat
from ..answers.citing import COMMON_PRACTICE, cite, cite_row
from ..answers.rounding import figure, rounded, rounded_if_any
from ..fluids.pipe_flow import pipe_row
from ..fluids.water import density
from .volumes import content_l_m

INSULATION, PLACES, LIMITS = "pipe_insulation_2026", "pipe_places_2026", "pipe_loss_limits_bs_5422_2009"
#: Thicknesses in which insulation is sold, mm (common practice).
THICKNESSES_MM = (9, 13, 19, 25, 32, 40, 50, 60)
#: Common practice, no source: thinner than this is thin for a pipe outdoors, mm.
THIN_OUTDOORS_MM = 19
#: Depth of buried pipe, m, and what soil conducts, W/mK (common practice, no source).
DEPTH_M, SOIL_W_MK = 0.6, 1.5
STEFAN_BOLTZMANN = 5.670374e-8
#: Copper, kg/m³ and J/kgK; plastic's heat is small and left out.
METAL_KG_M3, METAL_J_KGK = 8940.0, 385.0
ICE_J_KG = 334_000.0

HEAT = cite("en_iso_12241_2008", "4.1, pipes in air", "from memory")
FREEZING = cite("en_iso_12241_2008", "cooling and freezing of still liquids", "from memory")


def outer_coefficient(surface_c: float, air_c: float, diameter_m: float, wind_m_s: float, emissivity: float) -> float:
    """Return the heat transfer at the outside of a level pipe, W/m²K: radiation and air.

    Parameters
    ----------
    surface_c, air_c : float
        Temperatures, °C.
    diameter_m : float
        Outside diameter of the insulation, m.
    wind_m_s : float
        0 indoors.
    emissivity : float
        Of the outer skin, 0 to 1.

    Examples
    --------
    >>> round(outer_coefficient(12, 5, 0.05, 2.0, 0.93), 1)
    27.1
    """
    surface, air = surface_c + 273.15, air_c + 273.15
    radiation = emissivity * STEFAN_BOLTZMANN * (surface**2 + air**2) * (surface + air)
    if wind_m_s <= 0:
        still: float = (abs(surface_c - air_c) / diameter_m) ** 0.25
        return radiation + 1.25 * still
    product = wind_m_s * diameter_m
    moved: float = (
        8.1e-3 / diameter_m + 3.14 * sqrt(wind_m_s / diameter_m)
        if product <= 8.55e-3
        else 8.9 * wind_m_s**0.9 / diameter_m**0.1
    )
    return radiation + moved


def linear_loss(
    outside_mm: float,
    insulation_mm: float,
    conductivity_w_mk: float,
    water_c: float,
    air_c: float,
    wind_m_s: float,
    emissivity: float = 0.93,
) -> float:
    """Return the heat lost by a metre of pipe, W/m.

    Parameters
    ----------
    outside_mm, insulation_mm : float
        Outside diameter of the pipe and wall of its insulation, mm; 0 is bare.
    conductivity_w_mk : float
        Of the insulation, W/mK.
    water_c, air_c : float
        °C.
    wind_m_s : float
        0 indoors.
    emissivity : float
        Of the outer skin.

    References
    ----------
    EN ISO 12241:2008, 4.1, iterated on the surface temperature.

    Examples
    --------
    >>> round(linear_loss(28, 25, 0.035, 45, 5, 2.0), 1)
    8.3
    """
    inner, outer = outside_mm / 1000, (outside_mm + 2 * insulation_mm) / 1000
    wall = log(outer / inner) / (2 * pi * conductivity_w_mk) if insulation_mm > 0 else 0.0
    if abs(water_c - air_c) < 1e-9:
        return 0.0
    surface = air_c + 0.2 * (water_c - air_c) if wall else water_c
    loss = 0.0
    for _ in range(60):
        skin = 1 / (outer_coefficient(surface, air_c, outer, wind_m_s, emissivity) * pi * outer)
        loss = (water_c - air_c) / (wall + skin)
        before, surface = surface, air_c + loss * skin
        # Far below the last figure that is kept, so that it decides nothing.
        if abs(surface - before) < 1e-9:
            break
    return loss


def buried_loss(
    outside_mm: float, insulation_mm: float, conductivity_w_mk: float, water_c: float, ground_c: float
) -> float:
    """Return the heat lost by a metre of pipe in the ground, W/m, at 0.6 m depth.

    Parameters
    ----------
    outside_mm, insulation_mm : float
        Outside diameter of the pipe, and thickness of its insulation, mm.
    conductivity_w_mk : float
        Of the insulation, W/mK.
    water_c, ground_c : float
        °C.

    Examples
    --------
    >>> round(buried_loss(28, 25, 0.035, 45, 10), 1)
    7.0
    """
    inner, outer = outside_mm / 1000, (outside_mm + 2 * insulation_mm) / 1000
    wall = log(outer / inner) / (2 * pi * conductivity_w_mk) if insulation_mm > 0 else 0.0
    return (water_c - ground_c) / (wall + log(4 * DEPTH_M / outer) / (2 * pi * SOIL_W_MK))


@dataclass(frozen=True)
class Pipe:
    """A pipe with its insulation, mm; the conductivity in W/mK is that of the insulation, the emissivity its outer skin's."""

    outside_mm: float
    wall_mm: float
    bore_mm: float
    insulation_mm: float
    conductivity_w_mk: float
    is_metal: bool = True
    emissivity: float = 0.93


def freezing_hours(pipe: Pipe, start_c: float, air_c: float, wind_m_s: float) -> tuple[float, float] | None:
    """Return hours until still water reaches 0 °C, and until a quarter of it is ice; None where the air does not freeze.

    Parameters
    ----------
    pipe : Pipe
        Pipe and insulation; where it is of metal its own heat counts.
    start_c, air_c : float
        Water at the start, air around, °C.
    wind_m_s : float
        Wind, m/s.

    Notes
    -----
    One lump: what is thin or stands free, such as a plate heat exchanger, freezes first.

    Examples
    --------
    >>> [round(hours, 1) for hours in freezing_hours(Pipe(28, 0.9, 26.2, 25, 0.035), 10, -5, 2.0)]
    [3.7, 12.1]
    """
    if air_c >= -1e-9 or start_c <= 0:
        return None
    area_m2 = pi * ((pipe.outside_mm / 1000) ** 2 - (pipe.bore_mm / 1000) ** 2) / 4
    metal = area_m2 * METAL_KG_M3 * METAL_J_KGK if pipe.is_metal else 0.0
    litres = content_l_m(pipe.bore_mm)
    capacity = litres / 1000 * density(start_c) * 4190 + metal

    def loss(water_c: float) -> float:
        return linear_loss(pipe.outside_mm, pipe.insulation_mm, pipe.conductivity_w_mk, water_c, air_c, wind_m_s)

    # The resistance hardly changes on the way; that halfway to freezing stands for all of it.
    middle = start_c / 2
    resistance = (middle - air_c) / loss(middle)
    to_zero = resistance * capacity * log((start_c - air_c) / (0 - air_c))
    ice = 0.25 * litres * ICE_J_KG / loss(0.0)
    return to_zero / 3600, ice / 3600


def _around(place: str, climate: Climate | None) -> float | None:
    if place == "outdoors":
        return None if climate is None else climate.outside_c
    if place == "buried":
        return None if climate is None else climate.annual_mean_c
    return table(PLACES).get(place=place).number("air_c")


@dataclass(frozen=True)
class Warmth:
    """What heats and cools every run: flow at the design cold in °C, flow less return in K, the climate, the night that still water must stand in °C."""

    flow_c: float
    difference_k: float
    climate: Climate | None
    night_c: float


def run_heat(run: PipeRun, title: str, warmth: Warmth, may_freeze: bool) -> tuple[RunHeat, list[Finding]]:
    """Return the heat one run loses at the design cold, both legs, and the findings on it.

    Parameters
    ----------
    run : PipeRun
        Its stretches, pipe and insulation.
    title : str
        What the run is called.
    warmth : Warmth
        The water in it, air and ground around it.
    may_freeze : bool
        Whether the run holds water without glycol.
    """
    missing = []
    row, given = pipe_row(run.material, run.size_mm), run.stretches or []
    if row is None:
        missing.append("a pipe and size that are in the table")
    if not given or any(item.get("place") is None or item.get("length_m") is None for item in given):
        missing.append("its stretches with places and lengths")
    if run.insulation is None or (run.insulation != "none" and run.insulation_mm is None):
        missing.append("its insulation with the thickness")
    if warmth.climate is None and any(item.get("place") in ("outdoors", "buried") for item in given):
        missing.append("the design outside temperature")
    if missing or row is None or run.insulation is None:
        return RunHeat(run.id, title, (), None, None, None, tuple(missing), ()), []
    pipe = _pipe(run, row, run.insulation)
    thicker = next((float(item) for item in THICKNESSES_MM if item > pipe.insulation_mm + 1e-9), None)
    stretches, steps = [], []
    for item in given:
        stretch, step = _stretch(run, title, pipe, thicker, item, warmth, may_freeze)
        stretches.append(stretch)
        steps.append(step)
    lost = fsum(item.loss_w for item in stretches)
    cold = [item for item, row in zip(stretches, given, strict=True) if row["place"] != "heated"]
    saved = [item.saves_w for item in cold if item.saves_w is not None]
    result = RunHeat(
        run.id,
        title,
        tuple(stretches),
        rounded(lost, 1),
        rounded(fsum(item.loss_w for item in cold), 1),
        rounded(fsum(saved), 1) if saved else None,
        (),
        tuple(steps),
    )
    return result, _findings(run, title, result, pipe, warmth.night_c)


def _pipe(run: PipeRun, row: Row, insulation: str) -> Pipe:
    kind = None if insulation == "none" else table(INSULATION).get(insulation=insulation)
    return Pipe(
        row.number("size_mm"),
        row.number("wall_mm"),
        row.number("bore_mm"),
        0.0 if insulation == "none" else known(run.insulation_mm),
        0.04 if kind is None else kind.number("conductivity_w_mk"),
        run.material in ("copper", "steel"),
        0.93 if kind is None else kind.number("emissivity"),
    )


def _metre(pipe: Pipe, millimetres: float, place: str, around_c: float, warmth: Warmth) -> float:
    """Return what a metre of both legs loses in so much insulation, W/m."""
    legs = (warmth.flow_c, warmth.flow_c - warmth.difference_k)
    if place == "buried":
        return fsum(buried_loss(pipe.outside_mm, millimetres, pipe.conductivity_w_mk, leg, around_c) for leg in legs)
    wind, skin = (
        table(PLACES).get(place=place).number("wind_m_s"),
        pipe.emissivity if millimetres == pipe.insulation_mm else 0.93,
    )
    return fsum(
        linear_loss(pipe.outside_mm, millimetres, pipe.conductivity_w_mk, leg, around_c, wind, skin) for leg in legs
    )


def _stretch(
    run: PipeRun,
    title: str,
    pipe: Pipe,
    thicker: float | None,
    given: Mapping[str, Any],
    warmth: Warmth,
    may_freeze: bool,
) -> tuple[StretchHeat, Step]:
    """Return what one stretch loses, what the next thickness of insulation saves, and when it freezes."""
    place, length = given["place"], given["length_m"]
    around = known(_around(place, warmth.climate))
    each = _metre(pipe, pipe.insulation_mm, place, around, warmth)
    saves = None if thicker is None else (each - _metre(pipe, thicker, place, around, warmth)) * length
    hours = None
    if may_freeze and place == "outdoors":
        hours = freezing_hours(pipe, warmth.flow_c - warmth.difference_k / 2, warmth.night_c, 3.0)
    label = run.kind.field("stretches").rows[0].choice_label(place)
    stretch = StretchHeat(
        label,
        rounded(length, 1),
        rounded(around, 1),
        rounded(each * length, 1),
        thicker,
        rounded_if_any(saves, 1),
        None if hours is None else rounded(hours[0], 1),
        None if hours is None else rounded(hours[1], 1),
    )
    step = Step(
        f"{title}, {label.lower()}",
        "(θ − θa)/(R + Re) for flow and return, times the length",
        f"{figure(pipe.outside_mm, 0)} mm pipe, {figure(pipe.insulation_mm, 0)} mm insulation, {figure(around, 1)} °C around, {figure(length, 1)} m × {figure(each, 2)} W/m",
        rounded(each * length, 1),
        "W",
        HEAT,
    )
    return stretch, step


def _findings(run: PipeRun, title: str, result: RunHeat, pipe: Pipe, night_c: float) -> list[Finding]:
    findings = []
    places, thickness, size = {item.get("place") for item in run.stretches or []}, pipe.insulation_mm, pipe.outside_mm
    outdoors, bare = "outdoors" in places, thickness == 0
    if outdoors and not bare and thickness < THIN_OUTDOORS_MM:
        findings.append(
            Finding(
                Severity.CHECK,
                "pipe_thin_outdoors",
                run.key(),
                "insulation_mm",
                f"{title} runs outdoors in {figure(thickness, 0)} mm of insulation: thinner than the {THIN_OUTDOORS_MM} mm and more that are usual there.",
                f"Thicker insulation outdoors than indoors, with sealed joints and a UV-proof cover; {figure(result.saves_w or 0, 0)} W would be saved by the next thickness.",
                COMMON_PRACTICE,
            )
        )
    usual = [(row.number("size_mm"), row.number("loss_w_m")) for row in table(LIMITS).rows]
    if not outdoors and not bare and usual[0][0] <= size <= usual[-1][0]:
        allowed, loses = interpolate(usual, size), linear_loss(size, thickness, pipe.conductivity_w_mk, 60, 15, 0)
        if loses > allowed + 0.05 and places & {"void", "unheated", "buried"}:
            findings.append(
                Finding(
                    Severity.NOTE,
                    "pipe_loses_much",
                    run.key(),
                    "insulation_mm",
                    f"{title} would lose {figure(loses, 1)} W/m with water of 60 °C in air of 15 °C; {figure(allowed, 1)} W/m are usual at most.",
                    "Take thicker insulation where it runs outside heated rooms.",
                    cite_row(table(LIMITS).rows[0]),
                )
            )
    if (frozen := next((item for item in result.stretches if item.to_freezing_h is not None), None)) is not None:
        findings.append(
            Finding(
                Severity.NOTE,
                "pipe_can_freeze",
                run.key(),
                None,
                f"{title}: standing still at {figure(night_c, 0)} °C with wind, its water outdoors reaches 0 °C in about {figure(known(frozen.to_freezing_h), 1)} h and is a quarter ice {figure(known(frozen.quarter_ice_h), 1)} h later; the unit's own heat exchanger freezes sooner.",
                "Antifreeze valves on both pipes or glycol, whichever the maker asks for; insulation only wins time.",
                FREEZING,
            )
        )
    return findings
