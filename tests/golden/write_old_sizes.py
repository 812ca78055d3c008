"""Work the figures of old surveys out anew, in which every side of a room still stores its size; look at the difference before you commit it.

The documents stay as they are: they, and at first the figures too, were written by a program that knew no side without a size of its own.

Run it from the top folder: ``python -m tests.golden.write_old_sizes``.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import read_document

FOLDER = Path(__file__).parent / "old_sizes"
#: Its figures are too long to be kept: a fingerprint stands for them.
LARGE = "large_house"


def old_documents() -> dict[str, dict[str, Any]]:
    """Return the old documents by the name of their file."""
    return {
        path.stem: json.loads(path.read_text(encoding="utf-8"))["document"] for path in sorted(FOLDER.glob("*.json"))
    }


def kept_figures(name: str) -> str:
    """Return the figures kept in a file, to the byte: all that is worked out as JSON text, or its fingerprint."""
    return (FOLDER / f"{name}.json").read_text(encoding="utf-8").split('\n"assessment":', 1)[1].removesuffix("}\n")


def figures_of(name: str, document: dict[str, Any]) -> str:
    """Return what is worked out of a document in the form in which it is kept."""
    figures = json.dumps(
        to_plain(assess(read_document(document))), ensure_ascii=False, allow_nan=False, separators=(",", ":")
    )
    return f'"{hashlib.sha256(figures.encode()).hexdigest()}"' if name == LARGE else figures


def written(name: str, document: dict[str, Any]) -> str:
    """Return the text of a file: the document on one line, its figures on the next."""
    return f'{{"document":{json.dumps(document, ensure_ascii=False, separators=(",", ":"))},\n"assessment":{figures_of(name, document)}}}\n'


if __name__ == "__main__":
    for name, document in old_documents().items():
        (FOLDER / f"{name}.json").write_text(written(name, document), encoding="utf-8")
