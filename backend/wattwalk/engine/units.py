"""Tables of heat pumps: output and efficiency over outside and flow temperature, read, checked and drawn between."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from wattwalk.catalogue import CatalogueError, Table, read_table, table
from wattwalk.survey.errors import WattwalkError
from wattwalk.survey.validation import is_id
from wattwalk.survey.works import Unit

from .citing import cite
from .rounding import figure

KELVIN = 273.15
DEMO_UNITS = "units_demo_2026"
#: Water has to be so much hotter than the air for a point to say anything of the unit, K.
LEAST_DIFFERENCE_K = 5.0
_COLUMNS = {"unit": "text", "name": "text", "outside_c": "degC", "flow_c": "degC", "capacity_kw": "kW", "cop": "1", "least_kw": "kW", "standby_w": "W"}

BY_EXERGY = cite("carnot", "table drawn between by its exergy efficiency", "published")


class UnitTableError(WattwalkError, ValueError):
    """A unit's table that cannot be used; ``problems`` names every cell that is wrong."""

    def __init__(self, problems: Sequence[str]):
        self.problems = tuple(problems)
        super().__init__(" ".join(self.problems))


@dataclass(frozen=True)
class TablePoint:
    """One cell of a unit's table: output and least output in kW, heat for each unit of electricity."""

    outside_c: float
    flow_c: float
    capacity_kw: float | None
    cop: float | None
    least_kw: float | None = None


@dataclass(frozen=True, slots=True)
class UnitPoint:
    """What a unit gives at one point: output and least output in kW, heat for each unit of electricity."""

    capacity_kw: float
    cop: float
    least_kw: float


def carnot(outside_c: float, flow_c: float) -> float:
    """Return the efficiency of an ideal heat pump between two temperatures in °C, the flow the hotter one.

    References
    ----------
    Carnot: ``T_h / (T_h − T_c)`` in kelvin.
    """
    return (flow_c + KELVIN) / (flow_c - outside_c)


class UnitTable:
    """A unit's complete table over outside and flow temperature."""

    def __init__(self, name: str, points: Mapping[tuple[float, float], TablePoint], standby_w: float = 0.0, source: str = ""):
        self.name, self.standby_w, self.source = name, standby_w, source
        self.outside_c = tuple(sorted({place[0] for place in points}))
        self.flow_c = tuple(sorted({place[1] for place in points}))
        self._cells = [
            [(point.capacity_kw, point.cop / carnot(outside, flow), point.capacity_kw if point.least_kw is None else point.least_kw) for flow in self.flow_c for point in [points[outside, flow]]]
            for outside in self.outside_c
        ]

    @property
    def hottest_c(self) -> float:
        """The hottest flow of the table, °C."""
        return self.flow_c[-1]

    def at(self, outside_c: float, flow_c: float) -> UnitPoint:
        """Return what the unit gives at an outside and a flow temperature in °C.

        Notes
        -----
        Output and exergy efficiency lie on straight lines between the table's points; the efficiency is the exergy efficiency
        times Carnot's.  Beyond the table both temperatures are held at its edge, which :meth:`beyond` says: nothing is drawn on.
        """
        outside, row, down = _place(self.outside_c, outside_c)
        flow, column, across = _place(self.flow_c, flow_c)
        low, high = self._cells[row], self._cells[row + 1]
        (c00, e00, l00), (c01, e01, l01), (c10, e10, l10), (c11, e11, l11) = low[column], low[column + 1], high[column], high[column + 1]
        w00, w01, w10, w11 = (1 - down) * (1 - across), (1 - down) * across, down * (1 - across), down * across
        return UnitPoint(
            w00 * c00 + w01 * c01 + w10 * c10 + w11 * c11,
            (w00 * e00 + w01 * e01 + w10 * e10 + w11 * e11) * carnot(outside, flow),
            w00 * l00 + w01 * l01 + w10 * l10 + w11 * l11,
        )

    def beyond(self, outside_c: float, flow_c: float) -> tuple[str, ...]:
        """Return in words where the table has to be held at its edge for these temperatures in °C."""
        found = []
        if outside_c < self.outside_c[0] - 1e-9:
            found.append(f"colder than the table, which begins at {figure(self.outside_c[0], 1)} °C")
        if outside_c > self.outside_c[-1] + 1e-9:
            found.append(f"milder than the table, which ends at {figure(self.outside_c[-1], 1)} °C")
        if flow_c < self.flow_c[0] - 1e-9:
            found.append(f"cooler water than the table, which begins at {figure(self.flow_c[0], 1)} °C")
        if flow_c > self.flow_c[-1] + 1e-9:
            found.append(f"hotter water than the table, which ends at {figure(self.flow_c[-1], 1)} °C")
        return tuple(found)


def _place(known: tuple[float, ...], value: float) -> tuple[float, int, float]:
    """Return the value held within the known ones, the place of the lower neighbour, and the share of the way to the next."""
    held = min(max(value, known[0]), known[-1])
    place = min(bisect_right(known, held) - 1, len(known) - 2)
    return held, place, (held - known[place]) / (known[place + 1] - known[place])


