"""Whether a value may stand in a field: the one check behind the API, the document and the command line."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any, TypeGuard

from .errors import Problem
from .fields import FieldSpec, FieldType
from .kinds import KINDS, RecordKind

#: Ids are made on the device (UUIDv7 there); a document written by hand may use plain words.
ID_PATTERN = r"[a-z0-9](?:[a-z0-9_-]{0,62}[a-z0-9])?"
_ID = re.compile(ID_PATTERN)
#: What can be an address for email, as far as that can be told without sending to it; read without regard to capitals.
EMAIL_PATTERN = r"[^@\s<>,;:\"\\()\[\]]{1,64}@[a-z0-9](?:[a-z0-9.-]{0,180}[a-z0-9])?"
_MONEY = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,2})?")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]{1,6})?Z")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_SHA256 = re.compile(r"[0-9a-f]{64}")
#: Letters and symbols by their category that are drawn as nothing: the fillers of Hangul, and Braille without a dot (Unicode, Default_Ignorable_Code_Point and U+2800).
_INKLESS = frozenset("\u115f\u1160\u3164\uffa0\u2800")


def is_id(value: Any) -> TypeGuard[str]:
    """Say whether ``value`` can be the id of a record."""
    return isinstance(value, str) and _ID.fullmatch(value) is not None


def is_sha256(value: Any) -> TypeGuard[str]:
    """Say whether ``value`` is a SHA-256 in lower-case hexadecimal."""
    return isinstance(value, str) and _SHA256.fullmatch(value) is not None


def has_visible(text: str) -> bool:
    """Say whether anything of `text` can be seen: a letter, figure, mark of punctuation or symbol that leaves ink."""
    return any(unicodedata.category(character)[0] in "LNPS" and character not in _INKLESS for character in text)


def plain_number(value: float) -> str:
    """Write a number as a person would: no exponent, no trailing zeros, a true minus sign."""
    written = f"{value:,.10f}".rstrip("0").rstrip(".")
    return written.replace("-", "\N{MINUS SIGN}")


def range_words(spec: FieldSpec) -> str:
    """Return the field's limits in words, such as ``0.3 to 60 m``."""
    if spec.low is None or spec.high is None:
        return ""
    unit = f" {spec.unit}" if spec.unit else ""
    if spec.unit == "£":
        return f"£{plain_number(spec.low)} to £{plain_number(spec.high)}"
    return f"{plain_number(spec.low)} to {plain_number(spec.high)}{unit}"


def _found(value: Any) -> str:
    if isinstance(value, str):
        return f"the text {value[:40]!r}"
    if value is True or value is False:
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return plain_number(value) if math.isfinite(value) else "a number that is not finite"
    if isinstance(value, list):
        return "a list"
    return "a group of values" if isinstance(value, Mapping) else "something else"


def check_value(spec: FieldSpec, value: Any, record: str | None = None, field: str | None = None) -> Problem | None:
    """Check one value against its declaration.

    Parameters
    ----------
    spec : FieldSpec
        The declared field.
    value : object
        A JSON value.  ``None`` clears a field and is always allowed.
    record, field : str, optional
        What to name in the problem; ``field`` defaults to the name of the spec.

    Returns
    -------
    Problem or None
        The first thing that is wrong, or None.
    """
    if value is None:
        return None
    name = field or spec.name
    found = _CHECKS[spec.type](spec, value)
    if found is None:
        return None
    if isinstance(found, Problem):
        inner = f"{name}.{found.field}" if found.field else name
        return Problem(found.code, found.message, inner, record)
    code, message = found
    return Problem(code, f"{spec.label}: {message}", name, record)


