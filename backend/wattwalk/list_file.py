"""A list as a file: the bytes of a CSV or XLSX file read into rows of cells, and rows of cells written as either.

A cell that begins with one of ``= + - @`` is a formula to a spreadsheet, whatever program made it. Written out it gets an apostrophe before it, read in it
loses one again, in both forms alike; so what comes out comes in unchanged.
"""

from __future__ import annotations

import csv
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO, StringIO
from typing import TYPE_CHECKING, Any, TypeAlias

from .catalogue import CatalogueError, read_rows
from .survey.errors import WattwalkError

if TYPE_CHECKING:
    from openpyxl.cell.read_only import ReadOnlyCell
    from openpyxl.workbook import Workbook

#: The rows in which something stands, each with its number in the file and its cells as text.
Rows: TypeAlias = list[tuple[int, list[str]]]
#: What can be written into a cell.
Cell: TypeAlias = "str | Decimal | date"

CSV, XLSX = "csv", "xlsx"
FORMS = (CSV, XLSX)
MEDIA_TYPES = {CSV: "text/csv", XLSX: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}

#: The most bytes of a file, of all that an XLSX file unpacks to, and the most parts, rows and columns of one.
MOST_BYTES = 4_000_000
MOST_UNPACKED = 30_000_000
MOST_PARTS = 1_000
MOST_ROWS = 20_000
MOST_COLUMNS = 60
#: How far beyond the last column a sheet is looked through, to say that it is too wide.
_BEYOND = 20

_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_GUARDED = re.compile(r"'+[=+\-@\t\r]")
#: A text that no XML can hold.
_NOT_IN_XML = re.compile("[\ufffe\uffff]")
#: The symbol of a currency in a number's format: `[$€-2] #,##0.00`, `"$"#,##0`; `[$-409]` names a language and no currency.
_SYMBOL = re.compile(r"\[\$([^\]-]+)[^\]]*\]|([$€¥₹])")
_LANGUAGE = re.compile(r"\[\$-[^\]]*\]")


class ListError(WattwalkError, ValueError):
    """A list cannot be taken or written; ``problems`` says where and why, by row and column."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def read_list(name: str, data: bytes) -> Rows:
    """Return the rows of a CSV or XLSX file, told apart by its first bytes.

    Parameters
    ----------
    name : str
        What messages call the file.
    data : bytes
        The file. A CSV is text in UTF-8 with commas; an XLSX has one sheet, with values and no formula that was never worked out.

    Raises
    ------
    ListError
        When it is neither, is too large, or a cell of it has no value that can be read.
    """
    if len(data) > MOST_BYTES:
        raise ListError([f"{name}: it has {len(data)} bytes, expected at most {MOST_BYTES}. Split it."])
    if data.startswith(_ZIP):
        rows = _read_xlsx(name, data)
    elif data.startswith(_OLE):
        raise ListError([f"{name}: it is an old or locked spreadsheet. Save it as XLSX without a password, or as CSV."])
    elif name.lower().endswith(".xlsx"):
        raise ListError([f"{name}: it is called XLSX and is none. Save it from the spreadsheet as XLSX or CSV."])
    else:
        try:
            rows = read_text_list(name, data.decode("utf-8-sig"))
        except UnicodeDecodeError as error:
            row = data[: error.start].count(b"\n") + 1
            raise ListError(
                [f"{name}, row {row}: it is not text in UTF-8. Save it from the spreadsheet as CSV in UTF-8."]
            ) from error
    return rows


def read_text_list(name: str, text: str) -> Rows:
    """Return the rows of a CSV that came as text; raises ``ListError`` when it is no CSV."""
    try:
        rows = read_rows(name, text)
    except CatalogueError as error:
        raise ListError([f"{error}."]) from error
    if rows and len(rows[0][1]) == 1 and any(mark in rows[0][1][0] for mark in ";\t"):
        raise ListError([f"{name}, row 1: the cells are not parted by commas. Save it as CSV with commas."])
    return [(place, [_bare(cell) for cell in cells]) for place, cells in rows]


def write_list(form: str, title: str, rows: Iterable[Sequence[Cell]]) -> bytes:
    """Return rows of cells as the bytes of a file of a form, ``CSV`` or ``XLSX``; the first row is the head.

    Raises
    ------
    ListError
        When a text has a sign that an XLSX file cannot hold.
    """
    return _write_csv(rows) if form == CSV else _write_xlsx(title, rows)


def plain(cell: Cell) -> str:
    """Return a cell as the text that stands for it in a CSV, before it is guarded against being a formula."""
    return f"{cell:f}" if isinstance(cell, Decimal) else cell.isoformat() if isinstance(cell, date) else cell


def _guarded(text: str) -> str:
    return f"'{text}" if _FORMULA.match(text) else text


def _bare(cell: str) -> str:
    return cell[1:] if _GUARDED.match(cell) else cell


def _write_csv(rows: Iterable[Sequence[Cell]]) -> bytes:
    file = StringIO(newline="")
    writer = csv.writer(file)
    writer.writerows([_guarded(plain(cell)) for cell in row] for row in rows)
    # With its mark a spreadsheet knows UTF-8 from what it would guess.
    return file.getvalue().encode("utf-8-sig")


def _write_xlsx(title: str, rows: Iterable[Sequence[Cell]]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font

    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    sheet.freeze_panes = "A2"
    for place, row in enumerate(rows, start=1):
        made = []
        for column, cell in enumerate(row, start=1):
            if isinstance(cell, str) and _NOT_IN_XML.search(cell):
                raise ListError(
                    [f"Row {place}, column {column}: a sign in it cannot stand in XLSX. Write the list as CSV."]
                )
            value: Any = (_guarded(cell) or None) if isinstance(cell, str) else cell
            written = WriteOnlyCell(sheet, value=value)
            if isinstance(cell, Decimal):
                # As many decimals as it is kept with: a price has two.
                written.number_format = "0" + ("." + "0" * -exponent if (exponent := _exponent(cell)) < 0 else "")
            elif isinstance(cell, date):
                written.number_format = "yyyy-mm-dd"
            if place == 1:
                written.font = Font(bold=True)
            made.append(written)
        sheet.append(made)
    file = BytesIO()
    book.save(file)
    return file.getvalue()


def _exponent(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def _read_xlsx(name: str, data: bytes) -> Rows:
    _refuse_bomb(name, data)
    formulas, values = _open(name, data, data_only=False), _open(name, data, data_only=True)
    try:
        return _read_sheet(name, formulas, values, _find_sheet(name, formulas))
    except ListError:
        raise
    except Exception as error:
        # What is broken inside shows in the library only when it comes to it.
        raise _no_xlsx(name) from error
    finally:
        formulas.close()
        values.close()


def _read_sheet(name: str, formulas: Workbook, values: Workbook, sheet: str) -> Rows:
    read: Rows = []
    problems: list[str] = []
    pairs = zip(_cells(name, formulas, sheet), _cells(name, values, sheet), strict=True)
    for place, (written, worked_out) in enumerate(pairs, start=1):
        cells = []
        for column, (was, cell) in enumerate(zip(written, worked_out, strict=True), start=1):
            if was.data_type == "f" and cell.value is None:
                problems.append(
                    f"{name}, row {place}, column {_letters(column)}: the formula there has no value. Save the file in a spreadsheet, or put the value itself there."
                )
            elif cell.data_type == "e":
                problems.append(
                    f"{name}, row {place}, column {_letters(column)}: the formula there failed with {cell.value}."
                )
            cells.append(_bare(_as_text(cell)))
        while cells and not cells[-1]:
            cells.pop()
        if len(cells) > MOST_COLUMNS:
            raise ListError([f"{name}, row {place}: it has {len(cells)} cells, expected at most {MOST_COLUMNS}."])
        if cells:
            read.append((place, cells))
    if problems:
        raise ListError(problems)
    # Cells at the end in which nothing stands are in no sheet; in a list they are empty.
    wide = len(read[0][1]) if read else 0
    return [(place, cells + [""] * (wide - len(cells))) for place, cells in read]


def _refuse_bomb(name: str, data: bytes) -> None:
    """Refuse a file that would unpack to more than a list can be; a part that unpacks to more than it says is cut off there by ``zipfile``."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise _no_xlsx(name) from error
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise ListError([f"{name}: it unpacks to more than a list can hold. Save only the list, as CSV."])


