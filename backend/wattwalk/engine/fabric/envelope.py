"""Surfaces as they lie: which opening sits in which wall, net areas, and what cannot be so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import fsum

from wattwalk.survey.box import OPENINGS
from wattwalk.survey.building import Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.sides import area_of_one

from ..answers import Finding, Severity
from ..answers.citing import COMMON_PRACTICE
from ..answers.rounding import figure

AREA_TOLERANCE_M2 = 1e-6


@dataclass
class Piece:
    """A wall, floor, ceiling or roof of a room with the openings that sit in it; ``other_room`` where one lies beyond."""

    surface: Surface
    room: str
    other_room: str | None
    gross_m2: float
    openings: list[tuple[Surface, float]] = field(default_factory=list)
    openings_m2: float = 0.0


@dataclass
class Envelope:
    """Every piece that can be worked out, what is missing by room, and the findings."""

    pieces: list[Piece] = field(default_factory=list)
    missing: dict[str, list[str]] = field(default_factory=dict)
    #: By room, the surfaces that cannot be worked out.
    lacking: dict[str, set[str]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def lack(self, surface: Surface, words: str) -> None:
        """Note that the rooms on both sides of ``surface`` lack something."""
        rooms = [surface.room]
        if surface.other_side == "room" and surface.other_room != surface.room:
            rooms.append(surface.other_room)
        for room in rooms:
            if room is not None:
                self.lack_in(room, surface, words)

    def lack_in(self, room: str, surface: Surface, words: str) -> None:
        """Note that one room lacks something of ``surface``."""
        self.missing.setdefault(room, []).append(words)
        self.lacking.setdefault(room, set()).add(surface.id)

    def refuse(self, surface: Surface, code: str, name: str | None, message: str, remedy: str) -> None:
        """Add a finding on ``surface`` and note that its rooms cannot be worked out."""
        self.findings.append(Finding(Severity.CHECK, code, surface.key(), name, message, remedy, COMMON_PRACTICE))
        self.lack(surface, message)


def title_of(surface: Surface) -> str:
    """Return the words a person would call a surface by."""
    if surface.name:
        return surface.name
    return surface.title


def area_of(surface: Surface) -> float | None:
    """Return a surface's area in m² (of all alike together), or None while it is not known."""
    one = area_of_one(surface)
    return one if one is None or surface.element not in OPENINGS else one * surface.effective("count")


def lay_out(survey: Survey, room_names: Mapping[str, str]) -> Envelope:
    """Sort a survey's surfaces into pieces with their openings.

    Parameters
    ----------
    survey : Survey
        May hold references to records that have not arrived; such surfaces become findings.
    room_names : mapping
        Name of every room by its id.
    """
    envelope = Envelope()
    surfaces = survey.of_kind(Surface)
    by_id = {item.id: item for item in surfaces}
    openings: dict[str, list[Surface]] = {}
    for item in surfaces:
        if item.element in OPENINGS:
            host = _host_of(item, by_id, envelope)
            if host is not None:
                openings.setdefault(host.id, []).append(item)
    for item in surfaces:
        if item.element not in OPENINGS:
            _add_piece(item, openings.get(item.id, []), room_names, envelope)
    return envelope


def _host_of(item: Surface, by_id: Mapping[str, Surface], envelope: Envelope) -> Surface | None:
    title = title_of(item)
    if item.opening_in is None:
        envelope.lack(item, f"{title}: in which wall or roof it sits")
        return None
    host = by_id.get(item.opening_in)
    if host is None or host.element in OPENINGS:
        found = "is not in this survey" if host is None else "is itself a window or door"
        envelope.refuse(
            item,
            "opening_in_nothing",
            "opening_in",
            f"{title} sits in a surface that {found}.",
            "Choose the wall or roof it sits in.",
        )
        return None
    if item.room is not None and item.room not in (host.room, host.other_room):
        envelope.refuse(
            item,
            "opening_in_other_room",
            "opening_in",
            f"{title} sits in a wall of another room.",
            "Choose the wall it sits in, or its right room.",
        )
        return None
    return host


def _add_piece(item: Surface, openings: list[Surface], room_names: Mapping[str, str], envelope: Envelope) -> None:
    title = title_of(item)
    if item.room is None or item.room not in room_names:
        if item.other_side == "nothing":
            return
        found = "belongs to no room" if item.room is None else "belongs to a room that is not in this survey"
        envelope.findings.append(
            Finding(
                Severity.CHECK,
                "surface_without_room",
                item.key(),
                "room",
                f"{title} {found}; its loss is not counted.",
                "Choose its room.",
                COMMON_PRACTICE,
            )
        )
        if item.other_side == "room" and item.other_room is not None and item.other_room in room_names:
            envelope.lack_in(item.other_room, item, f"{title}: the room on its other side")
        return
    if item.element is None:
        envelope.lack(item, "a surface: what it is")
        return
    if item.other_side is None:
        envelope.lack(item, f"{title}: what is beyond")
        return
    if item.other_side == "room":
        if item.other_room is None:
            envelope.lack(item, f"{title}: which room is beyond")
            return
        if item.other_room == item.room:
            envelope.refuse(
                item,
                "room_beside_itself",
                "other_room",
                f"{title} of {room_names[item.room]} leads to the same room.",
                "Choose the room beyond it.",
            )
            return
        if item.other_room not in room_names:
            envelope.refuse(
                item,
                "room_beyond_unknown",
                "other_room",
                f"{title} of {room_names[item.room]} leads to a room that is not in this survey.",
                "Choose the room beyond it.",
            )
            return
    piece = _measured(item, item.room, openings, envelope)
    if piece is not None:
        envelope.pieces.append(piece)


def _measured(item: Surface, room: str, openings: list[Surface], envelope: Envelope) -> Piece | None:
    title = title_of(item)
    gross = area_of(item)
    if gross is None:
        if item.other_side != "nothing":
            envelope.lack(item, f"{title}: width and height, or area")
        return None
    piece = Piece(item, room, item.other_room if item.other_side == "room" else None, gross)
    for opening in openings:
        area = area_of(opening)
        if area is None:
            envelope.lack(item, f"{title_of(opening)}: width and height, or area")
            return None
        piece.openings.append((opening, area))
    piece.openings_m2 = fsum(area for _, area in piece.openings)
    if piece.openings_m2 > gross + AREA_TOLERANCE_M2:
        names = ", ".join(title_of(opening) for opening in openings)
        envelope.refuse(
            item,
            "opening_larger_than_wall",
            "width_m",
            f"{title} measures {figure(gross)} m², but what sits in it measures {figure(piece.openings_m2)} m² ({names}).",
            "Measure the wall and its openings again; the room is not worked out until they fit.",
        )
        return None
    return piece
