"""The rooms of a storey as a page shows them: outlines, what is beyond each piece of them, windows and doors."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from wattwalk.survey.box import OPENINGS
from wattwalk.survey.building import Surface
from wattwalk.survey.shape import RECTANGLE
from wattwalk.survey.sides import TURNS

from ..answers.plan import PlanLine, PlanOpening, PlanRoom
from ..answers.rounding import rounded
from .forms import outline_of, turned_point
from .state import SLACK, THICKEST, Lying
from .told import CLEAR, Place

#: Places of a millimetre, in m.
MM = 3
FACES = {turn: word for word, turn in TURNS.items()}
#: An opening of which no width was said is drawn so wide, m.
USUAL_OPENING = 0.8
#: What is said of a piece of a side where several things lie beyond it: outside air before the others, since it decides most.
_FIRST = ("outside", "neighbour", "unheated", "ground", "nothing")


@dataclass(frozen=True)
class _Piece:
    """A straight piece of an outline on the page, m, and the way it looks."""

    way: int
    line: float
    low: float
    high: float
    is_slanting: bool = False
    ends: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)


class Page:
    """One group of rooms on the page, turned by so many quarter-turns and moved to the right."""

    def __init__(self, places: Mapping[str, Place], layout: Mapping[str, Lying], group: int, turn: int):
        self.places = places
        self.group = group
        self.turns = {name: (lying.turn + turn) % 4 for name, lying in layout.items()}
        self.boxes: dict[str, tuple[float, float, float, float]] = {}
        self.outlines: dict[str, list[tuple[float, float]]] = {}
        for name, lying in layout.items():
            place = places[name]
            form = place.form(lying.turn)
            x, y, width, height = lying.x, lying.y, form.width, form.height
            for _ in range(turn):
                x, y, width, height = -y - height, x, height, width
            self.boxes[name] = (x, y, width, height)
            starts = _starts(place, lying)
            self.outlines[name] = [
                (left + x, top + y)
                for left, top in (
                    turned_point(*point, place.box, self.turns[name])
                    for point in outline_of(place.box, place.parts, starts)
                )
            ]

    def bounds(self) -> tuple[float, float, float, float]:
        """Return left, top, right and bottom of all outlines, m."""
        points = [point for outline in self.outlines.values() for point in outline]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)

    def move(self, right: float, down: float) -> None:
        """Move all rooms, m."""
        self.boxes = {name: (x + right, y + down, w, h) for name, (x, y, w, h) in self.boxes.items()}
        self.outlines = {name: [(x + right, y + down) for x, y in points] for name, points in self.outlines.items()}

    def rooms(self, openings: Mapping[str, Sequence[Surface]]) -> list[PlanRoom]:
        """Return the rooms, in the order of their making; ``openings`` are the windows and doors by the wall that they are in."""
        pieces = {name: _pieces(outline) for name, outline in self.outlines.items()}
        return [self._room(place, pieces, openings) for name, place in self.places.items() if name in self.boxes]

    def _room(
        self, place: Place, pieces: Mapping[str, Sequence[_Piece]], openings: Mapping[str, Sequence[Surface]]
    ) -> PlanRoom:
        lines: list[PlanLine] = []
        by_way: dict[int, list[PlanLine]] = {way: [] for way in range(4)}
        drawn: list[PlanOpening] = []
        others = [item for name, found in pieces.items() if name != place.id for item in found]
        for piece in pieces[place.id]:
            beyond = _beyond(place, (piece.way - self.turns[place.id]) % 4)
            if piece.is_slanting:
                lines.append(_line(piece.ends, beyond))
                continue
            made = _lines(piece, beyond, _touching(piece, others))
            lines += made
            by_way[piece.way] += made
        for wall in place.walls:
            way = (wall.side + self.turns[place.id]) % 4
            span = self._span_of(way, wall.other, by_way[way])
            if span is not None:
                drawn += _openings(way, span, openings.get(wall.id, ()))
        x, y, width, height = self.boxes[place.id]
        return PlanRoom(
            id=place.id,
            name=place.name,
            faces=FACES[self.turns[place.id]],
            group=self.group,
            x_m=rounded(x, MM),
            y_m=rounded(y, MM),
            width_m=rounded(width, MM),
            height_m=rounded(height, MM),
            outline=tuple((rounded(left, MM), rounded(top, MM)) for left, top in self.outlines[place.id]),
            lines=tuple(lines),
            openings=tuple(drawn),
        )

    def _span_of(self, way: int, other: str | None, lines: Sequence[PlanLine]) -> tuple[float, float, float] | None:
        """Return, of the lines that look one way, the line across it, and the longest stretch along it that faces a room, or none, on the page; m."""
        best: tuple[float, float, float] | None = None
        for line in lines:
            if (line.beyond == "room") != (other is not None and other in self.boxes):
                continue
            is_level = way in (0, 2)
            across = line.from_y_m if is_level else line.from_x_m
            low, high = (line.from_x_m, line.to_x_m) if is_level else (line.from_y_m, line.to_y_m)
            if other is not None and other in self.boxes:
                x, y, width, height = self.boxes[other]
                begin, end = (x, x + width) if is_level else (y, y + height)
                low, high = max(min(low, high), begin), min(max(low, high), end)
            if best is None or abs(high - low) > best[2] - best[1]:
                best = (across, min(low, high), max(low, high))
        return best if best is not None and best[2] - best[1] > 0.1 else None


def _starts(place: Place, lying: Lying) -> dict[int, float]:
    """Return where along its side each part that can be moved begins, in the room's own frame."""
    found: dict[int, float] = {}
    movable = [number for number, part in enumerate(place.parts) if part.what == RECTANGLE]
    for number, start in zip(movable, lying.parts, strict=True):
        part = place.parts[number]
        is_level = part.where in ("front", "back")
        span = place.box[0] if is_level else place.box[1]
        # Turned so that its side runs the other way on the page, it is counted from the other end.
        is_backwards = lying.turn in ((2, 3) if is_level else (1, 2))
        found[number] = span - start - part.along_m if is_backwards else start
    return found


