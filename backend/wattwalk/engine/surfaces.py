"""Heat through each surface of each room: outside, ground, unheated space, other room, neighbour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wattwalk.catalogue import table
from wattwalk.survey.building import Construction, Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord

from .citing import EN_12831, EN_12831_GROUND, EN_12831_NEIGHBOUR, cite_row
from .constructions import Constructions, Refusal, Value, element_words
from .envelope import OPENINGS, Envelope, Piece, lay_out, title_of
from .results import Climate, Finding, SurfaceLoss
from .rounding import AREA, TEMPERATURE, U_VALUE, WATTS, rounded

BRIDGES = "thermal_bridges_en_12831_1_2017"
SPACES = "unheated_spaces_en_12831_2003"

#: EN 12831-1:2017 brings the yearly mean loss into the ground to its winter peak.
GROUND_WINTER_FACTOR = 1.45
NEIGHBOUR_COLD_C = 10.0

#: Elements that one construction can serve.
_ALIKE = (("wall", "partition"), ("window", "door", "rooflight"), ("ground_floor",), ("floor", "ceiling", "roof"))
_BELOW, _ABOVE = ("floor", "ground_floor"), ("ceiling", "roof", "rooflight")
_MIRRORED = {"floor": "ceiling", "ceiling": "floor", "roof": "floor"}


@dataclass
class Losses:
    """What the surfaces give: per room the losses with their unrounded watts, and what is missing."""

    by_room: dict[str, list[tuple[SurfaceLoss, float]]] = field(default_factory=dict)
    missing: dict[str, list[str]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)


@dataclass(frozen=True)
class Beyond:
    """What lies beyond a surface as the sum needs it: factor, allowance, difference in K, source."""

    factor: float
    bridge_w_m2k: float
    difference_k: float
    source: str


def surface_loss(net_area_m2: float, u_value_w_m2k: float, bridge_w_m2k: float, factor: float, difference_k: float) -> float:
    """Return the heat in W through a surface: ``A × (U + ΔU) × factor × difference``.

    Parameters
    ----------
    net_area_m2 : float
        Area without openings, m².
    u_value_w_m2k, bridge_w_m2k : float
        U-value and allowance for thermal bridges, W/m²K.
    factor : float
        1, or the factor of an unheated space or of the ground.
    difference_k : float
        Inside less what lies beyond, K.

    References
    ----------
    EN 12831-1:2017, design transmission heat loss.
    """
    return net_area_m2 * (u_value_w_m2k + bridge_w_m2k) * factor * difference_k


class SurfaceWork:
    """Works out every surface of a survey once, counting those between rooms on both sides."""

    def __init__(self, survey: Survey, record: SurveyRecord, climate: Climate, constructions: Constructions, inside_c: Mapping[str, float | None], names: Mapping[str, str]):
        self._record, self._climate, self._constructions = record, climate, constructions
        self._inside_c, self._names = inside_c, names
        self._bridges = table(BRIDGES).get(allowance=record.effective("thermal_bridges"))
        self._neighbour = record.effective("separate_neighbour")
        self._ground_factor = GROUND_WINTER_FACTOR if record.effective("ground_convention") == "en_12831_2017" else 1.0
        self._envelope: Envelope = lay_out(survey, names)

    def work_out(self) -> Losses:
        """Return the losses of all surfaces by room."""
        losses = Losses(missing=self._envelope.missing, findings=self._envelope.findings)
        for piece in self._envelope.pieces:
            self._add(piece.surface, piece, piece.gross_m2, piece.openings_m2, losses)
            for opening, area in piece.openings:
                self._add(opening, piece, area, 0.0, losses)
        return losses

    def _add(self, surface: Surface, piece: Piece, gross: float, openings: float, losses: Losses) -> None:
        host = piece.surface
        if host.other_side == "nothing":
            return
        title = title_of(surface)
        construction = self._constructions.find(surface.construction)
        if construction is None:
            found = "construction" if surface.construction is None else "construction (the one chosen is not in this survey)"
            self._envelope.lack(host, f"{title}: {found}")
            return
        inside = self._inside_c.get(host.room)
        if inside is None:
            if host.other_side == "room":
                losses.missing.setdefault(host.other_room, []).append(f"{title}: the temperature of {self._names[host.room]}")
            return
        wrong = _wrong_combination(surface, host, construction)
        if wrong:
            self._envelope.refuse(surface, "construction_does_not_fit", "construction", f"{title}: {wrong}.", "Choose a construction that fits, or correct what the surface is.")
            if surface is not host:
                self._envelope.lack(host, f"{title}: {wrong}")
            return
        beyond_c = self._inside_c.get(host.other_room) if host.other_side == "room" else self._climate.outside_c
        if beyond_c is None:
            losses.missing.setdefault(host.room, []).append(f"{title}: the temperature of {self._names[host.other_room]}")
            return
        value = self._constructions.value(construction, _direction(surface, inside, beyond_c), host.other_side in ("room", "unheated", "neighbour"))
        if isinstance(value, Refusal):
            name = construction.name or "its construction"
            self._envelope.lack(host, f"{title}: the U-value of {name} ({value.words.rstrip('.')})")
            return
        if host.other_side == "unheated" and host.unheated_space is None:
            self._envelope.lack(host, f"{title}: what kind of unheated space is beyond")
            return
        self._count(surface, host, construction, value, (gross, openings), losses)

    def _count(self, surface: Surface, host: Surface, construction: Construction, value: Value, areas: tuple[float, float], losses: Losses) -> None:
        gross, openings = areas
        net = gross - openings
        sides = [(host.room, host.other_room, surface.element)]
        if host.other_side == "room":
            sides.append((host.other_room, host.room, _MIRRORED.get(surface.element, surface.element)))
        for room, other, element in sides:
            beyond = self._beyond(host, value, room, other)
            watts = surface_loss(net, value.u_value, beyond.bridge_w_m2k, beyond.factor, beyond.difference_k)
            words = title_of(surface)
            if host.other_side == "room":
                words = f"{words if room == host.room else construction.kind.field('element').choice_label(element)} to {self._names[other]}"
            loss = SurfaceLoss(
                id=surface.id, room=room, words=words, element=element, other_side=host.other_side, construction=construction.id,
                gross_area_m2=rounded(gross, AREA), openings_m2=rounded(openings, AREA), net_area_m2=rounded(net, AREA),
                u_value_w_m2k=rounded(value.u_value, U_VALUE), bridge_w_m2k=rounded(beyond.bridge_w_m2k, U_VALUE), factor=rounded(beyond.factor, 4),
                temperature_difference_k=rounded(beyond.difference_k, TEMPERATURE), loss_w=rounded(watts, WATTS), source=beyond.source,
            )
            losses.by_room.setdefault(room, []).append((loss, watts))

    def _beyond(self, host: Surface, value: Value, room: str, other: str | None) -> Beyond:
        inside, outside, mean = self._inside_c[room], self._climate.outside_c, self._climate.annual_mean_c
        allowance = self._bridges.number("bridge_w_m2k")
        if host.other_side == "room":
            return Beyond(1.0, 0.0, inside - self._inside_c[other], EN_12831_NEIGHBOUR)
        if host.other_side == "neighbour":
            differences = {"same_temperature": 0.0, "annual_mean": inside - mean, "ten_degrees": inside - NEIGHBOUR_COLD_C}
            return Beyond(1.0, 0.0, differences[self._neighbour], EN_12831_NEIGHBOUR)
        if host.other_side == "ground":
            if value.ground == "suspended":
                return Beyond(1.0, 0.0, inside - outside, value.step.source)
            return Beyond(self._ground_factor, 0.0, inside - mean, EN_12831_GROUND)
        if host.other_side == "unheated":
            if value.to_outside_air and host.unheated_space.startswith("loft"):
                # The default for a loft by its quilt already holds the loft and the roof above it.
                return Beyond(1.0, allowance, inside - outside, value.step.source)
            row = table(SPACES).get(space=host.unheated_space)
            return Beyond(row.number("factor"), allowance, inside - outside, cite_row(row))
        return Beyond(1.0, allowance, inside - outside, EN_12831)


def _direction(surface: Surface, inside_c: float, beyond_c: float) -> str:
    if surface.element in _BELOW:
        return "down" if inside_c >= beyond_c else "up"
    if surface.element in _ABOVE:
        return "up" if inside_c >= beyond_c else "down"
    return "horizontal"


def _wrong_combination(surface: Surface, host: Surface, construction: Construction) -> str | None:
    """Say why a surface, its construction and what lies beyond cannot belong together, or None."""
    made_for = construction.element
    if made_for is not None and not any(surface.element in group and made_for in group for group in _ALIKE):
        return f"it is {element_words(surface.element)}, but {construction.name or 'its construction'} is {element_words(made_for)}"
    if surface.element == "ground_floor" and host.other_side != "ground":
        return "a ground floor lies on the ground; a floor over air or over a room is an upper floor"
    if host.other_side == "ground" and surface.element in OPENINGS:
        return f"{element_words(surface.element)} cannot open into the ground"
    if host.other_side == "ground" and surface.element != "ground_floor" and construction.known_by != "declared":
        return "a wall or roof against the ground cannot be worked out from its look or layers here; declare its U-value"
    return None
