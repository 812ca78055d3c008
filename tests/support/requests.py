"""What the phone asks its engine, made from documents and surveys, and every sample house it is held to."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.engine.test_any_survey import any_survey
from tests.support.houses import small_house, terrace
from wattwalk.demo import demo_document
from wattwalk.survey.document import Survey

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "gaps"


def request_for(document: dict[str, Any]) -> str:
    """Return the request for a survey document."""
    records = [
        {"kind": kind, "id": item["id"], "values": {name: value for name, value in item.items() if name != "id"}}
        for kind, items in document["records"].items()
        for item in items
    ]
    return json.dumps({"id": document["id"], "records": records})


def request_for_survey(survey: Survey) -> str:
    """Return the request for a survey in memory."""
    return json.dumps(
        {
            "id": survey.id,
            "records": [{"kind": item.kind.name, "id": item.id, "values": item.values()} for item in survey],
        }
    )


def sample_requests(random_surveys: int) -> dict[str, str]:
    """Return the requests of every sample house by name: the demo, the golden ones, long ones, and so many random surveys."""
    documents = {"demo": demo_document(), "small": small_house(), "terrace of 20": terrace(20)}
    documents |= {
        f"golden {path.stem}": json.loads(path.read_text())["document"] for path in sorted(GOLDEN.glob("*.json"))
    }
    requests = {name: request_for(document) for name, document in documents.items()}
    return requests | {f"random {seed}": request_for_survey(any_survey(seed)) for seed in range(random_surveys)}
