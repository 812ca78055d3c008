"""Figures of an answer, a flat line for each: what old surveys came to before and after something was taken over.

A line is kept for each figure that is asked for by its path and for each finding. So a field that is added to the answer changes no file,
and a figure that moves, goes or becomes unknown changes its own line and no other.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import Survey

#: What an item of a list is called by; its place in the list where it has none of these.
_CALLED_BY = ("id", "side")


def lines_of(survey: Survey, paths: Iterable[str]) -> list[str]:
    """Return a line ``path value`` for each figure and one for each finding, code, record and severity, in order."""
    answer = to_plain(assess(survey))
    figures = (f"{path} {_text(value)}" for asked in paths for path, value in _found(answer, asked.split(".")))
    findings = (
        " ".join(["finding", item["code"], item["record"] or "-", item["about"] or "-", item["severity"]])
        for item in answer["findings"]
    )
    return [*sorted(figures), *sorted(findings)]


def read_lines(file: Path) -> list[str]:
    """Return the lines kept in a file."""
    return file.read_text(encoding="utf-8").splitlines()


def write_lines(file: Path, lines: Iterable[str]) -> None:
    """Keep these lines in a file."""
    file.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")


def read_documents(folder: Path) -> dict[str, dict[str, Any]]:
    """Return the documents of a folder by the name of their file."""
    return {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))}


def _found(item: Any, steps: list[str], path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield each value at a path with what it is called; ``*`` stands for every item of a list. Nothing lies below what is not known."""
    if not steps:
        yield path, item
    elif item is not None and steps[0] == "*":
        for place, inner in enumerate(item):
            yield from _found(inner, steps[1:], f"{path}.{_name(inner, place)}")
    elif item is not None:
        yield from _found(item[steps[0]], steps[1:], f"{path}.{steps[0]}".lstrip("."))


def _name(item: dict[str, Any], place: int) -> str:
    return next((str(item[name]) for name in _CALLED_BY if name in item), str(place))


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
