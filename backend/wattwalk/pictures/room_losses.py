"""Each room's loss beside what its emitters give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wattwalk.engine.answers import Assessment, RoomAssessment, Verdict
from wattwalk.survey.building import STOREYS

from .marks import enough_mark, nothing_mark, short_mark, unknown_mark
from .svg import PAPER, Palette, amount, drawing, fitted, hatch, rect, text, text_width, two_lines

_BAR = 8.0
#: Room for the words of the verdict at the right.
_VERDICT = 150.0
#: By how much bold letters, and those of a phone's own font, may be wider than is estimated.
_WIDER = 1.2


@dataclass(frozen=True)
class _Frame:
    """Where things go at one width."""

    width: float
    narrow: bool
    bars_x: float
    bars_width: float
    row: float
    longest_w: float

    def bar(self, watts: float) -> float:
        """Return the length of a bar in drawing units."""
        return self.bars_width * max(watts, 0) / self.longest_w


def storey_label(storey: str) -> str:
    """Return the storey's label; the engine may give the stored word or the label itself."""
    return dict(STOREYS).get(storey, storey)


def by_storey(rooms: Sequence[RoomAssessment]) -> list[tuple[str, list[RoomAssessment]]]:
    """Return the rooms storey by storey from the bottom of the house up, in the order surveyed within each."""
    order = [label for _name, label in STOREYS]
    groups: dict[str, list[RoomAssessment]] = {}
    for room in rooms:
        groups.setdefault(storey_label(room.storey), []).append(room)
    return sorted(groups.items(), key=lambda item: order.index(item[0]) if item[0] in order else len(order))


def verdict_words(room: RoomAssessment) -> str:
    """Return what can be said of the room's emitters in a few words."""
    if room.verdict is Verdict.ENOUGH:
        over = room.margin_w
        return "enough" if over is None else f"enough, {amount(over)} W over" if round(over) > 0 else "just enough"
    if room.verdict is Verdict.SHORT:
        return "short" if room.margin_w is None else f"short by {amount(-room.margin_w)} W"
    if room.verdict is Verdict.NO_EMITTER:
        return "no emitter"
    return room.so_far or "not known yet"


def _mark(room: RoomAssessment, x: float, y: float, palette: Palette) -> str:
    draw = {Verdict.ENOUGH: enough_mark, Verdict.SHORT: short_mark, Verdict.NO_EMITTER: nothing_mark}.get(
        room.verdict, unknown_mark
    )
    return draw(x, y, palette)


def _bars(room: RoomAssessment, x: float, y: float, frame: _Frame, palette: Palette) -> list[str]:
    parts = []
    if room.total_w is None:
        why = room.missing[0] if room.missing else "something is missing"
        parts.append(
            text(x, y + _BAR, fitted(f"loss not known: {why}", 11, frame.bars_width + 48), fill=palette.quiet, size=11)
        )
    else:
        end = x + frame.bar(room.total_w)
        parts.append(rect(x, y, end - x, _BAR, fill=palette.loss))
        parts.append(text(end + 5, y + _BAR, f"{amount(room.total_w)} W", fill=palette.ink, size=11))
    below = y + _BAR + 4
    if room.output_w is None:
        parts.append(text(x, below + _BAR, "output not known", fill=palette.quiet, size=11))
        return parts
    end = x + frame.bar(room.output_w)
    parts.append(rect(x, below, end - x, _BAR, fill=palette.accent))
    if (
        room.verdict in {Verdict.SHORT, Verdict.NO_EMITTER}
        and room.total_w is not None
        and room.total_w > room.output_w
    ):
        wanted = x + frame.bar(room.total_w)
        if wanted - end > 1.5:
            parts.append(rect(end, below, wanted - end, _BAR, fill="none", stroke=palette.accent_text, line=0.9))
            parts.append(hatch(end, below, wanted - end, _BAR, stroke=palette.accent_text, step=4, line=0.9))
        end = wanted
    parts.append(text(end + 5, below + _BAR, f"{amount(room.output_w)} W", fill=palette.ink, size=11))
    return parts


