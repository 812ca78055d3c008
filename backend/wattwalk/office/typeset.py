"""How a paper is set: templates of its own, fonts of its own, no other file, the same bytes for the same words."""

from __future__ import annotations

import hashlib
import logging
import re
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from PIL import ImageFile
from weasyprint import HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from wattwalk.paths import fonts_folder
from wattwalk.survey.wording import clean

from .report_inputs import ReportError
from .tags import say_scopes

# WeasyPrint makes Pillow take pictures that are cut short, for the whole process; whoever checks photos beside us must not be fooled.
ImageFile.LOAD_TRUNCATED_IMAGES = False

SCHEME = "wattwalk:"
_FONTS = ("Regular", "It", "Semibold", "SemiboldIt", "Bold")
#: Width of a drawing across a page, in its own units: so many points, so that its letters are as large as they say.
ACROSS = 493.0
#: Of one that has another beside it, and of one that has a narrow column of words beside it.
BESIDE, WIDE_BESIDE = 238.0, 300.5

#: A space between a figure and its unit, where words run on: a line may not end there. Never inside a tag.
_BEFORE_A_UNIT = re.compile(
    r"(?<=\d) (?=(?:%|°C?|mm|cm|m|m²|m³|km|kg|g|l|kW|kWh|W|Wh|K|A|V|bar|Pa|kPa|dB|dB\(A\)|h|s|p)"
    r"(?:/(?:m²K|mK|m²|m³|m|K|kWh|h|s|min|kgK|day|year))?(?![\w²³/])(?![^<>]*>))"
)

#: A paper's own files: content and type by address.
Files = dict[str, tuple[bytes, str]]


class OwnFiles(URLFetcher):
    """Serves a paper's own drawings, photos and fonts, and refuses every other address."""

    def __init__(self, files: Files) -> None:
        super().__init__()
        self._files = files

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """Return one of the paper's own files; anything else stops it."""
        found = self._files.get(url)
        if found is None:
            raise FatalURLFetchingError(f"The report asked for {url[:120]!r}, which is not one of its own files.")
        return URLFetcherResponse(url, found[0], {"Content-Type": found[1]})


@cache
def _environment() -> Environment:
    def printed(value: Any) -> Any:
        return value if isinstance(value, Markup) else clean(value) if isinstance(value, str) else value

    return Environment(
        loader=PackageLoader("wattwalk.office", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=printed,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _font_files() -> Files:
    folder = fonts_folder()
    return {f"{SCHEME}font/{name}": ((folder / f"SourceSans3-{name}.ttf").read_bytes(), "font/ttf") for name in _FONTS}


def drawing_files(drawings: dict[str, str]) -> Files:
    """Return drawings by the addresses that templates name them by."""
    return {f"{SCHEME}drawing/{name}": (svg.encode(), "image/svg+xml") for name, svg in drawings.items()}


def photo_files(photos: dict[str, bytes]) -> Files:
    """Return prepared photos by the addresses that templates name them by."""
    return {f"{SCHEME}photo/{name}": (content, "image/jpeg") for name, content in photos.items()}


def in_words(template: str, context: dict[str, Any]) -> str:
    """Return a paper's HTML; a name that a template knows and the context does not is a mistake (``UndefinedError``)."""
    fonts = {name: f"{SCHEME}font/{name}" for name in _FONTS}
    given = {"fonts": fonts, "drawing_root": f"{SCHEME}drawing/", "photo_root": f"{SCHEME}photo/", **context}
    return _environment().get_template(template).render(given)


def held_together(html: str) -> str:
    """Return a paper's HTML in which no figure is parted from its unit at the end of a line.

    >>> held_together("<p>at least 12 l/min, <b>4 m</b> in 4 minutes</p>").replace("\\xa0", "_")
    '<p>at least 12_l/min, <b>4_m</b> in 4 minutes</p>'
    """
    return _BEFORE_A_UNIT.sub("\N{NO-BREAK SPACE}", html)


def as_pdf(html: str, files: Files) -> bytes:
    """Return a paper as PDF: A4, tagged for readers of the screen (PDF/UA-1), with bookmarks.

    Raises
    ------
    ReportError
        When the page asks for a file that is not its own.
    """
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    # The identifier is what a PDF is told apart by; taken from the content it repeats with it.
    identifier = hashlib.sha256(html.encode()).digest()[:16]
    try:
        return HTML(
            string=held_together(html), base_url=f"{SCHEME}report", url_fetcher=OwnFiles({**files, **_font_files()})
        ).write_pdf(
            font_config=FontConfiguration(),
            pdf_variant="pdf/ua-1",
            pdf_identifier=identifier,
            finisher=say_scopes,
        )
    except FatalURLFetchingError as error:
        raise ReportError(str(error)) from error
