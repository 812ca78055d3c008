"""What the browser's tests share: a server with the demo firm and its house."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support.server import Server


@pytest.fixture(scope="session")
def demo_office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a server holds that was started for the demo firm and stopped again: `make run` as a newcomer has it, worked out once."""
    with Server(tmp_path_factory.mktemp("demo"), demo=True) as first:
        return first.home


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, demo_office: Path) -> Iterator[Server]:
    """A server of the demo firm for the tests of one module; a module that wants another one makes its own."""
    with Server(tmp_path_factory.mktemp("office"), demo=True, begin_with=demo_office) as running:
        yield running