def build_table(name: str, points: Iterable[TablePoint], standby_w: float = 0.0, source: str = "") -> UnitTable:
    """Return a unit's table from its points.

    Raises
    ------
    UnitTableError
        When a point is missing, stands twice or cannot be right: each problem names the cell by its temperatures.
    """
    found: dict[tuple[float, float], TablePoint] = {}
    problems = []
    for point in points:
        if (point.outside_c, point.flow_c) in found:
            problems.append(f"{name}: {_cell(point.outside_c, point.flow_c)} stands twice.")
        found[point.outside_c, point.flow_c] = point
    outsides, flows = sorted({place[0] for place in found}), sorted({place[1] for place in found})
    if len(outsides) < 2 or len(flows) < 2:
        problems.append(f"{name}: the table needs at least two outside and two flow temperatures, found {len(outsides)} and {len(flows)}.")
    modulates = any(point.least_kw is not None for point in found.values())
    for outside in outsides:
        for flow in flows:
            problems += [f"{name}: {_cell(outside, flow)} {words}." for words in _wrong(found.get((outside, flow)), modulates)]
    if problems:
        raise UnitTableError(problems)
    return UnitTable(name, found, standby_w, source)


def _cell(outside_c: float, flow_c: float) -> str:
    return f"the cell at {figure(outside_c, 1)} °C outside and {figure(flow_c, 1)} °C flow"


def _wrong(point: TablePoint | None, modulates: bool) -> list[str]:
    if point is None:
        return ["is missing; fill it in, or leave out its whole row or column"]
    if point.flow_c - point.outside_c < LEAST_DIFFERENCE_K:
        return [f"has water less than {figure(LEAST_DIFFERENCE_K, 0)} K hotter than the air"]
    found = []
    if point.capacity_kw is None or point.cop is None:
        return ["has no output" if point.capacity_kw is None else "has no coefficient of performance"]
    if point.capacity_kw <= 0:
        found.append(f"has an output of {figure(point.capacity_kw)} kW")
    ideal = carnot(point.outside_c, point.flow_c)
    if not 1 <= point.cop < ideal:
        found.append(f"has a coefficient of performance of {figure(point.cop)}, expected 1 to less than {figure(ideal)}, which no heat pump can reach")
    if modulates and point.least_kw is None:
        found.append("has no least output, which other cells have")
    if point.least_kw is not None and not 0 < point.least_kw <= point.capacity_kw:
        found.append(f"has a least output of {figure(point.least_kw)} kW, expected more than none and no more than its {figure(point.capacity_kw)} kW")
    return found


def table_of(record: Unit) -> UnitTable:
    """Return the table of a unit's record.

    Raises
    ------
    UnitTableError
        When the record has no points, a point without its temperatures, or a table that :func:`build_table` refuses.
    """
    name = record.name or record.kind.label
    points = []
    for place, row in enumerate(record.points or (), start=1):
        if row.get("outside_c") is None or row.get("flow_c") is None:
            raise UnitTableError([f"{name}: row {place} of its table has no {'outside' if row.get('outside_c') is None else 'flow'} temperature."])
        points.append(TablePoint(row["outside_c"], row["flow_c"], row.get("capacity_kw"), row.get("cop"), row.get("least_kw")))
    if not points:
        raise UnitTableError([f"{name}: it has no table yet."])
    return build_table(name, points, record.standby_w or 0.0, record.table_from or "")


def read_units(file: Table) -> list[tuple[str, UnitTable]]:
    """Return the units of a list, each with its id, in the order of the file.

    Raises
    ------
    UnitTableError
        With every problem of every unit: a column that is missing, a unit of measure that differs, a hole in a table.
    """
    problems = [f"{file.name}: there is no column {column!r}." for column in _COLUMNS if column not in file.units]
    problems += [f"{file.name}: the column {column!r} is in {file.units[column]!r}, expected {unit!r}." for column, unit in _COLUMNS.items() if file.units.get(column, unit) != unit]
    if problems:
        raise UnitTableError(problems)
    by_unit: dict[str, list] = {}
    for row in file.rows:
        by_unit.setdefault(row.word("unit"), []).append(row)
    made = []
    for key, rows in by_unit.items():
        if not is_id(f"unit-{key}"):
            problems.append(f"{file.name}: the unit {key!r} needs a short name of small letters, figures and hyphens in the column 'unit'.")
            continue
        blank = [column for row in rows for column in ("outside_c", "flow_c") if row.cells[column] is None]
        if blank:
            problems.append(f"{rows[0].word('name') or key}: a row has no {blank[0]!r}.")
            continue
        points = [TablePoint(row.number("outside_c"), row.number("flow_c"), *(row.cells[name] for name in ("capacity_kw", "cop", "least_kw"))) for row in rows]
        try:
            made.append((key, build_table(rows[0].word("name") or key, points, rows[0].cells["standby_w"] or 0.0, rows[0].locator)))
        except UnitTableError as error:
            problems += error.problems
    if problems:
        raise UnitTableError(problems)
    return made


def unit_records(name: str, text: str | None = None) -> list[dict]:
    """Return the records of kind ``unit`` for every unit of a firm's list, ready for a survey document.

    Parameters
    ----------
    name : str
        What messages call the file; without ``text``, the table of the catalogue to read.
    text : str, optional
        The list as CSV with the columns unit, name, outside_c, flow_c, capacity_kw, cop, least_kw, standby_w and a row of their units.

    Raises
    ------
    UnitTableError
        When the list cannot be read or a unit's table has a hole; the message names the cell.
    """
    try:
        file = table(name) if text is None else read_table(name, text)
    except CatalogueError as error:
        raise UnitTableError([f"{error}."]) from error
    names = dict(read_units(file))
    return [
        {
            "id": f"unit-{key}", "name": names[key].name, "table_from": f"{name}: {names[key].source}" if text is None else name, "standby_w": names[key].standby_w,
            "points": [{part: row.cells[part] for part in ("outside_c", "flow_c", "capacity_kw", "cop", "least_kw") if row.cells[part] is not None} for row in file.where("unit", key)],
        }
        for key in names
    ]
