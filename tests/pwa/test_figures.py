"""The golden figures that hold the screens to the report's rounding are the report's own."""

from __future__ import annotations

import json
from pathlib import Path

from wattwalk.pictures.svg import amount

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "figures.json"


def test_golden_figures_are_what_the_report_writes() -> None:
    cases = json.loads(GOLDEN.read_text())
    assert len(cases) > 100
    assert [[value, decimals, amount(value, decimals)] for value, decimals, _ in cases] == cases
