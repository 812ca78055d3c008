"""The check book: every published case worked out again, with its tolerance and its source."""

from .book import CheckBookError, by_subject, cases, check_all

__all__ = ["CheckBookError", "by_subject", "cases", "check_all"]
