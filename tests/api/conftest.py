"""The office of these tests, and two people of its firm on devices of their own."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from uuid_utils import uuid7

from tests.support.cast import ADA, BEN, Device, Office
from tests.support.offices import office, shared_office
from wattwalk.survey.holders import SURVEYOR

__all__ = ["office", "shared_office"]


@pytest.fixture
def ada(office: Office) -> Device:
    """The office's own laptop."""
    return office.device(ADA, f"laptop {uuid7()}")


@pytest.fixture
def ben(office: Office) -> Iterator[Device]:
    """The phone of a surveyor."""
    with office.as_role(BEN, SURVEYOR):
        yield office.device(BEN, f"phone {uuid7()}")
