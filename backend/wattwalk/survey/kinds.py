"""The register of record kinds: what a kind is called, where it is met on the walk, what it holds."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar, TypeVar, dataclass_transform, overload

from .chapters import CHAPTERS
from .fields import ANSWERED, AT_OFFICE, ON_SITE, FieldSpec, FieldType, Purpose, specs_of
from .holders import EVERY_ROLE, FIRM, FIRM_LIST, HOLDERS, OFFICE, ROLES, SURVEY


@dataclass(frozen=True, kw_only=True)
class Record:
    """Base of every record: an id made on the device.  Fields not yet known are ``None``."""

    kind: ClassVar[RecordKind]
    id: str

    def values(self) -> dict[str, Any]:
        """Return the known fields as a plain dictionary of the caller's own, in the order of declaration."""
        return dict(self.known_values)

    @cached_property
    def known_values(self) -> Mapping[str, Any]:
        """The same to be read only; made once, since a record never changes and is asked for them often."""
        return {spec.name: value for spec in self.kind.fields if (value := getattr(self, spec.name)) is not None}

    def effective(self, name: str) -> Any:
        """Return a field's value, or its declared default while nobody has said otherwise."""
        value = getattr(self, name)
        return self.kind.field(name).default if value is None else value

    @cached_property
    def title(self) -> str:
        """The words a person would call this record by; made once, since they are asked for often."""
        return self.kind.title_of({name: getattr(self, name) for name in self.kind.title})

    def key(self) -> str:
        """Return ``kind/id``, the way findings and refusals point at a record."""
        return f"{self.kind.name}/{self.id}"


@dataclass(frozen=True)
class Group:
    """A part of a form: what is seen from one standing point.  ``answered`` says where, of its fields that do not say it themselves."""

    name: str
    label: str
    answered: str = ""


@dataclass(frozen=True)
class Part:
    """What a kind is to the rest of the house, besides its form and its place on the walk.

    ``chapter`` is the chapter of the report that tells of it, and prints what a check says of it (``chapters.py``).
    ``photo`` is what a photo taken at it most likely shows, a category of photos.
    ``is_subject`` says that photos, notes, works and price lines may be about it.
    ``opens_the_walk`` says that having one shows that somebody has begun there; what has a parent never says so by itself.
    ``in_options`` says that an option may have answers of it otherwise than the survey (``options.py``).
    ``is_counted`` says that some figure or drawing may hang on it.
    """

    chapter: str
    photo: str = "other"
    is_subject: bool = True
    opens_the_walk: bool = True
    is_counted: bool = True
    in_options: bool = False


@dataclass(frozen=True)
class RecordKind:
    """One kind of record, as everything else sees it."""

    name: str
    label: str
    plural: str
    stage: str
    fields: tuple[FieldSpec, ...]
    make: type[Record]
    part: Part
    title: tuple[str, ...] = ()
    groups: tuple[Group, ...] = ()
    parent: str | None = None
    single: bool = False
    help: str = ""
    #: Whose logs hold records of this kind: a survey's, the firm's book, or both.
    held_by: tuple[str, ...] = (SURVEY,)
    #: The roles that may write one in the firm's book.
    written_by: tuple[str, ...] = (OFFICE,)

    def names_seen_by(self, role: str) -> tuple[str, ...]:
        """Return the names of the fields that a person of this role may see in the firm's book."""
        return tuple(spec.name for spec in self.fields if role in (spec.seen_by or EVERY_ROLE))

    @property
    def owner(self) -> str | None:
        """The kind of record that one of this kind belongs to, or None when it stands by itself."""
        return None if self.parent is None else self.field(self.parent).refers_to[0]

    @cached_property
    def _by_name(self) -> dict[str, FieldSpec]:
        return {spec.name: spec for spec in self.fields}

    def field(self, name: str) -> FieldSpec:
        """Return the field called ``name``; raises ``KeyError`` when the kind has none."""
        return self._by_name[name]

    def has(self, name: str) -> bool:
        """Say whether the kind has a field called ``name``."""
        return name in self._by_name

    def title_of(self, values: Mapping[str, Any]) -> str:
        """Return the words a person would call this record by, falling back on the kind's label."""
        parts = []
        for name in self.title:
            value = values.get(name)
            if value in (None, ""):
                continue
            spec = self.field(name)
            if spec.type is FieldType.REFERENCE:
                continue
            parts.append(spec.choice_label(value) if spec.choices else str(value))
        return ", ".join(parts) or self.label


