"""The survey document: one JSON object that holds a whole survey, and the survey read from it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from .box import said_again, size_of
from .building import Room, Surface
from .errors import Problem, SurveyError
from .fields import FieldType
from .holders import SURVEY
from .household import SurveyRecord
from .kinds import KINDS, R, Record, RecordKind
from .moved import taken_over
from .validation import check_field, find_kind, is_id, is_sha256

if TYPE_CHECKING:
    # At work it would change the order of the kinds, which is that of their modules.
    from .firm import PriceBook

#: Written into every document; a reader refuses a version it does not know.
DOCUMENT_FORMAT = "wattwalk-survey"
DOCUMENT_VERSION = 3
#: In the first version every side of a room said its size, which is read like the present one; up to the second a place said what is its unit's.
READ_VERSIONS = (1, 2, DOCUMENT_VERSION)
UNITS_AT_PLACES = (1, 2)


@dataclass(frozen=True)
class Survey:
    """A whole survey in memory: every record by kind, in the order given.

    ``photo_data`` holds the inlined bytes of photos as base64 text by their SHA-256, when there are any. ``prices`` are the firm's articles that
    it is priced with: no records of it, and in no document; None where nobody knows them.
    """

    id: str
    records: Mapping[str, tuple[Record, ...]]
    photo_data: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    prices: PriceBook | None = None

    def of_kind(self, of: type[R]) -> tuple[R, ...]:
        """Return the records of one kind, such as ``of_kind(Room)`` (an empty tuple when there are none)."""
        # A kind's records are made by its class alone (`RecordKind.make`).
        return cast("tuple[R, ...]", self.records.get(of.kind.name, ()))

    def single(self, of: type[R]) -> R | None:
        """Return the one record of a kind that a survey has once, or None."""
        found = self.of_kind(of)
        return found[0] if found else None

    def find(self, of: type[R], record_id: str | None) -> R | None:
        """Return the record of this kind with this id, or None."""
        return next((item for item in self.of_kind(of) if item.id == record_id), None)

    def children(self, of: type[R], parent_id: str) -> tuple[R, ...]:
        """Return the records of this kind whose parent field points at ``parent_id``."""
        parent = of.kind.parent
        return tuple(item for item in self.of_kind(of) if parent and getattr(item, parent) == parent_id)

    def records_named(self, kind: str) -> tuple[Record, ...]:
        """Return the records of a kind whose name comes in as data; where the kind is known, ask ``of_kind``."""
        return self.records.get(kind, ())

    def record_named(self, kind: str, record_id: str | None) -> Record | None:
        """Return the record ``kind/record_id`` when both come in as data, or None; where the kind is known, ask ``find``."""
        return next((item for item in self.records_named(kind) if item.id == record_id), None)

    def __iter__(self) -> Iterator[Record]:
        for kind in KINDS:
            yield from self.records_named(kind)

    def measured(self) -> Survey:
        """Return the survey with every surface as large as it is: the sizes that follow a room's box are filled in."""
        return self._with_sizes(
            lambda surface, room: {
                name: value for name, value in size_of(surface, room).items() if surface.get(name) is None
            }
        )

    def _with_sizes(
        self, change: Callable[[Mapping[str, Any], Mapping[str, Any]], Mapping[str, float | None]]
    ) -> Survey:
        """Return the survey with what `change` says of each surface in a room, from the values of both."""
        rooms = {room.id: room.known_values for room in self.of_kind(Room)}
        surfaces = tuple(
            _resized(surface, change(surface.known_values, rooms[surface.room])) if surface.room in rooms else surface
            for surface in self.of_kind(Surface)
        )
        return replace(self, records={**self.records, "surface": surfaces}) if surfaces else self

    def title(self) -> str:
        """Return the words a person would call this survey by."""
        record = self.single(SurveyRecord)
        return record.title if record else "Survey"


def _resized(surface: Surface, sizes: Mapping[str, Any]) -> Surface:
    return replace(surface, **sizes) if sizes else surface


def _no_constant(word: str) -> None:
    raise ValueError(f"{word} is not a number that JSON knows")


def _whole_number(digits: str) -> int:
    # No answer of a survey needs more, and beyond it other programs read another number than was written.
    if len(digits) > 18:
        raise ValueError(f"{digits[:12]}… has more digits than a whole number here may have")
    return int(digits)


