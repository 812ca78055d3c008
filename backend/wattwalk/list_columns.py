"""What every list of the firm's shares: its row of columns, its cells read by what the field of a record takes, and one thing told by several rows."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from .list_file import Cell, ListError, Rows
from .survey.fields import FieldSpec, FieldType
from .survey.validation import check_value

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?|[+-]?\.[0-9]+")
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?")
_DECIMAL_COMMA = re.compile(r"[+-]?(?:\d+|\d{1,3}(?:\.\d{3})+),\d+")
_IN_LETTERS = re.compile(r"([A-Za-z]{3})\s*[\d.,]+|[\d.,]+\s*([A-Za-z]{3})")


@dataclass(frozen=True)
class Line:
    """One row of a list: its number in the file, what messages call its place, and its cells by column, without the empty ones."""

    number: int
    place: str
    cells: Mapping[str, str]

    def at(self, column: str) -> str:
        """Return what messages call one of its cells."""
        return f"{self.place}, column {column}"


def read_lines(name: str, rows: Rows, columns: Sequence[str], key: str) -> tuple[list[Line], list[str]]:
    """Return the rows of a list after its head, and what is wrong with those that are left out.

    Parameters
    ----------
    name : str
        What messages call the file.
    rows : list
        The rows of the file.
    columns : sequence of str
        What the head may name, in any order.
    key : str
        The column that no list and no row may be without.

    Raises
    ------
    ListError
        When the head cannot be right.
    """
    head = rows[0][1] if rows else []
    _check_head(name, head, columns, key)
    lines: list[Line] = []
    problems: list[str] = []
    for number, cells in rows[1:]:
        line = Line(
            number, f"{name}, row {number}", {column: cell for column, cell in zip(head, cells, strict=False) if cell}
        )
        if len(cells) != len(head):
            more = " A cell with a comma in it stands in quotation marks, and a price has a point: 14.20."
            problems.append(
                f"{line.place}: it has {len(cells)} cells, expected {len(head)}.{more if len(cells) > len(head) else ''}"
            )
        elif key not in line.cells:
            problems.append(f"{line.at(key)}: the cell is empty.")
        else:
            lines.append(line)
    return lines, problems


def _check_head(name: str, head: list[str], columns: Sequence[str], key: str) -> None:
    where = f"{name}, row 1"
    problems = [
        f"{where}: the cell {place} has no name of a column. If cells are merged there, part them."
        for place, column in enumerate(head, start=1)
        if not column
    ]
    problems += [
        f"{where}: there is no column {column!r}; it takes {', '.join(columns)}."
        for column in head
        if column and column not in columns
    ]
    problems += [
        f"{where}: the column {column!r} is there twice." for column in sorted({*head} - {""}) if head.count(column) > 1
    ]
    if key not in head:
        problems.append(f"{where}: there is no column {key!r}.")
    if problems:
        raise ListError(problems)


def read_cell(spec: FieldSpec, cell: str) -> tuple[Any, str | None]:
    """Return the value that a cell says for a field, and in words what is wrong with it, or None."""
    value: Any = cell
    if spec.type is FieldType.MONEY:
        value, problem = _read_money(cell)
    elif spec.type in (FieldType.NUMBER, FieldType.INTEGER):
        value, problem = _read_number(spec, cell)
    else:
        problem = None
        if spec.type is FieldType.YES_NO:
            value = {"yes": True, "no": False}.get(cell.lower(), cell)
    if problem is None and (found := check_value(spec, value)):
        problem = found.message
    return value, problem


def _read_money(cell: str) -> tuple[str, str | None]:
    bare = re.sub(r"\s+", "", cell.replace("£", "", 1))
    letters = _IN_LETTERS.fullmatch(bare)
    code = (letters[1] or letters[2]).upper() if letters else ""
    if any(unicodedata.category(sign) == "Sc" for sign in bare) or code not in ("", "GBP"):
        return cell, f"{cell!r} is in another currency, expected pounds."
    bare = re.sub("GBP", "", bare, flags=re.IGNORECASE) if code else bare
    if problem := _comma_problem(bare, decimals=2):
        return cell, problem
    if not _NUMBER.fullmatch(bare) or -_exponent(bare) > 2:
        return bare, None
    # As most of a book is written: two decimals.
    return f"{Decimal(bare) + 0:.2f}", None


def _exponent(number: str) -> int:
    return -len(number.partition(".")[2])


def _read_number(spec: FieldSpec, cell: str) -> tuple[Any, str | None]:
    if problem := _comma_problem(cell, decimals=spec.decimals):
        return cell, problem
    if not _NUMBER.fullmatch(cell):
        return cell, None
    number = float(cell)
    return (int(number) if spec.type is FieldType.INTEGER and number.is_integer() else number), None


def _comma_problem(cell: str, decimals: int | None) -> str | None:
    """Say what a comma in a number means; where a number has as many decimals as a group of thousands, it can mean two things."""
    if _DECIMAL_COMMA.fullmatch(cell) and not (decimals is not None and decimals < 3 and _THOUSANDS.fullmatch(cell)):
        point = cell.replace(".", "").replace(",", ".")
        if _THOUSANDS.fullmatch(cell):
            return f"{cell!r} has a comma that can mean two things. Write {point} or {cell.replace(',', '')}."
        return f"{cell!r} has a decimal comma. Write {point}."
    if _THOUSANDS.fullmatch(cell):
        return f"{cell!r} has a comma for thousands. Write {cell.replace(',', '')}."
    return None


def gather(lines: Sequence[Line], specs: Mapping[str, FieldSpec], what: str) -> tuple[dict[str, Any], list[str]]:
    """Return what the rows of one thing say of it, field by field, and what is wrong with that: rows that say it differently.

    ``what`` is what messages call the thing.
    """
    values: dict[str, Any] = {}
    said: dict[str, Line] = {}
    problems = []
    for line in lines:
        for column, cell in line.cells.items():
            if column not in specs:
                continue
            if column in said:
                before = said[column]
                if before.cells[column] != cell:
                    problems.append(
                        f"{line.at(column)}: {cell!r} differs from row {before.number} of the same {what}, {before.cells[column]!r}."
                    )
                continue
            said[column] = line
            values[column], problem = read_cell(specs[column], cell)
            if problem:
                problems.append(f"{line.at(column)}: {problem}")
    return values, problems


def as_cell(spec: FieldSpec, value: Any) -> Cell:
    """Return a value of a field as it is written into a cell."""
    if value is None:
        return ""
    if spec.type is FieldType.MONEY:
        return Decimal(value).copy_abs().quantize(Decimal("0.01"))
    if spec.type in (FieldType.NUMBER, FieldType.INTEGER):
        return Decimal(f"{value:.15g}")
    if spec.type is FieldType.DATE:
        return date.fromisoformat(value)
    if spec.type is FieldType.YES_NO:
        return "yes" if value else "no"
    return str(spec.taken_over(value)).strip()


def is_same(spec: FieldSpec, before: Any, now: Any) -> bool:
    """Say whether a list says what stands there already: the same amount, the same number, the same words."""
    if before is None or now is None or spec.type is FieldType.ROWS:
        return bool(before == now)
    return as_cell(spec, before) == as_cell(spec, now)


def id_by(kind: str, key: str) -> str:
    """Return the id that a record gets which comes with a list, by what it is known by there: the same wherever the list is read."""
    return f"{kind}-{hashlib.sha256(key.encode()).hexdigest()[:24]}"


def known_keys(records: Sequence[Mapping[str, Any]], column: str, title: str) -> dict[str, Mapping[str, Any]]:
    """Return records by what a list knows them by, in the order in which a person looks for it.

    Raises
    ------
    ListError
        When one has no such word, or two have the same: no list could tell them apart again. ``title`` is what messages call one.
    """
    found: dict[str, Mapping[str, Any]] = {}
    problems = []
    for record in records:
        key = str(record.get(column) or "").strip()
        if not key:
            words = next((str(value) for name, value in record.items() if name != "id" and value), record["id"])
            problems.append(f"{title} {words[:60]!r} has no {column}, so no list can name it. Give it one first.")
        elif key in found:
            problems.append(f"Two records of {title} have the {column} {key!r}. Give one of them another first.")
        else:
            found[key] = record
    if problems:
        raise ListError(problems)
    return {key: found[key] for key in sorted(found, key=_in_order)}


def _in_order(key: str) -> tuple[list[tuple[int, int, str]], str]:
    """Put RAD-9 before RAD-10."""
    parts = re.findall(r"[0-9]+|[^0-9]+", key)
    return [(0, int(part), "") if re.fullmatch("[0-9]+", part) else (1, 0, part.lower()) for part in parts], key
