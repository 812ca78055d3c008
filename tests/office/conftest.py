"""What the office's tests share: photos made here, a firm of the imagination, a report's text."""

from __future__ import annotations

import html
import io
import re
import subprocess
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from tests.support import invented_house as house
from wattwalk.offers.quote import work_out
from wattwalk.office.report import FILE, make_paper, paper_html
from wattwalk.office.report_inputs import ReportInputs
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps

FIRM = {
    "name": "Invented Heating Ltd",
    "address": "1 Nowhere Yard, Nowhere Green ZZ1 1ZV",
    "telephone": "01632 960000",
    "email": "office@firm.example",
    "terms": "Payment within 14 days of the last day.\nThe guarantee on our work is two years.",
}


def picture(width: int = 400, height: int = 300, *, form: str = "JPEG", **saved) -> bytes:
    """Return the bytes of a picture whose left half is dark and right half light."""
    made = Image.new("RGB", (width, height), "#eeeeee")
    ImageDraw.Draw(made).rectangle((0, 0, width // 2 - 1, height), fill="#222222")
    written = io.BytesIO()
    made.save(written, form, **saved)
    return written.getvalue()


def inputs_of(
    document: dict | None = None,
    assessment=None,
    *,
    firm: dict | None = None,
    photos: dict | None = None,
    version: int = 2,
) -> ReportInputs:
    """Return the inputs of a report of the invented house, or of the house given."""
    survey = read_document(document or house.document())
    assessment = assessment or house.assessment()
    return ReportInputs(
        survey=survey,
        assessment=assessment,
        gaps=find_gaps(survey),
        quote=work_out(survey, assessment.rooms, "2026-04-02"),
        firm=FIRM if firm is None else firm,
        version=version,
        made_on="2026-04-02",
        photos={"a" * 64: picture()} if photos is None else photos,
    )


def the_file(inputs: ReportInputs) -> bytes:
    """Return the technical file of a version."""
    return make_paper(inputs, FILE)


def file_html(inputs: ReportInputs) -> str:
    """Return the HTML that the technical file is set from."""
    return paper_html(inputs, FILE)


def words_of_page(content: str) -> str:
    """Return the words of a page of HTML as one line."""
    body = re.sub(r"<style>.*?</style>", " ", content, flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", body)).replace("\N{NO-BREAK SPACE}", " ").split())


class Paper:
    """A PDF on disk and what the tools of poppler say of it."""

    def __init__(self, folder: Path, content: bytes) -> None:
        self.path = folder / "report.pdf"
        self.path.write_bytes(content)

    def _ask(self, *command: str) -> str:
        return subprocess.run(command, check=True, capture_output=True, text=True).stdout

    def text(self, *options: str) -> str:
        """Return the text with spaces that break or not made equal."""
        return self._ask("pdftotext", *options, str(self.path), "-").replace("\N{NO-BREAK SPACE}", " ")

    def flat(self) -> str:
        """Return the text as one line."""
        return " ".join(self.text().split())

    def info(self) -> dict[str, str]:
        """Return what pdfinfo says."""
        lines = self._ask("pdfinfo", str(self.path)).splitlines()
        return {name: words.strip() for name, _, words in (line.partition(":") for line in lines)}

    def metadata(self) -> str:
        """Return the XMP metadata."""
        return self._ask("pdfinfo", "-meta", str(self.path))

    def right_edges(self) -> list[float]:
        """Return where each word ends, in points from the left edge of the page."""
        return [
            float(place)
            for place in re.findall(r'xMax="([\d.]+)"', self._ask("pdftotext", "-bbox", str(self.path), "-"))
        ]

    def fonts(self) -> list[str]:
        """Return the lines of pdffonts."""
        return self._ask("pdffonts", str(self.path)).splitlines()[2:]

    def images(self) -> list[list[str]]:
        """Return the rows of pdfimages."""
        return [line.split() for line in self._ask("pdfimages", "-list", str(self.path)).splitlines()[2:]]

    def bookmarks(self) -> list[str]:
        """Return the labels of the outline."""
        written = self._ask("pdftohtml", "-xml", "-i", "-stdout", str(self.path))
        return [html.unescape(label) for label in re.findall(r"<item page=\"\d+\">(.*?)</item>", written)]

    def structure(self) -> str:
        """Return the tree of tags."""
        return self._ask("pdfinfo", "-struct", str(self.path))


@pytest.fixture
def paper(tmp_path):
    """Return a function that lays a PDF down for the tools of poppler."""
    return lambda content: Paper(tmp_path, content)
