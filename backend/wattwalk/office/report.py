"""The report: a survey, its assessment and its quote as a PDF, the same bytes for the same inputs."""

from __future__ import annotations

import hashlib
import logging
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from PIL import ImageFile
from weasyprint import HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from wattwalk import pictures
from wattwalk.paths import fonts_folder
from wattwalk.survey.chapters import CHAPTERS
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.site import Base
from wattwalk.survey.standing import unit_on
from wattwalk.survey.wording import clean, long_date
from wattwalk.survey.works import Hazard, Photo

from . import chapters, photos
from .cautions import CANCELLATION, CAUTIONS
from .plant_chapters import cost_block, unit_block, water_block
from .recorded import recorded
from .report_inputs import ReportError, ReportInputs, gather
from .season import season_chapter
from .summary import summary
from .sure import sure_block
from .working import working_chapter

__all__ = ["ReportError", "ReportInputs", "gather", "make_report", "report_html"]

# WeasyPrint makes Pillow take pictures that are cut short, for the whole process; whoever checks photos beside us must not be fooled.
ImageFile.LOAD_TRUNCATED_IMAGES = False

_SCHEME = "wattwalk:"
_FONTS = ("Regular", "It", "Semibold", "SemiboldIt", "Bold")


class OwnFiles(URLFetcher):
    """Serves the report's own drawings, photos and fonts, and refuses every other address."""

    def __init__(self, files: dict[str, tuple[bytes, str]]) -> None:
        super().__init__()
        self._files = files

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """Return one of the report's own files; anything else stops the report."""
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
def _font_files() -> dict[str, tuple[bytes, str]]:
    folder = fonts_folder()
    return {f"{_SCHEME}font/{name}": ((folder / f"SourceSans3-{name}.ttf").read_bytes(), "font/ttf") for name in _FONTS}


def _drawings(inputs: ReportInputs) -> dict[str, str]:
    """Return every drawing of the report by its name."""
    assessment = inputs.assessment
    drawn = {f"rooms/{place}": svg for place, svg in enumerate(pictures.room_losses_sheets(assessment), start=1)}
    drawn["flow"] = pictures.flow_search(assessment)
    drawn["cost"] = pictures.cost_bars(assessment)
    drawn["compensation"], drawn["improvements"] = pictures.compensation(assessment), pictures.improvements(assessment)
    heavy = {base.id: unit_on(inputs.survey, base).heavy_side for base in inputs.survey.of_kind(Base)}
    for base in assessment.bases:
        drawn[f"base/{base.id}"] = pictures.base_plan(base, heavy.get(base.id))
    site = assessment.site
    drawn |= {f"zone/{plan.id}": pictures.zone_plan(plan) for plan in site.zones}
    if site.circuit is not None:
        drawn["circuit"] = pictures.circuit_scheme(site.circuit, site.runs)
    drawn["cables"] = pictures.cable_schedule(assessment.cables, site.supply.cables if site.supply is not None else ())
    return drawn


def _prepared_photos(inputs: ReportInputs) -> tuple[dict[str, bytes], dict[str, str]]:
    """Return printable photos by record id, and the reason for each that cannot be printed."""

    def prepared(photo: Any) -> bytes | photos.UnreadablePhotoError:
        try:
            return photos.prepare(inputs.photos[photo.sha256], photo.strokes or ())
        except photos.UnreadablePhotoError as error:
            return error

    arrived = [photo for photo in inputs.survey.of_kind(Photo) if photo.sha256 in inputs.photos]
    # Decoding leaves Python alone, so two threads use two processors; the order of the answers is that of the photos.
    with ThreadPoolExecutor(2) as pool:
        made = dict(zip((photo.id for photo in arrived), pool.map(prepared, arrived), strict=True))
    ready = {name: answer for name, answer in made.items() if isinstance(answer, bytes)}
    return ready, {name: str(answer) for name, answer in made.items() if not isinstance(answer, bytes)}