def _finite_number(digits: str) -> float:
    value = float(digits)
    if value in (float("inf"), float("-inf")):
        raise ValueError(f"{digits[:12]} is too large a number")
    return value


def parse_json(text: str | bytes) -> Any:
    """Parse JSON strictly: no NaN, no infinity, no number beyond a computer's; raises ``SurveyError`` with the line and column."""
    try:
        return json.loads(text, parse_constant=_no_constant, parse_int=_whole_number, parse_float=_finite_number)
    except RecursionError as error:
        raise SurveyError([Problem("not_json", "The file is nested too deeply to be a survey.")]) from error
    except UnicodeDecodeError as error:
        raise SurveyError([Problem("not_json", f"The file is not text in UTF-8 (byte {error.start}).")]) from error
    except json.JSONDecodeError as error:
        words = f"The file is not JSON: {error.msg} at line {error.lineno}, column {error.colno}."
        raise SurveyError([Problem("not_json", words)]) from error
    except ValueError as error:
        raise SurveyError([Problem("not_json", f"The file is not JSON: {error}.")]) from error


def read_document(content: Any) -> Survey:
    """Read a survey document. A size of a side that says no more than its room's box is not kept: the side follows the box.

    Parameters
    ----------
    content : str, bytes or dict
        The JSON text, or what it parses to.

    Returns
    -------
    Survey

    Raises
    ------
    SurveyError
        With every problem found: each names the record, the field, what was found and what was expected.
    """
    data = parse_json(content) if isinstance(content, (str, bytes)) else content
    problems: list[Problem] = []
    if not isinstance(data, Mapping):
        raise SurveyError(
            [Problem("not_a_document", "Expected an object with the parts format, version, id and records.")]
        )
    if data.get("format") != DOCUMENT_FORMAT:
        raise SurveyError(
            [
                Problem(
                    "not_a_document",
                    f"Found the format {data.get('format')!r}, expected {DOCUMENT_FORMAT!r}.",
                    "format",
                )
            ]
        )
    if isinstance(data.get("version"), bool) or data.get("version") not in READ_VERSIONS:
        words = f"Found version {data.get('version')!r}, this program reads the versions {', '.join(map(str, READ_VERSIONS[:-1]))} and {READ_VERSIONS[-1]}."
        raise SurveyError([Problem("wrong_version", words, "version")])
    survey_id = data.get("id")
    if not is_id(survey_id):
        problems.append(Problem("not_an_id", "The survey needs an id of small letters, figures and hyphens.", "id"))
    for name in data:
        if name not in ("format", "version", "id", "records", "photos"):
            problems.append(Problem("unknown_part", f"The document has no part {str(name)[:60]!r}.", str(name)[:60]))
    given = data.get("records")
    if data["version"] in UNITS_AT_PLACES and isinstance(given, Mapping):
        given = taken_over(given)
    records = _read_records(given, problems)
    photos = _read_photos(data.get("photos"), problems)
    if problems:
        raise SurveyError(problems)
    _check_references(records, problems)
    if problems:
        raise SurveyError(problems)
    return Survey(str(survey_id), records, photos)._with_sizes(
        lambda surface, room: dict.fromkeys(said_again(surface, room))
    )


def open_document(source: Survey | Mapping[str, Any] | bytes | str | PathLike[str]) -> Survey:
    """Return the survey that somebody means by a survey, a document, its bytes or the path of its file.

    Parameters
    ----------
    source : Survey, dict, bytes, str or path
        A survey comes back as it is. Text is the path of a file; JSON text itself goes to :func:`read_document`.

    Raises
    ------
    SurveyError
        When what is there is no survey document, with every problem found.
    OSError
        When there is no such file, or it cannot be read.
    """
    if isinstance(source, Survey):
        return source
    return read_document(Path(source).read_bytes() if isinstance(source, (str, PathLike)) else source)


