"""What the browser's tests share: a server with the demo firm and its house."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support.once import once
from tests.support.server import Server


def _seed(folder: Path) -> None:
    with Server(folder, demo=True):
        """Started, it has seeded the demo."""


@pytest.fixture(scope="session")
def demo_office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a server holds that was started for the demo firm and stopped again: `make run` as a newcomer has it, worked out once."""
    return once(tmp_path_factory, "demo", _seed) / "var"


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, demo_office: Path) -> Iterator[Server]:
    """A server of the demo firm for the tests of one module; a module that wants another one makes its own."""
    with Server(tmp_path_factory.mktemp("office"), demo=True, begin_with=demo_office) as running:
        yield running
