"""The firm's logo: what is taken and what is refused, and where it stands on the papers of a version."""

from __future__ import annotations

import base64
import io
import json
from typing import Any

import pytest
from PIL import Image, ImageDraw

from tests.offers.test_options import DAY, FIRM, survey
from wattwalk.office.frozen import RenderRequest, freeze, thaw
from wattwalk.office.logo import ACROSS_PX, DOWN_PX, as_logo, logo_file
from wattwalk.office.report import FILE, PAGE, PAPERS, QUOTATION, make_paper, paper_html
from wattwalk.office.report_inputs import gather
from wattwalk.survey.errors import SurveyError


def drawn(size: tuple[int, int] = (600, 200), form: str = "PNG", mode: str = "RGB", **how: Any) -> bytes:
    """Return a picture with a dark bar in it, invented."""
    background = (255, 255, 255, 0) if mode == "RGBA" else "white"
    picture = Image.new(mode, size, background)
    ImageDraw.Draw(picture).rectangle((10, 10, size[0] // 2, size[1] - 10), fill="#803010")
    written = io.BytesIO()
    picture.save(written, form, **how)
    return written.getvalue()


def opened(logo: str) -> Image.Image:
    return Image.open(io.BytesIO(logo_file(logo)[0]))


@pytest.mark.parametrize("form", ["PNG", "JPEG", "WEBP"])
def test_a_picture_is_kept_at_the_size_it_is_printed_at(form: str) -> None:
    logo = as_logo(drawn((2000, 500), form))
    assert logo.startswith("data:image/png;base64,")
    assert opened(logo).size == (ACROSS_PX, round(ACROSS_PX / 4))
    assert opened(as_logo(drawn((300, 600), form))).size == (DOWN_PX // 2, DOWN_PX)
    # A small one is not drawn larger than it is.
    assert opened(as_logo(drawn((220, 80), form))).size == (220, 80)


def test_what_lets_the_paper_through_lies_on_white() -> None:
    kept = opened(as_logo(drawn(mode="RGBA")))
    assert kept.mode == "RGB"
    assert kept.getpixel((kept.width - 2, 2)) == (255, 255, 255)
    assert kept.getpixel((20, 20)) == (128, 48, 16)


def test_a_photograph_is_kept_small_and_nothing_that_was_noted_in_it_is_kept() -> None:
    noise = Image.effect_noise((700, 230), 90).convert("RGB")
    noted = Image.Exif()
    noted[0x010E] = "who made it"
    written = io.BytesIO()
    noise.save(written, "JPEG", exif=noted)
    logo = as_logo(written.getvalue())
    assert logo.startswith("data:image/jpeg;base64,")
    content, kind = logo_file(logo)
    assert kind == "image/jpeg"
    assert len(content) < 200_000
    assert b"who made it" not in content
    assert b"who made it" in written.getvalue()


REFUSED = [
    (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not_a_picture", "is not a whole PNG, JPEG or WebP picture"),
    (b"", "not_a_picture", "is not a whole PNG, JPEG or WebP picture"),
    (drawn(form="GIF"), "not_a_picture", "is not a whole PNG, JPEG or WebP picture"),
    (drawn()[:-40], "not_a_picture", "is not a whole PNG, JPEG or WebP picture"),
    (drawn() + bytes(1_000_001), "picture_too_large", "Found 1.0 MB, expected at most 1 MB."),
    (drawn((4000, 3001)), "picture_too_large", "Found 4000 × 3001 pixels, expected at most 12 million."),
    (drawn((199, 60)), "logo_too_small", "199 × 60 pixels and would print blurred"),
    (drawn((1700, 200)), "logo_shape", "expected at most 8 times as wide as high"),
    (drawn((200, 401)), "logo_shape", "or 2 times as high as wide"),
]


@pytest.mark.parametrize(("data", "code", "words"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_a_logo_is_refused_in_one_sentence(data: bytes, code: str, words: str) -> None:
    with pytest.raises(SurveyError) as refused:
        as_logo(data)
    (problem,) = refused.value.problems
    assert (problem.code, problem.field) == (code, "logo")
    assert words in problem.message
    assert problem.message.count(". ") == 0


def test_a_logo_that_would_not_show_on_paper_is_refused() -> None:
    written = io.BytesIO()
    Image.new("RGBA", (400, 100), (255, 255, 255, 200)).save(written, "PNG")
    with pytest.raises(SurveyError) as refused:
        as_logo(written.getvalue())
    assert refused.value.problems[0].code == "logo_not_seen"


def test_it_stands_at_the_head_of_the_household_s_papers_and_the_file_and_nowhere_without_one() -> None:
    with_it = gather(survey(), firm={**FIRM, "logo": as_logo(drawn())}, version=1, made_on=DAY)
    without = gather(survey(), firm=FIRM, version=1, made_on=DAY)
    tag = '<img src="wattwalk:logo" alt="Logo of Larkspur Heat (invented)">'
    assert {name: paper_html(with_it, name).count(tag) for name in PAPERS} == {
        QUOTATION: 1,
        PAGE: 1,
        FILE: 1,
        "sheets": 0,
    }
    for name in PAPERS:
        assert "wattwalk:logo" not in paper_html(without, name)
    page = make_paper(with_it, PAGE).decode()
    assert f'<img src="{as_logo(drawn())}"' in page
    assert "wattwalk:" not in page


def test_it_is_printed_and_frozen_with_the_version() -> None:
    logo = as_logo(drawn())
    frozen = freeze(survey(), revision=3, firm={**FIRM, "logo": logo}, photos=(), with_checks=False)
    assert base64.b64encode(base64.b64decode(logo.partition(",")[2])).decode() in frozen
    again = thaw(RenderRequest(frozen, 1, DAY, {}))
    assert again.firm["logo"] == logo
    pdf = make_paper(again, QUOTATION)
    plain = make_paper(gather(survey(), firm=FIRM, version=1, made_on=DAY), QUOTATION)
    assert pdf.count(b"/Subtype /Image") == plain.count(b"/Subtype /Image") + 1
    assert pdf == make_paper(again, QUOTATION)
    assert "logo" not in json.loads(freeze(survey(), revision=3, firm=FIRM, photos=(), with_checks=False))["firm"]
