"""What the papers of a version are called; setting one needs far more, so the names stand by themselves."""

from __future__ import annotations

QUOTATION, FILE, SHEETS, PAGE = "quotation", "file", "sheets", "page"
#: The papers of a version and what each is called: the first is the household's.
LABELS = {
    QUOTATION: "Quotation",
    FILE: "Technical file",
    SHEETS: "Site sheets",
    PAGE: "Quotation as a page for a phone",
}
#: What a version from before there were three papers has in place of its quotation.
WHOLE_REPORT = "Report"


def media_type(name: str) -> str:
    """Return the type of a paper's file."""
    return "text/html" if name == PAGE else "application/pdf"


def ending(name: str) -> str:
    """Return the ending of a paper's file name."""
    return "html" if name == PAGE else "pdf"
