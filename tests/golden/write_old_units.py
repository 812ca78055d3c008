"""Work the figures of surveys of version 2 out anew, in which places said what their units are; look at the difference before you commit it.

The documents stay as they are: they, and at first the figures too, were written by a program that knew no unit's data but at its place.

Run it from the top folder: ``python -m tests.golden.write_old_units``.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.golden.write_answers import figures
from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import Survey, read_document

FOLDER = Path(__file__).parent / "old_units"
#: Units that the taking over makes: of them the answer tells that they have no table, which nobody asked for before.
MADE = ("unit-of-", "second-of-")


def old_documents() -> dict[str, dict[str, Any]]:
    """Return the old documents by the name of their file."""
    return {path.stem: _read(path)["document"] for path in sorted(FOLDER.glob("*.json"))}


def kept_figures(name: str) -> dict[str, Any]:
    """Return the figures and findings that are kept of a document."""
    return _read(FOLDER / f"{name}.json")["figures"]


def _read(path: Path) -> dict[str, Any]:
    return json.loads(path.read_text(encoding="utf-8"))


def figures_of(survey: Survey) -> dict[str, Any]:
    """Return every figure and every finding by its code, record and severity: no wording, no field to tap, no unit that was made."""
    return comparable(to_plain(assess(survey)))


def comparable(answer: dict[str, Any]) -> dict[str, Any]:
    """Return a plain answer in the form in which it is kept."""
    kept = figures(answer)
    kept["findings"] = sorted(
        [item["code"], item["record"], item["about"], item["severity"]] for item in kept["findings"]
    )
    kept["plant"]["units"] = [item for item in kept["plant"]["units"] if not item["id"].startswith(MADE)]
    return json.loads(json.dumps(kept))


def written(document: dict[str, Any], figures: dict[str, Any]) -> str:
    """Return the text of a file: the document on one line, a line for each part of its figures after it."""
    parts = ",\n".join(f"{json.dumps(name)}:{_line(part)}" for name, part in figures.items())
    return f'{{"document":{_line(document)},\n"figures":{{\n{parts}\n}}}}\n'


def _line(part: Any) -> str:
    return json.dumps(part, ensure_ascii=False, separators=(",", ":"))


if __name__ == "__main__":
    for name, document in old_documents().items():
        (FOLDER / f"{name}.json").write_text(written(document, figures_of(read_document(document))), encoding="utf-8")