@dataclass(frozen=True)
class Stage:
    """One stage of the walk through a house, in the order a person meets it."""

    name: str
    label: str
    help: str


@dataclass(frozen=True)
class Expectation:
    """A record that must be there before anyone leaves the house.

    ``at_least`` records of ``kind`` whose fields equal ``where`` are expected in the survey, or for each
    record of ``per`` (linked through ``link``, by default the kind's parent).
    A wish is shown on the walk, and is no gap when it is not there.
    """

    kind: str
    at_least: int
    purpose: Purpose
    words: str
    spoils: str
    per: str | None = None
    where: tuple[tuple[str, str], ...] = ()
    per_where: tuple[tuple[str, tuple[Any, ...]], ...] = ()
    link: str | None = None
    is_wish: bool = False


@dataclass(frozen=True)
class AskedBy:
    """A field that is missing only because of what another kind's records say.

    The field of ``kind`` is asked for as soon as one record of ``by`` has fields among ``where`` and none of ``unless``.
    With a ``link`` only a record of ``by`` counts that this field of the record names.
    """

    kind: str
    field: str
    purpose: Purpose
    spoils: str
    by: str
    where: tuple[tuple[str, tuple[Any, ...]], ...]
    unless: tuple[str, ...] = ()
    link: str | None = None


#: The stage of the walk that is walked at a desk: what is answered there is a gap there, whatever record it belongs to.
OFFICE_STAGE = "office"

KINDS: dict[str, RecordKind] = {}

#: A kind by its class, so that what is asked for by a class comes back typed.
R = TypeVar("R", bound=Record)


class _Subjects(Sequence[str]):
    """The names of the kinds that a photo, note, work or price line may be about, as they are declared at the moment."""

    def _names(self) -> tuple[str, ...]:
        return tuple(kind.name for kind in KINDS.values() if kind.part.is_subject)

    @overload
    def __getitem__(self, place: int) -> str: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[str, ...]: ...
    def __getitem__(self, place: int | slice) -> str | tuple[str, ...]:
        return self._names()[place]

    def __len__(self) -> int:
        return len(self._names())


ANY_SUBJECT: Sequence[str] = _Subjects()


@dataclass_transform(kw_only_default=True, frozen_default=True)
def record_kind(
    name: str,
    label: str,
    plural: str,
    *,
    stage: str,
    part: Part,
    title: tuple[str, ...] = (),
    groups: tuple[tuple[str, str] | tuple[str, str, str], ...] = (),
    parent: str | None = None,
    single: bool = False,
    help: str = "",
    held_by: tuple[str, ...] = (SURVEY,),
    written_by: tuple[str, ...] = (OFFICE,),
) -> Callable[[type[R]], type[R]]:
    """Register a class as a record kind; the class body declares its fields.

    Raises
    ------
    ValueError
        When the name is taken, there is no such chapter, a field names a group, a condition or a title that does not exist, or what
        some role may not see would be seen all the same.
    """

    def register(declared: type[R]) -> type[R]:
        made = dataclasses.dataclass(frozen=True, kw_only=True)(declared)
        parts = tuple(Group(*item) for item in groups) or (Group("main", label),)
        fields = _placed(specs_of(made), parts, AT_OFFICE if stage == OFFICE_STAGE else ON_SITE)
        kind = RecordKind(
            name=name,
            label=label,
            plural=plural,
            stage=stage,
            fields=fields,
            make=made,
            part=part,
            title=title,
            groups=parts,
            parent=parent,
            single=single,
            help=help,
            held_by=held_by,
            written_by=written_by,
        )
        _check_kind(kind)
        _check_holders(kind)
        made.kind = kind
        KINDS[name] = kind
        return made

    return register


