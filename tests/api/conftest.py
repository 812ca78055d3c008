"""The office of these tests."""

from tests.support.offices import office, shared_office

__all__ = ["office", "shared_office"]
