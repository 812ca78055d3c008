"""A firm's own list of units as CSV: read, checked by row and column, and made into records of a survey."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wattwalk.catalogue import CatalogueError, Row, Table, make_table, read_table, table
from wattwalk.survey.fields import FieldType
from wattwalk.survey.unit import Unit
from wattwalk.survey.validation import check_value, is_id

from .engine.unit.table import TablePoint, UnitTable, UnitTableError, build_table

DEMO_UNITS = "units_demo_2026"
#: What every list has, each with what its row of units says of it.
COLUMNS = {
    "unit": "text",
    "name": "text",
    "outside_c": "degC",
    "flow_c": "degC",
    "capacity_kw": "kW",
    "cop": "1",
    "least_kw": "kW",
    "standby_w": "W",
}
_POINT = ("outside_c", "flow_c", "capacity_kw", "cop", "least_kw")
_CORNERS = "zone_corners"
#: What a survey calls a unit of measure, as the row of units writes it.
_WRITTEN = {"°C": "degC", "dB(A)": "dBA", "cm²": "cm2", "": "1"}
#: Every other number and choice of a unit is a column that may be left out, and so are the corners of its zone. One row of a unit says it.
PAPERS = {
    spec.name: "text" if spec.choices else _WRITTEN.get(spec.unit, spec.unit)
    for spec in Unit.kind.fields
    if spec.name not in (*COLUMNS, "zone_drawing")
    and not spec.by_program
    and spec.type in (FieldType.NUMBER, FieldType.INTEGER, FieldType.CHOICE)
} | {_CORNERS: "text"}


def read_units(file: Table) -> list[tuple[str, UnitTable]]:
    """Return the units of a list, each with its id, in the order of the file.

    Raises
    ------
    UnitTableError
        With every problem of every unit, by row and column: a column that is missing, a unit of measure that differs, a value
        beyond its limits, a hole in a table.
    """
    problems = [f"{file.name}: there is no column {column}." for column in COLUMNS if column not in file.units]
    problems += [
        f"{file.name}, column {column}: it is in {file.units[column]!r}, expected {unit!r}."
        for column, unit in (COLUMNS | PAPERS).items()
        if file.units.get(column, unit) != unit
    ]
    problems += [
        f"{file.name}: no unit has a column {column}; the first three rows show how a list is written."
        for column in file.units
        if column not in COLUMNS and column not in PAPERS
    ]
    if problems:
        raise UnitTableError(problems)
    by_unit: dict[str, list[Row]] = {}
    for row in file.rows:
        by_unit.setdefault(row.word("unit"), []).append(row)
    made = []
    for key, rows in by_unit.items():
        if not is_id(f"unit-{key}"):
            problems.append(
                f"{file.name}, row {rows[0].line}, column unit: {key!r} needs a short name of small letters, figures and hyphens."
            )
            continue
        wrong = [words for row in rows for words in _out_of_bounds(file.name, row)]
        wrong += _papers(file, rows)[1]
        if wrong:
            problems += wrong
            continue
        points = [
            TablePoint(row.number("outside_c"), row.number("flow_c"), *(row.number_if_any(name) for name in _POINT[2:]))
            for row in rows
        ]
        try:
            made.append(
                (
                    key,
                    build_table(
                        rows[0].word("name") or key,
                        points,
                        rows[0].number_if_any("standby_w") or 0.0,
                        rows[0].locator,
                        [row.line for row in rows],
                    ),
                )
            )
        except UnitTableError as error:
            problems += error.problems
    if problems:
        raise UnitTableError(problems)
    return made


def _out_of_bounds(name: str, row: Row) -> list[str]:
    """Return what a survey would not take of one row."""
    point = {spec.name: spec for spec in Unit.kind.field("points").rows}
    found = []
    for column in ("name", "standby_w", *_POINT):
        value, spec = row.cells[column], point.get(column) or Unit.kind.field(column)
        where = f"{name}, row {row.line}, column {column}"
        if value is None and column in ("outside_c", "flow_c"):
            found.append(f"{where}: the cell is empty.")
        problem = check_value(spec, value) if value != "" else None
        if problem is not None:
            found.append(f"{where}: {problem.message}")
    return found


def _papers(file: Table, rows: Sequence[Row]) -> tuple[dict[str, Any], list[str]]:
    """Return what the rows of one unit say of it besides its table, as its record has it, and what is wrong with that."""
    values: dict[str, Any] = {}
    said: dict[str, Row] = {}
    problems = []
    for row in rows:
        for column in PAPERS:
            cell = row.cells.get(column)
            if cell is None or cell == "":
                continue
            where = f"{file.name}, row {row.line}, column {column}"
            if column in said:
                if said[column].cells[column] != cell:
                    problems.append(
                        f"{where}: {cell!r} differs from row {said[column].line} of the same unit, {said[column].cells[column]!r}."
                    )
                continue
            said[column] = row
            value = _corners(cell) if column == _CORNERS else cell
            problem = None if value is None else check_value(Unit.kind.field(column), value)
            if value is None:
                problems.append(
                    f"{where}: {cell!r} is no list of corners, such as '-1.5 0; 1.5 0; 1.2 1.7; -1.2 1.7' (along and out, in metres)."
                )
            elif problem is not None:
                problems.append(f"{where}: {problem.message}")
            else:
                values[column] = value
    if _CORNERS in values:
        values["zone_drawing"] = "corners"
    return values, problems


def _corners(cell: str | float) -> list[dict[str, float]] | None:
    """Return the corners that a cell lists, or None when it lists something else."""
    try:
        pairs = [tuple(map(float, part.split())) for part in str(cell).split(";") if part.strip()]
    except ValueError:
        return None
    if not pairs or any(len(pair) != 2 for pair in pairs):
        return None
    return [{"along_m": along, "out_m": out} for along, out in pairs]


def unit_records(name: str, given: str | Sequence[tuple[int, list[str]]] | None = None) -> list[dict[str, Any]]:
    """Return the records of kind ``unit`` for every unit of a firm's list, ready for a survey document.

    Parameters
    ----------
    name : str
        What messages call the file; where nothing is given, the table of the catalogue to read.
    given : str or list, optional
        The list as the text of a CSV, or as the rows of a file (``list_file.py``), with the columns unit, name, outside_c, flow_c, capacity_kw, cop, least_kw, standby_w, those of ``PAPERS`` as far
        as one has them, and a row of their units.

    Raises
    ------
    UnitTableError
        When the list cannot be read or a unit's table has a hole; the message names the row and the column.
    """
    try:
        if given is None:
            file = table(name)
        else:
            file = read_table(name, given) if isinstance(given, str) else make_table(name, given)
    except CatalogueError as error:
        raise UnitTableError([f"{error}."]) from error
    names = dict(read_units(file))
    most = Unit.kind.field("points").max_rows
    many = [
        f"{name}, column unit: {names[key].name} has {len(file.where('unit', key))} rows, expected at most {most}."
        for key in names
        if len(file.where("unit", key)) > most
    ]
    if many:
        raise UnitTableError(many)
    return [
        {
            "id": f"unit-{key}",
            "name": names[key].name,
            "table_from": f"{name}: {names[key].source}" if given is None else name,
            "standby_w": names[key].standby_w,
            **_papers(file, file.where("unit", key))[0],
            "points": [
                {part: row.cells[part] for part in _POINT if row.cells[part] is not None}
                for row in file.where("unit", key)
            ],
        }
        for key in names
    ]