def _row(room: RoomAssessment, y: float, frame: _Frame, palette: Palette) -> list[str]:
    parts, words = [], verdict_words(room)
    weight = 600 if room.verdict in {Verdict.SHORT, Verdict.NO_EMITTER} else 400
    if frame.narrow:
        left = frame.width - 16 - _WIDER * text_width(words, 12) - 10
        parts.append(text(0, y + 14, fitted(room.name, 13 * _WIDER, left), fill=palette.ink, weight=600))
        parts.append(text(frame.width - 16, y + 14, words, fill=palette.ink, size=12, anchor="end", weight=weight))
        parts.append(_mark(room, frame.width - 7, y + 10, palette))
        return parts + _bars(room, 0, y + 21, frame, palette)
    lines = two_lines(room.name, 13, frame.bars_x - 12)
    first = y + 19 if len(lines) == 1 else y + 12
    parts += [text(0, first + 14 * place, line, fill=palette.ink) for place, line in enumerate(lines)]
    verdict_x = frame.width - _VERDICT
    parts.append(_mark(room, verdict_x + 6, y + 14, palette))
    parts.append(text(verdict_x + 18, y + 18.5, words, fill=palette.ink, size=12, weight=weight))
    return parts + _bars(room, frame.bars_x, y + 4, frame, palette)


def _legend(assessment: Assessment, frame: _Frame, palette: Palette) -> tuple[list[str], float]:
    cold = "" if assessment.climate is None else f" at {amount(assessment.climate.outside_c, 1)} °C outside"
    flow = "" if assessment.flow is None else f" at {amount(assessment.flow.design_c, 1).removesuffix('.0')} °C flow"
    items = [
        (f"lost{cold}", palette.loss, False),
        (f"given by emitters{flow}", palette.accent, False),
        ("short", palette.accent_text, True),
    ]
    parts, x, y = [], 0.0, 12.0
    for words, colour, hatched in items:
        if hatched:
            parts += [
                rect(x, y - 9, 16, _BAR, fill="none", stroke=colour, line=0.9),
                hatch(x, y - 9, 16, _BAR, stroke=colour, step=4, line=0.9),
            ]
        else:
            parts.append(rect(x, y - 9, 16, _BAR, fill=colour))
        parts.append(text(x + 22, y, words, fill=palette.quiet, size=12))
        if frame.narrow and not hatched:
            y += 17
        else:
            x += 44 + text_width(words, 12) * 1.1
    return parts, y + 10


def _frame(assessment: Assessment, width: float, many: bool) -> _Frame:
    watts = [value for room in assessment.rooms for value in (room.total_w, room.output_w) if value is not None]
    longest = max([*watts, 1.0])
    narrow = width < 480
    if narrow:
        return _Frame(width, True, 0, width - 56, 50, longest)
    return _Frame(width, False, 158, width - 158 - _VERDICT - 56, 28 if many else 34, longest)


def _sheet(assessment: Assessment, rooms: Sequence[RoomAssessment], frame: _Frame, palette: Palette) -> str:
    parts, y = _legend(assessment, frame, palette)
    groups = by_storey(rooms)
    named = len({storey_label(room.storey) for room in assessment.rooms}) > 1
    for label, members in groups:
        if named:
            parts.append(text(0, y + 16, label, fill=palette.quiet, size=12, weight=600))
            y += 22
        parts.append(rect(0, y, frame.width, 0.8, fill=palette.line))
        for room in members:
            parts += _row(room, y + 2, frame, palette)
            y += frame.row
            parts.append(rect(0, y, frame.width, 0.8, fill=palette.line))
        y += 6
    if not rooms:
        parts.append(text(0, y + 16, "No room has been surveyed yet.", fill=palette.ink))
        y += 24
    described = "; ".join(
        f"{room.name}: {'loss not known' if room.total_w is None else amount(room.total_w) + ' W lost'}, {verdict_words(room)}"
        for room in rooms
    )
    return drawing(
        frame.width, y + 2, "Heat lost by each room, and heat given by its emitters", described or "No rooms.", parts
    )


def room_losses(assessment: Assessment, palette: Palette = PAPER, width: float = 640) -> str:
    """Draw each room's loss as a bar over what its emitters give at the design flow temperature.

    Parameters
    ----------
    assessment : Assessment
        The rooms are drawn storey by storey; a room that is short is marked by a word, a triangle and hatching.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units; below 480 the names stand over the bars.

    Returns
    -------
    str
        SVG text.
    """
    return _sheet(assessment, assessment.rooms, _frame(assessment, width, len(assessment.rooms) > 20), palette)


def room_losses_sheets(
    assessment: Assessment, palette: Palette = PAPER, width: float = 640, rows: int = 24
) -> list[str]:
    """Draw the same as :func:`room_losses` in sheets of at most ``rows`` rooms and one scale, for paper."""
    if rows < 1:
        raise ValueError(f"A sheet needs at least one row, found {rows}.")
    ordered = [room for _label, members in by_storey(assessment.rooms) for room in members]
    frame = _frame(assessment, width, len(ordered) > 20)
    starts = range(0, max(len(ordered), 1), rows)
    return [_sheet(assessment, ordered[start : start + rows], frame, palette) for start in starts]