def _read_records(given: Any, problems: list[Problem]) -> dict[str, tuple[Record, ...]]:
    records: dict[str, tuple[Record, ...]] = {}
    if not isinstance(given, Mapping):
        problems.append(Problem("not_a_document", "Expected records: lists of records by their kind.", "records"))
        return records
    seen: set[str] = set()
    for kind_name, items in given.items():
        kind = find_kind(kind_name)
        if isinstance(kind, Problem):
            problems.append(kind)
            continue
        if SURVEY not in kind.held_by:
            words = f"{kind.plural} belong to the firm's book; a survey has none."
            problems.append(Problem("other_holder", words, None, kind.name))
            continue
        if not isinstance(items, list):
            problems.append(
                Problem("not_a_list", f"Expected a list of records of kind {kind.name}.", f"records.{kind.name}")
            )
            continue
        made = [_read_record(kind, item, place, seen, problems) for place, item in enumerate(items)]
        records[kind.name] = tuple(item for item in made if item is not None)
        if kind.single and len(items) > 1:
            problems.append(Problem("too_many", f"Found {len(items)} records, a survey has one.", None, kind.name))
    return records


def _read_record(kind: RecordKind, item: Any, place: int, seen: set[str], problems: list[Problem]) -> Record | None:
    where = f"{kind.name} number {place + 1}"
    if not isinstance(item, Mapping):
        problems.append(Problem("not_a_record", "Expected an object with an id and fields.", None, where))
        return None
    record_id = item.get("id")
    if not is_id(record_id):
        problems.append(
            Problem("not_an_id", "The record needs an id of small letters, figures and hyphens.", "id", where)
        )
        return None
    if record_id in seen:
        problems.append(
            Problem("repeated_id", "The id is used twice in this survey.", "id", f"{kind.name}/{record_id}")
        )
        return None
    seen.add(record_id)
    found = [check_field(kind, name, value, record_id) for name, value in item.items() if name != "id"]
    problems.extend(problem for problem in found if problem)
    if any(found):
        return None
    return kind.make(
        **{name: value if name == "id" else kind.field(name).taken_over(value) for name, value in item.items()}
    )


def _read_photos(given: Any, problems: list[Problem]) -> dict[str, Mapping[str, str]]:
    if given is None:
        return {}
    if not isinstance(given, Mapping):
        problems.append(Problem("not_a_document", "Expected photos: an object of bytes by SHA-256.", "photos"))
        return {}
    for name, item in given.items():
        if not is_sha256(name) or not isinstance(item, Mapping) or not isinstance(item.get("base64"), str):
            words = 'Expected a SHA-256 and {"base64": …} for each photo.'
            problems.append(Problem("not_a_photo", words, f"photos.{str(name)[:64]}"))
    return dict(given)


def _check_references(records: Mapping[str, tuple[Record, ...]], problems: list[Problem]) -> None:
    kind_of = {item.id: name for name, items in records.items() for item in items}
    for items in records.values():
        for record in items:
            for spec in record.kind.fields:
                target = getattr(record, spec.name)
                if spec.type is not FieldType.REFERENCE or target is None:
                    continue
                if kind_of.get(target) not in spec.refers_to:
                    found = f"a record of kind {kind_of[target]}" if target in kind_of else "no record"
                    words = (
                        f"{spec.label}: {target!r} names {found}, expected one of kind {' or '.join(spec.refers_to)}."
                    )
                    problems.append(Problem("broken_reference", words, spec.name, record.key()))


def write_document(survey: Survey) -> dict[str, Any]:
    """Return the survey as a document (a plain dictionary, kinds and fields in the declared order)."""
    written: dict[str, Any] = {
        "format": DOCUMENT_FORMAT,
        "version": DOCUMENT_VERSION,
        "id": survey.id,
        "records": {
            name: [{"id": record.id, **record.values()} for record in survey.records_named(name)]
            for name in KINDS
            if survey.records_named(name)
        },
    }
    if survey.photo_data:
        written["photos"] = {name: dict(item) for name, item in survey.photo_data.items()}
    return written


def make_survey(survey_id: str, records: Iterable[Record | None]) -> Survey:
    """Return the survey of these records, which keep their order within their kind."""
    by_kind: dict[str, list[Record]] = {name: [] for name in KINDS}
    for record in records:
        if record is not None:
            by_kind[record.kind.name].append(record)
    return Survey(survey_id, {name: tuple(items) for name, items in by_kind.items() if items})
