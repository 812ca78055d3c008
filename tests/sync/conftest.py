"""The office of these tests, and the two who work on its surveys."""

import pytest

from tests.support.cast import ADA, BEN, Device, Office
from tests.support.offices import office, shared_office

__all__ = ["office", "shared_office"]


@pytest.fixture
def ada(office: Office) -> Device:
    """Ada's phone."""
    return office.device(ADA)


@pytest.fixture
def ben(office: Office) -> Device:
    """Ben's phone."""
    return office.device(BEN)
