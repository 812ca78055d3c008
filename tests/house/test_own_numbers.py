"""Figures on the phone are written by our own few lines (`domain/check.ts`).

The browser's own writing rounds the shortest decimal, so that a figure would be another on paper, and the first number it writes costs
a slow phone a tenth of a second while a page opens.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

SOURCES = Path(__file__).resolve().parents[2] / "pwa/src"
OF_THE_BROWSER = re.compile(r"\.toLocale\w*\(|\bIntl\.")


@pytest.mark.parametrize(
    "line", ["row.cursor.toLocaleString('en-GB')", "day.toLocaleDateString()", "new Intl.NumberFormat()"]
)
def test_the_browsers_own_writing_is_seen(line: str) -> None:
    assert OF_THE_BROWSER.search(line)


def test_no_figure_or_date_is_written_by_the_browser() -> None:
    sources = sorted(SOURCES.rglob("*.ts*"))
    assert sources
    assert [source.name for source in sources if OF_THE_BROWSER.search(source.read_text())] == []
