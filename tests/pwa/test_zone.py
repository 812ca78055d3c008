"""The golden file that holds the phone's plan to the engine's judgement is the engine's own."""

from __future__ import annotations

import json

from tests.golden.write_zone import FILE, as_text


def test_golden_file_is_what_the_engine_says() -> None:
    assert FILE.read_text(encoding="utf-8") == as_text()


def test_golden_file_holds_every_answer() -> None:
    said = json.loads(FILE.read_text(encoding="utf-8"))["said"]
    assert {answer for answers in said.values() for answer in answers} == {"stop", "check", None}
    assert set(said["other_refrigerant"]) == {None}
    assert said["whole"] != said["own_zone"] != said["no_height"] != said["no_size"]
