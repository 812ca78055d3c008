"""The cable schedule as a drawing: from where to where, which cable, how long, who runs it, what was found."""

from __future__ import annotations

from collections.abc import Sequence

from wattwalk.engine.answers import CableAssessment, CableSizing
from wattwalk.engine.answers.words import CABLE_WORDS, inside_a_sentence

from .marks import enough_mark, short_mark, unknown_mark
from .svg import PAPER, Palette, amount, drawing, figure, fitted, path, rect, text, two_lines

_MARKS = {"fine": enough_mark, "stop": short_mark, "check": short_mark, "not_known": unknown_mark}


def cable_schedule(
    cables: Sequence[CableAssessment], sizings: Sequence[CableSizing], palette: Palette = PAPER, width: float = 640
) -> str:
    """Draw every cable as a line between its ends with what it is.

    Parameters
    ----------
    cables : sequence of CableAssessment
        Every cable run.
    sizings : sequence of CableSizing
        What the power cables among them carry and lose.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str
        SVG text; mains drawn through, signals dashed.
    """
    by_id = {item.id: item for item in sizings}
    parts: list[str] = []
    y = 22.0
    said = []
    for cable in cables:
        power = cable.purpose in ("supply", "immersion")
        sizing = by_id.get(cable.id)
        length = "length not known" if cable.length_m is None else f"{amount(cable.length_m, 1)} m"
        by = cable.run_by or "nobody yet"
        parts.append(text(0, y, fitted(cable.words, 13, width * 0.62), fill=palette.ink, size=13, weight=600))
        parts.append(
            text(width, y, fitted(f"{length}; run by: {by}", 12, width * 0.36), fill=palette.ink, size=12, anchor="end")
        )
        line = y + 16
        parts += [
            rect(0, line - 5, 10, 10, fill=palette.paper, stroke=palette.ink, line=1.6),
            rect(width - 10, line - 5, 10, 10, fill=palette.paper, stroke=palette.ink, line=1.6),
        ]
        parts.append(
            path(
                f"M11 {figure(line)} H{figure(width - 11)}",
                stroke=palette.accent_text if power else palette.quiet,
                line=3 if power else 2,
                dash="" if power else "7 5",
            )
        )
        facts = _facts(sizing)
        found = inside_a_sentence(CABLE_WORDS[cable.verdict]) + (
            f"; missing: {', '.join(cable.missing)}" if cable.missing else ""
        )
        y = line + 22
        for row in (facts, found):
            if not row:
                continue
            if row is found:
                parts.append(_MARKS.get(cable.verdict, unknown_mark)(7, y - 4, palette))
            parts.append(
                text(
                    20 if row is found else 0,
                    y,
                    fitted(row, 12, (width - 20) / 1.1),
                    fill=palette.ink,
                    size=12,
                    weight=700 if row is found and cable.verdict == "stop" else 400,
                )
            )
            y += 17
        y += 14
        said.append(f"{cable.words}: {length}, run by {by}; {found}.")
    if not cables:
        parts.append(text(0, y, "No cable has been written down yet.", fill=palette.quiet))
        said.append("No cable has been written down yet.")
    else:
        key = "drawn through: mains; dashed: signals. A qualified electrician designs, tests and certifies."
        lines = two_lines(key, 12, width / 1.05)
        parts += [text(0, y + 16 * place, row, fill=palette.quiet, size=12) for place, row in enumerate(lines)]
        y += 16 * (len(lines) - 1)
    return drawing(width, y + 10, "Cable schedule", " ".join(said), parts)


def _facts(sizing: CableSizing | None) -> str:
    if sizing is None:
        return ""
    parts = [sizing.cable]
    if sizing.current_a is not None:
        parts.append(f"{amount(sizing.current_a, 1)} A")
    if sizing.carries_a is not None:
        parts.append(f"carries {amount(sizing.carries_a, 1)} A")
    if sizing.drop_v is not None and sizing.drop_share is not None:
        parts.append(f"loses {amount(sizing.drop_v, 1)} V ({amount(sizing.drop_share * 100, 1)} %)")
    if sizing.longest_m is not None:
        parts.append(f"at most {amount(sizing.longest_m)} m")
    return ", ".join(part for part in parts if part)
