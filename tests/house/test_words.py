"""One word, one meaning: the walk has stages, a finding stops the job."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
#: A stage of the walk called a stop: in names, in fields, in words.
OLD = re.compile(
    r"\bSTOPS\b|\bstopLink\b|\bStopScreen\w*|\bstopScreens\b|\b(?:kind|gap|group|model|expected)\.stops?\b|\bstop=\"[a-z_]+\""
    r"|/stop/|[Ss]tops? of the walk|\b(?:the|each|every|a) stop (?:outside|of pipes|drawn|of the)"
)
#: The address that links from before still have, and its test.
ALLOWED = {"tests/browser/test_site_screens.py", "tests/house/test_words.py"}


@pytest.mark.parametrize(
    "line",
    [
        "for stop in STOPS:",
        'record_kind("x", stop="rooms")',
        "gap.stop",
        "/survey/ID/stop/rooms",
        "each stop of the walk",
    ],
)
def test_the_old_word_is_seen(line: str):
    assert OLD.search(line)


def test_no_stage_of_the_walk_is_called_a_stop():
    sources = [
        *(ROOT / "backend").rglob("*.py"),
        *(ROOT / "backend/wattwalk").rglob("*.html"),
        *(ROOT / "pwa/src").rglob("*.ts*"),
        *(ROOT / "pwa/src").rglob("*.md"),
        *(ROOT / "tests").rglob("*.py"),
        ROOT / "DEVELOPERS.md",
        ROOT / "README.md",
    ]
    found = {
        str(path.relative_to(ROOT)): match[0]
        for path in sources
        if "generated" not in path.parts
        and str(path.relative_to(ROOT)) not in ALLOWED
        and (match := OLD.search(path.read_text(encoding="utf-8")))
    }
    assert found == {}
