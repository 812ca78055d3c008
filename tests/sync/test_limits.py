"""What just fits is taken, and what is one more is refused: the limits of a change and of a batch."""

from __future__ import annotations

from typing import Any

import pytest
from uuid_utils import uuid7

from tests.support.cast import Device, change
from wattwalk.survey.errors import SurveyError
from wattwalk.survey.kinds import KINDS
from wattwalk.sync.changes import MAX_CHANGES, MAX_DEPTH, MAX_EPOCH, MAX_REPLACED
from wattwalk.sync.push import read_batch
from wattwalk.sync.schemas import record_schema_class


def refusal(given: dict[str, Any]) -> str | None:
    """Return the code by which a change is refused when it is read, or None."""
    (read,) = read_batch("a phone", [given])
    return read.problem and read.problem.code


def nested(depth: int) -> Any:
    value: Any = 1
    for _ in range(depth):
        value = [value]
    return value


@pytest.mark.parametrize(
    ("fits", "more", "code"),
    [
        ({"epoch": "e" * MAX_EPOCH}, {"epoch": "e" * (MAX_EPOCH + 1)}, "not_an_epoch"),
        (
            {"replaces": [str(uuid7()) for _ in range(MAX_REPLACED)]},
            {"replaces": [str(uuid7()) for _ in range(MAX_REPLACED + 1)]},
            "not_ids",
        ),
        ({"seen": 2**63 - 1}, {"seen": 2**63}, "not_a_revision"),
        ({"seen": 0}, {"seen": -1}, "not_a_revision"),
        ({"resolves": False}, {"resolves": 0}, "not_yes_or_no"),
    ],
)
def test_a_change_at_its_limits(fits: dict[str, Any], more: dict[str, Any], code: str) -> None:
    assert refusal(change(**fits)) is None
    assert refusal(change(**more)) == code


def test_a_batch_at_its_limits() -> None:
    assert len(read_batch("d" * 64, [change()] * MAX_CHANGES)) == MAX_CHANGES
    for device, count in (("d" * 65, 1), ("", 1), ("d", MAX_CHANGES + 1)):
        with pytest.raises(SurveyError) as refused:
            read_batch(device, [change()] * count)
        assert [problem.code for problem in refused.value.problems] == [
            "too_many" if count > MAX_CHANGES else "not_a_device"
        ]


def test_a_value_of_too_many_lists_is_refused_by_itself(ada: Device) -> None:
    answer = ada.send(change(field="notes", value=nested(MAX_DEPTH - 1)))
    assert answer.json["results"][0]["problem"]["code"] != "too_deep"
    assert ada.send(change(field="notes", value=nested(MAX_DEPTH + 2))).json["code"] == "too_deep"


@pytest.mark.parametrize("kind", ["room", "photo"])
def test_a_records_schema_takes_ids_and_nothing_else_for_its_id(kind: str) -> None:
    schema = record_schema_class(KINDS[kind])()
    assert "id" not in schema.validate({"id": "a-record-7"})
    for wrong in ("UPPER", "", "a b", "x\n"):
        assert "id" in schema.validate({"id": wrong})
