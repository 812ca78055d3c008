"""What WeasyPrint leaves out of a PDF's tags: which way each head of a table reads."""

from __future__ import annotations

from typing import Any

import pydyf


def _tag(element: Any) -> str:
    return str(element.get("S", "")) if isinstance(element, pydyf.Dictionary) else ""


def say_scopes(_document: Any, pdf: pydyf.PDF) -> None:
    """Give every table head of a PDF its scope, as PDF/UA-1 asks: those of a table's head read down, all others along their row.

    WeasyPrint writes ``TH`` and ties cells to their heads by ``Headers``, but no ``Scope``.  It is called with the
    document and the PDF before that is written (``write_pdf(finisher=…)``).

    References
    ----------
    ISO 14289-1:2014, 7.5; ISO 32000-1:2008, table 349 (from memory).
    """
    by_reference = {item.reference: item for item in pdf.objects if isinstance(item, pydyf.Dictionary)}

    def above(element: pydyf.Dictionary) -> pydyf.Dictionary | None:
        return by_reference.get(element.get("P"))

    for element in list(by_reference.values()):
        if _tag(element) != "/TH":
            continue
        row = above(element)
        holder = above(row) if row is not None else None
        attributes = element.setdefault("A", pydyf.Dictionary({"O": "/Table"}))
        attributes["Scope"] = "/Column" if holder is not None and _tag(holder) == "/THead" else "/Row"
