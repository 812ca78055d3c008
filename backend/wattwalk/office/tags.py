"""What WeasyPrint leaves out of a PDF's tags: which way each head of a table reads."""

from __future__ import annotations

from typing import Any


def _tag(element: Any) -> str:
    return str(element.get("S", "")) if isinstance(element, dict) else ""


def say_scopes(_document: Any, pdf: Any) -> None:
    """Give every table head of a PDF its scope, as PDF/UA-1 asks: those of a table's head read down, all others along their row.

    WeasyPrint writes ``TH`` and ties cells to their heads by ``Headers``, but no ``Scope``.  It is called with the
    document and the PDF before that is written (``write_pdf(finisher=…)``); objects are dictionaries that know their
    ``reference``, and each element of the tags names the one above it by that.

    References
    ----------
    ISO 14289-1:2014, 7.5; ISO 32000-1:2008, table 349 (from memory).
    """
    elements: dict[Any, Any] = {item.reference: item for item in pdf.objects if _tag(item)}
    for element in elements.values():
        if _tag(element) != "/TH":
            continue
        row = elements.get(element["P"])
        holder = elements.get(row["P"]) if row is not None else None
        element["A"]["Scope"] = "/Column" if _tag(holder) == "/THead" else "/Row"
