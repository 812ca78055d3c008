"""What the engine works out of eighteen surveys, as a golden file: every figure, code and source, and no sentence.

Whether a figure is right is held by the published cases and by the tests of each subject. This holds that none of them moves unnoticed.
Run `python -m tests.golden.write_answers` after a change that is meant, and look at the difference: there is a line for each part of each answer.
The surveys lie in the file beside what was worked out of them, so that a new field changes nothing; ``--new-surveys`` draws them anew.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from tests.engine.test_any_survey import any_survey
from tests.support.houses import small_house
from tests.support.requests import request_for, request_for_survey
from wattwalk.demo import demo_document
from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import make_survey
from wattwalk.survey.stored import make_record

FILE = Path(__file__).with_name("answers.json")
#: Drawn surveys that came by lines of the engine that none before them had come by, until hardly one was left.
_SEEDS = (38, 66, 150, 135, 149, 77, 131, 5, 89, 205, 189, 157, 113, 43, 174, 199)
#: What is said in sentences or only names a thing.
_WORDING = {
    "message",
    "remedy",
    "what",
    "formula",
    "title",
    "label",
    "name",
    "words",
    "methods",
    "sources",
    "cautions",
    "engine",
    "place",
}


def surveys() -> dict[str, dict[str, Any]]:
    """Return the surveys as the phone asks of them: the demo house, a small one, and drawn ones in which everything may be entered or missing."""
    asked = {"demo": request_for(demo_document()), "small": request_for(small_house())} | {
        f"drawn {seed}": request_for_survey(any_survey(seed)) for seed in _SEEDS
    }
    return {name: json.loads(request) for name, request in asked.items()}


def worked_out(survey: dict[str, Any]) -> dict[str, Any]:
    """Return what is worked out of a survey, without its wording."""
    records = (make_record(item["kind"], item["id"], item["values"]) for item in survey["records"])
    return figures(to_plain(assess(make_survey(survey["id"], records))))


def figures(item: Any) -> Any:
    """Return an answer, or a part of one, without its wording: of what is missing only how much."""
    if isinstance(item, dict):
        return {
            name: len(inner) if name == "missing" else figures(inner)
            for name, inner in item.items()
            if name not in _WORDING and not name.endswith("_words")
        }
    if isinstance(item, list):
        return [figures(inner) for inner in item]
    return item


def written(drawn: dict[str, dict[str, Any]]) -> str:
    """Return the golden file: a line for each survey and each part of its answer."""
    parts = []
    for name, survey in drawn.items():
        lines = [
            f'"asked": {_line(survey)}',
            *(f'"{part}": {_line(answer)}' for part, answer in worked_out(survey).items()),
        ]
        parts.append(f'"{name}": {{\n' + ",\n".join(lines) + "\n}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _line(item: Any) -> str:
    return json.dumps(item, ensure_ascii=False, separators=(",", ":"), sort_keys=True)


def read_golden() -> dict[str, dict[str, Any]]:
    """Return the file: by survey, what was asked and each part of its answer."""
    return json.loads(FILE.read_text(encoding="utf-8"))


if __name__ == "__main__":
    known = (
        surveys()
        if "--new-surveys" in sys.argv or not FILE.exists()
        else {name: held["asked"] for name, held in read_golden().items()}
    )
    FILE.write_text(written(known), encoding="utf-8")
