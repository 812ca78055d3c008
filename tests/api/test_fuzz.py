"""Every operation of the API's description, with good and with bad data: no fault, and no answer that was not described."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import schemathesis
from argon2 import PasswordHasher
from hypothesis import HealthCheck, given, settings
from schemathesis import Case, GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from tests.support.cast import ADA, Device, Office, change, open_office
from wattwalk import accounts
from wattwalk.app import create_app
from wattwalk.config import Settings

QUICK_HASHER = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance, status_code_conformance]
EXAMPLES = 12


@pytest.fixture(scope="module")
def fuzzed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Office, Device]]:
    """An office on SQLite with one survey in it, and a device that is signed in."""
    home = tmp_path_factory.mktemp("fuzz")
    with open_office(f"sqlite:///{home / 'wattwalk.sqlite3'}", home) as office:
        device = office.device(ADA)
        device.push(change(), change("hall", "name", "Hall"))
        yield office, device


def description() -> dict:
    """Return the API's description, which needs no database."""
    return create_app(Settings(Path("var"), "sqlite:///none.sqlite3")).test_client().get("/api/openapi.json").json


SCHEMA = schemathesis.openapi.from_dict(description())
OPERATIONS = {found.ok().label: found.ok() for found in SCHEMA.get_all_operations()}


# The fuzzer's own client drops the files that answers stream without closing them.
@pytest.mark.filterwarnings(
    r"ignore:Exception ignored in. <_io.FileIO name=.*.pdf:pytest.PytestUnraisableExceptionWarning"
)
@pytest.mark.parametrize("mode", list(GenerationMode), ids=lambda mode: mode.value)
@pytest.mark.parametrize("label", OPERATIONS)
def test_every_operation_answers_as_described(
    label: str, mode: GenerationMode, fuzzed: tuple[Office, Device], monkeypatch: pytest.MonkeyPatch
) -> None:
    office, device = fuzzed
    operation = OPERATIONS[label]
    if mode.is_negative and not (operation.body or operation.path_parameters or operation.query):
        return  # an operation that takes nothing cannot be given anything bad

    # Hashing a password takes long on purpose, and has tests of its own.
    monkeypatch.setattr(accounts, "_hash_of_nobody", lambda: QUICK_HASHER.hash("nobody's password"))
    if label == "DELETE /api/session":
        device = office.device(ADA)
    token = device.client.get_cookie("wattwalk").value

    @given(case=operation.as_strategy(generation_mode=mode))
    @settings(
        max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True, database=None
    )
    def ask(case: Case) -> None:
        if mode.is_positive and "survey_id" in case.path_parameters:
            case.path_parameters["survey_id"] = device.survey
        # The fuzzer's own client asks for packed answers and does not unpack them.
        answer = case.call(app=office.app, cookies={"wattwalk": token}, headers={"Accept-Encoding": "identity"})
        case.validate_response(answer, checks=CHECKS)
        answered.append(answer.status_code)

    answered: list[int] = []
    ask()
    assert answered


def test_the_description_names_every_kind_and_every_operation(fuzzed: tuple[Office, Device]) -> None:
    from wattwalk.survey.kinds import KINDS
    from wattwalk.sync.schemas import schema_name

    description = fuzzed[1].client.get("/api/openapi.json").json
    assert description["openapi"] == "3.1.0"
    schemas = description["components"]["schemas"]
    for kind in KINDS.values():
        assert set(schemas[schema_name(kind)]["properties"]) == {"id", *(spec.name for spec in kind.fields)}
    length = schemas["RoomRecord"]["properties"]["length_m"]
    assert (length["minimum"], length["maximum"], length["type"]) == (0.3, 60, ["number", "null"])
    rules = {
        rule.rule
        for rule in fuzzed[0].app.url_map.iter_rules()
        if rule.rule.startswith("/api/") and rule.rule != "/api/openapi.json"
    }
    assert len(description["paths"]) == len(rules)
