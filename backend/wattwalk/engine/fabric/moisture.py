"""Cold inside faces where damp was seen or a room is kept cool: a caution for a person, never a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from wattwalk.survey.known import known

from ..answers import ColdFace, Finding, Severity, Step, SurfaceLoss
from ..answers.citing import BS_5250, EN_ISO_13788
from ..answers.rounding import TEMPERATURE, figure, rounded
from .room_loss import RoomWork

#: Inside surface resistance for this check: opaque faces behind furniture and in corners, and glass, m²K/W.
OPAQUE_RSI, GLASS_RSI = 0.25, 0.13

#: Below this factor a dwelling's inside face is worth a look (Approved Document C by way of BRE IP 1/06).
LEAST_FACTOR = 0.75
#: Air this damp at a face lets mould grow; condensation needs air that can hold no more.
MOULD_HUMIDITY = 0.8
#: A room designed for less than this is treated as kept cool, °C.
COOL_ROOM_C = 16.0

_GLASS = ("window", "rooflight")
_SIDES = ("outside", "unheated")


def saturation_pressure(temperature_c: float) -> float:
    """Return the pressure of saturated water vapour in Pa at a temperature in °C.

    Parameters
    ----------
    temperature_c : float
        °C.

    References
    ----------
    EN ISO 13788:2012, Annex E: 610.5 exp(17.269 θ/(237.3 + θ)) above freezing, 610.5 exp(21.875 θ/(265.5 + θ)) below.

    Examples
    --------
    >>> round(saturation_pressure(20))
    2337
    """
    if temperature_c >= 0:
        return 610.5 * exp(17.269 * temperature_c / (237.3 + temperature_c))
    return 610.5 * exp(21.875 * temperature_c / (265.5 + temperature_c))


def temperature_at(pressure_pa: float) -> float:
    """Return the temperature in °C at which water vapour of this pressure in Pa is saturated.

    Parameters
    ----------
    pressure_pa : float
        Pressure of the water vapour, Pa.

    Raises
    ------
    ValueError
        When the pressure is not more than 0.

    References
    ----------
    EN ISO 13788:2012, Annex E, turned round.

    Examples
    --------
    >>> round(temperature_at(1170), 1)
    9.3
    """
    if pressure_pa <= 0:
        raise ValueError("the pressure of water vapour must be more than 0 Pa")
    share = log(pressure_pa / 610.5)
    return 237.3 * share / (17.269 - share) if share >= 0 else 265.5 * share / (21.875 - share)


def dew_point(temperature_c: float, humidity: float) -> float:
    """Return the dew point in °C of air at a temperature in °C and a relative humidity from 0 to 1.

    Parameters
    ----------
    temperature_c : float
        Temperature of the air, °C.
    humidity : float
        Relative humidity, 0 to 1.

    Raises
    ------
    ValueError
        When the humidity is not above 0 and at most 1.

    References
    ----------
    EN ISO 13788:2012, Annex E.

    Examples
    --------
    >>> round(dew_point(20, 0.5), 1)
    9.3
    """
    if not 0 < humidity <= 1:
        raise ValueError("the relative humidity lies above 0 and at most at 1")
    return temperature_at(saturation_pressure(temperature_c) * humidity)


def surface_factor(u_value_w_m2k: float, rsi_m2k_w: float) -> float:
    """Return f of a plane element: ``1 − U Rsi`` (EN ISO 13788), U in W/m²K and Rsi in m²K/W.

    Parameters
    ----------
    u_value_w_m2k : float
        W/m²K.
    rsi_m2k_w : float
        Resistance of the inside surface, m²K/W.

    References
    ----------
    EN ISO 13788:2012, temperature factor at the internal surface: ``f = 1 − U Rsi``.

    Examples
    --------
    >>> round(surface_factor(1.5, 0.25), 3)
    0.625
    """
    return 1 - u_value_w_m2k * rsi_m2k_w


def surface_temperature(factor: float, inside_c: float, beyond_c: float) -> float:
    """Return the temperature in °C of an inside face: ``θe + f (θi − θe)``.

    Parameters
    ----------
    factor : float
        f of the element, 0 to 1.
    inside_c, beyond_c : float
        Temperatures on both sides, °C.

    References
    ----------
    EN ISO 13788:2012: ``θsi = θe + f (θi − θe)``.

    Examples
    --------
    >>> round(surface_temperature(0.625, 20, -3), 1)
    11.4
    """
    return beyond_c + factor * (inside_c - beyond_c)


def least_factor(inside_c: float, humidity: float, outside_c: float) -> float:
    """Return the least f that keeps the air at a face below 80 % relative humidity.

    Parameters
    ----------
    inside_c, humidity : float
        Air of the room: °C, and relative humidity from 0 to 1.
    outside_c : float
        Outside, °C.

    References
    ----------
    EN ISO 13788:2012: ``f min = (θsi min − θe)/(θi − θe)`` with ``p sat(θsi min) = p sat(θi) φ / 0.8``.

    Examples
    --------
    >>> round(least_factor(20, 0.55, 0), 2)
    0.7
    """
    face = temperature_at(saturation_pressure(inside_c) * humidity / MOULD_HUMIDITY)
    return (face - outside_c) / (inside_c - outside_c)


def humidity_limit(face_c: float, inside_c: float, at_face: float) -> float:
    """Return the room's relative humidity at which the air at a face reaches ``at_face`` (0.8 for mould, 1 for condensation).

    Parameters
    ----------
    face_c, inside_c : float
        Temperatures of the face and of the room, °C.
    at_face : float
        Relative humidity at the face: 0.8 for mould, 1 for condensation.

    References
    ----------
    EN ISO 13788:2012, Annex E for the pressures.

    Examples
    --------
    >>> round(humidity_limit(12.6, 20, 0.8), 2)
    0.5
    """
    return min(1.0, at_face * saturation_pressure(face_c) / saturation_pressure(inside_c))


def cold_faces(works: Sequence[RoomWork]) -> tuple[tuple[ColdFace, ...], list[Finding]]:
    """Return the inside faces of rooms that are damp or kept cool, coldest first in each room, and one caution a room."""
    found, findings = [], []
    for work in works:
        if work.inside_c is None or not (work.room.damp_seen or work.inside_c < COOL_ROOM_C):
            continue
        faces = sorted(
            (_face(loss, work.inside_c) for loss, _ in work.surfaces if _counts(loss, work.room.id)),
            key=lambda face: (face.factor, face.surface),
        )
        found += faces
        if faces and faces[0].factor < LEAST_FACTOR:
            findings.append(_caution(work, faces[0]))
    return tuple(found), findings


def _counts(loss: SurfaceLoss, room: str) -> bool:
    return loss.room == room and loss.other_side in _SIDES and loss.factor * loss.temperature_difference_k > 0


def _face(loss: SurfaceLoss, inside_c: float) -> ColdFace:
    rsi = GLASS_RSI if loss.element in _GLASS else OPAQUE_RSI
    factor = max(0.0, surface_factor(loss.u_value_w_m2k, rsi))
    beyond = inside_c - loss.factor * loss.temperature_difference_k
    face_c = surface_temperature(factor, inside_c, beyond)
    mould, condensation = (humidity_limit(face_c, inside_c, share) * 100 for share in (MOULD_HUMIDITY, 1.0))
    step = Step(
        "Inside face",
        "f = 1 − U Rsi; θsi = θe + f (θi − θe)",
        f"U {figure(loss.u_value_w_m2k)}, Rsi {figure(rsi)}, f {figure(factor, 3)}, θi {figure(inside_c, 1)} °C, θe {figure(beyond, 1)} °C",
        rounded(face_c, TEMPERATURE),
        "°C",
        EN_ISO_13788,
    )
    return ColdFace(
        loss.room,
        loss.id,
        loss.words,
        rounded(factor, 3),
        rounded(face_c, TEMPERATURE),
        rounded(mould, 1),
        rounded(condensation, 1),
        step,
    )


def _caution(work: RoomWork, face: ColdFace) -> Finding:
    why = "Damp or mould was seen in" if work.room.damp_seen else f"{figure(known(work.inside_c), 1)} °C is cool for"
    return Finding(
        Severity.CHECK if work.room.damp_seen else Severity.NOTE,
        "cold_inside_face",
        work.room.key(),
        "damp_seen" if work.room.damp_seen else "inside_temperature_c",
        f"{why} {work.name}: at the design cold its coldest plain face ({face.words}) is at {figure(face.face_c, 1)} °C, factor {figure(face.factor)}. Mould can grow there once the room's air holds "
        f"more than {figure(face.mould_limit_pct, 0)} % humidity, and water settles above {figure(face.condensation_limit_pct, 0)} %.",
        "A caution, not a verdict: corners and furniture make it colder, short cold spells milder. Measure the humidity, air the room, warm or insulate that face.",
        BS_5250,
    )
