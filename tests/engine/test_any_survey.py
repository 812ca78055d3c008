"""Whatever half-entered, half-synced records a survey holds, the engine answers, and answers in JSON."""

from __future__ import annotations

import json
from math import isfinite
from random import Random
from typing import Any

import pytest

from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import Survey
from wattwalk.survey.fields import FieldSpec, FieldType
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.validation import check_value

SEEDS_A_TEST = 60


def value(spec: FieldSpec, chance: Random) -> Any:
    """Return a value that may stand in a field, its limits among them."""
    if spec.choices:
        return chance.choice(spec.choices).value
    if spec.type is FieldType.NUMBER:
        low, high = spec.low, spec.high
        return chance.choice(
            [low, high, max(low, round(chance.uniform(low, high), 2)), chance.uniform(low, min(high, low + 10))]
        )
    if spec.type is FieldType.INTEGER:
        return chance.randint(int(spec.low), int(spec.high))
    if spec.type is FieldType.YES_NO:
        return chance.random() < 0.5
    if spec.type is FieldType.DATE:
        return f"2026-03-{chance.randint(1, 28):02}"
    if spec.type is FieldType.REFERENCE:
        return f"{chance.choice(spec.refers_to)}-{chance.randint(0, 4)}"
    if spec.type is FieldType.ROWS:
        return [
            {row.name: value(row, chance) for row in spec.rows if row.must or chance.random() < 0.8}
            for _ in range(chance.randint(0, 4))
        ]
    if spec.type is FieldType.MONEY:
        return "12.50"
    return {"postcode": chance.choice(["LS40 0VK", "KW15 1VK", "nowhere"])}.get(spec.name) or chance.choice(
        ["air", "Softwood", "é ≥ <b>", *([] if spec.must else [""])]
    )


def any_survey(seed: int) -> Survey:
    """Return a survey of a few records of each kind, most of their fields there, whatever they say."""
    chance = Random(seed)
    records = {}
    for name, kind in KINDS.items():
        if name == "photo":
            continue
        share = chance.choice([0.5, 0.9, 1.0])
        records[name] = tuple(
            kind.make(
                id=f"{name}-{place}",
                **{spec.name: value(spec, chance) for spec in kind.fields if chance.random() < share},
            )
            for place in range(chance.randint(0, 1 if kind.single else 5))
        )
    return Survey("any", records)


def leaves(item: Any) -> list[Any]:
    if isinstance(item, dict):
        return [leaf for inner in item.values() for leaf in leaves(inner)]
    if isinstance(item, list):
        return [leaf for inner in item for leaf in leaves(inner)]
    return [item]


@pytest.mark.parametrize("first", range(0, 600, SEEDS_A_TEST))
def test_any_survey_is_answered(first):
    for seed in range(first, first + SEEDS_A_TEST):
        survey = any_survey(seed)
        for record in survey:
            for spec in record.kind.fields:
                assert check_value(spec, getattr(record, spec.name)) is None, f"seed {seed}"
        result = assess(survey)
        plain = to_plain(result)
        json.dumps(plain, allow_nan=False)
        assert all(isfinite(item) for item in leaves(plain) if isinstance(item, float)), f"seed {seed}"
        for room in result.rooms:
            assert room.total_w is not None or room.missing, (
                f"seed {seed}: {room.name} has no loss and does not say why"
            )
        for finding in result.findings:
            assert finding.message.strip()
            assert finding.remedy.strip()
            assert "/" in finding.record
        named = [(finding.code, finding.record, finding.about) for finding in result.findings]
        assert len(set(named)) == len(named), f"seed {seed}: two findings that only their words tell apart"
        find_gaps(survey)
