"""A PDF as a program reads it: its tree of tags, and every piece of text with the size and colour that it is printed in."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream, DictionaryObject, IndirectObject

_SAME = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
Matrix = tuple[float, float, float, float, float, float]


@dataclass(frozen=True)
class Printed:
    """A piece of text: its page from 1, its size in points, how light its colour is (0 black, 1 white), how high it stands on the page."""

    page: int
    size_pt: float
    luminance: float
    y_pt: float


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


def luminance(*colour: float) -> float:
    """Return the relative luminance of a grey or an RGB colour, each part 0 to 1 (WCAG 2.2, relative luminance)."""
    parts = colour * 3 if len(colour) == 1 else colour
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: float, other: float) -> float:
    """Return the contrast of two luminances."""
    return (max(one, other) + 0.05) / (min(one, other) + 0.05)


def texts(pdf: bytes) -> list[Printed]:
    """Return every piece of text of a PDF."""
    reader = PdfReader(io.BytesIO(pdf))
    found: list[Printed] = []
    for number, page in enumerate(reader.pages, start=1):
        _walk(reader, page, page.get_contents(), _SAME, 0.0, number, found)
    return found


def _walk(
    reader: PdfReader, holder: Any, content: Any, matrix: Matrix, light: float, page: int, found: list[Printed]
) -> None:
    state, stack, size, line = (matrix, light), [], 0.0, _SAME
    for operands, operator in ContentStream(content, reader).operations:
        if operator == b"q":
            stack.append((state, size))
        elif operator == b"Q" and stack:
            state, size = stack.pop()
        elif operator == b"cm":
            state = (_times(tuple(float(part) for part in operands), state[0]), state[1])  # type: ignore[arg-type]
        elif operator in (b"g", b"rg", b"sc", b"scn") and len(operands) in (1, 3) and not isinstance(operands[-1], str):
            state = (state[0], luminance(*(float(part) for part in operands)))
        elif operator == b"Tf":
            size = float(operands[1])
        elif operator == b"BT":
            line = _SAME
        elif operator == b"Tm":
            line = tuple(float(part) for part in operands)  # type: ignore[assignment]
        elif operator in (b"Tj", b"TJ"):
            whole = _times(line, state[0])
            tall = (whole[2] ** 2 + whole[3] ** 2) ** 0.5
            found.append(Printed(page, size * tall, state[1], whole[5]))
        elif operator == b"Do":
            inner = holder["/Resources"]["/XObject"][operands[0]].get_object()
            if inner.get("/Subtype") == "/Form":
                own = tuple(float(part) for part in inner.get("/Matrix", _SAME))
                _walk(reader, inner, inner, _times(own, state[0]), state[1], page, found)  # type: ignore[arg-type]


@dataclass(frozen=True)
class Tag:
    """One element of the structure tree: its tag, how deep it lies, the tags above it, its attributes."""

    name: str
    above: tuple[str, ...]
    element: DictionaryObject

    @property
    def attributes(self) -> dict[str, Any]:
        """The element's attributes, of one object or of several."""
        given = self.element.get("/A")
        given = given.get_object() if isinstance(given, IndirectObject) else given
        several = given if isinstance(given, list) else [given] if given is not None else []
        return {str(name): value for one in several for name, value in one.get_object().items()}


def tags(pdf: bytes) -> list[Tag]:
    """Return the elements of a PDF's structure tree in the order in which they are read."""
    reader = PdfReader(io.BytesIO(pdf))
    root = reader.trailer["/Root"]["/StructTreeRoot"]  # type: ignore[index]
    return list(_elements(root, ()))


def _elements(element: Any, above: tuple[str, ...]) -> Iterator[Tag]:
    kids = element.get("/K", [])
    kids = kids.get_object() if isinstance(kids, IndirectObject) else kids
    for kid in kids if isinstance(kids, list) else [kids]:
        inner = kid.get_object() if isinstance(kid, IndirectObject) else kid
        if isinstance(inner, DictionaryObject) and "/S" in inner:
            name = str(inner["/S"]).removeprefix("/")
            yield Tag(name, above, inner)
            yield from _elements(inner, (*above, name))


def language(pdf: bytes) -> str:
    """Return the language that a PDF says it is in."""
    return str(PdfReader(io.BytesIO(pdf)).trailer["/Root"].get("/Lang", ""))  # type: ignore[index, union-attr]
