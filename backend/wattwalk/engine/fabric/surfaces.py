"""Heat through each surface of each room: outside, ground, unheated space, other room, neighbour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from wattwalk.catalogue import table
from wattwalk.survey.box import OPENINGS
from wattwalk.survey.building import Room, Surface
from wattwalk.survey.constructions import DECLARED, Construction
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.parts import HousePart, HouseParts

from ..answers import Climate, Finding, SpaceBalance, SurfaceLoss
from ..answers.citing import (
    EN_12831,
    EN_12831_GROUND,
    EN_12831_NEIGHBOUR,
    EN_ISO_13789,
    cite_row,
)
from ..answers.rounding import AREA, TEMPERATURE, U_VALUE, WATTS, listed, rounded
from ..answers.values import Refusal, Value
from .bridges import allowance_of
from .constructions import Constructions, element_words
from .envelope import Envelope, Piece, lay_out, title_of
from .floor_findings import contradicts_look, floor_findings
from .spaces import balances, start_spaces
from .uses import in_part, use_words

SPACES = "unheated_spaces_en_12831_2003"

#: EN 12831-1:2017 brings the yearly mean loss into the ground to its winter peak.
GROUND_WINTER_FACTOR = 1.45
#: Ground water within 1 m of the floor, in the same convention.
GROUND_WATER_FACTOR = 1.15
#: Below this difference in K to outside a factor of it cannot be formed.
LEAST_DIFFERENCE_K = 1e-6

#: Elements that one construction can serve.
_ALIKE = (("wall", "partition"), OPENINGS, ("ground_floor",), ("floor", "ceiling", "roof"))
_BELOW, _ABOVE = ("floor", "ground_floor"), ("ceiling", "roof", "rooflight")
_MIRRORED = {"floor": "ceiling", "ceiling": "floor", "roof": "floor"}


@dataclass
class Losses:
    """What the surfaces give: per room the losses with their unrounded watts, and what is missing."""

    by_room: dict[str, list[tuple[SurfaceLoss, float]]] = field(default_factory=dict)
    missing: dict[str, list[str]] = field(default_factory=dict)
    lacking: dict[str, set[str]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    spaces: tuple[SpaceBalance, ...] = ()
    uses: dict[str, dict[str, Value]] = field(default_factory=dict)


@dataclass(frozen=True)
class Valued:
    """A surface with its construction's U-value, ready to be counted; areas in m², temperatures in °C of its room and beyond it; the part of the house whose age it has."""

    surface: Surface
    element: str
    piece: Piece
    construction: Construction
    value: Value
    gross_m2: float
    openings_m2: float
    inside_c: float
    beyond_c: float
    part: HousePart


class Face(NamedTuple):
    """One side of a surface as its loss names it; areas in m², U-value in W/m²K."""

    surface: str
    room: str
    words: str
    element: str
    other_side: str
    construction: str
    gross_m2: float
    openings_m2: float
    u_value: float


class Beyond(NamedTuple):
    """What lies beyond a surface as the sum needs it: factor, allowance, difference in K, source."""

    factor: float
    bridge_w_m2k: float
    difference_k: float
    source: str