def _open(name: str, data: bytes, *, data_only: bool) -> Workbook:
    from openpyxl import load_workbook

    try:
        return load_workbook(BytesIO(data), read_only=True, data_only=data_only, keep_links=False)
    except Exception as error:
        # A file of another kind, or a broken one, fails in the library wherever it is first found out.
        raise _no_xlsx(name) from error


def _no_xlsx(name: str) -> ListError:
    return ListError([f"{name}: it cannot be read as XLSX. Save it from the spreadsheet as XLSX or CSV."])


def _find_sheet(name: str, book: Workbook) -> str:
    """Return the one sheet in which something stands, or the first where nothing does."""
    titles = [sheet.title for sheet in book.worksheets]
    filled = [
        title for title in titles if any(cell.value is not None for row in _cells(name, book, title) for cell in row)
    ]
    if len(filled) > 1:
        named = ", ".join(repr(title) for title in filled)
        raise ListError([f"{name}: it has {len(filled)} sheets, {named}, expected one."])
    if not titles:
        raise _no_xlsx(name)
    return (filled or titles)[0]


def _cells(name: str, book: Workbook, sheet: str) -> Iterator[tuple[ReadOnlyCell, ...]]:
    """Return the cells of a sheet row by row, all rows equally wide; what the sheet says of its own size is not believed."""
    found: Any = book[sheet]
    found.reset_dimensions()
    for place, row in enumerate(found.iter_rows(max_col=MOST_COLUMNS + _BEYOND), start=1):
        if place > MOST_ROWS:
            raise ListError([f"{name}: it has more than {MOST_ROWS} rows. Split it."])
        yield row


def _letters(column: int) -> str:
    from openpyxl.utils import get_column_letter

    return get_column_letter(column)


def _as_text(cell: ReadOnlyCell) -> str:
    """Return the value of a cell as a person reads it there: whole days, numbers without the noise of floats, zeros that its format puts before."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        # A spreadsheet itself reckons and shows with 15 figures.
        text = f"{Decimal(f'{value:.15g}'):f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        form = str(cell.number_format or "")
        if re.fullmatch("0{2,}", form) and text.isdigit():
            return text.zfill(len(form))
        symbol = _SYMBOL.search(_LANGUAGE.sub("", form))
        return f"{symbol[1] or symbol[2]}{text}" if symbol else text
    if isinstance(value, datetime):
        is_day = (value.hour, value.minute, value.second, value.microsecond) == (0, 0, 0, 0)
        return value.date().isoformat() if is_day else value.isoformat(sep=" ")
    return str(value).strip()
