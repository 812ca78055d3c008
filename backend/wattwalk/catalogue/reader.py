"""The reader of the reference tables: typed cells, look-ups by key, interpolation that refuses to leave the table."""

from __future__ import annotations

import csv
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from io import StringIO
from math import isfinite
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

#: How sure a row is: seen in print or reproducing a printed figure; from a transcription; recalled; the trade's habit; or this program's own.
CONFIDENCES = ("published", "second-hand", "from memory", "common practice", "own rule")
PROVENANCE = ("source", "locator", "confidence", "note")


class CatalogueError(LookupError):
    """A table, row or document that the catalogue does not hold, or a value outside a table's range."""


@dataclass(frozen=True)
class Document:
    """A standard, handbook or habit that figures come from; ``short`` is how a report names it."""

    key: str
    short: str
    title: str
    edition: str
    publisher: str


@dataclass(frozen=True, eq=False)
class Row:
    """One row of a table: its cells by column, where it comes from, and its row in the file."""

    cells: Mapping[str, str | float | None]
    source: str
    locator: str
    confidence: str
    note: str
    line: int = 0

    def number(self, column: str) -> float:
        """Return a numeric cell; raises ``CatalogueError`` when it is empty or holds words."""
        value = self.cells.get(column)
        if not isinstance(value, float):
            raise CatalogueError(f"the column {column!r} holds no number: {value!r}")
        return value

    def number_if_any(self, column: str) -> float | None:
        """Return a numeric cell, or None when it is empty; raises ``CatalogueError`` when it holds words."""
        return None if self.cells[column] is None else self.number(column)

    def word(self, column: str) -> str:
        """Return a cell of words."""
        return str(self.cells[column])


@dataclass(frozen=True, eq=False)
class Table:
    """One reference table: its rows, and the unit of each column."""

    name: str
    units: Mapping[str, str]
    rows: tuple[Row, ...]

    @cache  # noqa: B019  Tables live as long as the program.
    def _index(self, columns: tuple[str, ...]) -> dict[tuple[object, ...], Row]:
        return {tuple(row.cells[name] for name in columns): row for row in self.rows}

    def find(self, **wanted: str | float) -> Row | None:
        """Return the row whose cells equal ``wanted``, or None."""
        values = tuple(float(value) if isinstance(value, int) else value for value in wanted.values())
        return self._index(tuple(wanted)).get(values)

    def get(self, **wanted: str | float) -> Row:
        """Return the row whose cells equal ``wanted``; raises ``CatalogueError`` when there is none."""
        row = self.find(**wanted)
        if row is None:
            raise CatalogueError(f"{self.name} has no row for {wanted}")
        return row

    @cache  # noqa: B019  Tables live as long as the program.
    def where(self, column: str, value: str | float) -> tuple[Row, ...]:
        """Return all rows whose ``column`` equals ``value``, in the order of the file."""
        return tuple(row for row in self.rows if row.cells[column] == value)


#: The list of documents, which is no table of figures.
SOURCES = "sources"


@cache
def folders() -> Mapping[str, str]:
    """Return the folder of every file of the catalogue by its name without ``.csv``, in order of the names: each lies with its subject.

    Names only: a phone wakes with the memory of an earlier start, and what was open then is not open any more.
    """
    top = list(resources.files(__package__).iterdir())
    found = {item.name: "" for item in top} | {
        item.name: folder.name for folder in top if folder.is_dir() for item in folder.iterdir()
    }
    return {name.removesuffix(".csv"): found[name] for name in sorted(found) if name.endswith(".csv")}


def file_of(name: str) -> Traversable:
    """Return one file of the catalogue; raises ``CatalogueError`` when it has none of this name."""
    if name not in folders():
        raise CatalogueError(f"the catalogue has no table {name!r}")
    return resources.files(__package__).joinpath(*filter(None, (folders()[name], f"{name}.csv")))


def _read(name: str) -> list[list[str]]:
    return list(csv.reader(file_of(name).read_text(encoding="utf-8").splitlines()))


@cache
def table(name: str) -> Table:
    """Return the table called ``name`` (its file name without ``.csv``).

    Raises
    ------
    CatalogueError
        When there is no such table, or a cell does not fit its column's unit.
    """
    return _table(name, _read(name))


