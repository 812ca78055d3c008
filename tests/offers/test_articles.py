"""Lines drawn from the firm's articles: which stands for what, its price of the day, its rate of VAT, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from wattwalk.demo.house import house
from wattwalk.engine import assess
from wattwalk.offers import look_at_lines
from wattwalk.offers.quote import LINE_CHANGED, Quote, work_out
from wattwalk.offers.shapes import ChangedLine, SuggestedLine
from wattwalk.survey.document import Survey, read_document, write_document
from wattwalk.survey.firm import Article, PriceBook

DAY = "2026-03-13"
UNIT = {"stands_for": "unit", "for_unit": "Air to water, 8 kW class, invented"}
RADIATOR = {"stands_for": "radiator", "for_emitter": "panel_22", "for_height_mm": 600, "for_length_mm": 1200}


def article(article_id: str, price: str | None = "100.00", **said: Any) -> Article:
    return Article(id=article_id, code=article_id.upper(), selling_price=price, **said)


def demo() -> dict[str, Any]:
    """Return the demo house without lines, and its new radiator of a size that the articles here know."""
    made = house()
    made["records"]["price_line"] = []
    record(made, "emitter", "emitter-study-new").update({"type": "panel_22", "height_mm": 600, "length_mm": 1200})
    return made


def record(made: dict[str, Any], kind: str, record_id: str) -> dict[str, Any]:
    return next(item for item in made["records"][kind] if item["id"] == record_id)


def seen(made: dict[str, Any], *articles: Article) -> Survey:
    return replace(read_document(made), prices=PriceBook(articles))


def suggested(survey: Survey, drawn_from: str, drawn_as: str = "", day: str = DAY) -> SuggestedLine:
    found = look_at_lines(survey, day)[0]
    (line,) = [item for item in found if (item.drawn_from, item.drawn_as) == (drawn_from, drawn_as)]
    return line


def rows(basis: Any) -> list[dict[str, str]]:
    return [{name: getattr(row, name) for name in ("record", "field", "value", "words")} for row in basis]


def drawn(made: dict[str, Any], item: SuggestedLine) -> dict[str, Any]:
    """Draw a line as the page does."""
    line: dict[str, Any] = {
        "id": f"line-{item.drawn_from}{item.drawn_as}",
        "what": item.what,
        "part_of": item.part_of,
        "quantity": float(item.quantity),
        "unit": item.unit,
        "drawn_from": item.drawn_from,
        "drawn_basis": rows(item.basis),
    }
    for name in ("unit_price", "vat_rate", "drawn_as"):
        if getattr(item, name):
            line[name] = getattr(item, name)
    made["records"]["price_line"].append(line)
    return line


def taken_over(line: dict[str, Any], item: ChangedLine) -> None:
    line["drawn_from"] = item.drawn_from
    line["drawn_basis"] = rows((*item.basis, *item.article))
    for name in ("what", "unit", "unit_price", "vat_rate"):
        if getattr(item, name):
            line[name] = getattr(item, name)
    if item.quantity is not None:
        line["quantity"] = float(item.quantity)
    if item.drops_price:
        line.pop("unit_price", None)


def kept(line: dict[str, Any], item: ChangedLine) -> None:
    line["drawn_from"] = item.drawn_from
    line["drawn_basis"] = rows((*item.basis, *item.kept_article))


def changed(survey: Survey, day: str = DAY) -> tuple[ChangedLine, ...]:
    return look_at_lines(survey, day)[1]


def quote(survey: Survey) -> Quote:
    return work_out(survey, assess(survey).rooms, DAY)


# Which article stands for a line.


def test_a_line_takes_words_measure_price_and_rate_of_its_article():
    found = article("a1", "6420.00", words="Outdoor unit of 8 kW, fitted", vat="energy_saving", sold_by="sum", **UNIT)
    line = suggested(seen(demo(), found), "unit-middle")
    assert (line.what, line.unit, line.unit_price, line.vat_rate, line.article) == (
        "Outdoor unit of 8 kW, fitted",
        "sum",
        "6420.00",
        "0",
        "article_found",
    )
    assert [row.field for row in line.basis if row.record == "article/a1"] == ["code", "selling_price", "vat"]


@pytest.mark.parametrize(
    "other",
    [
        {"for_height_mm": 450},
        {"for_length_mm": 1000},
        {"for_emitter": "panel_21"},
        {"for_length_mm": None},
        {"stands_for": "valve"},
    ],
)
def test_a_radiator_of_another_size_or_type_does_not_stand_for_it(other):
    right = suggested(seen(demo(), article("r", **RADIATOR)), "emitter-study-new")
    wrong = suggested(seen(demo(), article("r", **(RADIATOR | other))), "emitter-study-new")
    assert (right.article, right.unit_price) == ("article_found", "100.00")
    assert right.what.startswith("New ")
    assert (wrong.article, wrong.unit_price) == ("article_none", None)
    assert wrong.article_words == "No article in the price book."


def test_words_never_decide():
    named = article("n", words="Double panel, two convectors (type 22), 600 × 1200 mm")
    assert suggested(seen(demo(), named), "emitter-study-new").article == "article_none"


def test_two_articles_for_one_thing_are_said_and_none_is_taken():
    line = suggested(seen(demo(), article("r1", **RADIATOR), article("r2", "90.00", **RADIATOR)), "emitter-study-new")
    assert (line.article, line.unit_price) == ("article_several", None)
    assert line.article_words == "2 articles stand for it, so none was taken: R1, R2."


def test_the_article_that_says_more_goes_before_the_one_that_leaves_it_open():
    made = demo()
    pipe = next(item for item in made["records"]["pipe_run"] if item.get("size_mm") and item.get("material"))
    size = {"stands_for": "pipe", "for_pipe_mm": pipe["size_mm"], "sold_by": "m"}
    usual, own = article("usual", "8.00", **size), article("own", "9.00", for_material=pipe["material"], **size)
    other = article("other", "7.00", for_material="steel" if pipe["material"] != "steel" else "copper", **size)
    assert suggested(seen(made, usual, own, other), pipe["id"]).unit_price == "9.00"
    assert suggested(seen(made, usual, other), pipe["id"]).unit_price == "8.00"
    assert suggested(seen(made, other), pipe["id"]).article == "article_none"


def test_flow_and_return_are_two_pipes_and_so_is_their_insulation():
    made = demo()
    pipe = next(item for item in made["records"]["pipe_run"] if item["purpose"] == "primary")
    pipe.update({"size_mm": 28, "insulation": "closed_cell", "insulation_mm": 19})
    pipe["stretches"] = [{"place": "outdoors", "length_m": 4.5}, {"place": "void", "length_m": 6.0}]
    survey = seen(
        made,
        article("p", "8.00", stands_for="pipe", for_pipe_mm=28, sold_by="m"),
        article("i", "3.00", stands_for="pipe_insulation", for_pipe_mm=28, for_wall_mm=19, sold_by="m"),
    )
    assert suggested(survey, pipe["id"]).quantity == "21"
    assert suggested(survey, pipe["id"], "pipe_insulation").quantity == "21"
    pipe["insulation"] = "none"
    found = {(item.drawn_from, item.drawn_as) for item in look_at_lines(seen(made, article("x")), DAY)[0]}
    assert (pipe["id"], "pipe_insulation") not in found
    assert (pipe["id"], "") in found


def test_what_is_counted_otherwise_than_the_survey_counts_is_refused():
    made = demo()
    pipe = next(item for item in made["records"]["pipe_run"] if item["purpose"] == "primary")
    lengths = article("p", "24.00", stands_for="pipe", for_pipe_mm=pipe["size_mm"], sold_by="each")
    line = suggested(seen(made, lengths), pipe["id"])
    assert (line.article, line.unit_price) == ("article_other_unit", None)
    assert line.article_words == "Article P is sold by the piece; the survey counts metres."


def test_an_article_without_a_price_is_said():
    line = suggested(seen(demo(), article("a1", None, **UNIT)), "unit-middle")
    assert (line.article, line.unit_price) == ("article_no_price", None)


@pytest.mark.parametrize(
    ("vat", "nation", "day", "rate"),
    [
        ("energy_saving", "england", "2026-03-13", "0"),
        ("energy_saving", "england", "2027-04-01", "5"),
        ("energy_saving", "northern_ireland", "2023-05-01", "0"),
        ("standard", "england", "2026-03-13", "20"),
        (None, "wales", "2026-03-13", "20"),
    ],
)
def test_the_rate_of_vat_follows_from_kind_nation_and_day(vat, nation, day, rate):
    # VAT Notice 708/6, section 2, as the table has it.
    made = demo()
    made["records"]["survey"][0]["nation"] = nation
    assert suggested(seen(made, article("a1", vat=vat, **UNIT)), "unit-middle", day=day).vat_rate == rate


def test_a_rate_that_cannot_be_said_is_left_open_and_said():
    made = demo()
    made["records"]["survey"][0]["nation"] = "northern_ireland"
    line = suggested(seen(made, article("a1", vat="energy_saving", **UNIT)), "unit-middle", day="2023-04-30")
    assert (line.article, line.unit_price, line.vat_rate) == ("article_no_vat", "100.00", None)
    assert line.article_words.endswith("The table holds no rate of VAT for it on 30 April 2023.")


def test_hours_of_the_articles_make_one_line_for_each_trade():
    def worked(article_id: str, said: dict[str, Any], **hours: float) -> Article:
        made = article(article_id, **said)
        for name, value in hours.items():
            object.__setattr__(made, name, value)
        return made

    survey = seen(
        demo(),
        worked("u", UNIT, hours_heating=12.5, hours_electrical=4.0),
        worked("r", RADIATOR, hours_heating=2.25),
        article("l", "45.00", stands_for="labour", for_trade="heating", sold_by="h"),
    )
    heating = suggested(survey, survey.records_named("survey")[0].id, "labour_heating")
    assert (heating.quantity, heating.unit, heating.unit_price) == ("14.75", "h", "45.00")
    electrical = suggested(survey, survey.records_named("survey")[0].id, "labour_electrical")
    assert (electrical.quantity, electrical.article) == ("4", "article_none")
    assert "labour_building" not in {item.drawn_as for item in look_at_lines(survey, DAY)[0]}


def test_a_firm_without_a_price_book_is_suggested_what_it_always_was():
    plain = look_at_lines(read_document(demo()), DAY)
    assert look_at_lines(seen(demo()), DAY) == plain
    assert {item.article for item in plain[0]} == {""}
    drawn_as = {item.drawn_as for item in look_at_lines(seen(demo(), article("x")), DAY)[0]}
    assert drawn_as == {"", "valve", "pipe_insulation", "commissioning", "waste"}


def test_a_document_carries_no_article():
    survey = seen(demo(), article("a1", cost_price="66.66", **UNIT))
    look_at_lines(survey, DAY)
    assert write_document(survey) == write_document(read_document(demo()))


# A line keeps its article.


def test_another_price_in_the_book_is_said_until_it_is_taken_over_or_kept():
    for settle, price in ((taken_over, "15.10"), (kept, "14.20")):
        made = demo()
        old, new = article("v", "14.20", stands_for="valve"), article("v", "15.10", stands_for="valve")
        line = drawn(made, suggested(seen(made, old), "emitter-study-new", "valve"))
        assert changed(seen(made, old)) == ()
        (item,) = changed(seen(made, new))
        assert "price was £14.20, now £15.10" in item.words
        assert [(p.code, p.record) for p in quote(seen(made, new)).problems] == [
            (LINE_CHANGED, f"price_line/{line['id']}")
        ]
        settle(line, item)
        assert changed(seen(made, new)) == ()
        assert line["unit_price"] == price
        # A later price is said again, whichever way it was settled.
        assert len(changed(seen(made, article("v", "16.00", stands_for="valve")))) == 1


def test_an_article_that_left_the_book_is_said_and_the_line_keeps_its_price():
    made = demo()
    line = drawn(made, suggested(seen(made, article("v", "14.20", stands_for="valve")), "emitter-study-new", "valve"))
    (item,) = changed(seen(made, article("x")))
    assert "article was V, now no longer in the price book" in item.words
    assert item.only_kept
    assert item.unit_price is None
    assert not item.drops_price
    kept(line, item)
    assert line["unit_price"] == "14.20"
    assert changed(seen(made, article("x"))) == ()
    # While nobody knows the book, nothing is said of it.
    assert changed(read_document(made)) == ()


def test_another_unit_brings_its_own_price():
    made = demo()
    small = article("u8", "6420.00", words="Unit of 8 kW", vat="energy_saving", **UNIT)
    large = article(
        "u12",
        "7900.00",
        words="Unit of 12 kW",
        vat="energy_saving",
        **(UNIT | {"for_unit": "Air to water, 12 kW class, invented"}),
    )
    line = drawn(made, suggested(seen(made, small, large), "unit-middle"))
    made["records"]["design"][0]["unit"] = "unit-large"
    (item,) = changed(seen(made, small, large))
    assert "was Air to water, 8 kW class, invented, now Air to water, 12 kW class, invented" in item.words
    assert "price was £6,420.00, now £7,900.00" in item.words
    assert not item.drops_price
    taken_over(line, item)
    assert (line["what"], line["unit_price"], line["vat_rate"]) == ("Unit of 12 kW", "7900.00", "0")
    after = seen(made, small, large)
    assert changed(after) == ()
    assert quote(after).net == Decimal("7900.00")
    assert not [found for found in look_at_lines(after, DAY)[0] if found.drawn_from.startswith("unit-")]


def test_another_unit_without_an_article_drops_the_price_of_the_old_one():
    made = demo()
    small = article("u8", "6420.00", **UNIT)
    line = drawn(made, suggested(seen(made, small), "unit-middle"))
    made["records"]["design"][0]["unit"] = "unit-large"
    (item,) = changed(seen(made, small))
    assert item.drops_price
    taken_over(line, item)
    assert "unit_price" not in line
    assert not [row for row in line["drawn_basis"] if row["record"].startswith("article/")]


def test_a_line_kept_on_the_old_unit_goes_on_to_hang_on_its_own_article():
    made = demo()
    small = article("u8", "6420.00", **UNIT)
    large = article("u12", "7900.00", **(UNIT | {"for_unit": "Air to water, 12 kW class, invented"}))
    line = drawn(made, suggested(seen(made, small, large), "unit-middle"))
    made["records"]["design"][0]["unit"] = "unit-large"
    kept(line, changed(seen(made, small, large))[0])
    assert changed(seen(made, small, large)) == ()
    (item,) = changed(seen(made, replace(small, selling_price="6500.00"), large))
    assert "price was £6,420.00, now £6,500.00" in item.words


def test_another_length_takes_metres_of_pipe_at_the_price_of_its_article():
    made = demo()
    pipe = next(item for item in made["records"]["pipe_run"] if item["purpose"] == "primary")
    pipe["stretches"] = [{"place": "void", "length_m": 10.0}]
    book = article("p", "8.00", stands_for="pipe", for_pipe_mm=pipe["size_mm"], sold_by="m")
    line = drawn(made, suggested(seen(made, book), pipe["id"]))
    assert line["quantity"] == 20
    pipe["stretches"] = [{"place": "void", "length_m": 12.0}]
    (item,) = changed(seen(made, book))
    taken_over(line, item)
    assert (line["quantity"], line["unit_price"]) == (24, "8.00")
    assert changed(seen(made, book)) == ()


# Vessels and fittings.

VOLUMISER = {"stands_for": "vessel", "for_vessel": "volumiser", "for_litres": 50}


def test_a_new_vessel_is_drawn_by_what_it_is_and_what_it_holds():
    volumiser = article("vol", "326.00", **VOLUMISER)
    item = suggested(seen(demo(), volumiser), "vessel-volumiser")
    assert (item.unit_price, item.quantity, item.article) == ("326.00", "1", "article_found")
    # Of another size, another thing, or not said: none is taken, and the line says so.
    for other in (
        article("vol", **{**VOLUMISER, "for_litres": 30}),
        article("vol", **{**VOLUMISER, "for_vessel": "expansion"}),
        article("vol", stands_for="vessel", for_vessel="volumiser"),
    ):
        item = suggested(seen(demo(), other), "vessel-volumiser")
        assert (item.unit_price, item.article) == (None, "article_none")
        assert item.article_words == "No article in the price book."
    made = demo()
    del record(made, "vessel", "vessel-volumiser")["litres"]
    assert suggested(seen(made, volumiser), "vessel-volumiser").article == "article_size_not_said"


def test_fittings_are_bought_by_their_kind_and_number_and_those_that_stay_are_not():
    made = demo()
    made["records"]["vessel"] += [
        {"id": "frost", "type": "antifreeze_valve", "count": 2},
        {"id": "stays", "type": "strainer", "plan": "keep"},
    ]
    valve = article("frost", "88.00", stands_for="vessel", for_vessel="antifreeze_valve")
    survey = seen(made, valve, article("strainer", stands_for="vessel", for_vessel="strainer"))
    item = suggested(survey, "frost")
    assert (item.quantity, item.unit_price) == ("2", "88.00")
    assert "stays" not in {line.drawn_from for line in look_at_lines(survey, DAY)[0]}
    # A firm without a price book is suggested what it always was.
    assert not [line for line in look_at_lines(read_document(made), DAY)[0] if line.record.startswith("vessel/")]


def test_a_vessel_of_another_size_says_so_and_brings_its_own_price():
    made = demo()
    book = (article("vol", "326.00", **VOLUMISER), article("vol-30", "240.00", **{**VOLUMISER, "for_litres": 30}))
    line = drawn(made, suggested(seen(made, *book), "vessel-volumiser"))
    assert changed(seen(made, *book)) == ()
    record(made, "vessel", "vessel-volumiser")["litres"] = 30
    (item,) = changed(seen(made, *book))
    assert "was 50" in item.words
    assert item.unit_price == "240.00"
    taken_over(line, item)
    assert changed(seen(made, *book)) == ()
    record(made, "vessel", "vessel-volumiser")["type"] = "expansion"
    assert "was Volumiser, now Expansion vessel" in changed(seen(made, *book))[0].words
    record(made, "vessel", "vessel-volumiser")["type"] = "volumiser"
    record(made, "vessel", "vessel-volumiser")["plan"] = "keep"
    (item,) = changed(seen(made, *book))
    assert not item.is_asked


# An article that comes later.


@pytest.mark.parametrize(
    ("of", "drawn_as", "later"),
    [
        ("emitter-study-new", "", article("rad", "232.00", **RADIATOR)),
        ("emitter-study-new", "valve", article("valve", "38.50", stands_for="valve")),
    ],
)
def test_a_line_that_waits_for_its_price_is_told_of_an_article_that_has_come(of, drawn_as, later):
    made, before = demo(), article("x")
    line = drawn(made, suggested(seen(made, before), of, drawn_as))
    assert "unit_price" not in line
    assert changed(seen(made, before)) == ()
    (item,) = changed(seen(made, before, later))
    (change,) = item.changes
    assert (change.label, change.was) == ("Article", "none in the price book")
    assert change.now.startswith(later.code)
    assert item.is_asked
    told = dict(line)
    taken_over(line, item)
    assert line["unit_price"] == later.selling_price
    assert changed(seen(made, before, later)) == ()
    # Kept without it, it is not told again; its price is still missing, which the quote says.
    line.clear()
    line.update(told)
    kept(line, item)
    survey = seen(made, before, later)
    assert changed(survey) == ()
    assert any(problem.field == "unit_price" for problem in quote(survey).problems)


def test_a_line_that_somebody_has_priced_is_told_of_no_article():
    made = demo()
    line = drawn(made, suggested(seen(made, article("x")), "emitter-study-new"))
    line["unit_price"] = "199.00"
    assert changed(seen(made, article("x"), article("rad", **RADIATOR))) == ()
