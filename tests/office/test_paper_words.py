"""How the papers write numbers, dates and counts: one way, read from their text, of the demo house and of two others."""

from __future__ import annotations

import json
import math
import re
import subprocess
from importlib import resources

import pytest

from tests.office.conftest import FIRM, the_file
from tests.support.houses import terrace
from tests.support.sound_houses import sound_houses
from wattwalk.office.report_inputs import gather
from wattwalk.survey.document import read_document

#: A figure of four digits or more that is not grouped, with a unit or a sign of reckoning beside it: a year or the number of a standard has none.
_UNITS = r"(?:W|kW|kWh|Wh|mm|m|cm|l|kg|g|K|Pa|kPa|bar|A|V|J/kgK|W/m|W/K|hours|h|s|l/min|m³/h|m²|m³|minutes|min)"
UNGROUPED = re.compile(
    rf"(?<![\d.,\w/-])\d{{4,}}(?:\.\d+)?(?=\s?{_UNITS}(?![\w²³]))|(?<=[×−+(]\s)\d{{4,}}|£\d{{4,}}|\d{{4,}}(?=\s?[×−]\s)"
)
ISO_DATE = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")
#: One of something in the plural.
ONE_OF_MANY = re.compile(
    r"(?<![\d.,/])1\s(?:days|hours|metres|minutes|rooms|points|lines|works|loops|cores|photos|pages|gaps|people|litres|changes|storeys|readings)\b"
)


def demo_document() -> dict:
    """Return the demo house as it comes with the program."""
    return json.loads(resources.files("wattwalk").joinpath("examples/demo-house.json").read_text(encoding="utf-8"))


HOUSES = {"demo": demo_document, "sound": lambda: next(iter(sound_houses().values())), "terrace": lambda: terrace(20)}


@pytest.fixture(scope="module", params=sorted(HOUSES))
def told(request, tmp_path_factory):
    """Return the inputs of a house's papers, the text with its lines joined, and the text by its lines."""
    inputs = gather(read_document(HOUSES[request.param]()), firm=FIRM, version=1, made_on="2026-04-02")
    path = tmp_path_factory.mktemp("words") / "paper.pdf"
    path.write_bytes(the_file(inputs))
    read = subprocess.run(["pdftotext", str(path), "-"], check=True, capture_output=True, text=True).stdout
    return inputs, " ".join(read.replace("\N{NO-BREAK SPACE}", " ").split()), read


def around(text: str, found: re.Match[str]) -> str:
    """Return what was found with what stands beside it."""
    return text[max(0, found.start() - 50) : found.end() + 20]


RULES = {"thousands": UNGROUPED, "dates": ISO_DATE, "counts": ONE_OF_MANY}


@pytest.mark.parametrize("what", RULES)
def test_thousands_are_grouped_dates_written_out_and_one_is_not_many(told, what):
    text = told[1]
    assert [around(text, found) for found in RULES[what].finditer(text)] == [], what


def test_the_rules_see_what_they_refuse():
    for wrong in ("it gives 1238 W where", "600 × 1200 mm", "£7500", "3440 × (26.5"):
        assert UNGROUPED.search(wrong), wrong
    for right in (
        "1,238 W",
        "EN 12831-1:2017, from",
        "since 2009, 270 mm",
        "01632 960123",
        "12 March 2026",
        "4,180 J/kgK",
    ):
        assert not UNGROUPED.search(right), right
    assert ONE_OF_MANY.search("for 1 days,")
    assert not ONE_OF_MANY.search("for 11 days, 2.1 days, 1 day")


def roundings(value: float) -> set[str]:
    """Return every way in which a figure could be rounded, to none, one or two decimals, up or down."""
    found = set()
    for decimals in (0, 1, 2):
        share = 10**decimals
        for rounded in (math.floor(value * share) / share, math.ceil(value * share) / share):
            found.add(f"{rounded:,.{decimals}f}")
    return found


def test_a_figure_is_rounded_one_way_only(told):
    inputs, text, _ = told
    building, flow = inputs.assessment.building, inputs.assessment.flow
    keep = []
    if flow is not None and flow.lowest_c is not None and flow.lowest_c != flow.design_c:
        # It is rounded up, so that what is printed still serves.
        keep.append((flow.lowest_c, "°C", {f"{math.ceil(round(flow.lowest_c * 10, 6)) / 10:.1f}".removesuffix(".0")}))
    if building.total_w is not None:
        keep.append((building.total_w, "W", {f"{building.total_w:,.0f}"}))
        keep.append((building.total_w / 1000, "kW", {f"{building.total_w / 1000:.1f}"}))
    for value, unit, written in keep:
        for other in sorted(roundings(value) - written):
            if other.removesuffix(".0") in written or float(other.replace(",", "")) == round(
                float(other.replace(",", ""))
            ):
                # A whole number may be another figure altogether.
                continue
            assert not re.search(rf"(?<![\d.,]){re.escape(other)} {unit}(?!\w)", text), (value, other, unit)


#: A figure at the end of a line of running words, and its unit at the beginning of the next.
PARTED = re.compile(rf"[a-z]{{2,}}[^\n]*\d\n(?:%|°C|{_UNITS})(?![\w²³])[^\n]*")


def test_no_figure_is_parted_from_its_unit_at_the_end_of_a_line(told):
    assert PARTED.findall(told[2]) == []