def _placed(specs: tuple[FieldSpec, ...], groups: tuple[Group, ...], usual: str) -> tuple[FieldSpec, ...]:
    """Return the fields with where each is answered: as it says itself, else as its group does, else as is usual in its kind."""
    by_group = {group.name: group.answered for group in groups}
    return tuple(
        dataclasses.replace(spec, answered=spec.answered or by_group.get(spec.group) or usual) for spec in specs
    )


def _check_kind(kind: RecordKind) -> None:
    if kind.name in KINDS:
        raise ValueError(f"record kind {kind.name!r} is declared twice")
    if kind.part.chapter not in {chapter.name for chapter in CHAPTERS}:
        raise ValueError(f"{kind.name}: there is no chapter {kind.part.chapter!r}")
    names = {spec.name for spec in kind.fields}
    groups = {group.name for group in kind.groups}
    for spec in kind.fields:
        if spec.group not in groups:
            raise ValueError(f"{kind.name}.{spec.name}: there is no group {spec.group!r}")
        if spec.answered not in ANSWERED:
            raise ValueError(
                f"{kind.name}.{spec.name}: it is answered at {spec.answered!r}, expected one of {ANSWERED}"
            )
        if any(row.answered for row in spec.rows):
            raise ValueError(f"{kind.name}.{spec.name}: a list is one answer, so its rows are answered in one place")
        for name, _allowed in spec.when:
            if name not in names:
                raise ValueError(f"{kind.name}.{spec.name}: its condition names no field: {name!r}")
        if (
            spec.type is FieldType.CHOICE
            and spec.default is not None
            and spec.default not in {item.value for item in spec.choices}
        ):
            raise ValueError(f"{kind.name}.{spec.name}: the default is not one of the choices")
        if spec.or_stays_with and not (spec.goes_with and spec.or_stays_with in names):
            raise ValueError(f"{kind.name}.{spec.name}: it stays with no field: {spec.or_stays_with!r}")
        alike = [other.name for other in kind.fields if other.unit == spec.unit and other.type is spec.type]
        if spec.fills and [name for name in alike if name in (spec.name, *spec.fills)] != [spec.name, *spec.fills]:
            raise ValueError(
                f"{kind.name}.{spec.name}: it fills {spec.fills!r}, expected fields of its own unit that stand after it, in their order"
            )
        known = {item.value for item in spec.choices}
        for before, now in spec.renamed:
            if before in known or now not in known:
                raise ValueError(
                    f"{kind.name}.{spec.name}: {before!r} is to be read as {now!r}, but only a value that is gone can be, and only as one of the choices"
                )
    for name in (*kind.title, *([kind.parent] if kind.parent else ())):
        if name not in names:
            raise ValueError(f"{kind.name}: no field called {name!r}")


def _check_holders(kind: RecordKind) -> None:
    if not kind.held_by or not set(kind.held_by) <= set(HOLDERS):
        raise ValueError(f"{kind.name}: it is held by {kind.held_by}, expected some of {HOLDERS}")
    hidden = {spec.name for spec in kind.fields if spec.seen_by}
    for spec in kind.fields:
        for role in (*spec.seen_by, *kind.written_by):
            if role not in ROLES:
                raise ValueError(f"{kind.name}.{spec.name}: there is no role {role!r}")
        if any(row.seen_by for row in spec.rows):
            raise ValueError(f"{kind.name}.{spec.name}: a list is one answer, so its rows are seen whole or not at all")
    if hidden and (SURVEY in kind.held_by or hidden.intersection(kind.title)):
        raise ValueError(f"{kind.name}: {', '.join(sorted(hidden))} would be seen in a survey or in a title")
    if SURVEY in kind.held_by and FIRM in kind.held_by and not kind.has(FIRM_LIST):
        raise ValueError(f"{kind.name}: what surveys take from the firm's book needs the field {FIRM_LIST}")


def kinds_held_by(holder: str) -> tuple[RecordKind, ...]:
    """Return the kinds whose records a survey (``SURVEY``) or the firm's book (``FIRM``) holds, in the order of declaration."""
    return tuple(kind for kind in KINDS.values() if holder in kind.held_by)
