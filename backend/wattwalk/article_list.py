"""A firm's list of articles as CSV: read and checked by row and column, and made into records of the firm's book."""

from __future__ import annotations

import hashlib
from typing import Any

from .catalogue import CatalogueError, read_rows
from .survey.errors import WattwalkError
from .survey.firm import Article
from .survey.validation import check_value

#: The most articles of one list.
MOST = 2_000
COLUMNS = tuple(spec.name for spec in Article.kind.fields)


class ArticleListError(WattwalkError, ValueError):
    """A list of articles cannot be taken; ``problems`` says where and why, row by row."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def article_records(name: str, text: str) -> list[dict[str, Any]]:
    """Return the records of kind ``article`` for every row of a firm's list, each with an id that its code makes.

    Parameters
    ----------
    name : str
        What messages call the file.
    text : str
        The list as CSV: a row with the names of the columns (``code``, and any of ``words``, ``sold_by``, ``selling_price``, ``cost_price``,
        ``vat``), then a row for each article. An empty cell says nothing.

    Raises
    ------
    ArticleListError
        With every problem by row and column: another delimiter, an unknown column, a code that is missing or there twice, a value that its field does not take.
    """
    try:
        rows = read_rows(name, text)
    except CatalogueError as error:
        raise ArticleListError([f"{error}."]) from error
    head = rows[0][1] if rows else []
    _check_head(name, head)
    problems: list[str] = []
    made: list[dict[str, Any]] = []
    first: dict[str, int] = {}
    for line, cells in rows[1:]:
        if len(cells) != len(head):
            problems.append(f"{name}, row {line}: it has {len(cells)} cells, expected {len(head)}.")
            continue
        said = {column: cell for column, cell in zip(head, cells, strict=True) if cell}
        for column, value in said.items():
            if problem := check_value(Article.kind.field(column), value):
                problems.append(f"{name}, row {line}, column {column}: {problem.message}")
        code = said.get("code")
        if code is None:
            problems.append(f"{name}, row {line}, column code: the cell is empty.")
        elif code in first:
            problems.append(f"{name}, row {line}, column code: {code!r} stands in row {first[code]} already.")
        else:
            first[code] = line
            made.append({"id": article_id(code), **said})
    if not made and not problems:
        problems.append(f"{name}: it has no article.")
    if len(made) > MOST:
        problems.append(f"{name}: it has {len(made)} articles, expected at most {MOST}. Split it.")
    if problems:
        raise ArticleListError(problems)
    return made


def article_id(code: str) -> str:
    """Return the id that an article of this code gets when it comes with a list, the same wherever that is read."""
    return f"article-{hashlib.sha256(code.encode()).hexdigest()[:24]}"


def _check_head(name: str, head: list[str]) -> None:
    if len(head) == 1 and any(mark in head[0] for mark in ";\t"):
        raise ArticleListError([f"{name}, row 1: the cells are not parted by commas. Save it as CSV with commas."])
    problems = [
        f"{name}, row 1: there is no column {column!r}; it takes {', '.join(COLUMNS)}."
        for column in head
        if column not in COLUMNS
    ]
    problems += [
        f"{name}, row 1: the column {column!r} is there twice." for column in sorted({*head}) if head.count(column) > 1
    ]
    if "code" not in head:
        problems.append(f"{name}, row 1: there is no column 'code'.")
    if problems:
        raise ArticleListError(problems)
