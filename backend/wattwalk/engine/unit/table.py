"""Tables of heat pumps: output and efficiency over outside and flow temperature, read, checked and drawn between."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from wattwalk.survey.errors import WattwalkError
from wattwalk.survey.known import known
from wattwalk.survey.unit import Unit

from ..answers.citing import cite
from ..answers.rounding import figure

KELVIN = 273.15
#: Water has to be so much hotter than the air for a point to say anything of the unit, K.
LEAST_DIFFERENCE_K = 5.0

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

    Parameters
    ----------
    outside_c, flow_c : float
        Source and flow, °C.

    References
    ----------
    Carnot: ``T_h / (T_h − T_c)`` in kelvin.

    Examples
    --------
    >>> round(carnot(7, 40), 2)
    9.49
    """
    return (flow_c + KELVIN) / (flow_c - outside_c)


class UnitTable:
    """A unit's complete table over outside and flow temperature."""

    def __init__(
        self, name: str, points: Mapping[tuple[float, float], TablePoint], standby_w: float = 0.0, source: str = ""
    ):
        self.name, self.standby_w, self.source = name, standby_w, source
        self.outside_c = tuple(sorted({place[0] for place in points}))
        self.flow_c = tuple(sorted({place[1] for place in points}))
        self._cells = [
            [
                (
                    known(point.capacity_kw),
                    known(point.cop) / carnot(outside, flow),
                    known(point.capacity_kw if point.least_kw is None else point.least_kw),
                )
                for flow in self.flow_c
                for point in [points[outside, flow]]
            ]
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
        (c00, e00, l00), (c01, e01, l01), (c10, e10, l10), (c11, e11, l11) = (
            low[column],
            low[column + 1],
            high[column],
            high[column + 1],
        )
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


def _place(given: tuple[float, ...], value: float) -> tuple[float, int, float]:
    """Return the value held within the given ones, the place of the lower neighbour, and the share of the way to the next."""
    held = min(max(value, given[0]), given[-1])
    place = min(bisect_right(given, held) - 1, len(given) - 2)
    return held, place, (held - given[place]) / (given[place + 1] - given[place])


def build_table(
    name: str, points: Iterable[TablePoint], standby_w: float = 0.0, source: str = "", rows: Sequence[int] = ()
) -> UnitTable:
    """Return a unit's table from its points; ``rows`` are their rows in a file, for the messages.

    Raises
    ------
    UnitTableError
        When a point is missing, stands twice or cannot be right: each problem names the cell by its temperatures.
    """
    found: dict[tuple[float, float], TablePoint] = {}
    row_of: dict[tuple[float, float], int] = {}
    problems = []
    for place, point in enumerate(points):
        cell = (point.outside_c, point.flow_c)
        if cell in found:
            rows_of_both = f" (rows {row_of[cell]} and {rows[place]})" if rows else ""
            problems.append(f"{name}: {_cell(*cell)} stands twice{rows_of_both}.")
        found[cell] = point
        if rows:
            row_of[cell] = rows[place]
    outsides, flows = sorted({place[0] for place in found}), sorted({place[1] for place in found})
    if len(outsides) < 2 or len(flows) < 2:
        problems.append(
            f"{name}: the table needs at least two outside and two flow temperatures, found {len(outsides)} and {len(flows)}."
        )
    modulates = any(point.least_kw is not None for point in found.values())
    for outside in outsides:
        for flow in flows:
            where = f", row {row_of[outside, flow]}" if (outside, flow) in row_of else ""
            for column, words in _wrong(found.get((outside, flow)), modulates):
                problems.append(
                    f"{name}{where}{f', column {column}' if where else ''}: {_cell(outside, flow)} {words}."
                )
    if problems:
        raise UnitTableError(problems)
    return UnitTable(name, found, standby_w, source)


def _cell(outside_c: float, flow_c: float) -> str:
    return f"the cell at {figure(outside_c, 1)} °C outside and {figure(flow_c, 1)} °C flow"


def _wrong(point: TablePoint | None, modulates: bool) -> list[tuple[str, str]]:
    """Return what is wrong with one cell: the column of it, and words."""
    if point is None:
        return [("", "is missing; fill it in, or leave out its whole row or column")]
    if point.flow_c - point.outside_c < LEAST_DIFFERENCE_K:
        return [("flow_c", f"has water less than {figure(LEAST_DIFFERENCE_K, 0)} K hotter than the air")]
    if point.capacity_kw is None or point.cop is None:
        return [
            ("capacity_kw", "has no output")
            if point.capacity_kw is None
            else ("cop", "has no coefficient of performance")
        ]
    found = []
    if point.capacity_kw <= 0:
        found.append(("capacity_kw", f"has an output of {figure(point.capacity_kw)} kW"))
    ideal = carnot(point.outside_c, point.flow_c)
    if not 1 <= point.cop < ideal:
        found.append(
            (
                "cop",
                f"has a coefficient of performance of {figure(point.cop)}, expected 1 to less than {figure(ideal)}, which no heat pump can reach",
            )
        )
    if modulates and point.least_kw is None:
        found.append(("least_kw", "has no least output, which other cells have"))
    if point.least_kw is not None and not 0 < point.least_kw <= point.capacity_kw:
        found.append(
            (
                "least_kw",
                f"has a least output of {figure(point.least_kw)} kW, expected more than none and no more than its {figure(point.capacity_kw)} kW",
            )
        )
    return found


def table_of(record: Unit) -> UnitTable:
    """Return the table of a unit's record.

    Raises
    ------
    UnitTableError
        When the record has no points, a point without its temperatures, or a table that :func:`build_table` refuses.
    """
    name = record.title
    points = []
    for place, row in enumerate(record.points or (), start=1):
        if row.get("outside_c") is None or row.get("flow_c") is None:
            raise UnitTableError(
                [
                    f"{name}: row {place} of its table has no {'outside' if row.get('outside_c') is None else 'flow'} temperature."
                ]
            )
        points.append(
            TablePoint(row["outside_c"], row["flow_c"], row.get("capacity_kw"), row.get("cop"), row.get("least_kw"))
        )
    if not points:
        raise UnitTableError([f"{name}: it has no table yet."])
    return build_table(name, points, record.standby_w or 0.0, record.table_from or "")