def _pieces(outline: Sequence[tuple[float, float]]) -> list[_Piece]:
    """Return the straight pieces of an outline that goes round clockwise, each with the way that it looks."""
    found = []
    for (x1, y1), (x2, y2) in zip(outline, [*outline[1:], outline[0]], strict=True):
        ends = (x1, y1, x2, y2)
        if abs(y1 - y2) < 1e-6 and abs(x1 - x2) < 1e-6:
            continue
        if abs(y1 - y2) < 1e-6:
            found.append(_Piece(0 if x2 > x1 else 2, y1, min(x1, x2), max(x1, x2), ends=ends))
        elif abs(x1 - x2) < 1e-6:
            found.append(_Piece(1 if y2 > y1 else 3, x1, min(y1, y2), max(y1, y2), ends=ends))
        else:
            # The cheek of a bay looks the way of its bay, which the piece after or before it shows; outside air lies beyond it anyway.
            found.append(_Piece(0, 0.0, 0.0, 0.0, True, ends))
    return found


def _touching(piece: _Piece, others: Iterable[_Piece]) -> list[tuple[float, float]]:
    """Return where pieces of other rooms lie right beyond a piece of a room's outline, from its lower end on."""
    found = []
    for other in others:
        if other.is_slanting or other.way != (piece.way + 2) % 4:
            continue
        gap = (other.line - piece.line) * (1 if piece.way in (1, 2) else -1)
        low, high = max(piece.low, other.low), min(piece.high, other.high)
        if -0.25 <= gap <= THICKEST + 0.1 and high - low > 0.05:
            found.append((low, high))
    return sorted(found)


def _lines(piece: _Piece, beyond: str, taken: Iterable[tuple[float, float]]) -> list[PlanLine]:
    """Return a piece as lines: with a room beyond it where it is taken, and what else is beyond it in between."""
    found, at = [], piece.low
    for low, high in [*taken, (piece.high, piece.high)]:
        if low - at > 0.05:
            found.append(_line(_ends(piece, at, low), beyond))
        if high > max(low, at):
            found.append(_line(_ends(piece, max(low, at), high), "room"))
        at = max(at, high)
    return found


def _ends(piece: _Piece, low: float, high: float) -> tuple[float, float, float, float]:
    return (low, piece.line, high, piece.line) if piece.way in (0, 2) else (piece.line, low, piece.line, high)


def _line(ends: tuple[float, float, float, float], beyond: str) -> PlanLine:
    x1, y1, x2, y2 = (rounded(value, MM) for value in ends)
    return PlanLine(x1, y1, x2, y2, beyond)


def _beyond(place: Place, side: int) -> str:
    """Return what lies beyond the part of a side that faces no room of the plan."""
    if side in place.without:
        return "outside"
    told = {wall.beyond for wall in place.along(side)}
    known = [word for word in _FIRST if word in told]
    if not known:
        return "not_said"
    return known[0] if known[0] in CLEAR or place.told_m(side) > SLACK else "nothing"


def _openings(way: int, span: tuple[float, float, float], openings: Sequence[Surface]) -> list[PlanOpening]:
    """Return the windows and doors of a wall, spread along the stretch that it has on the page."""
    line, low, high = span
    single = [item for item in openings for _ in range(min(item.effective("count") or 1, 6))]
    share = (high - low) / max(len(single), 1)
    found = []
    for number, item in enumerate(single):
        middle = low + share * (number + 0.5)
        half = min(item.width_m or USUAL_OPENING, 0.9 * share) / 2
        ends = (
            (middle - half, line, middle + half, line) if way in (0, 2) else (line, middle - half, line, middle + half)
        )
        x1, y1, x2, y2 = (rounded(value, MM) for value in ends)
        found.append(PlanOpening(item.id, item.element or OPENINGS[0], x1, y1, x2, y2))
    return found
