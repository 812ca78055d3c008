"""Air that leaks through the whole house, by a pressure test or built up from what is seen, and mechanical flows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from wattwalk.catalogue import table
from wattwalk.survey.building import Room, Surface
from wattwalk.survey.constructions import Construction
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HousePart, HouseParts

from ..answers import Step
from ..answers.citing import SURVEYOR, cite, cite_row
from ..answers.rounding import figure, rounded

PARTS = "leakage_parts_sap_10_2"
OPENINGS = "opening_flows_sap_10_2"
WHOLE_DWELLING = "whole_dwelling_flows_approved_document_f_2021"
EXTRACT = "extract_shares_approved_document_f_2021"

#: From leakage at 50 Pa to that of a heating season: SAP divides by 20.
FROM_50_PA = 20.0
#: Each sheltered side takes off so much of the leakage.
SHELTER_EACH = 0.075
#: Least flow for each m² of floor, l/s, and that of each bedroom beyond the table.
LEAST_L_S_M2, FURTHER_BEDROOM_L_S = 0.3, 6.0
L_S_TO_M3_H = 3.6

SAP_LEAKAGE = cite("sap_10_2", "infiltration worksheet", "from memory")
LEAST_FLOW = cite("approved_document_f_2021", "whole-dwelling ventilation rate")

#: Rooms that mechanical ventilation blows fresh air into.
SUPPLIED = ("living", "dining", "study", "bedroom", "bedroom_en_suite")


@dataclass(frozen=True)
class Leakage:
    """The air changes an hour that leak through every room of the house, sheltered as it stands, and how they are known."""

    air_changes_h: float
    shelter: float
    is_tested: bool
    steps: tuple[Step, ...]


def leakage_by_test(permeability_m3_hm2: float, envelope_m2: float, volume_m3: float) -> float:
    """Return the air changes an hour of a house whose leakage was tested at 50 Pa.

    Parameters
    ----------
    permeability_m3_hm2 : float
        Result of the pressure test, m³/h for each m² of envelope.
    envelope_m2, volume_m3 : float
        Envelope and volume of the house, m² and m³.

    References
    ----------
    SAP 10.2, infiltration by air permeability, a twentieth of the leakage at 50 Pa (from memory).

    Examples
    --------
    >>> round(leakage_by_test(7.0, 250.0, 220.0), 3)
    0.398
    """
    return permeability_m3_hm2 * envelope_m2 / (FROM_50_PA * volume_m3)


def effective_air_changes(leaking_h: float) -> float:
    """Return the air changes an hour of a naturally ventilated space: people open windows where little leaks in.

    Parameters
    ----------
    leaking_h : float
        Air changes that leak in, 1/h.

    References
    ----------
    SAP 10.2, worksheet line 24d: ``0.5 + 0.5 n²`` below one air change (from memory).

    Examples
    --------
    >>> round(effective_air_changes(0.4), 2)
    0.58
    >>> effective_air_changes(1.3)
    1.3
    """
    return leaking_h if leaking_h >= 1 else 0.5 + 0.5 * leaking_h**2


def least_flow_m3_h(bedrooms: int, floor_area_m2: float) -> float:
    """Return the least whole-dwelling flow in m³/h: by bedrooms, and 0.3 l/s for each m² of floor.

    Parameters
    ----------
    bedrooms : int
        How many.
    floor_area_m2 : float
        Of the whole house, m².

    References
    ----------
    Approved Document F (2021), volume 1, whole-dwelling ventilation rate.

    Examples
    --------
    >>> round(least_flow_m3_h(3, 85.0), 1)
    111.6
    """
    rows = table(WHOLE_DWELLING).rows
    last = rows[-1]
    if bedrooms > last.number("bedrooms"):
        by_bedrooms = last.number("flow_l_s") + FURTHER_BEDROOM_L_S * (bedrooms - last.number("bedrooms"))
    else:
        by_bedrooms = table(WHOLE_DWELLING).get(bedrooms=float(max(1, bedrooms))).number("flow_l_s")
    return L_S_TO_M3_H * max(by_bedrooms, LEAST_L_S_M2 * floor_area_m2)


def house_leakage(
    survey: Survey, record: SurveyRecord, parts: HouseParts, part: HousePart, size: tuple[float, float]
) -> Leakage:
    """Return the leakage of one part of the house: by its pressure test, or built up as SAP does.

    Parameters
    ----------
    survey : Survey
        The whole survey.
    record : SurveyRecord
        Its household record.
    parts, part : HouseParts, HousePart
        The parts of the house, and the one in question; one that was not tested by itself goes by the test of the house.
    size : tuple of float
        Envelope in m² and volume in m³ of what its test was made of; the volume more than nothing.
    """
    sides = record.effective("sheltered_sides")
    shelter = 1 - SHELTER_EACH * sides
    tested, name = test_of(parts, part), f"{part.name}: " if parts.extensions else ""
    envelope_m2, volume_m3 = size
    if tested is not None:
        leaking = leakage_by_test(tested, envelope_m2, volume_m3)
        numbers = f"{figure(tested)} × {figure(envelope_m2, 1)} / (20 × {figure(volume_m3, 1)})"
        steps = [
            Step(
                _titled(name, "Leakage by the pressure test"),
                "n = q50 · A / (20 V)",
                numbers,
                rounded(leaking, 4),
                "1/h",
                SAP_LEAKAGE,
            )
        ]
    else:
        leaking, steps = _built_up(survey, record, parts, part, name)
    sheltered = leaking * shelter
    numbers = f"{figure(leaking, 3)} × (1 − 0.075 × {sides})"
    steps.append(
        Step(
            _titled(name, "Sheltered sides, at a wind of 4 m/s"),
            "n · (1 − 0.075 · sides)",
            numbers,
            rounded(sheltered, 4),
            "1/h",
            SAP_LEAKAGE,
        )
    )
    return Leakage(sheltered, shelter, tested is not None, tuple(steps))


def test_of(parts: HouseParts, part: HousePart) -> float | None:
    """Return the pressure test that holds for a part, m³/hm²: its own, else the house's; None where neither was made."""
    return parts.main.tested_m3_hm2 if part.tested_m3_hm2 is None else part.tested_m3_hm2


