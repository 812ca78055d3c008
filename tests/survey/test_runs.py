"""How long a run is, in both languages."""

from __future__ import annotations

import json

from tests.golden.write_runs import FILE, golden


def test_lengths_of_runs_are_those_of_the_golden_file() -> None:
    assert json.loads(FILE.read_text(encoding="utf-8")) == golden()


def test_a_run_with_a_stretch_of_no_length_has_none() -> None:
    assert [case["length_m"] for case in golden()[:4]] == [None, None, 4.2, 10.5]
    assert golden()[6]["length_m"] is None
