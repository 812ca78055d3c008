"""Files of lists: what is read of a CSV and of an XLSX, and what is refused whole."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Sequence
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from wattwalk import list_file
from wattwalk.list_file import CSV, FORMS, MOST_BYTES, MOST_COLUMNS, XLSX, Cell, ListError, read_list, write_list


def xlsx(
    *sheets: Sequence[Sequence[Any]], form: str | None = None, change: Callable[[Any], None] | None = None
) -> bytes:
    """Return a workbook with these sheets of rows; ``form`` is the number format of every number."""
    book = Workbook()
    book.remove(book.active)
    for rows in sheets:
        sheet = book.create_sheet()
        for row in rows:
            sheet.append(list(row))
        for cells in sheet.iter_rows():
            for cell in cells:
                if form and isinstance(cell.value, (int, float)):
                    cell.number_format = form
        if change:
            change(sheet)
    file = BytesIO()
    book.save(file)
    return file.getvalue()


def patched(data: bytes, change: Callable[[bytes], bytes]) -> bytes:
    """Return a workbook with its sheet changed as no program that writes one would do it here."""
    file = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(file, "w") as new:
        for item in old.infolist():
            content = old.read(item)
            new.writestr(item, change(content) if "sheet1" in item.filename else content)
    return file.getvalue()


def cells(data: bytes, name: str = "ours.xlsx") -> list[list[str]]:
    return [row for _number, row in read_list(name, data)]


def problem(data: bytes, name: str = "ours.xlsx") -> str:
    with pytest.raises(ListError) as refused:
        read_list(name, data)
    return str(refused.value)


def test_a_sheet_is_read_as_a_person_reads_it() -> None:
    row = ["0012", 14.2, 0.25, 3, datetime.fromisoformat("2027-04-01"), date(2027, 4, 2), True, " Clip "]
    assert cells(xlsx([row])) == [["0012", "14.2", "0.25", "3", "2027-04-01", "2027-04-02", "yes", "Clip"]]
    noisy = patched(xlsx([[0.25]]), lambda sheet: sheet.replace(b"0.25", b"0.30000000000000004"))
    assert cells(noisy) == [["0.3"]]
    assert cells(xlsx([["code"], [12]], form="0000")) == [["code"], ["0012"]]
    assert cells(xlsx([[datetime.fromisoformat("2027-04-01 13:30")]])) == [["2027-04-01 13:30:00"]]


@pytest.mark.parametrize(
    ("form", "read"),
    [("[$€-2] #,##0.00", "€14.2"), ('"$"#,##0.00', "$14.2"), ("[$£-809]0.00", "£14.2"), ("[$-409]0.00", "14.2")],
)
def test_the_currency_of_a_cells_format_is_read_with_its_number(form: str, read: str) -> None:
    assert cells(xlsx([[14.2]], form=form)) == [[read]]


def test_rows_keep_their_numbers_and_empty_ends_are_filled() -> None:
    data = xlsx([["code", "words"], [None], ["A"], [None, "Clip"]])
    assert read_list("ours.xlsx", data) == [(1, ["code", "words"]), (3, ["A", ""]), (4, ["", "Clip"])]


def test_a_sheet_that_lies_about_its_size_is_read_whole() -> None:
    data = xlsx([["code", "words"], ["A", "Clip"]])
    lying = patched(data, lambda sheet: sheet.replace(b'<dimension ref="A1:B2"', b'<dimension ref="A1:A1"'))
    assert lying != data
    assert cells(lying) == [["code", "words"], ["A", "Clip"]]


def test_an_empty_sheet_beside_the_list_is_none() -> None:
    assert cells(xlsx([["code"]], [])) == [["code"]]
    assert "it has 2 sheets, 'Sheet', 'Sheet1', expected one" in problem(xlsx([["code"]], [["code"]]))
    assert cells(xlsx([])) == []


def test_a_formula_counts_by_its_value_and_without_one_is_refused() -> None:
    data = xlsx([["code", "selling_price"], ["A", "=1+1"]])
    assert "ours.xlsx, row 2, column B: the formula there has no value" in problem(data)
    worked_out = patched(data, lambda sheet: re.sub(rb"<f>1\+1</f><v ?/>", b"<f>1+1</f><v>2</v>", sheet))
    assert cells(worked_out) == [["code", "selling_price"], ["A", "2"]]
    failed = xlsx([["code"], ["#REF!"]])
    assert "row 2, column A: the formula there failed with #REF!" in problem(failed)


def test_a_merged_head_leaves_a_column_without_a_name() -> None:
    data = xlsx([["code", "words"], ["A", "Clip"]], change=lambda sheet: sheet.merge_cells("A1:B1"))
    assert read_list("ours.xlsx", data) == [(1, ["code"]), (2, ["A", "Clip"])]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"code\nA\n", "it is called XLSX and is none"),
        (b"PK\x03\x04 and no more", "it cannot be read as XLSX"),
        (b"\xd0\xcf\x11\xe0 an older file", "it is an old or locked spreadsheet"),
        (b"x" * (MOST_BYTES + 1), f"expected at most {MOST_BYTES}. Split it."),
    ],
)
def test_what_is_no_xlsx_is_refused(data: bytes, words: str) -> None:
    assert words in problem(data)


def packed(**parts: bytes) -> bytes:
    file = BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return file.getvalue()


def test_another_zip_a_broken_sheet_and_a_bomb_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "it cannot be read as XLSX" in problem(packed(letter=b"Dear firm"))
    data = xlsx([["code"], ["A"]])
    assert "it cannot be read as XLSX" in problem(patched(data, lambda sheet: sheet[: len(sheet) // 2]))
    bomb = packed(bomb=b"0" * (list_file.MOST_UNPACKED + 1))
    assert len(bomb) < 100_000
    opened: list[str] = []
    monkeypatch.setattr(list_file, "_open", lambda name, *_given, **_how: opened.append(name))
    assert "it unpacks to more than a list can hold" in problem(bomb)
    assert opened == [], "it was unpacked before it was measured"


def test_entities_that_grow_are_refused() -> None:
    head = b'<!DOCTYPE worksheet [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>'
    assert "it cannot be read as XLSX" in problem(patched(xlsx([["code"], ["A"]]), lambda sheet: head + sheet))


def test_a_sheet_may_be_no_wider_and_no_longer_than_a_list(monkeypatch: pytest.MonkeyPatch) -> None:
    assert f"expected at most {MOST_COLUMNS}" in problem(xlsx([["x"] * (MOST_COLUMNS + 1)]))
    monkeypatch.setattr(list_file, "MOST_ROWS", 3)
    assert "it has more than 3 rows. Split it." in problem(xlsx([["x"]] * 4))
    assert len(cells(xlsx([["x"]] * 3))) == 3


def test_a_csv_in_another_encoding_is_refused_by_its_row() -> None:
    data = "code,words\nA,Clip\nB,Rohr für 22 mm\n".encode("cp1252")
    assert problem(data, "ours.csv") == (
        "ours.csv, row 3: it is not text in UTF-8. Save it from the spreadsheet as CSV in UTF-8."
    )
    assert "ours.csv, row 1: it is not text" in problem("code\nA\n".encode("utf-16"), "ours.csv")


@pytest.mark.parametrize("mark", [";", "\t"])
def test_another_delimiter_is_refused(mark: str) -> None:
    words = problem(f"code{mark}words\nA{mark}Clip\n".encode(), "ours.csv")
    assert words == "ours.csv, row 1: the cells are not parted by commas. Save it as CSV with commas."


@pytest.mark.parametrize("form", FORMS)
def test_nothing_that_is_written_is_a_formula_and_all_of_it_comes_back(form: str) -> None:
    texts = ["=1+1", "+44", "-5 °C", "@x", "'=1", "''@", "'quoted'", "plain, with comma", 'a "word"', "0012"]
    data = write_list(form, "Articles", [["words"], *([text] for text in texts)])
    assert [row[0] for row in cells(data, f"ours.{form}")[1:]] == texts
    if form == CSV:
        assert not any(line[:1] in "=+-@" for line in data.decode("utf-8-sig").splitlines())
    else:
        sheet = load_workbook(BytesIO(data)).active
        assert {cell.data_type for row in sheet.iter_rows() for cell in row} == {"s"}


def test_an_xlsx_has_numbers_and_days_as_such() -> None:
    row: list[Cell] = [Decimal("14.20"), Decimal("3"), date(2027, 4, 1), ""]
    data = write_list(XLSX, "Articles", [["a", "b", "c", "d"], row])
    sheet = load_workbook(BytesIO(data)).active
    found = [(cell.value, cell.number_format) for cell in sheet[2]]
    assert found[:3] == [(14.2, "0.00"), (3, "0"), (datetime.fromisoformat("2027-04-01"), "yyyy-mm-dd")]
    with pytest.raises(ListError, match="cannot stand in XLSX"):
        write_list(XLSX, "Articles", [["\ufffe"]])
