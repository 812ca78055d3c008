"""The survey model as plain JSON: what the phone builds its forms and its list of gaps from."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from typing import Any

from .box import FLAT, FOLLOWS, OPENINGS
from .chapters import FINDING_CHAPTERS
from .fields import AT_OFFICE, FieldSpec
from .gaps import HOLE_WORDS
from .kinds import KINDS, AskedBy, Expectation, RecordKind
from .moved import MOVED
from .purposes import PURPOSES
from .sides import EDGE, LEAST_LEFT_M, LEAST_LEFT_M2, LIES, OPPOSITE, TOLERANCE, TURNS
from .validation import EMAIL_PATTERN
from .walk import ASKED_BY, EXPECTATIONS, REPLACED_BY, STAGES

#: Goes up when an app that reads the shape before would take what is stored for something else. In 1 every side stored its size, up to 2 places said what units are, up to 3 every room was a plain box of the house's one age.
SHAPE = 4


def shape_of(version: str | None) -> int:
    """Return the shape of the model that a version names; those of the first shape named none."""
    shape, point, _rest = (version or "").partition(".")
    return int(shape) if point and shape.isascii() and shape.isdigit() and len(shape) < 6 else 1


def _field(spec: FieldSpec) -> dict[str, Any]:
    described: dict[str, Any] = {"name": spec.name, "label": spec.label, "type": str(spec.type), "group": spec.group}
    if spec.unit:
        described["unit"] = spec.unit
    for name in ("low", "high", "decimals", "default"):
        if getattr(spec, name) is not None:
            described[name] = getattr(spec, name)
    for name in ("help", "spoils", "default_from"):
        if getattr(spec, name):
            described[name] = getattr(spec, name)
    if spec.choices:
        described["choices"] = [dataclasses.asdict(item) for item in spec.choices]
    if spec.renamed:
        described["renamed"] = dict(spec.renamed)
    if spec.needed_for:
        described["needed_for"] = [purpose.name for purpose in spec.needed_for]
    if spec.when:
        described["when"] = {name: list(allowed) for name, allowed in spec.when}
    if spec.refers_to:
        described["refers_to"] = list(spec.refers_to)
    if spec.rows:
        described["rows"] = [_field(row) for row in spec.rows]
        described["max_rows"] = spec.max_rows
    if spec.type in ("text", "long_text"):
        described["max_length"] = spec.max_length
    if spec.suggestions:
        described["suggestions"] = list(spec.suggestions)
    for name in ("by_program", "goes_with", "or_stays_with", "empty_means", "is_its_own"):
        if getattr(spec, name):
            described[name] = getattr(spec, name)
    if spec.answered == AT_OFFICE:
        described["answered"] = AT_OFFICE
    if spec.is_email:
        described["email_pattern"] = EMAIL_PATTERN
    if spec.fills:
        described["fills"] = list(spec.fills)
    if spec.seen_by:
        described["seen_by"] = list(spec.seen_by)
    return described


def _kind(kind: RecordKind) -> dict[str, Any]:
    return {
        "name": kind.name,
        "label": kind.label,
        "plural": kind.plural,
        "stage": kind.stage,
        "help": kind.help,
        "title": list(kind.title),
        "single": kind.single,
        "parent": kind.parent,
        "photo": kind.part.photo,
        "opens_the_walk": kind.part.opens_the_walk and kind.parent is None,
        "is_counted": kind.part.is_counted,
        "in_options": kind.part.in_options,
        "is_judged": kind.part.chapter in FINDING_CHAPTERS,
        "groups": [{"name": group.name, "label": group.label} for group in kind.groups],
        "fields": [_field(spec) for spec in kind.fields],
        "held_by": list(kind.held_by),
        "written_by": list(kind.written_by),
    }


def _expectation(item: Expectation) -> dict[str, Any]:
    return {
        "kind": item.kind,
        "at_least": item.at_least,
        "purpose": item.purpose.name,
        "words": item.words,
        "spoils": item.spoils,
        "per": item.per,
        "where": dict(item.where),
        "link": item.link,
        "is_wish": item.is_wish,
        "per_where": {name: list(allowed) for name, allowed in item.per_where},
    }


def _asked_by(item: AskedBy) -> dict[str, Any]:
    return {
        **dataclasses.asdict(item),
        "purpose": item.purpose.name,
        "where": {name: list(allowed) for name, allowed in item.where},
        "unless": list(item.unless),
    }


def survey_model() -> dict[str, Any]:
    """Return the whole model: stages, purposes, kinds with their fields, and expectations.

    ``version`` is the shape and a hash of the rest, so a phone and the office can tell whether they speak the same model.
    ``follows`` says how the sides of a room follow its box (``box.py``), ``moved`` which fields of a place are its unit's now (``moved.py``),
    ``closing`` what decides whether a room closes (``sides.py``) and what each of its holes is called.
    """
    model: dict[str, Any] = {
        "shape": SHAPE,
        "stages": [dataclasses.asdict(stage) for stage in STAGES],
        "purposes": {item.name: {"label": item.label, "spoils": item.spoils} for item in PURPOSES},
        "kinds": {kind.name: _kind(kind) for kind in KINDS.values()},
        "replaced_by": {
            kind: {name: list(others) for name, others in fields.items()} for kind, fields in REPLACED_BY.items()
        },
        "moved": MOVED,
        "follows": {"sides": FOLLOWS, "flat": list(FLAT), "openings": list(OPENINGS)},
        "closing": {
            "opposite": OPPOSITE,
            "turns": TURNS,
            "lies": LIES,
            "edge": EDGE,
            "least_left_m2": LEAST_LEFT_M2,
            "least_left_m": LEAST_LEFT_M,
            "tolerance": TOLERANCE,
            "words": {code: {"words": words, "spoils": spoils} for code, (words, spoils) in HOLE_WORDS.items()},
        },
        "expectations": [_expectation(item) for item in EXPECTATIONS],
        "asked_by": [_asked_by(item) for item in ASKED_BY],
    }
    canonical = json.dumps(model, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return {"version": f"{SHAPE}.{hashlib.sha256(canonical.encode()).hexdigest()[:16]}", **model}
