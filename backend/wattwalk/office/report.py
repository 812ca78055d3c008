"""A version's papers: the household's quotation, the technical file, the site sheets; the same bytes for the same inputs."""

from __future__ import annotations

import base64
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date
from typing import Any

from wattwalk.survey.works import Photo

from . import photos, quotation, site_sheets, technical_file
from .logo import logo_file
from .paper_names import FILE, PAGE, QUOTATION, SHEETS
from .report_inputs import ReportError, ReportInputs, gather
from .typeset import SCHEME, Files, as_pdf, drawing_files, in_words, photo_files

__all__ = [
    "FILE",
    "PAGE",
    "PAPERS",
    "QUOTATION",
    "SHEETS",
    "ReportError",
    "ReportInputs",
    "gather",
    "make_paper",
    "paper_html",
]


@dataclass(frozen=True)
class _Paper:
    """One paper: its template, what it prints, its drawings, the photos in it."""

    template: str
    context: Callable[[ReportInputs], dict[str, Any]]
    drawings: Callable[[ReportInputs], dict[str, str]]
    photos: Callable[[dict[str, Any]], list[dict[str, Any]]]


def _rows(given: dict[str, Any]) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = given["photos"]
    return rows


def _page_context(inputs: ReportInputs) -> dict[str, Any]:
    return {**quotation.context(inputs), "is_page": True}


def _quotation_context(inputs: ReportInputs) -> dict[str, Any]:
    return {**quotation.context(inputs), "is_page": False}


_KINDS = {
    QUOTATION: _Paper("quotation.html", _quotation_context, quotation.drawings, _rows),
    FILE: _Paper("file.html", technical_file.context, technical_file.drawings, _rows),
    SHEETS: _Paper("sheets.html", site_sheets.context, site_sheets.drawings, lambda _given: []),
    PAGE: _Paper("quotation.html", _page_context, quotation.drawings, _rows),
}
#: The papers of a version: the first is the household's.
PAPERS = tuple(_KINDS)


def _prepared(inputs: ReportInputs, wanted: set[str]) -> tuple[dict[str, bytes], dict[str, str]]:
    """Return printable photos by record id, and the reason for each that cannot be printed; only those that a paper shows."""

    def prepared(photo: Any) -> bytes | photos.UnreadablePhotoError:
        try:
            return photos.prepare(inputs.photos[photo.sha256], photo.strokes or ())
        except photos.UnreadablePhotoError as error:
            return error

    arrived = [item for item in inputs.survey.of_kind(Photo) if item.id in wanted and item.sha256 in inputs.photos]
    # Decoding leaves Python alone, so two threads use two processors; the order of the answers is that of the photos.
    with ThreadPoolExecutor(2) as pool:
        made = dict(zip((photo.id for photo in arrived), pool.map(prepared, arrived), strict=True))
    ready = {name: answer for name, answer in made.items() if isinstance(answer, bytes)}
    return ready, {name: str(answer) for name, answer in made.items() if not isinstance(answer, bytes)}


def _build(inputs: ReportInputs, name: str) -> tuple[str, Files]:
    if inputs.version < 1:
        raise ReportError(f"A report is numbered from 1, found version {inputs.version}.")
    try:
        date.fromisoformat(inputs.made_on)
    except ValueError as error:
        raise ReportError(f"The day of the report must be YYYY-MM-DD, found {inputs.made_on!r}.") from error
    if name not in _KINDS:
        raise ReportError(f"A version has the papers {', '.join(_KINDS)}; found {name!r}.")
    kind = _KINDS[name]
    given = kind.context(inputs)
    rows = kind.photos(given)
    ready, refused = _prepared(inputs, {row["id"] for row in rows})
    for row in rows:
        row["image"] = f"{SCHEME}photo/{row['id']}" if row["id"] in ready else None
        row["instead"] = refused.get(row["id"], "") or ("" if row["id"] in ready else "The photo is not at the office.")
    files = {**drawing_files(kind.drawings(inputs)), **photo_files(ready)}
    given["logo"] = ""
    if logo := inputs.firm.get("logo"):
        given["logo"] = f"{SCHEME}logo"
        files[given["logo"]] = logo_file(logo)
    return in_words(kind.template, given), files


def paper_html(inputs: ReportInputs, name: str) -> str:
    """Return a paper's HTML, the text the PDF is set from."""
    return _build(inputs, name)[0]


def make_paper(inputs: ReportInputs, name: str) -> bytes:
    """Make one paper of a version: a PDF, or for ``page`` the quotation as one page of HTML with everything in it.

    Parameters
    ----------
    inputs : ReportInputs
        The same inputs give the same bytes.
    name : str
        One of `PAPERS`.

    Returns
    -------
    bytes
        The PDF, A4 and tagged (PDF/UA-1), or the page.

    Raises
    ------
    ReportError
        When the version or the day cannot be right, there is no such paper, or the page asks for a file that is not its own.
    """
    html, files = _build(inputs, name)
    return _self_contained(html, files) if name == PAGE else as_pdf(html, files)


def _self_contained(html: str, files: Files) -> bytes:
    """Return a page that asks for nothing else: its drawings and photos are in it."""
    for address, (content, kind) in files.items():
        html = html.replace(f'"{address}"', f'"data:{kind};base64,{base64.b64encode(content).decode()}"')
    return html.encode()
