"""A firm's list of articles: its rows made into records of the firm's book, and records made into rows again."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from .list_columns import Line, as_cell, gather, id_by, is_same, known_keys, read_cell, read_lines
from .list_file import Cell, ListError, Rows
from .survey.fields import FieldType, Row, specs_of
from .survey.firm import Article, PriceRow

#: The most articles of one list.
MOST = 2_000
HOLDS_FROM = "holds_from"
#: The prices that may hold from a day on, each with the field that has them by day.
PRICES = {"selling_price": "selling_prices", "cost_price": "cost_prices"}
_SCALARS = {spec.name: spec for spec in Article.kind.fields if spec.type is not FieldType.ROWS}
_DAY = next(spec for spec in specs_of(PriceRow) if spec.name == HOLDS_FROM)
_PRICE = next(spec for spec in specs_of(PriceRow) if spec.name == "price")


def _columns(seen: Collection[str]) -> tuple[str, ...]:
    names = [name for name in _SCALARS if name in seen]
    names.insert(next((place for place, name in enumerate(names) if name in PRICES), len(names)), HOLDS_FROM)
    return tuple(names)


COLUMNS = _columns(_SCALARS)


def article_records(name: str, rows: Rows) -> list[dict[str, Any]]:
    """Return the records of kind ``article`` that the rows of a firm's list tell of, each with an id that its code makes.

    Parameters
    ----------
    name : str
        What messages call the file.
    rows : list
        A row with the names of the columns (``code`` and any other of ``COLUMNS``), then the rows of the articles. An empty cell says
        nothing. Several rows of one code with different days in ``holds_from`` are prices that hold from then on; the row without a day
        has the price before them, and what else the article is may stand in any of them.

    Raises
    ------
    ListError
        With every problem by row and column: an unknown column, a code that is missing or there twice for one day, a value that its field
        does not take, more than ``MOST`` articles.
    """
    lines, problems = read_lines(name, rows, COLUMNS, "code")
    by_code: dict[str, list[Line]] = {}
    for line in lines:
        by_code.setdefault(line.cells["code"], []).append(line)
    made = []
    told = {column: spec for column, spec in _SCALARS.items() if column not in PRICES}
    for code, of_code in by_code.items():
        values, wrong = gather(of_code, told, "article")
        prices, wrong_prices = _read_prices(code, of_code)
        problems += wrong_prices + wrong
        made.append({"id": id_by("article", code), **values, **prices})
    if not made and not problems:
        problems.append(f"{name}: it has no article.")
    if len(made) > MOST:
        problems.append(f"{name}: it has {len(made)} articles, expected at most {MOST}. Split it.")
    if problems:
        raise ListError(problems)
    return made


def _read_prices(code: str, lines: Sequence[Line]) -> tuple[dict[str, Any], list[str]]:
    """Return the prices of one article, without a day and by day, and what is wrong with them."""
    found: dict[str, Any] = {}
    problems: list[str] = []
    first: dict[str, Line] = {}
    for line in lines:
        day = line.cells.get(HOLDS_FROM, "")
        if day and (problem := read_cell(_DAY, day)[1]):
            problems.append(f"{line.at(HOLDS_FROM)}: {problem}")
        if day in first:
            problems.append(
                f"{line.at(HOLDS_FROM)}: {code!r} has its prices from {day} in row {first[day].number} already."
                if day
                else f"{line.at('code')}: {code!r} stands in row {first[day].number} already."
            )
        first.setdefault(day, line)
        if day and not any(column in line.cells for column in PRICES):
            problems.append(f"{line.at(HOLDS_FROM)}: there is a day and no price that holds from it.")
        for column, by_day in PRICES.items():
            if column not in line.cells:
                continue
            price, problem = read_cell(_SCALARS[column], line.cells[column])
            if problem:
                problems.append(f"{line.at(column)}: {problem}")
            if day:
                found.setdefault(by_day, []).append({"holds_from": day, "price": price})
            else:
                found[column] = price
    for by_day in PRICES.values():
        if by_day in found:
            found[by_day].sort(key=_day_of)
    return found, problems


def _day_of(row: Row) -> str:
    return str(row["holds_from"])


def add_to_article(before: Mapping[str, Any], said: Mapping[str, Any]) -> dict[str, Any]:
    """Return what an article is to say after a list that says ``said``: prices by day are added to those it has, and none is forgotten.

    Raises
    ------
    ListError
        When it would have more prices by day than fit.
    """
    merged = dict(said)
    for by_day in PRICES.values():
        if by_day not in said:
            continue
        present: list[Row] = before.get(by_day) or []
        # Of two from the same day the later one holds (``offers/article_prices.py``).
        days = {row["holds_from"]: row for row in present}
        news = [
            row
            for row in said[by_day]
            if row["holds_from"] not in days or not is_same(_PRICE, days[row["holds_from"]]["price"], row["price"])
        ]
        merged[by_day] = (
            sorted((days | {row["holds_from"]: row for row in news}).values(), key=_day_of) if news else present
        )
        if len(merged[by_day]) > (most := Article.kind.field(by_day).max_rows):
            words = f"Article {before.get('code') or said['code']!r} would have {len(merged[by_day])} prices by day"
            raise ListError([f"{words}, expected at most {most}. Take old ones out first."])
    return merged


def article_rows(records: Sequence[Mapping[str, Any]], seen: Collection[str]) -> list[list[Cell]]:
    """Return the rows of a list that says all of these articles, the head first.

    Parameters
    ----------
    records : sequence of dict
        Articles as the firm's book has them.
    seen : collection of str
        The fields that whoever asks may see; no other has a column.

    Raises
    ------
    ListError
        When an article has no code, or two have the same: the list could not come in again.
    """
    columns = _columns(seen)
    made: list[list[Cell]] = [list(columns)]
    for code, record in known_keys(records, "code", "Article").items():
        first = {column: as_cell(_SCALARS[column], record.get(column)) for column in columns if column != HOLDS_FROM}
        made.append([first.get(column, "") for column in columns])
        by_day: dict[str, dict[str, Cell]] = {}
        for column, field in PRICES.items():
            for row in (record.get(field) or []) if field in seen else []:
                by_day.setdefault(row["holds_from"], {})[column] = as_cell(_PRICE, row["price"])
        for day in sorted(by_day):
            cells = {"code": code, HOLDS_FROM: as_cell(_DAY, day), **by_day[day]}
            made.append([cells.get(column, "") for column in columns])
    return made
