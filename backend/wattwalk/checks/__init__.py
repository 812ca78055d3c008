"""The check book: every case worked out again, with its tolerance, its source, and what kind of proof it is."""

from .book import CheckBookError, by_kind, by_subject, cases, check_all

__all__ = ["CheckBookError", "by_kind", "by_subject", "cases", "check_all"]