def surface_loss(
    net_area_m2: float, u_value_w_m2k: float, bridge_w_m2k: float, factor: float, difference_k: float
) -> float:
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

    Examples
    --------
    >>> round(surface_loss(10.5, 1.5, 0.05, 1.0, 24), 1)
    390.6
    """
    return net_area_m2 * (u_value_w_m2k + bridge_w_m2k) * factor * difference_k


class SurfaceWork:
    """Works out every surface of a survey once, counting those between rooms on both sides."""

    def __init__(
        self,
        survey: Survey,
        record: SurveyRecord,
        climate: Climate,
        constructions: Constructions,
        inside_c: Mapping[str, float | None],
        names: Mapping[str, str],
        *,
        parts: HouseParts,
    ):
        self._record, self._climate, self._constructions = record, climate, constructions
        self._inside_c, self._names = inside_c, names
        self._parts = parts
        self._bridges = {part.key: allowance_of(part) for part in parts.every}
        self._neighbour = record.effective("separate_neighbour")
        self._neighbour_c = float(record.effective("neighbour_temperature_c"))
        self._ground_factor = GROUND_WINTER_FACTOR if record.effective("ground_convention") == "en_12831_2017" else 1.0
        if self._ground_factor != 1.0 and record.effective("ground_water") == "near":
            self._ground_factor *= GROUND_WATER_FACTOR
        self._envelope: Envelope = lay_out(survey, names)
        self._spaces = start_spaces(survey)
        self._storeys = {room.id: room.effective("storey") for room in survey.of_kind(Room)}
        self._valued: list[Valued] = []

    def work_out(self) -> Losses:
        """Return the losses of all surfaces by room."""
        losses = Losses(
            missing=self._envelope.missing, lacking=self._envelope.lacking, findings=self._envelope.findings
        )
        for piece in self._envelope.pieces:
            self._add(piece.surface, piece, piece.gross_m2, piece.openings_m2, losses)
            for opening, area in piece.openings:
                self._add(opening, piece, area, 0.0, losses)
        self._balance()
        for item in self._valued:
            self._count(item, losses)
            host = item.piece.surface
            words = use_words(
                item.surface,
                host,
                item.construction,
                item.value,
                _direction(item.surface, item.inside_c, item.beyond_c),
            )
            words = in_part(item.part if self._parts.extensions else None, words)
            losses.uses.setdefault(item.construction.id, {})[words] = item.value
        losses.spaces = balances(self._spaces, self._climate.outside_c)
        return losses

    def _balance(self) -> None:
        """Let every described space take in what the rooms beside it give; one that lacks a surface of its own has no balance."""
        counted = {item.surface.id for item in self._valued}
        for piece in self._envelope.pieces:
            work = self._spaces.get(piece.surface.space or "")
            if work is None or piece.surface.other_side != "unheated":
                continue
            for surface in (piece.surface, *(opening for opening, _ in piece.openings)):
                if surface.id not in counted:
                    work.missing.append(f"{title_of(surface)}, which faces it")
                    work.outside_w_k = None
        for item in self._valued:
            host = item.piece.surface
            if host.other_side == "unheated" and host.space:
                allowance = known(self._bridges[item.part.key])
                conductance = (item.gross_m2 - item.openings_m2) * (item.value.u_value + allowance)
                self._spaces[host.space].inside.append((conductance, item.inside_c))

    def _add(self, surface: Surface, piece: Piece, gross: float, openings: float, losses: Losses) -> None:
        host = piece.surface
        if host.other_side == "nothing":
            return
        title = title_of(surface)
        construction = self._constructions.find(surface.construction)
        if construction is None:
            found = (
                "construction"
                if surface.construction is None
                else "construction (the one chosen is not in this survey)"
            )
            self._envelope.lack(host, f"{title}: {found}")
            return
        inside = self._inside_c.get(piece.room)
        if inside is None:
            if piece.other_room is not None:
                lacks = f"{title}: the temperature of {self._names[piece.room]}"
                self._envelope.lack_in(piece.other_room, host, lacks)
            return
        part = self._parts.of_surface(host)
        if part is None:
            self._lack_part(host, title, losses)
            return
        if self._bridges[part.key] is None and host.other_side in ("outside", "unheated"):
            self._envelope.lack(host, f"{title}: the age of {part.whose}, by which thermal bridges are allowed for")
            return
        wrong = _wrong_combination(surface, host, construction)
        if wrong:
            self._envelope.refuse(
                surface,
                "construction_does_not_fit",
                "construction",
                f"{title}: {wrong}.",
                "Choose a construction that fits, or correct what the surface is.",
            )
            if surface is not host:
                self._envelope.lack(host, f"{title}: {wrong}")
            return
        beyond = self._climate.outside_c if piece.other_room is None else self._inside_c.get(piece.other_room)
        if beyond is None:
            lacks = f"{title}: the temperature of {self._names[known(piece.other_room)]}"
            self._envelope.lack_in(piece.room, host, lacks)
            return
        value = self._value(surface, host, construction, (inside, beyond), part)
        if value is None:
            return
        if isinstance(value, Refusal):
            name = construction.name or "its construction"
            self._envelope.lack(host, f"{title}: the U-value of {name} ({value.words.rstrip('.')})")
            return
        if host.other_side == "unheated" and not self._has_space(surface, host, value):
            return
        element = known(surface.element)
        self._valued.append(
            Valued(
                surface,
                element,
                piece,
                construction,
                value,
                gross,
                openings,
                inside_c=inside,
                beyond_c=beyond,
                part=part,
            )
        )

    def _lack_part(self, host: Surface, title: str, losses: Losses) -> None:
        """Note what a room beyond cannot be told of; a room whose own part is not there says so itself."""
        if host.other_side == "room" and host.other_room is not None:
            for room, other in ((host.room, host.other_room), (host.other_room, host.room)):
                if self._parts.of_room(room) is not None and room is not None and other is not None:
                    losses.missing.setdefault(room, []).append(
                        f"{title}: which part of the house {self._names[other]} is in"
                    )

    def _value(
        self,
        surface: Surface,
        host: Surface,
        construction: Construction,
        temperatures_c: tuple[float, float],
        part: HousePart,
    ) -> Value | Refusal | None:
        """Return the U-value of a surface as it lies, between the temperatures in °C inside and beyond; None when its depth in the ground is missing."""
        if host.other_side == "ground" and surface.element == "wall":
            if host.depth_below_ground_m is not None:
                return self._constructions.wall_in_ground(construction, host.depth_below_ground_m, part)
            if construction.known_by != DECLARED:
                self._envelope.lack(host, f"{title_of(surface)}: how deep it reaches below the ground outside")
                return None
        if surface.element == "ground_floor":
            return self._constructions.ground_floor(construction, surface.below, part)
        size = None
        if surface.element in OPENINGS and surface.area_m2 is None:
            size = (known(surface.width_m), known(surface.height_m))
        return self._constructions.value(
            construction,
            _direction(surface, *temperatures_c),
            host.other_side in ("room", "unheated", "neighbour"),
            size,
            part=part,
        )

    def _has_space(self, surface: Surface, host: Surface, value: Value) -> bool:
        """Say whether it is known what unheated space lies beyond; note what is missing when it is not."""
        title = title_of(surface)
        if host.space is None:
            if host.unheated_space is None:
                self._envelope.lack(host, f"{title}: what kind of unheated space is beyond")
            return host.unheated_space is not None
        work = self._spaces.get(host.space)
        if work is None:
            self._envelope.refuse(
                host,
                "space_beyond_unknown",
                "space",
                f"{title} leads to an unheated space that is not in this survey.",
                "Choose the space, or say what kind it is.",
            )
            return False
        if value.to_outside_air:
            self._envelope.refuse(
                surface,
                "loft_counted_twice",
                "construction",
                f"{title}: its U-value by the quilt already holds the loft and the roof above, and the space {work.space.title} would count them again.",
                "Describe the ceiling by its layers, or take the space away from this surface.",
            )
            return False
        return True

    def _count(self, item: Valued, losses: Losses) -> None:
        piece, host, title = item.piece, item.piece.surface, title_of(item.surface)
        if host.space and host.other_side == "unheated":
            work = self._spaces[host.space]
            if work.outside_w_k is None:
                self._envelope.lack(host, f"{title}: the space {work.space.title} lacks {listed(work.missing)}")
                return
        if item.element == "ground_floor":
            losses.findings += floor_findings(
                item.surface, item.construction, self._names[piece.room], self._storeys.get(piece.room)
            )
        if piece.other_room is None:
            self._lose(item, piece.room, title, item.element, self._beyond(item), losses)
            return
        difference = item.inside_c - item.beyond_c
        words = f"{title} to {self._names[piece.other_room]}"
        self._lose(item, piece.room, words, item.element, Beyond(1.0, 0.0, difference, EN_12831_NEIGHBOUR), losses)
        element = _MIRRORED.get(item.element, item.element)
        label = item.construction.kind.field("element").choice_label(element)
        words = f"{label} to {self._names[piece.room]}"
        difference = item.beyond_c - item.inside_c
        self._lose(item, piece.other_room, words, element, Beyond(1.0, 0.0, difference, EN_12831_NEIGHBOUR), losses)

    def _lose(self, item: Valued, room: str, words: str, element: str, beyond: Beyond, losses: Losses) -> None:
        """Count a surface in one of its rooms."""
        face = Face(
            surface=item.surface.id,
            room=room,
            words=words,
            element=element,
            other_side=known(item.piece.surface.other_side),
            construction=item.construction.id,
            gross_m2=item.gross_m2,
            openings_m2=item.openings_m2,
            u_value=item.value.u_value,
        )
        losses.by_room.setdefault(room, []).append(_loss(face, beyond))

    def _beyond(self, item: Valued) -> Beyond:
        """Return what lies beyond a surface that leads to no other room."""
        host, value, inside = item.piece.surface, item.value, item.inside_c
        outside, mean = self._climate.outside_c, self._climate.annual_mean_c
        allowance = self._bridges[item.part.key] or 0.0
        if host.other_side == "neighbour":
            differences = {
                "same_temperature": 0.0,
                "annual_mean": inside - mean,
                "cold": inside - self._neighbour_c,
            }
            return Beyond(1.0, 0.0, differences[self._neighbour], EN_12831_NEIGHBOUR)
        if host.other_side == "ground":
            if value.ground == "suspended":
                return Beyond(1.0, 0.0, inside - outside, value.step.source)
            return Beyond(self._ground_factor, 0.0, inside - mean, EN_12831_GROUND)
        if host.other_side == "unheated" and host.space:
            space_c = known(self._spaces[host.space].temperature_c(outside))
            if abs(inside - outside) < LEAST_DIFFERENCE_K:
                return Beyond(1.0, allowance, inside - space_c, EN_ISO_13789)
            return Beyond((inside - space_c) / (inside - outside), allowance, inside - outside, EN_ISO_13789)
        if host.other_side == "unheated":
            space = known(host.unheated_space)
            if value.to_outside_air and space.startswith("loft"):
                # The default for a loft by its quilt already holds the loft and the roof above it.
                return Beyond(1.0, allowance, inside - outside, value.step.source)
            row = table(SPACES).get(space=space)
            return Beyond(row.number("factor"), allowance, inside - outside, cite_row(row))
        return Beyond(1.0, allowance, inside - outside, EN_12831)


@lru_cache(maxsize=8192)
def _loss(face: Face, beyond: Beyond) -> tuple[SurfaceLoss, float]:
    """Return the loss of a surface to one side, and its watts unrounded; most are as they were at the assessment before."""
    net = face.gross_m2 - face.openings_m2
    watts = surface_loss(net, face.u_value, beyond.bridge_w_m2k, beyond.factor, beyond.difference_k)
    loss = SurfaceLoss(
        id=face.surface,
        room=face.room,
        words=face.words,
        element=face.element,
        other_side=face.other_side,
        construction=face.construction,
        gross_area_m2=rounded(face.gross_m2, AREA),
        openings_m2=rounded(face.openings_m2, AREA),
        net_area_m2=rounded(net, AREA),
        u_value_w_m2k=rounded(face.u_value, U_VALUE),
        bridge_w_m2k=rounded(beyond.bridge_w_m2k, U_VALUE),
        factor=rounded(beyond.factor, 4),
        temperature_difference_k=rounded(beyond.difference_k, TEMPERATURE),
        loss_w=rounded(watts, WATTS),
        source=beyond.source,
    )
    return loss, watts


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
    if surface.element == "ground_floor" and (contradiction := contradicts_look(surface, construction)):
        return contradiction
    if host.other_side == "ground" and surface.element in OPENINGS:
        return f"{element_words(surface.element)} cannot open into the ground"
    if (
        host.other_side == "ground"
        and surface.element not in ("ground_floor", "wall")
        and construction.known_by != DECLARED
    ):
        return "only floors and walls in the ground can be worked out from their look or layers; declare its U-value"
    return None