def _titled(name: str, words: str) -> str:
    return f"{name}{words[0].lower()}{words[1:]}" if name else words


def _built_up(
    survey: Survey, record: SurveyRecord, parts: HouseParts, part: HousePart, name: str
) -> tuple[float, list[Step]]:
    """Return the leakage of a part by how it is built; the storeys and the lobby are the house's."""
    met: dict[str, set[str | None]] = {}
    for surface in survey.of_kind(Surface):
        if surface.construction is not None:
            met.setdefault(surface.construction, set()).add(_key(parts.of_room(surface.room)))
    # What no surface is made of counts with the main house.
    here = [item for item in survey.of_kind(Construction) if part.key in met.get(item.id, {parts.main.key})]
    floors = [
        item
        for item in survey.of_kind(Surface)
        if item.element == "ground_floor" and _key(parts.of_room(item.room)) == part.key
    ]
    used = {item.construction for item in floors}
    is_suspended = any(item.below == "void" for item in floors) or any(
        item.look == "floor_suspended" and item.id in used for item in here
    )
    storeys = len({room.effective("storey") for room in survey.of_kind(Room)})
    frame = "timber_frame" if any(item.look == "wall_timber_frame" for item in here) else "masonry"

    def share(of: str) -> float:
        return table(PARTS).get(part=of).number("air_changes_h")

    proofed = part.draught_proofed_pct / 100
    found = [
        (frame.replace("_", " "), share(frame)),
        ("suspended timber floor", share("suspended_floor") if is_suspended else 0.0),
        ("no draught lobby", 0.0 if record.draught_lobby else share("no_lobby")),
        (
            f"windows, {figure(100 * proofed, 0)} % draught-proofed",
            share("windows") + (share("windows_proofed") - share("windows")) * proofed,
        ),
        (f"{storeys} storeys", share("further_storey") * max(0, storeys - 1)),
    ]
    total = fsum(value for _, value in found)
    numbers = " + ".join(f"{figure(value, 3)} ({words})" for words, value in found if value)
    source = cite_row(table(PARTS).rows[0])
    what = _titled(name, "Leakage built up from what is seen")
    return total, [Step(what, "sum of the parts", numbers, rounded(total, 4), "1/h", source)]