def _context(
    inputs: ReportInputs, drawings: dict[str, str], ready: dict[str, bytes], refused: dict[str, str]
) -> dict[str, Any]:
    house = inputs.survey.single(SurveyRecord)
    rows = chapters.photo_rows(inputs)
    for row in rows:
        row["image"] = f"{_SCHEME}photo/{row['id']}" if row["id"] in ready else None
        row["instead"] = refused.get(row["id"], "") or ("" if row["id"] in ready else "The photo is not at the office.")
    season = season_chapter(inputs)
    cost = cost_block(inputs)
    cost_findings = chapters.finding_rows(inputs, "cost")
    absent = {name for name, is_there in (("photos", rows), ("cost", cost or cost_findings)) if not is_there}
    has_season = any(season[name] for name in ("line", "year", "single", "air", "floors"))
    firm = {name: inputs.firm.get(name) or "" for name in ("name", "address", "telephone", "email", "terms")}
    return {
        "firm": firm,
        "reference": (house.reference if house is not None else None) or "",
        "version": inputs.version,
        "made_on": long_date(inputs.made_on),
        "made_on_iso": inputs.made_on,
        "contents": [
            (item.name, item.label)
            for item in CHAPTERS
            if item.name not in absent and (has_season or item.name != "season")
        ],
        "summary": summary(inputs),
        "rooms": chapters.rooms_chapter(inputs),
        "room_sheets": [f"{_SCHEME}drawing/{name}" for name in drawings if name.startswith("rooms/")]
        if inputs.assessment.rooms
        else [],
        "flow_drawing": f"{_SCHEME}drawing/flow" if inputs.assessment.flow is not None else None,
        "drawing_root": f"{_SCHEME}drawing/",
        "season": season,
        "sure": sure_block(inputs),
        "checks": [{"words": words, "every": every, "met": met} for words, every, met in inputs.checks],
        "plant_unit": unit_block(inputs.assessment),
        "plant_water": water_block(inputs.assessment),
        "plant_cost": cost,
        "plant_cost_findings": cost_findings,
        "site": chapters.site_chapter(inputs),
        "water": chapters.water_chapter(inputs),
        "routes": chapters.routes_chapter(inputs),
        "works": chapters.works_chapter(inputs),
        "price": chapters.price_chapter(inputs),
        "cancellation": CANCELLATION,
        "hazards": [
            {"what": chapters.said(item, "type"), "where": item.where or "", "do": item.what_to_do or ""}
            for item in inputs.survey.of_kind(Hazard)
        ],
        "photos": rows,
        "gaps": chapters.gaps_chapter(inputs.gaps),
        "recorded": recorded(inputs.survey),
        "working": working_chapter(inputs),
        "cautions": CAUTIONS,
        "fonts": {name: f"{_SCHEME}font/{name}" for name in _FONTS},
    }


def _build(inputs: ReportInputs) -> tuple[str, dict[str, tuple[bytes, str]]]:
    if inputs.version < 1:
        raise ReportError(f"A report is numbered from 1, found version {inputs.version}.")
    try:
        date.fromisoformat(inputs.made_on)
    except ValueError as error:
        raise ReportError(f"The day of the report must be YYYY-MM-DD, found {inputs.made_on!r}.") from error
    drawings = _drawings(inputs)
    ready, refused = _prepared_photos(inputs)
    files = {f"{_SCHEME}drawing/{name}": (svg.encode(), "image/svg+xml") for name, svg in drawings.items()}
    files.update({f"{_SCHEME}photo/{name}": (content, "image/jpeg") for name, content in ready.items()})
    files.update(_font_files())
    html = _environment().get_template("report.html").render(_context(inputs, drawings, ready, refused))
    return html, files


def report_html(inputs: ReportInputs) -> str:
    """Return the report's HTML, the text the PDF is set from."""
    return _build(inputs)[0]


def make_report(inputs: ReportInputs) -> bytes:
    """Make the report's PDF: A4, tagged for readers of the screen (PDF/UA-1), with bookmarks.

    Parameters
    ----------
    inputs : ReportInputs
        The same inputs give the same bytes.

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    ReportError
        When the version or the day cannot be right, or the page asks for a file that is not its own.
    """
    html, files = _build(inputs)
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    # The identifier is what a PDF is told apart by; taken from the content it repeats with it.
    identifier = hashlib.sha256(html.encode()).digest()[:16]
    try:
        return HTML(string=html, base_url=f"{_SCHEME}report", url_fetcher=OwnFiles(files)).write_pdf(
            font_config=FontConfiguration(), pdf_variant="pdf/ua-1", pdf_identifier=identifier
        )
    except FatalURLFetchingError as error:
        raise ReportError(str(error)) from error
