"""The golden file that holds the phone's plan to the engine's judgement is the engine's own."""

from __future__ import annotations

import json

from tests.golden.write_zone import FILE, as_text


def test_golden_file_is_what_the_engine_says() -> None:
    assert FILE.read_text(encoding="utf-8") == as_text()


def test_golden_file_holds_every_answer() -> None:
    said = json.loads(FILE.read_text(encoding="utf-8"))["said"]
    assert {answer for answers in said.values() for answer in answers} == {"stop", "check", None}
    assert set(said["does_not_burn"]) == {None}
    assert said["older_name"] == said["free"]
    assert said["whole"] == said["wall"]
    assert said["class_not_known"] == said["whole"]
    told_apart = [said[name] for name in said if name not in ("older_name", "wall", "class_not_known")]
    assert all(one != other for place, one in enumerate(told_apart) for other in told_apart[:place])
