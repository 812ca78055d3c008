"""A firm's list of articles: prices by day, what is refused, and what comes out comes in unchanged."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wattwalk.article_list import COLUMNS, MOST, article_records, article_rows
from wattwalk.demo.firm import ARTICLES
from wattwalk.list_file import FORMS, ListError, read_list, read_text_list, write_list
from wattwalk.office.firm_lists import LISTED_KINDS, WRITTEN_KINDS, changes_by_list
from wattwalk.survey.fields import FieldSpec, FieldType
from wattwalk.survey.firm import Article
from wattwalk.survey.holders import OFFICE, SURVEYOR
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.validation import check_value
from wattwalk.sync.book import BookRecord
from wattwalk.valve_list import valve_records, valve_rows

EVERY = Article.kind.names_seen_by(OFFICE)


def records(text: str) -> list[dict[str, Any]]:
    return article_records("ours.csv", read_text_list("ours.csv", text))


def refused(text: str) -> list[str]:
    with pytest.raises(ListError) as error:
        records(text)
    return error.value.problems


def in_book(*values: dict[str, Any]) -> list[BookRecord]:
    return [BookRecord(f"record-{place}", item, {}, False) for place, item in enumerate(values)]


def said(changes: list[Any]) -> dict[str, Any]:
    return {change.field: json.loads(change.value_json) for change in changes}


def test_every_field_of_an_article_has_a_column() -> None:
    scalars = {spec.name for spec in Article.kind.fields if spec.type is not FieldType.ROWS}
    assert set(COLUMNS) == scalars | {"holds_from"}


def test_several_rows_of_one_code_are_its_prices_by_day() -> None:
    (made,) = records(
        "code,words,holds_from,selling_price,cost_price\n"
        "A,,2027-04-01,£16.00,\nA,Pipe,,14.2,6.85\nA,Pipe,2027-01-01,15 GBP,7\n"
    )
    assert {name: value for name, value in made.items() if name != "id"} == {
        "code": "A",
        "words": "Pipe",
        "selling_price": "14.20",
        "cost_price": "6.85",
        "selling_prices": [
            {"holds_from": "2027-01-01", "price": "15.00"},
            {"holds_from": "2027-04-01", "price": "16.00"},
        ],
        "cost_prices": [{"holds_from": "2027-01-01", "price": "7.00"}],
    }


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "code,selling_price\nA,€14.20\n",
            "row 2, column selling_price: '€14.20' is in another currency, expected pounds.",
        ),
        (
            "code,selling_price\nA,14.20 EUR\n",
            "column selling_price: '14.20 EUR' is in another currency, expected pounds.",
        ),
        ("code,selling_price\nA,£14.20 €\n", "is in another currency, expected pounds."),
        ('code,selling_price\nA,"14,20"\n', "'14,20' has a decimal comma. Write 14.20."),
        ('code,selling_price\nA,"1.234,50"\n', "'1.234,50' has a decimal comma. Write 1234.50."),
        ('code,selling_price\nA,"1,234.50"\n', "'1,234.50' has a comma for thousands. Write 1234.50."),
        ('code,selling_price\nA,"1,234"\n', "'1,234' has a comma for thousands. Write 1234."),
        (
            "code,selling_price\nA,14,20\n",
            "row 2: it has 3 cells, expected 2. A cell with a comma in it stands in quotation marks",
        ),
        ("code,selling_price\nA,-5\n", "Selling price of one, without VAT: found £-5.00, expected £0 to £1,000,000."),
        ("code,selling_price\nA,14.205\n", "expected an amount in pounds"),
        (
            "code,vat\nA,22\n",
            "column vat: VAT: found the text '22', expected one of: standard, energy_saving, reduced, zero.",
        ),
        ("code,hours_heating\nA,two\n", "column hours_heating: Hours of a heating engineer: found the text 'two'"),
        ('code,hours_heating\nA,"1,5"\n', "'1,5' has a decimal comma. Write 1.5."),
        ("code,lead_days\nA,2.5\n", "column lead_days: Lead time: found 2.5, expected a whole number"),
        (
            "code,holds_from,selling_price\nA,01/04/2027,2\n",
            "Holds from: found the text '01/04/2027', expected a day such as",
        ),
        ("code,holds_from,selling_price\nA,2027-04-01,\n", "row 2, column holds_from: there is a day and no price"),
        (
            "code,holds_from,selling_price\nA,2027-04-01,2\nA,2027-04-01,3\n",
            "row 3, column holds_from: 'A' has its prices from 2027-04-01 in row 2 already.",
        ),
        (
            "code,words,holds_from,selling_price\nA,x,,1\nA,y,2027-04-01,2\n",
            "row 3, column words: 'y' differs from row 2 of the same article, 'x'.",
        ),
        ("code,\nA,Clip\n", "row 1: the cell 2 has no name of a column. If cells are merged there, part them."),
        (
            "code\n" + "\n".join(f"A{n}" for n in range(MOST + 1)),
            "it has 2001 articles, expected at most 2000. Split it.",
        ),
    ],
)
def test_what_cannot_be_right_is_said_by_row_and_column(text: str, words: str) -> None:
    problems = refused(text)
    assert any(words in problem for problem in problems), problems
    assert len(problems) == 1, problems


def test_two_thousand_articles_are_not_too_many_and_all_faults_are_said_at_once() -> None:
    assert len(records("code\n" + "\n".join(f"A{n}" for n in range(MOST)))) == MOST
    assert len(refused("code,vat,selling_price\nA,22,€1\nB,23,2\n,standard,2\n")) == 4


def test_a_later_list_adds_prices_and_forgets_none() -> None:
    old = {"holds_from": "2027-01-01", "price": "15.00"}
    book = in_book({"code": "A", "selling_price": "14.20", "selling_prices": [old], "cost_prices": [old]})
    changes, counts = changes_by_list("article", records("code,holds_from,selling_price\nA,2027-04-01,16\n"), book)
    assert said(changes) == {"selling_prices": [old, {"holds_from": "2027-04-01", "price": "16.00"}]}
    assert (counts.added, counts.changed) == (0, 1)
    changes, _counts = changes_by_list("article", records("code,holds_from,selling_price\nA,2027-01-01,15.50\n"), book)
    assert said(changes) == {"selling_prices": [{"holds_from": "2027-01-01", "price": "15.50"}]}
    changes, counts = changes_by_list("article", records("code,holds_from,selling_price\nA,2027-01-01,15\n"), book)
    assert (changes, counts.same) == ([], 1)


def test_more_prices_by_day_than_fit_are_refused() -> None:
    most = Article.kind.field("selling_prices").max_rows
    rows = [{"holds_from": f"{1900 + n}-01-01", "price": "1.00"} for n in range(most)]
    listed = records("code,holds_from,selling_price\nA,2200-01-01,2\n")
    with pytest.raises(ListError, match=f"Article 'A' would have {most + 1} prices by day, expected at most {most}"):
        changes_by_list("article", listed, in_book({"code": "A", "selling_prices": rows}))


def test_a_surveyors_list_has_no_cost_and_no_supplier() -> None:
    whole = article_records(ARTICLES.name, read_list(ARTICLES.name, ARTICLES.read_bytes()))
    text = write_list("csv", "Articles", article_rows(whole, Article.kind.names_seen_by(SURVEYOR))).decode("utf-8-sig")
    assert not re.search("cost|supplier|Quillwort|2870", text)
    assert "selling_price" in text
    assert "2027-01-04" in text


def test_what_no_list_could_tell_apart_is_not_written() -> None:
    for values, words in (
        ([{"id": "a", "words": "Clip"}], "Article 'Clip' has no code"),
        ([{"id": "a", "code": "A"}, {"id": "b", "code": "A "}], "Two records of Article have the code 'A'"),
    ):
        with pytest.raises(ListError, match=words):
            article_rows(values, EVERY)


def test_the_demos_list_is_one_that_any_firm_could_have() -> None:
    made = article_records(ARTICLES.name, read_list(ARTICLES.name, ARTICLES.read_bytes()))
    assert len(made) > 35
    suppliers = {item["supplier"] for item in made if "supplier" in item}
    assert len(suppliers) == 3
    assert all("(invented)" in name for name in suppliers)
    assert {item["id"] for item in made if "selling_price" not in item or "cost_price" not in item} == set()
    assert sum("selling_prices" in item for item in made) > 3


def value_of(spec: FieldSpec) -> st.SearchStrategy[Any]:
    """Return every value that a field takes."""
    match spec.type:
        case FieldType.MONEY:
            return st.decimals(0, 1_000_000, places=2).map(str) | st.sampled_from(["7", "014.2", "-0.00"])
        case FieldType.NUMBER:
            return st.floats(spec.low, spec.high) | st.integers(int(spec.low or 0) + 1, int(spec.high or 0))
        case FieldType.INTEGER:
            return st.integers(int(spec.low or 0), int(spec.high or 0))
        case FieldType.CHOICE:
            return st.sampled_from([choice.value for choice in spec.choices])
        case FieldType.DATE:
            return st.dates(min_value=date(1900, 1, 1)).map(str)
        case FieldType.YES_NO:
            return st.booleans()
        case FieldType.ROWS:
            row = st.fixed_dictionaries(
                {part.name: value_of(part) for part in spec.rows if part.must},
                optional={part.name: value_of(part) for part in spec.rows if not part.must},
            )
            return st.lists(row, max_size=4)
    free = st.text(max_size=12) | st.text("=+-@'\t 0.,\"x", max_size=6)
    return free.filter(lambda text: check_value(spec, text) is None and not re.search("[\ufffe\uffff]", text))


def book_of(kind: str, key: str) -> st.SearchStrategy[list[dict[str, Any]]]:
    """Return books of records of a kind that a list can tell apart."""
    fields = {spec.name: spec for spec in KINDS[kind].fields if not spec.by_program}
    record = st.fixed_dictionaries(
        {key: value_of(fields[key]).filter(str.strip)},
        optional={name: value_of(spec) for name, spec in fields.items() if name != key},
    )
    return st.lists(record, min_size=1, max_size=4, unique_by=lambda item: item[key].strip())


def comes_back(kind: str, form: str, book: list[dict[str, Any]], write: Any, read: Any) -> None:
    for record in book:
        for name, value in record.items():
            assert check_value(KINDS[kind].field(name), value) is None
    given = [{"id": f"record-{place}", **item} for place, item in enumerate(book)]
    data = write_list(form, "A list", write(given, KINDS[kind].names_seen_by(OFFICE)))
    listed = read(f"ours.{form}", read_list(f"ours.{form}", data))
    changes, counts = changes_by_list(kind, listed, in_book(*book))
    assert [(change.field, change.value_json) for change in changes] == []
    assert counts.same == len(book)


@pytest.mark.parametrize("form", FORMS)
# How long it takes says nothing of what comes in: a busy machine takes its time over an XLSX.
@settings(deadline=None)
@given(book=book_of("article", "code"))
def test_articles_that_come_out_come_in_unchanged(form: str, book: list[dict[str, Any]]) -> None:
    comes_back("article", form, book, article_rows, article_records)


@pytest.mark.parametrize("form", FORMS)
@settings(deadline=None)
@given(
    book=book_of("preset_valve", "name").filter(
        lambda book: all(
            len({str(row.get("setting") or "").strip() for row in rows}) == len(rows)
            for item in book
            if (rows := item.get("settings"))
        )
    )
)
def test_valves_that_come_out_come_in_unchanged(form: str, book: list[dict[str, Any]]) -> None:
    comes_back("preset_valve", form, book, valve_rows, valve_records)


def test_every_kind_that_is_written_comes_in_too() -> None:
    assert set(WRITTEN_KINDS) == {"article", "preset_valve"}
    assert set(WRITTEN_KINDS) < set(LISTED_KINDS)


def test_the_example_in_the_demos_folder_is_as_it_is_written() -> None:
    rows = read_list(ARTICLES.name, ARTICLES.read_bytes())
    again = read_list("again.csv", write_list("csv", "Articles", article_rows(article_records("a", rows), EVERY)))
    assert rows[0][1] == [column for column in rows[0][1] if column in again[0][1]]
    assert Path(ARTICLES).suffix == ".csv"
