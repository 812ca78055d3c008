"""Write the golden file of a photo's marks anew; look at the difference before you commit it.

Run it from the top folder: ``python -m tests.golden.write_marks``.
"""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

from wattwalk.office.marks import placed, widths, wrapped

FILE = Path(__file__).parent / "marks.json"
SIZES = ((2048, 1536), (1536, 2048), (640, 640), (550, 120))
STROKES: tuple[dict[str, Any], ...] = (
    {"shape": "arrow", "x1": 0.1, "y1": 0.9, "x2": 0.5, "y2": 0.5},
    {"shape": "arrow", "x1": 0.5, "y1": 0.5, "x2": 0.505, "y2": 0.5},
    {"shape": "arrow", "x1": 0.5, "y1": 0.5, "x2": 0.5, "y2": 0.5},
    {"shape": "ring", "x1": 0.8, "y1": 0.7, "x2": 0.2, "y2": 0.1},
    {"shape": "words", "x1": 0.02, "y1": 0, "words": "Fuse"},
    {"shape": "words", "x1": 0.5, "y1": 0.5, "words": "The main fuse is behind this door, keep it clear"},
    {"shape": "words", "x1": 0.98, "y1": 1, "words": "Aneverendingwordthatnoonecouldeverread at all"},
    {"shape": "words", "x1": 0.5, "y1": 0.5, "words": "  "},
    {"shape": "arrow", "x1": 0.5, "y1": 0.5},
    {"shape": "ring"},
    {},
)


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 3)
    if isinstance(value, (list, tuple)):
        return [_rounded(item) for item in value]
    return {name: _rounded(item) for name, item in value.items()} if isinstance(value, dict) else value


def golden() -> dict[str, Any]:
    """Return every mark in pictures of every size."""
    cases = []
    for width, height in SIZES:
        for stroke in STROKES:
            mark = placed(stroke, width, height)
            at = None if mark is None else _rounded(dataclasses.asdict(mark)) | {"shape": stroke["shape"]}
            cases.append({"width_px": width, "height_px": height, "stroke": stroke, "placed": at})
    lines = [
        {"words": words, "lines": list(wrapped(words))}
        for words in ("", "one", "x" * 60, "a bc " * 12, "exactly twenty-four here now")
    ]
    return {
        "cases": cases,
        "widths": [
            {"width_px": width, "height_px": height, **_rounded(dataclasses.asdict(widths(width, height)))}
            for width, height in SIZES
        ],
        "lines": lines,
    }


if __name__ == "__main__":
    FILE.write_text(json.dumps(golden(), ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
