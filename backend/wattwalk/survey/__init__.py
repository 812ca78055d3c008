"""What a survey is: record kinds, their fields, and the document that holds them.

Each field is declared once, in a module of ``survey/kinds``; validation, the JSON Schema, the phone's
forms, the API and the report's wording are derived from that line.  Standard library only.
"""

# ruff: noqa: I001  The order of these imports is the order of the kinds in a document.
from . import household, extension, building, services, site, circuit, unit, works, options, firm  # noqa: F401  (each registers its record kinds)
from .kinds import KINDS, Record, RecordKind

__all__ = ["KINDS", "Record", "RecordKind"]
