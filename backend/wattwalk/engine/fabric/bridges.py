"""Thermal bridges by their lengths: an alternative to the allowance on each surface, and never beside it."""

from __future__ import annotations

from wattwalk.catalogue import table
from wattwalk.survey.parts import HousePart

from ..answers import BridgeLoss, Finding, Severity
from ..answers.citing import COMMON_PRACTICE, EN_ISO_14683
from ..answers.rounding import TEMPERATURE, WATTS, rounded
from .room_loss import RoomWork

ALLOWANCES, BY_BAND = "thermal_bridges_en_12831_1_2017", "thermal_bridges_rdsap_2012"

#: The choices of the survey that count bridges by length, and by the age of each part.
LENGTHS, BY_AGE = "lengths", "by_age"


def allowance_of(part: HousePart) -> float | None:
    """Return what is allowed for thermal bridges on the surfaces of a part of the house, W/m²K; None where it goes by an age that nobody has said.

    References
    ----------
    EN 12831-1:2017, Annex B (from memory); by age RdSAP 2012 (9.94), Table S13.
    """
    if part.thermal_bridges != BY_AGE:
        return table(ALLOWANCES).get(allowance=part.thermal_bridges).number("bridge_w_m2k")
    return None if part.age_band is None else table(BY_BAND).get(age_band=part.age_band).number("bridge_w_m2k")


def bridge_loss(length_m: float, psi_w_mk: float, difference_k: float) -> float:
    """Return the heat in W along a line: ``l × Ψ × difference``.

    Parameters
    ----------
    length_m : float
        Length of the line, m.
    psi_w_mk : float
        Its linear transmittance, W/mK; negative for a corner that saves.
    difference_k : float
        Inside less outside, K.

    References
    ----------
    EN ISO 14683:2017, linear thermal transmittance.

    Examples
    --------
    >>> round(bridge_loss(6.0, 0.25, 24), 1)
    36.0
    """
    return length_m * psi_w_mk * difference_k


def add_bridges(work: RoomWork, allowance: str, outside_c: float) -> list[Finding]:
    """Add the bridges that a room has by length to its work, and return the findings.

    Parameters
    ----------
    work : RoomWork
        The room; its missing words grow where a row lacks its length or Ψ.
    allowance : str
        How the survey counts bridges; only ``lengths`` counts the rows.
    outside_c : float
        Design outside temperature, °C.
    """
    rows = work.room.bridges or ()
    if not rows or work.inside_c is None:
        return []
    if allowance != LENGTHS:
        return [
            Finding(
                Severity.CHECK,
                "bridges_twice",
                work.room.key(),
                "bridges",
                f"{work.name} has thermal bridges by length, but the survey counts bridges another way; the lengths are not counted.",
                "Choose to count each bridge by its length, or take the lengths out.",
                COMMON_PRACTICE,
            )
        ]
    difference = work.inside_c - outside_c
    for place, row in enumerate(rows, start=1):
        words, length, psi = row.get("where") or f"bridge {place}", row.get("length_m"), row.get("psi_w_mk")
        if length is None or psi is None:
            work.missing.append(f"{words}: its {'length' if length is None else 'Ψ'}")
            continue
        watts = bridge_loss(length, psi, difference)
        work.bridges.append(
            (
                BridgeLoss(
                    words,
                    rounded(length, 3),
                    rounded(psi, 4),
                    rounded(difference, TEMPERATURE),
                    rounded(watts, WATTS),
                    EN_ISO_14683,
                ),
                watts,
            )
        )
    return []
