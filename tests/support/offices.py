"""An office on each make of database, opened once per module; each test has a survey of its own."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.support.cast import Office, open_office
from tests.support.postgres import fresh_database


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def shared_office(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """An office with the cast in its database."""
    home = tmp_path_factory.mktemp("office")
    if request.param == "sqlite":
        with open_office(f"sqlite:///{home / 'wattwalk.sqlite3'}", home) as office:
            yield office
    else:
        with fresh_database(request.getfixturevalue("postgres_url")) as url, open_office(url, home) as office:
            yield office


@pytest.fixture
def office(shared_office: Office) -> Office:
    """The office, turned to a survey that nobody has sent anything of."""
    shared_office.take_up_survey()
    return shared_office