def _key(part: HousePart | None) -> str | None:
    return None if part is None else part.key


@dataclass(frozen=True)
class MechanicalAir:
    """Mechanical flows in m³/h by the place of the room, and the temperatures that they arrive at, °C."""

    supply_m3_h: tuple[float, ...]
    extract_m3_h: tuple[float, ...]
    supply_c: float
    transfer_c: float
    steps: tuple[Step, ...]


def mechanical_air(
    uses: Sequence[str | None],
    volumes_m3: Sequence[float],
    inside_c: Sequence[float],
    outside_c: float,
    flow_m3_h: float,
    efficiency: float,
    flow_source: str = SURVEYOR,
    *,
    written_m3_h: Sequence[float | None] = (),
) -> MechanicalAir | None:
    """Return what a unit with heat recovery blows into each room and draws out of it.

    Parameters
    ----------
    uses : sequence of str or None
        What each room is used as.
    volumes_m3, inside_c : sequence of float
        Volume in m³ and temperature in °C of each room.
    outside_c : float
        Design outside temperature, °C.
    flow_m3_h : float
        Flow of the unit, m³/h.
    efficiency : float
        Share of the heat recovered, 0 to 1.
    flow_source : str
        Where the flow comes from.
    written_m3_h : sequence of float or None, optional
        Outside air that the survey has written down for a room, m³/h; None where the unit's air counts.

    Returns
    -------
    MechanicalAir or None
        None when there is no room to blow into or none to draw from.

    Notes
    -----
    Fresh air is shared out by the volume of living rooms and bedrooms, and drawn off in wet rooms by the rates of
    Approved Document F; in between it has the mean temperature of the rooms it was blown into. A room whose air is
    written down warms no more than that: what is blown through it beside goes on as cool as it arrived.
    """
    given = [volume if use in SUPPLIED else 0.0 for use, volume in zip(uses, volumes_m3, strict=True)]
    rates = {row.word("use"): row.number("flow_l_s") for row in table(EXTRACT).rows}
    drawn = [rates.get(use or "", 0.0) for use in uses]
    if not fsum(given) or not fsum(drawn):
        return None
    supply = tuple(flow_m3_h * item / fsum(given) for item in given)
    extract = tuple(flow_m3_h * item / fsum(drawn) for item in drawn)
    leaving = fsum(flow * inside for flow, inside in zip(extract, inside_c, strict=True)) / flow_m3_h
    arriving = outside_c + efficiency * (leaving - outside_c)
    warmed = [
        flow if most is None else min(flow, most)
        for flow, most in zip(supply, written_m3_h or [None] * len(supply), strict=True)
    ]
    transfer = (
        fsum(
            warm * inside + (flow - warm) * arriving
            for flow, warm, inside in zip(supply, warmed, inside_c, strict=True)
        )
        / flow_m3_h
    )
    en = cite("en_12831_1_2017", "mechanical ventilation", "from memory")
    steps = (
        Step(
            "Flow of the unit",
            "as measured" if flow_source == SURVEYOR else "by bedrooms, at least 0.3 l/s for each m²",
            f"{figure(flow_m3_h / L_S_TO_M3_H, 1)} l/s",
            rounded(flow_m3_h, 1),
            "m³/h",
            flow_source,
        ),
        Step(
            "Fresh air as it arrives",
            "θ = θe + η (θextract − θe)",
            f"{figure(outside_c, 1)} + {figure(efficiency)} × ({figure(leaving, 1)} − {figure(outside_c, 1)})",
            rounded(arriving, 2),
            "°C",
            en,
        ),
    )
    return MechanicalAir(supply, extract, arriving, transfer, steps)
