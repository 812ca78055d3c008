"""What the report's pages are given for ten surveys, as a golden file: every figure, and where there are words or none.

Run `python -m tests.golden.write_papers` after a change that is meant, and look at the difference: there is a line for each chapter of each survey.
The surveys are those of the golden answers; what the pages say in words is held by the tests of each chapter.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.golden.write_answers import read_golden
from tests.support import invented_house
from wattwalk.office import quotation, site_sheets, technical_file
from wattwalk.office.report_inputs import gather
from wattwalk.survey.document import make_survey, read_document
from wattwalk.survey.stored import make_record

FILE = Path(__file__).with_name("papers.json")
FIRM = {
    "name": "Invented Heating Ltd",
    "address": "1 Nowhere Yard",
    "telephone": "01632 960000",
    "email": "office@firm.example",
    "terms": "14 days.",
}
_DRAWN = ("demo", "small", "drawn 38", "drawn 66", "drawn 150", "drawn 135", "drawn 149", "drawn 77", "drawn 131")
#: The same for every survey.
_FIXED = {"cautions", "fonts", "cancellation", "drawing_root", "firm"}
_FIGURE = re.compile(r"[−-]?£?\d[\d,.]*\d|[−-]?£?\d|–")


def surveys() -> dict[str, Any]:
    """Return the surveys by name."""
    held = read_golden()
    made = {"invented": read_document(invented_house.document())}
    for name in _DRAWN:
        asked = held[name]["asked"]
        made[name] = make_survey(
            asked["id"], (make_record(item["kind"], item["id"], item["values"]) for item in asked["records"])
        )
    return made


def pages(survey: Any) -> dict[str, Any]:
    """Return what the pages are given, without its words."""
    inputs = gather(survey, firm=FIRM, version=2, made_on="2026-04-02")
    sheets = [asdict(sheet) for sheet in site_sheets.sheets(inputs)]
    given = {**technical_file.context(inputs), "quotation": _printed(quotation.context(inputs)), "sheets": sheets}
    return {name: _figures(inner) for name, inner in given.items() if name not in _FIXED}


def _printed(given: dict[str, Any]) -> dict[str, Any]:
    return {name: inner for name, inner in given.items() if name not in _FIXED}


def _figures(item: Any) -> Any:
    """Return a text as its figures, words between them as a sign that there are some."""
    if isinstance(item, Mapping):
        return {str(name): _figures(inner) for name, inner in item.items()}
    if isinstance(item, list | tuple):
        return [_figures(inner) for inner in item]
    if isinstance(item, bool | int | float) or item is None:
        return item
    text = str(item)
    return " ".join(_FIGURE.findall(text)) or ("…" if text.strip() else "")


def written(made: Mapping[str, Any]) -> str:
    """Return the golden file: a line for each chapter of each survey."""
    parts = []
    for name, survey in made.items():
        lines = (
            f'"{chapter}": {json.dumps(given, ensure_ascii=False, separators=(",", ":"))}'
            for chapter, given in pages(survey).items()
        )
        parts.append(f'"{name}": {{\n' + ",\n".join(lines) + "\n}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


if __name__ == "__main__":
    FILE.write_text(written(surveys()), encoding="utf-8")
