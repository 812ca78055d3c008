"""Unheated spaces by their own balance: the temperature at which what comes in from the house goes out again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import fsum

from wattwalk.catalogue import table
from wattwalk.survey.constructions import UnheatedSpace
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known

from ..answers import SpaceBalance, Step
from ..answers.citing import EN_ISO_13789, cite_row
from ..answers.rounding import TEMPERATURE, figure, rounded, rounded_if_any

AIR_CHANGES = "space_air_changes_en_iso_13789_2017"
FACES = "space_faces_2026"

#: Heat content of air, Wh/m³K, as EN ISO 13789 takes it for unheated spaces.
AIR_WH_M3K = 0.33


@dataclass
class SpaceWork:
    """A space on its way through the engine: conductance to outside in W/K, and what each room brings."""

    space: UnheatedSpace
    outside_w_k: float | None
    numbers: str
    missing: list[str]
    inside: list[tuple[float, float]] = field(default_factory=list)

    def temperature_c(self, outside_c: float) -> float | None:
        """Return the temperature in °C at which the space is in balance, or None while something is missing."""
        if self.outside_w_k is None:
            return None
        weights = [(self.outside_w_k, outside_c), *self.inside]
        return fsum(conductance * temperature for conductance, temperature in weights) / fsum(
            conductance for conductance, _ in weights
        )


def balance_factor(inside_w_k: float, outside_w_k: float) -> float:
    """Return b of an unheated space beside rooms of one temperature.

    Parameters
    ----------
    inside_w_k, outside_w_k : float
        Conductance from the heated rooms to the space, and from the space to outside, W/K.

    References
    ----------
    EN ISO 13789:2017: ``b = H outside / (H inside + H outside)``.

    Examples
    --------
    >>> round(balance_factor(20.0, 30.0), 2)
    0.6
    """
    return outside_w_k / fsum([inside_w_k, outside_w_k])


def outside_conductance(faces: Sequence[tuple[float, float]], volume_m3: float, air_changes_h: float) -> float:
    """Return the conductance in W/K from a space to outside.

    Parameters
    ----------
    faces : sequence of tuple
        Area in m² and U-value in W/m²K of each face.
    volume_m3, air_changes_h : float
        Of the space.

    Examples
    --------
    >>> round(outside_conductance([(12.0, 2.1), (9.0, 0.6)], 30.0, 3.0), 1)
    60.3
    """
    return fsum([*(area * u_value for area, u_value in faces), AIR_WH_M3K * air_changes_h * volume_m3])


def start_spaces(survey: Survey) -> dict[str, SpaceWork]:
    """Work out the way to outside of every unheated space that a survey describes, by its id."""
    return {space.id: _start(space) for space in survey.of_kind(UnheatedSpace)}


def _start(space: UnheatedSpace) -> SpaceWork:
    missing: list[str] = []
    faces: list[tuple[float, float]] = []
    words: list[str] = []
    rows_spec = {row.name: row for row in space.kind.field("faces").rows}
    if space.volume_m3 is None:
        missing.append("its volume")
    if space.tightness is None:
        missing.append("how tight it is")
    for place, row in enumerate(space.faces or (), start=1):
        face, area, u_value = row.get("face"), row.get("area_m2"), row.get("u_value_w_m2k")
        if area is None:
            missing.append(f"the area of its face {place}")
            continue
        if u_value is None and face is None:
            missing.append(f"what its face {place} is")
            continue
        label = "face" if face is None else rows_spec["face"].choice_label(face)
        value = u_value if u_value is not None else table(FACES).get(face=known(face)).number("u_value_w_m2k")
        faces.append((area, value))
        words.append(f"{label} {figure(area, 1)} m² at U {figure(value)}")
    if not space.faces:
        missing.append("its faces to outside air")
    if missing or space.tightness is None or space.volume_m3 is None:
        return SpaceWork(space, None, "", missing)
    rate = table(AIR_CHANGES).get(tightness=space.tightness).number("air_changes_h")
    words.append(f"air {figure(AIR_WH_M3K)} × {figure(rate, 1)} × {figure(space.volume_m3, 1)} m³")
    return SpaceWork(space, outside_conductance(faces, space.volume_m3, rate), "; ".join(words), [])


def balances(works: Mapping[str, SpaceWork], outside_c: float) -> tuple[SpaceBalance, ...]:
    """Return the balance of every space as the results carry it."""
    found = []
    for work in works.values():
        temperature = work.temperature_c(outside_c)
        inside = fsum(conductance for conductance, _ in work.inside)
        steps: tuple[Step, ...] = ()
        if temperature is not None and work.outside_w_k is not None:
            rate = table(AIR_CHANGES).get(tightness=known(work.space.tightness))
            steps = (
                Step(
                    "Conductance to outside",
                    "H = Σ A U + 0.33 n V",
                    work.numbers,
                    rounded(work.outside_w_k, 2),
                    "W/K",
                    cite_row(rate),
                ),
                Step(
                    "Its temperature",
                    "θ = (Σ H inside θ inside + H outside θ outside) / Σ H",
                    f"H inside {figure(inside)} W/K, H outside {figure(work.outside_w_k)} W/K, outside {figure(outside_c, 1)} °C",
                    rounded(temperature, TEMPERATURE),
                    "°C",
                    EN_ISO_13789,
                ),
            )
        found.append(
            SpaceBalance(
                id=work.space.id,
                name=work.space.title,
                temperature_c=rounded_if_any(temperature, TEMPERATURE),
                inside_w_k=rounded(inside, 2),
                outside_w_k=rounded_if_any(work.outside_w_k, 2),
                missing=tuple(work.missing),
                steps=steps,
                source=EN_ISO_13789,
            )
        )
    return tuple(found)
