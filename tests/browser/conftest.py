"""What the browser's tests share: a server with the demo firm and its house."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.support.server import Server


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server of the demo firm for the tests of one module; a module that wants another one makes its own."""
    with Server(tmp_path_factory.mktemp("office"), demo=True) as running:
        yield running
