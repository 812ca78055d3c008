"""A firm's list of valves with settings: its rows made into records of the firm's book, and records made into rows again."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from .list_columns import Line, as_cell, gather, id_by, is_same, known_keys, read_cell, read_lines
from .list_file import Cell, ListError, Rows
from .survey.circuit import PresetValve, SettingRow
from .survey.fields import Row, specs_of

#: The most valves of one list.
MOST = 500
_SAID = {name: PresetValve.kind.field(name) for name in ("name", "table_from")}
_SETTING = {spec.name: spec for spec in specs_of(SettingRow)}
COLUMNS = (*_SAID, *_SETTING)


def valve_records(name: str, rows: Rows) -> list[dict[str, Any]]:
    """Return the records of kind ``preset_valve`` that the rows of a firm's list tell of, each with an id that its name makes.

    Parameters
    ----------
    name : str
        What messages call the file.
    rows : list
        A row with the names of the columns (``name`` and any other of ``COLUMNS``), then a row for each setting of each valve, in the order
        of its settings, with its Kv in m³/h. Where its table is from may stand in any of its rows.

    Raises
    ------
    ListError
        With every problem by row and column: an unknown column, a setting that is there twice or has no Kv, a value that its field does
        not take, more valves or settings than fit.
    """
    lines, problems = read_lines(name, rows, COLUMNS, "name")
    by_name: dict[str, list[Line]] = {}
    for line in lines:
        by_name.setdefault(line.cells["name"], []).append(line)
    made = []
    for valve, of_valve in by_name.items():
        values, wrong = gather(of_valve, _SAID, "valve")
        settings, wrong_settings = _read_settings(valve, of_valve)
        problems += wrong + wrong_settings
        if len(settings) > (most := PresetValve.kind.field("settings").max_rows):
            problems.append(f"{name}, column setting: {valve} has {len(settings)} settings, expected at most {most}.")
        made.append({"id": id_by("valve", valve), **values, **({"settings": settings} if settings else {})})
    if not made and not problems:
        problems.append(f"{name}: it has no valve.")
    if len(made) > MOST:
        problems.append(f"{name}: it has {len(made)} valves, expected at most {MOST}. Split it.")
    if problems:
        raise ListError(problems)
    return made


def _read_settings(valve: str, lines: Sequence[Line]) -> tuple[list[Row], list[str]]:
    settings: list[Row] = []
    problems: list[str] = []
    first: dict[str, int] = {}
    for line in lines:
        setting = line.cells.get("setting", "")
        if setting in first:
            what = f"setting {setting!r} of {valve!r}" if setting else repr(valve)
            problems.append(
                f"{line.at('setting' if setting else 'name')}: {what} stands in row {first[setting]} already."
            )
        first.setdefault(setting, line.number)
        if not any(column in line.cells for column in _SETTING):
            continue
        row: dict[str, Any] = {}
        for column, spec in _SETTING.items():
            if column not in line.cells:
                problems.append(f"{line.at(column)}: the cell is empty.")
                continue
            row[column], problem = read_cell(spec, line.cells[column])
            if problem:
                problems.append(f"{line.at(column)}: {problem}")
        settings.append(row)
    return settings, problems


def _whole(record: Mapping[str, Any]) -> list[Row]:
    """Return the settings of a valve that say both what is set and what comes through."""
    return [
        row
        for row in record.get("settings") or []
        if str(row.get("setting") or "").strip() and row.get("kv_m3_h") is not None
    ]


def add_to_valve(before: Mapping[str, Any], said: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a valve is to say after a list that says ``said``: its table is the list's, unless it is the same already."""
    merged, whole = dict(said), _whole(before)
    settings: list[Row] = said.get("settings", [])
    if len(whole) == len(settings) and all(
        is_same(spec, before_row[name], row[name])
        for before_row, row in zip(whole, settings, strict=True)
        for name, spec in _SETTING.items()
    ):
        merged.pop("settings", None)
    return merged


def valve_rows(records: Sequence[Mapping[str, Any]], seen: Collection[str]) -> list[list[Cell]]:
    """Return the rows of a list that says all of these valves, the head first; a setting that is only half told is in none.

    Raises
    ------
    ListError
        When a valve has no name, two have the same, or one has a setting twice: the list could not come in again.
    """
    made: list[list[Cell]] = [list(COLUMNS)]
    for valve, record in known_keys(records, "name", "Valve").items():
        first = [as_cell(spec, record.get(name)) for name, spec in _SAID.items()]
        settings = [[as_cell(spec, row[name]) for name, spec in _SETTING.items()] for row in _whole(record)]
        named = [row[0] for row in settings]
        if len(named) > len(set(named)):
            raise ListError([f"Valve {valve!r} has a setting twice. Take one of them out first."])
        made += [[*first, *row] for row in settings or [["", ""]]]
    return made