def read_rows(name: str, text: str) -> list[tuple[int, list[str]]]:
    """Return the rows of a CSV file that is not the catalogue's own, each with its number and its cells, bare of blanks around them.

    Rows in which nothing stands are left out.

    Raises
    ------
    CatalogueError
        When the text is no CSV, such as one with a quotation mark that is never closed.
    """
    # Without a newline of its own the text is split at whatever ends a line, as the program that wrote it has it.
    rows = csv.reader(StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    try:
        stripped = [(place, [cell.strip() for cell in cells]) for place, cells in enumerate(rows, start=1)]
    except csv.Error as error:
        raise CatalogueError(f"{name}: it is no CSV: {error}") from error
    return [(place, cells) for place, cells in stripped if any(cells)]


def read_table(name: str, text: str) -> Table:
    """Return a table from the text of a file that is not the catalogue's own, such as a firm's list of units.

    Parameters
    ----------
    name : str
        What messages call the file.
    text : str
        CSV as the catalogue has it: a row of columns, a row of units, then the rows.  The four columns of provenance may be
        left out; every row then counts as declared in this file.

    Raises
    ------
    CatalogueError
        When the file is no CSV or holds no table, or a cell does not fit its column's unit; the message names the row and the column.
    """
    return make_table(name, read_rows(name, text))


def make_table(name: str, numbered: Sequence[tuple[int, list[str]]]) -> Table:
    """Return a table from the rows of a file that is not the catalogue's own, as :func:`read_table` does from its text."""
    if len(numbered) < 3:
        raise CatalogueError(
            f"{name}: expected a row of columns, a row of units and at least one row; found {len(numbered)} rows"
        )
    stripped = [cells for _place, cells in numbered]
    for place, cells in numbered:
        if len(cells) != len(stripped[0]):
            raise CatalogueError(
                f"{name}, row {place}: found {len(cells)} cells, expected {len(stripped[0])} as in the row of columns"
            )
    if tuple(stripped[0][-4:]) != PROVENANCE:
        declared = ("declared", name, "published", "")
        stripped = [
            [*stripped[0], *PROVENANCE],
            [*stripped[1], *(["text"] * 4)],
            *([*line, *declared] for line in stripped[2:]),
        ]
    return _table(name, stripped, [place for place, _cells in numbered[2:]])


def _table(name: str, listed: list[list[str]], places: Sequence[int] | None = None) -> Table:
    columns, units, *lines = listed
    if tuple(columns[-4:]) != PROVENANCE:
        raise CatalogueError(f"{name}: the last four columns must be {', '.join(PROVENANCE)}")
    if len(set(columns)) != len(columns) or len(units) != len(columns):
        raise CatalogueError(f"{name}: each column needs a name of its own and a unit")
    rows = []
    for place, line in zip(places or range(3, len(lines) + 3), lines, strict=True):
        if len(line) != len(columns):
            raise CatalogueError(f"{name}, row {place}: found {len(line)} cells, expected {len(columns)}")
        cells: dict[str, str | float | None] = {}
        for column, unit, cell in zip(columns[:-4], units, line, strict=False):
            cells[column] = cell if unit == "text" else _number(name, place, column, unit, cell)
        source, locator, confidence, note = line[-4:]
        rows.append(Row(cells, source, locator, confidence, note, place))
    return Table(name, dict(zip(columns[:-4], units, strict=False)), tuple(rows))


def _number(name: str, place: int, column: str, unit: str, cell: str) -> float | None:
    try:
        value = float(cell) if cell else None
    except ValueError as error:
        raise CatalogueError(f"{name}, row {place}, column {column}: {cell!r} is not a number in {unit}") from error
    if value is not None and not isfinite(value):
        raise CatalogueError(f"{name}, row {place}, column {column}: {cell!r} is not a finite number")
    return value


@cache
def documents() -> Mapping[str, Document]:
    """Return every document of ``sources.csv`` by its key."""
    _columns, *lines = _read(SOURCES)
    return {line[0]: Document(*line) for line in lines}


def document(key: str) -> Document:
    """Return one document; raises ``CatalogueError`` when ``sources.csv`` does not list it."""
    try:
        return documents()[key]
    except KeyError as error:
        raise CatalogueError(f"sources.csv has no document {key!r}") from error


def names() -> tuple[str, ...]:
    """Return the names of all tables in order (``sources`` is a list of documents, not a table)."""
    return tuple(name for name in folders() if name != SOURCES)


def interpolate(points: Iterable[tuple[float, float]], x: float) -> float:
    """Return ``y`` at ``x`` on the straight lines between ``points`` (sorted by rising ``x``).

    Raises
    ------
    CatalogueError
        When ``x`` lies outside the points: a table is never drawn on beyond its ends.
    """
    listed = tuple(points)
    known = [item[0] for item in listed]
    if not known or not known[0] <= x <= known[-1]:
        ends = f"{known[0]:g} to {known[-1]:g}" if known else "no points"
        raise CatalogueError(f"{x:g} lies outside the table, which covers {ends}")
    place = bisect_left(known, x)
    if known[place] == x:
        return listed[place][1]
    (x0, y0), (x1, y1) = listed[place - 1], listed[place]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