def _check_text(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if not isinstance(value, str):
        return "not_text", f"found {_found(value)}, expected a text."
    if len(value) > spec.max_length:
        return "too_long", f"found {len(value)} characters, at most {spec.max_length} fit."
    if spec.type is FieldType.TEXT and ("\n" in value or "\r" in value):
        return "not_one_line", "found a line break, expected one line."
    if any(character < " " and character not in "\n\r\t" for character in value):
        return "not_printable", "found a control character, expected plain text."
    if any("\ud800" <= character <= "\udfff" for character in value):
        return "not_printable", "found half of a character pair, expected plain text."
    # Blanks alone are an empty answer; signs that only steer others look like one and are none.
    if value.strip() and not has_visible(value):
        return "nothing_to_see", "found only characters that cannot be seen, expected a text that can be read."
    if spec.name == "sha256" and not is_sha256(value):
        return "not_a_hash", "expected 64 characters 0-9 and a-f."
    return None


def _check_number(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return "not_a_number", f"found {_found(value)}, expected a number from {range_words(spec)}."
    if isinstance(value, float) and not math.isfinite(value):
        return "not_a_number", f"found a number that is not finite, expected {range_words(spec)}."
    if (spec.low is not None and value < spec.low) or (spec.high is not None and value > spec.high):
        return "out_of_range", f"found {_found(value)}, expected {range_words(spec)}."
    return None


def _check_integer(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if isinstance(value, bool) or not isinstance(value, int):
        return "not_a_whole_number", f"found {_found(value)}, expected a whole number from {range_words(spec)}."
    return _check_number(spec, value)


def _check_choice(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    known = [item.value for item in spec.choices]
    # An older phone goes on sending the names it knows.
    if not isinstance(value, str) or spec.taken_over(value) not in known:
        return "not_a_choice", f"found {_found(value)}, expected one of: {', '.join(known)}."
    return None


def _check_yes_no(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if not isinstance(value, bool):
        return "not_yes_or_no", f"found {_found(value)}, expected yes or no (true or false)."
    return None


def _check_date(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if isinstance(value, str) and _DAY.fullmatch(value):
        try:
            if date.fromisoformat(value).year >= 1900:
                return None
        except ValueError:
            pass
    return "not_a_date", f"found {_found(value)}, expected a day such as 2026-03-31."


def _check_moment(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if isinstance(value, str) and _MOMENT.fullmatch(value):
        try:
            datetime.fromisoformat(value.replace("Z", "+00:00"))
            return None
        except ValueError:
            pass
    return "not_a_moment", f"found {_found(value)}, expected a moment such as 2026-03-31T14:05:00Z."


def _check_money(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if not isinstance(value, str) or not _MONEY.fullmatch(value):
        return "not_an_amount", f'found {_found(value)}, expected an amount in pounds such as "149.50".'
    try:
        amount = Decimal(value)
    except InvalidOperation:
        return "not_an_amount", f'found {_found(value)}, expected an amount in pounds such as "149.50".'
    if not (Decimal(str(spec.low)) <= amount <= Decimal(str(spec.high))):
        return "out_of_range", f"found £{value}, expected {range_words(spec)}."
    return None


def _check_reference(spec: FieldSpec, value: Any) -> tuple[str, str] | None:
    if not is_id(value):
        return "not_an_id", f"found {_found(value)}, expected the id of a record of kind {' or '.join(spec.refers_to)}."
    return None


def _check_rows(spec: FieldSpec, value: Any) -> tuple[str, str] | Problem | None:
    if not isinstance(value, list):
        return "not_a_list", f"found {_found(value)}, expected a list of rows."
    if len(value) > spec.max_rows:
        return "too_long", f"found {len(value)} rows, at most {spec.max_rows} fit."
    known = {row.name: row for row in spec.rows}
    for place, row in enumerate(value):
        if not isinstance(row, Mapping):
            return Problem(
                "not_a_row", f"{spec.label}: found {_found(row)}, expected a row of named values.", str(place + 1)
            )
        for name, item in row.items():
            if name not in known:
                words = f"{spec.label}: row {place + 1} has no field {str(name)[:40]!r}; it has {', '.join(known)}."
                return Problem("unknown_field", words, str(place + 1))
            problem = check_value(known[name], item, field=f"{place + 1}.{name}")
            if problem:
                return problem
        for name, inner in known.items():
            if inner.must and row.get(name) in (None, "") and inner.is_asked(row):
                return Problem(
                    "missing",
                    f"{spec.label}: row {place + 1} has no {inner.label.lower()}; without it the row says nothing.",
                    f"{place + 1}.{name}",
                )
    return None


_CHECKS = {
    FieldType.TEXT: _check_text,
    FieldType.LONG_TEXT: _check_text,
    FieldType.NUMBER: _check_number,
    FieldType.INTEGER: _check_integer,
    FieldType.CHOICE: _check_choice,
    FieldType.YES_NO: _check_yes_no,
    FieldType.DATE: _check_date,
    FieldType.MOMENT: _check_moment,
    FieldType.MONEY: _check_money,
    FieldType.REFERENCE: _check_reference,
    FieldType.ROWS: _check_rows,
}


def find_kind(name: Any, record: str | None = None) -> RecordKind | Problem:
    """Return the record kind called ``name``, or the problem that says which kinds exist."""
    kind = KINDS.get(name) if isinstance(name, str) else None
    if kind is None:
        return Problem(
            "unknown_kind", f"found the kind {_found(name)}, expected one of: {', '.join(KINDS)}.", None, record
        )
    return kind


def check_field(kind: RecordKind, name: Any, value: Any, record_id: str) -> Problem | None:
    """Check one field of one record by the field's name; an unknown name is a problem too."""
    record = f"{kind.name}/{record_id}"
    if not isinstance(name, str) or not kind.has(name):
        known = ", ".join(spec.name for spec in kind.fields)
        return Problem(
            "unknown_field", f"{kind.label} has no field {str(name)[:60]!r}; it has: {known}.", str(name)[:60], record
        )
    return check_value(kind.field(name), value, record)
