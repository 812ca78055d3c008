"""The packed engine says, byte for byte, what the office's says: under the cut-down library, in Pyodide on Node."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.houses import changed, small_house
from tests.support.requests import request_for, sample_requests
from wattwalk.answer import Desk
from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import read_document

PWA = Path(__file__).resolve().parents[2] / "pwa"
RANDOM_SURVEYS = 200


def in_node(requests: list[str]) -> list[str]:
    """Return the lines that the packed engine answers."""
    environment = {
        **os.environ,
        "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ.get('PATH', os.defpath)}",
    }
    done = subprocess.run(
        ["node", "tools/run_engine.mjs"],
        cwd=PWA,
        env=environment,
        input="".join(f"{request}\n" for request in requests),
        capture_output=True,
        text=True,
        encoding="utf-8",
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout.split("\n")


def here(desk: Desk, request: str) -> list[str]:
    """Return what this Python answers."""
    return [desk.figures(request), desk.rest()]


@pytest.mark.takes(seconds=20)
def test_every_sample_house_is_answered_alike_on_both_pythons() -> None:
    requests = sample_requests(RANDOM_SURVEYS)
    desk = Desk()
    expected = {name: here(desk, request) for name, request in requests.items()}
    answered = in_node(list(requests.values()))
    assert len(answered) == 2 * len(requests) + 1
    pairs = dict(zip(requests, zip(answered[::2], answered[1::2], strict=False), strict=False))
    assert [name for name in requests if list(pairs[name]) != expected[name]] == []


def test_whole_numbers_and_floats_of_the_same_value_are_answered_alike() -> None:
    # JavaScript writes 2.0 as 2; the office may have kept either.
    document = small_house()
    whole = request_for(document)
    as_floats = json.dumps(_with_floats(json.loads(whole)))
    assert as_floats != whole
    assert json.loads(Desk().figures(as_floats)) == json.loads(Desk().figures(whole))


def _with_floats(value):
    if isinstance(value, dict):
        return {name: _with_floats(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_with_floats(item) for item in value]
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def test_a_desk_that_has_seen_the_survey_before_answers_like_a_fresh_one() -> None:
    desk = Desk()
    documents = [
        small_house(),
        changed(small_house(), "room", "living", length_m=6),
        changed(small_house(), "room", "living", length_m=None),
        small_house(),
    ]
    for document in documents:
        request = request_for(document)
        assert here(desk, request) == here(Desk(), request)


def test_the_desk_answers_what_the_engine_answers() -> None:
    document = small_house()
    assert json.loads(Desk().figures(request_for(document))) == {
        "assessment": to_plain(assess(read_document(document)))
    }
