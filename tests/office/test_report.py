"""The report's PDF as a reader meets it: text, pages, tags, fonts, photos, and what hostile words cannot do."""

from __future__ import annotations

import dataclasses
import json
import logging
import re
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageFile, ImageOps
from weasyprint.urls import FatalURLFetchingError

from tests.office.conftest import FIRM, file_html, inputs_of, picture, the_file, words_of_page
from tests.support import invented_house as house
from wattwalk.office import technical_file
from wattwalk.office.frozen import RenderRequest, freeze, photo_hashes, thaw
from wattwalk.office.render import RenderInterruptedError, RenderTimeoutError, render_in_subprocess
from wattwalk.office.report import PAPERS, QUOTATION, ReportError, gather, make_paper, paper_html
from wattwalk.office.typeset import OwnFiles
from wattwalk.survey.document import read_document
from wattwalk.survey.fields import text
from wattwalk.survey.kinds import KINDS

CHAPTERS = (
    "Rooms and emitters",
    "The outdoor unit and its place",
    "Hot water",
    "Pipes, cables, electricity",
    "Works by trade",
    "Price",
    "Photos",
    "What is still missing",
    "What was recorded",
    "Working and sources",
    "Cautions",
)


class Warned(logging.Handler):
    """Keeps what WeasyPrint warns of."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.messages: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.messages.append(record.getMessage())


@pytest.fixture
def made_up_rooms(monkeypatch) -> None:
    """Rooms are made up that the survey does not hold: how sure their figures are, which has tests of its own, cannot be said of them."""
    nothing = {"facts": [], "rows": [], "words": [], "witness": None}
    monkeypatch.setattr(technical_file, "sure_block", lambda _inputs: nothing)


@pytest.fixture(scope="module")
def warned() -> Warned:
    """What was warned of while the report of the invented house was set."""
    return Warned()


@pytest.fixture(scope="module")
def made(warned: Warned) -> bytes:
    """The report of the invented house."""
    logger = logging.getLogger("weasyprint")
    logger.addHandler(warned)
    try:
        return the_file(inputs_of())
    finally:
        logger.removeHandler(warned)


def test_the_first_page_of_the_quotation_says_it_all_in_a_minute(paper):
    first = " ".join(paper(make_paper(inputs_of(), QUOTATION)).text("-l", "1").split())
    for said in (
        "Invented Heating Ltd",
        "INV-014",
        "Version 2, 2 April 2026",
        "Mr and Mrs Inventold, 3 Madeup Lane, Nowhere Green, ZZ1 1ZV",
        "3 rooms of 6 will be warm",
        "Kitchen (320 W short)",
        "Hall has no heating",
        "It costs £3,454.39 with VAT. If the grant of £1,000.00 is approved, £1,954.39 is left",
        "it lies inside the protective zone",
        "write to office@firm.example or call 01632 960000",
    ):
        assert said in first, said


def test_a_house_that_is_all_well_is_told_so():
    first = words_of_page(paper_html(inputs_of(assessment=house.complete_assessment()), QUOTATION))
    assert "Every room will be warm on the coldest day we plan for, −2.1 °C outside." in first
    assert "To say yes, write to" in first


def test_each_chapter_is_there_with_its_bookmark_and_page_number(made, paper):
    report = paper(made)
    pages = int(report.info()["Pages"])
    text_by_page = report.text().split("\f")[:pages]
    for number, page in enumerate(text_by_page, start=1):
        assert f"Page {number} of {pages}" in " ".join(page.split())
    flat, bookmarks = report.flat(), report.bookmarks()
    assert bookmarks[0] == "Contents and sums"
    for chapter in CHAPTERS:
        assert flat.count(chapter) >= 2, f"{chapter}: on the first page and over the chapter"
        assert chapter in bookmarks


def test_the_contents_name_the_pages_the_chapters_are_on(made, paper):
    report = paper(made)
    pages = report.text("-layout").split("\f")
    for chapter in CHAPTERS:
        found = next(
            number
            for number, page in enumerate(pages, start=1)
            if any(line.strip() == chapter for line in page.splitlines())
        )
        entry = re.search(rf"{re.escape(chapter)} +(\d+)", pages[0])
        assert entry, chapter
        assert entry[1] == str(found), chapter


def test_figures_of_every_chapter_are_printed(made, paper):
    flat = paper(made).flat()
    for said in (
        "short by 320 W",
        "1,240",
        "44.9",
        "Fall across the base",
        "6.5 mm",
        "wall right 2.2 5",
        "Outdoors 1.5 m; Under a floor or in a void 7.0 m",
        "Along the skirting, boxed in",
        "2 cores, screened",
        "Fill and render to match",
        "VAT at 20 % on £100.03 £20.01",
        "EN 442-2:2014",
        "from memory",
        "Refrigerant",
        "0.33 Wh/m³K × 1.50 per hour × 40.0 m³ × 22.0 K",
        "Winter loss into the ground: annual mean ground temperature",
    ):
        assert said in flat, said


def test_it_is_tagged_titled_and_dated_without_a_clock(made, paper):
    report = paper(made)
    info = report.info()
    assert info["Tagged"] == "yes"
    assert info["Title"] == "Technical file, INV-014, version 2"
    assert info["Author"] == FIRM["name"]
    assert info["Page size"].endswith("(A4)")
    assert 'pdfuaid:part="1"' in report.metadata()
    assert "<xmp:CreateDate>2026-04-02</xmp:CreateDate>" in report.metadata()


def test_tags_name_headings_tables_lists_and_figures(made, paper):
    structure = paper(made).structure()
    for tag in ("H1", "H2", "Table", "TH", "TD", "Figure", "L (block)"):
        assert tag in structure, tag


def test_fonts_are_our_own_and_embedded(made, paper):
    fonts = paper(made).fonts()
    assert fonts
    for line in fonts:
        assert "Source-Sans-3" in line
        emb, sub, uni = line.split()[-5:-2]
        assert (emb, sub, uni) == ("yes", "yes", "yes")


def test_another_version_says_so():
    assert "Version 3" in words_of_page(file_html(inputs_of(version=3)))


def request_of(folder: Path, *, number: int = 2) -> RenderRequest:
    """Return the request for a version of the invented house, its photo laid down in a folder."""
    photo = folder / "photo"
    photo.write_bytes(picture())
    inputs = freeze(
        read_document(house.document()), revision=7, firm=FIRM, photos=["a" * 64, "c" * 64], with_checks=False
    )
    return RenderRequest(inputs, number, "2026-04-02", {"a" * 64: str(photo)})


def test_what_was_frozen_gives_the_same_bytes_in_another_process(tmp_path):
    request = request_of(tmp_path)
    survey = read_document(house.document())
    inputs = gather(survey, firm=FIRM, version=2, made_on="2026-04-02", photos={"a" * 64: picture()})
    live = {name: make_paper(inputs, name) for name in PAPERS}
    assert render_in_subprocess(request) == live
    assert {name: make_paper(thaw(request), name) for name in PAPERS} == live
    # Only a photo of the survey's own was frozen; another one that is here is none of its inputs.
    assert photo_hashes(request.inputs_json) == ["a" * 64]


def test_a_request_that_no_pipe_has_room_for_is_made_as_well(tmp_path):
    request = request_of(tmp_path)
    # White space that the reader skips: as long as what is frozen of a large survey, or of a firm with a logo.
    long = dataclasses.replace(request, inputs_json=request.inputs_json + " " * 400_000)
    assert render_in_subprocess(long, timeout_s=60) == render_in_subprocess(request)


def test_what_was_frozen_is_one_text_whatever_was_typed():
    survey, firm = read_document(house.document()), {**FIRM, "terms": "half a letter \ud83c, a zero \x00, £"}
    frozen = freeze(survey, revision=1, firm=firm, photos=["b" * 64, "a" * 64], with_checks=True)
    assert frozen.isascii()
    assert "\x00" not in frozen
    assert frozen == freeze(
        survey, revision=1, firm=dict(reversed(firm.items())), photos=iter(["a" * 64, "b" * 64]), with_checks=True
    )
    assert json.loads(frozen)["firm"] == firm


def test_a_form_that_is_not_known_is_refused(tmp_path):
    request = request_of(tmp_path)
    other = json.dumps({**json.loads(request.inputs_json), "form": 99})
    with pytest.raises(ReportError, match="kept in form 99, expected 1"):
        render_in_subprocess(dataclasses.replace(request, inputs_json=other))


def test_a_refusal_in_the_other_process_comes_back_in_its_words(tmp_path):
    with pytest.raises(ReportError, match="numbered from 1, found version 0"):
        render_in_subprocess(request_of(tmp_path, number=0))


def test_a_report_that_takes_too_long_is_stopped(tmp_path):
    with pytest.raises(RenderTimeoutError, match="was not ready after 0 seconds"):
        render_in_subprocess(request_of(tmp_path), timeout_s=0.05)


def test_a_report_that_is_not_wanted_any_more_is_stopped(tmp_path):
    with pytest.raises(RenderInterruptedError):
        render_in_subprocess(request_of(tmp_path), is_unwanted=lambda: True)


def test_a_wrong_day_is_refused():
    with pytest.raises(ReportError, match="must be YYYY-MM-DD, found '2 April'"):
        the_file(dataclasses.replace(inputs_of(), made_on="2 April"))


def test_nothing_is_warned_of_while_it_is_set(made, warned):
    assert made
    assert warned.messages == []


def test_pillow_still_refuses_pictures_cut_short_beside_us():
    # WeasyPrint switches that off for the whole process; see the note in the report's module.
    assert ImageFile.LOAD_TRUNCATED_IMAGES is False


@pytest.mark.parametrize(
    "url", ["http://127.0.0.1/x.png", "file:///etc/hostname", "wattwalk:photo/other", "data:text/plain,x"]
)
def test_only_own_files_are_fetched(url):
    with pytest.raises(FatalURLFetchingError, match="not one of its own files"):
        OwnFiles({"wattwalk:photo/mine": (b"x", "image/jpeg")}).fetch(url)


def test_hostile_words_neither_break_the_page_nor_inject(paper, made_up_rooms):
    document = house.document()
    hostile = '<img src="http://127.0.0.1:9/x.png"><script>alert(1)</script>{{ 7*7 }}'
    document["records"]["survey"][0]["household_name"] = hostile[:120]
    document["records"]["room"][0]["name"] = "W" * 60
    document["records"]["room"][1]["name"] = "مطبخ المنزل 😀\u202ekcab"
    document["records"]["note"].append(
        {"id": "n3", "words": "</style></div><h1>Free</h1>" + "long" * 900, "audience": "household"}
    )
    firm = {**FIRM, "name": '"><b>Firm</b>', "terms": "url(http://127.0.0.1:9/) ' \" \\ </p>"}
    rooms = (dataclasses.replace(house.room("A", 100.0, 90.0), name=hostile * 4), house.room("B" * 200, 100.0, 90.0))
    inputs = inputs_of(document, house.assessment(rooms), firm=firm)
    html = file_html(inputs)
    assert "<script" not in html
    assert html.count("<h1") == 1
    report = paper(the_file(inputs))
    flat = report.flat().replace(" ", "")
    assert "{{7*7}}" in flat
    assert "<h1>Free</h1>" in flat
    assert '"><b>Firm</b>' in flat
    assert "\u202e" not in flat


def test_a_long_word_stays_on_the_paper_and_signs_of_the_trade_have_glyphs(paper):
    document = house.document()
    signs = "≥ ≤ Δ λ Ω CO₂ m² m³ −3 × · θ Φ ½"
    document["records"]["note"].append({"id": "n3", "words": signs, "audience": "household"})
    document["records"]["survey"][0]["address"] = "Y" * 240
    document["records"]["price_line"][0]["what"] = "Z" * 200
    report = paper(the_file(inputs_of(document)))
    assert report.flat().replace(" ", "").count("Y") >= 240
    assert signs in report.flat()
    assert all("Source-Sans-3" in line for line in report.fonts())
    edges = report.right_edges()
    assert edges
    assert max(edges) <= 595.3  # the width of A4 in points


def test_sixty_rooms_repeat_the_head_of_their_table(paper, made_up_rooms):
    rooms = tuple(
        house.room(f"Room number {place}", 300.0 + place, 350.0, ("ground", "first", "second")[place % 3])
        for place in range(60)
    )
    document = {"format": "wattwalk-survey", "version": 1, "id": "s", "records": {}}
    report = paper(the_file(inputs_of(document, house.assessment(rooms), photos={})))
    heads = [page for page in report.text().split("\f") if "Room and its emitters" in page]
    assert len(heads) >= 3
    flat = report.flat()
    assert all(f"Room number {place}" in flat for place in range(60))


def test_an_empty_survey_still_makes_a_report(paper):
    from wattwalk.engine import assess
    from wattwalk.survey.document import read_document

    document = {"format": "wattwalk-survey", "version": 1, "id": "s", "records": {}}
    flat = paper(the_file(inputs_of(document, assess(read_document(document)), firm={}, photos={}))).flat()
    for said in (
        "Firm not named yet",
        "Household not named yet",
        "No room has been surveyed yet.",
        "No price has been written yet.",
    ):
        assert said in flat, said
    assert "Left to pay" not in flat


def test_a_base_without_readings_is_told_and_not_drawn():
    bare = dataclasses.replace(
        house.base(),
        points=(),
        feet=(),
        slope_x_mm_m=None,
        slope_y_mm_m=None,
        fall_mm_m=None,
        missing=("at least three level readings (none found)",),
    )
    html = file_html(inputs_of(assessment=dataclasses.replace(house.assessment(), bases=(bare,))))
    assert "Missing: at least three level readings (none found)." in words_of_page(html)
    assert "drawing/base" not in html
    assert "drawing/base/base1" in file_html(inputs_of())


def test_long_lists_of_the_quotation_are_cut_and_the_rest_is_counted():
    document = house.document()
    document["records"]["scope_item"] = [
        {"id": f"w{place}", "trade": "builder", "what": f"Work {place}", "specification": "As drawn"}
        for place in range(12)
    ]
    page = words_of_page(paper_html(inputs_of(document), QUOTATION)).split("What we need from you", 1)[1]
    assert "5 more stand in the technical file." in page
    assert "Work 6." in page
    assert "Work 7." not in page


def test_an_incomplete_price_has_no_balance():
    document = house.document()
    del document["records"]["price_line"][1]["vat_rate"]
    flat = words_of_page(file_html(inputs_of(document)))
    assert "The price is not complete" in flat
    assert "Radiator type 22, 600 × 1200 mm: VAT is missing, so the line cannot be added up." in flat
    assert "Left to pay" not in flat


def test_photos_are_scaled_and_named_and_a_missing_one_is_told(made, paper):
    big = picture(4000, 3000)
    report = paper(the_file(inputs_of(photos={"a" * 64: big})))
    widths = [int(row[3]) for row in report.images()]
    assert widths
    assert max(widths) <= 550
    flat = report.flat()
    assert "1 · Meter cupboard · Meter and main fuse · Electricity supply" in flat
    assert "The photo is not at the office." in flat
    assert "2 · The slab" in flat


def test_a_photo_that_cannot_be_read_is_told():
    flat = words_of_page(file_html(inputs_of(photos={"a" * 64: b"no picture"})))
    assert "The bytes are not a picture that can be read." in flat


def test_twenty_photos_keep_their_shape_and_are_never_split(paper):
    document = house.document()
    document["records"]["photo"] = [
        {"id": f"ph{place}", "category": "room", "caption": f"Picture {place}", "sha256": f"{place:064x}"}
        for place in range(20)
    ]
    photos = {f"{place:064x}": picture(300, 500) if place % 2 else picture(640, 480) for place in range(20)}
    report = paper(the_file(inputs_of(document, photos=photos)))
    rows = report.images()
    assert len(rows) == 20
    assert {row[3:5] == ["264", "440"] or row[3:5] == ["550", "412"] for row in rows} == {True}
    # x-ppi and y-ppi are equal when the shape is kept; a split picture would be listed twice.
    assert all(abs(int(row[12]) - int(row[13])) <= 1 for row in rows)


def test_a_field_declared_today_is_in_the_report_today(monkeypatch):
    kind = KINDS["room"]
    spec = dataclasses.replace(text("Colour of the wallpaper").metadata["spec"], name="wallpaper", group="seen")
    declared = [("wallpaper", "str | None", text("Colour of the wallpaper"))]
    made_anew = dataclasses.make_dataclass("Room", declared, bases=(kind.make,), frozen=True, kw_only=True)
    new_kind = dataclasses.replace(kind, fields=(*kind.fields, spec), make=made_anew)
    made_anew.kind = new_kind
    monkeypatch.setitem(KINDS, "room", new_kind)
    document = house.document()
    document["records"]["room"][0]["wallpaper"] = "Peacock green"
    flat = words_of_page(file_html(inputs_of(document)))
    assert "Colour of the wallpaper Peacock green" in flat


def test_a_photo_taken_sideways_stands_upright_and_says_nothing_of_where():
    from io import BytesIO

    from wattwalk.office.photos import prepare

    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8825)[1] = "N"
    taken = picture(400, 300, exif=exif)
    with Image.open(BytesIO(taken)) as before:
        assert before.getexif()[0x0112] == 6
        upright = ImageOps.exif_transpose(before)
    with Image.open(BytesIO(prepare(taken))) as after:
        assert after.size == (300, 400) == upright.size
        assert not after.getexif()
        # Turned by a quarter: what was dark on the left is dark at the top.
        assert after.getpixel((150, 40))[0] < 80
        assert after.getpixel((150, 360))[0] > 180


def test_marks_are_drawn_into_the_photo():
    from io import BytesIO

    from wattwalk.office.photos import prepare

    strokes = [
        {"shape": "ring", "x1": 0.2, "y1": 0.2, "x2": 0.8, "y2": 0.8},
        {"shape": "arrow", "x1": 0.1, "y1": 0.5, "x2": 0.5, "y2": 0.5},
        {"shape": "words", "x1": 0.1, "y1": 0.05, "words": "here"},
    ]
    plain, marked = prepare(picture()), prepare(picture(), strokes)
    assert plain != marked
    with Image.open(BytesIO(marked)) as after:
        red, green, blue = after.getpixel((80, 150))
        assert red > 150
        assert green < 120
        assert blue < 120


@pytest.mark.parametrize(
    ("taken", "printed"),
    [
        ((4000, 2000), (550, 275)),
        ((3000, 4000), (330, 440)),
        ((550, 440), (550, 440)),
        ((551, 440), (550, 439)),
        ((300, 200), (300, 200)),
        # However narrow, one pixel is left of it.
        ((30_000, 20), (550, 1)),
        ((20, 30_000), (1, 440)),
    ],
)
def test_a_photo_is_printed_no_larger_than_it_is_and_no_larger_than_its_place(taken, printed):
    from wattwalk.office.photos import print_size

    assert print_size(*taken) == printed


def test_words_on_a_small_photo_are_eight_pixels_high_at_least():
    from io import BytesIO

    from wattwalk.office.photos import prepare

    words = [{"shape": "words", "x1": 0.5, "y1": 0.3, "words": "H"}]
    rows = []
    for small in (picture(60, 60), picture(100, 100)):
        with Image.open(BytesIO(prepare(small))) as plain, Image.open(BytesIO(prepare(small, words))) as marked:
            changed = ImageChops.difference(plain, marked).convert("L").point(lambda value: 255 if value > 60 else 0)
        box = changed.getbbox()
        assert box is not None
        rows.append(box[3] - box[1])
    # Letters of 2.7 and 4.5 pixels would be no words; both are drawn alike, a capital of eight with its light rim.
    assert rows[0] >= 6
    assert abs(rows[0] - rows[1]) <= 1


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_other_formats_print_too(form):
    from wattwalk.office.photos import prepare

    assert prepare(picture(form=form)).startswith(b"\xff\xd8")


@pytest.mark.parametrize("cut", [0, 10, 1500])
def test_a_photo_cut_short_is_refused(cut):
    from wattwalk.office.photos import UnreadablePhotoError, prepare

    with pytest.raises(UnreadablePhotoError):
        prepare(picture(800, 600)[:cut])
