"""Reference tables as CSV with their sources, and the one reader of them.  Standard library only.

A table's file name carries its edition.  Its first row names the columns, its second gives their units
(``text`` for words); the last four columns of every row say where the row comes from.
"""

from .reader import (
    CONFIDENCES,
    CatalogueError,
    Document,
    Row,
    Table,
    document,
    documents,
    file_of,
    folders,
    interpolate,
    make_table,
    names,
    read_rows,
    read_table,
    table,
)

__all__ = [
    "CONFIDENCES",
    "CatalogueError",
    "Document",
    "Row",
    "Table",
    "document",
    "documents",
    "file_of",
    "folders",
    "interpolate",
    "make_table",
    "names",
    "read_rows",
    "read_table",
    "table",
]
