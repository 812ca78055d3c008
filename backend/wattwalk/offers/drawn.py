"""What each price line hangs on, and whether that still stands as it did when somebody last looked at the line.

A line that is drawn from a record keeps beside it (``drawn_basis``) the values that it was written for. While one of them is another
today, the line says what it was and what it is, until a person takes the change over or keeps the line as it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from wattwalk.engine.cost import grant_of_day
from wattwalk.survey.document import Survey
from wattwalk.survey.fields import FieldSpec, FieldType
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import KINDS, Record
from wattwalk.survey.runs import run_length
from wattwalk.survey.services import HotWater
from wattwalk.survey.site import OutdoorPosition
from wattwalk.survey.standing import NOT_CHOSEN
from wattwalk.survey.unit import Unit
from wattwalk.survey.validation import plain_number
from wattwalk.survey.wording import long_date, own_titles, pounds, value_words
from wattwalk.survey.works import Design, PriceLine

from .articles import (
    TAKEN,
    Pricing,
    article_basis,
    article_of,
    is_of_article,
    of_article,
    other_now,
    priced,
    pricing_of,
    vat_rate,
)
from .shapes import GRANT, Asked, ChangedLine, DrawnFrom, LineKey, SuggestedLine, WasNow

_UNIT, _CYLINDER = ("unit",), ("cylinder_name", "cylinder_l")
_NOTHING = "not said"


def basis_of(survey: Survey, record: Record, titles: Mapping[str, str] | None = None) -> tuple[DrawnFrom, ...]:
    """Return the values that a line drawn from a record hangs on, as they stand."""
    design = survey.single(Design)
    if isinstance(record, Unit):
        return _values(survey, design, _UNIT, titles)
    if isinstance(record, HotWater):
        return _values(survey, design, _CYLINDER, titles)
    names = [spec.name for spec in record.kind.fields if spec.is_priced]
    if isinstance(record, Design):
        # A line drawn from the design is the unit's, by its name while none is chosen.
        names = ["unit", "unit_name"]
    return _values(survey, record, names, titles)


def field_basis(survey: Survey, record: Record, names: Iterable[str]) -> tuple[DrawnFrom, ...]:
    """Return these values of a record as a line hangs on them that is not the record's own."""
    return _values(survey, record, names, {})


def _values(
    survey: Survey, record: Record | None, names: Iterable[str], titles: Mapping[str, str] | None
) -> tuple[DrawnFrom, ...]:
    if record is None:
        return ()
    found = own_titles(survey) if titles is None else titles
    return tuple(_value(record, record.kind.field(name), found) for name in names)


def _value(record: Record, spec: FieldSpec, titles: Mapping[str, str]) -> DrawnFrom:
    value: Any = getattr(record, spec.name)
    words = NOT_CHOSEN if spec.type is FieldType.REFERENCE else _NOTHING
    # A name says by itself what it is of.
    label = "" if spec.type in (FieldType.REFERENCE, FieldType.TEXT) else spec.label
    if spec.type is FieldType.ROWS:
        # Of a run, its length.
        value, label = run_length(value), "Length"
        words = _NOTHING if value is None else f"{plain_number(round(value, 2))} m"
    elif value is not None:
        words = value_words(spec, value, titles)
    return DrawnFrom(record.key(), spec.name, json.dumps(value, ensure_ascii=False)[:400], words[:200], label)


def grant_basis(survey: Survey, day: str | None) -> tuple[DrawnFrom, ...]:
    """Return what a line of a grant hangs on: the amount that the dated table holds on a day; nothing where it holds none."""
    house = survey.single(SurveyRecord)
    grant = None if house is None else grant_of_day(house, day)
    if house is None or day is None or grant is None or grant.pounds is None:
        return ()
    return (
        DrawnFrom(
            house.key(),
            "grant",
            json.dumps(grant.pounds),
            f"{pounds(grant.pounds)}, the table's of {long_date(day)}",
            "Grant",
        ),
    )


def changed_lines(survey: Survey, asked: Mapping[LineKey, Asked], day: str | None) -> tuple[ChangedLine, ...]:
    """Return the price lines whose source or article has changed since they were drawn or kept, in the order of the lines.

    Parameters
    ----------
    survey : Survey
        As it is worked out: with the option's values, where it is of an option.
    asked : mapping
        The lines that the survey asks for, by the id of the record that each is drawn from and what it is drawn as.
    day : str or None
        The day of the quote, ``YYYY-MM-DD``; without one no grant is held against the table and no price against the book.
    """
    look = _Look(survey, asked, pricing_of(survey, day), own_titles(survey), {item.id: item for item in survey})
    found = (_changed(look, line) for line in survey.of_kind(PriceLine))
    return tuple(item for item in found if item is not None)


@dataclass(frozen=True)
class _Look:
    """What lines are looked at with: the survey, what it asks for, what prices it, what its records are called, and the records by their id."""

    survey: Survey
    asked: Mapping[LineKey, Asked]
    pricing: Pricing
    titles: Mapping[str, str]
    by_id: Mapping[str, Record]


def _changed(look: _Look, line: PriceLine) -> ChangedLine | None:
    survey = look.survey
    if line.effective("is_credit") == GRANT:
        return _changed_grant(survey, line, look.pricing.day)
    stored = _stored(line)
    was = tuple(row for row in stored if not is_of_article(row))
    held = tuple(row for row in stored if is_of_article(row))
    source = look.by_id.get(line.drawn_from or "")
    if was and line.drawn_as is None and any(row.record.startswith("design/") and row.field == "unit" for row in was):
        source = _chosen(survey) or source
    # One of an earlier program kept nothing but whose it is: that this has gone can be said all the same.
    if source is None and (was or (line.drawn_from and not stored)):
        return _gone(line, was, _kept(held, look.pricing))
    if not stored:
        # A line that waits for its price is looked at for an article all the same: nothing that it hangs on was kept, and nothing of it can change.
        waits = source is not None and line.unit_price is None
        return _old_unit_line(look, line, source) or (_against(look, line, ((), ()), source) if waits else None)
    return _against(look, line, (was, held), source)


def _chosen(survey: Survey) -> Unit | None:
    design = survey.single(Design)
    return None if design is None else survey.find(Unit, design.unit)


def _stored(line: PriceLine) -> tuple[DrawnFrom, ...]:
    return tuple(
        DrawnFrom(row["record"], row["field"], row["value"], row.get("words") or "", _label(row))
        for row in line.drawn_basis or []
    )


def _label(row: Mapping[str, Any]) -> str:
    kind = KINDS.get(row["record"].partition("/")[0])
    if kind is None or not kind.has(row["field"]):
        return ""
    spec = kind.field(row["field"])
    return "Length" if spec.type is FieldType.ROWS else spec.label


def _old_unit_line(look: _Look, line: PriceLine, source: Record | None) -> ChangedLine | None:
    """Judge a line of an earlier program, which kept nothing: one drawn from a unit is the chosen unit's, unless a place names that unit."""
    survey = look.survey
    chosen = _chosen(survey)
    if not isinstance(source, Unit) or chosen is None or chosen.id == source.id or line.drawn_as is not None:
        return None
    if any(source.id in (place.unit, place.second_unit) for place in survey.of_kind(OutdoorPosition)):
        return None
    design = survey.single(Design)
    record = design.key() if design is not None else ""
    was = (DrawnFrom(record, "unit", json.dumps(source.id), source.title, _label({"record": record, "field": "unit"})),)
    return _against(look, line, (was, ()), chosen)


def _against(
    look: _Look, line: PriceLine, kept: tuple[tuple[DrawnFrom, ...], tuple[DrawnFrom, ...]], source: Record | None
) -> ChangedLine | None:
    """Hold what a line kept of its source and of its article against what both are today."""
    was, held = kept
    wanted = None if source is None else look.asked.get((source.id, line.drawn_as or ""))
    if wanted is not None:
        present = wanted.basis
    else:
        present = () if source is None or line.drawn_as is not None else basis_of(look.survey, source, look.titles)
    changes = [WasNow(now.label, before.words, now.words) for before, now in _other(was, present)]
    asked = None if wanted is None else priced(wanted, look.pricing)
    take = _new_source(line, wanted, asked, held) if changes else _new_price(line, asked, held, look.pricing)
    changes += take.changes
    if not changes:
        return None
    return ChangedLine(
        line=line.id,
        title=line.title,
        changes=tuple(changes),
        words=f"{line.title}: {'; '.join(_words(change) for change in changes)}.",
        is_asked=wanted is not None or not _other(was, present),
        what=take.what,
        quantity=take.quantity,
        unit_price=take.unit_price,
        drops_price=take.drops_price,
        drawn_from=line.drawn_from if source is None else source.id,
        basis=present,
        drawn_as=line.drawn_as or "",
        unit=take.unit,
        vat_rate=take.vat_rate,
        article=take.article,
        kept_article=take.kept or _kept(held, look.pricing),
        only_kept=take.only_kept,
    )


def _other(was: Iterable[DrawnFrom], present: Iterable[DrawnFrom]) -> list[tuple[DrawnFrom, DrawnFrom]]:
    stood = {(item.record, item.field): item for item in was}
    # What a later program reads as well, and nobody looked at then, has not changed.
    return [
        (before, item)
        for item in present
        if (before := stood.get((item.record, item.field))) is not None and before.value != item.value
    ]


def _kept(held: tuple[DrawnFrom, ...], pricing: Pricing) -> tuple[DrawnFrom, ...]:
    """Return what a line that is kept as it is goes on to hang on of its article: nothing of one that has left the book."""
    if not held or pricing.book is None or pricing.day is None:
        return held
    article = article_of(held, pricing.book)
    return () if article is None else article_basis(article, pricing.day)


@dataclass(frozen=True)
class _Take:
    """What taking a change over brings a line, and what it says of its price beside that of its source."""

    changes: tuple[WasNow, ...] = ()
    what: str | None = None
    quantity: str | None = None
    unit: str | None = None
    unit_price: str | None = None
    vat_rate: str | None = None
    drops_price: bool = False
    article: tuple[DrawnFrom, ...] = ()
    only_kept: bool = False
    #: What a line that is kept as it is goes on to hang on, where it had no article.
    kept: tuple[DrawnFrom, ...] = ()


def _new_source(
    line: PriceLine, wanted: Asked | None, asked: SuggestedLine | None, held: tuple[DrawnFrom, ...]
) -> _Take:
    """Take a line over to what its source is today: with the price of the article that stands for that, or without the price of another thing."""
    if wanted is None or asked is None:
        return _Take()
    what = None if asked.what == line.what else asked.what
    if asked.article in TAKEN:
        is_other = asked.unit_price is not None and (
            line.unit_price is None or Decimal(line.unit_price) != Decimal(asked.unit_price)
        )
        price = "no price" if line.unit_price is None else pounds(line.unit_price)
        return _Take(
            changes=(WasNow("Price", price, pounds(asked.unit_price or "0")),) if is_other else (),
            what=what,
            quantity=asked.quantity if _differs(line.quantity, asked.quantity) else None,
            unit=asked.unit if asked.unit != line.effective("unit") else None,
            unit_price=asked.unit_price,
            vat_rate=asked.vat_rate,
            article=asked.basis,
        )
    quantity = (wanted.metres or asked.quantity) if held else asked.quantity
    counts = asked.unit == line.effective("unit") and _differs(line.quantity, quantity)
    return _Take(what=what, quantity=quantity if counts else None, drops_price=what is not None)


def _new_price(line: PriceLine, asked: SuggestedLine | None, held: tuple[DrawnFrom, ...], pricing: Pricing) -> _Take:
    """Hold the article that a line was drawn from against the book: its price of the day, its kind of VAT, whether it is still there."""
    if pricing.book is None or pricing.day is None:
        return _Take()
    if not held:
        return _come(line, asked)
    article = article_of(held, pricing.book)
    if article is None:
        code = of_article(held, "code")
        gone = WasNow("Article", "one of the price book" if code is None else code.words, "no longer in the price book")
        if asked is None or asked.article not in TAKEN:
            return _Take(changes=(gone,), only_kept=True)
        return replace(_taken(asked), changes=(gone,))
    other = other_now(held, article, pricing.day)
    if not other:
        return _Take()
    changes = tuple(WasNow(now.label, before.words, now.words) for before, now in other)
    price = next(json.loads(row.value) for row in article_basis(article, pricing.day) if row.field == "selling_price")
    return _Take(
        changes=changes,
        unit_price=price,
        vat_rate=vat_rate(article, pricing),
        drops_price=price is None,
        article=article_basis(article, pricing.day),
    )


def _come(line: PriceLine, asked: SuggestedLine | None) -> _Take:
    """Tell a line that was drawn without a price of the article that there is for it now; one that somebody has priced needs none."""
    if line.unit_price is not None or asked is None or asked.article not in TAKEN or asked.unit_price is None:
        return _Take()
    code = of_article(asked.basis, "code")
    now = f"{'' if code is None else code.words} at {pounds(asked.unit_price)}"
    come = WasNow("Article", "none in the price book", now)
    return replace(_taken(asked), changes=(come,), kept=tuple(row for row in asked.basis if is_of_article(row)))


def _taken(asked: SuggestedLine) -> _Take:
    return _Take(
        what=asked.what,
        quantity=asked.quantity,
        unit=asked.unit,
        unit_price=asked.unit_price,
        vat_rate=asked.vat_rate,
        article=asked.basis,
    )


def _differs(quantity: float | None, wanted: str) -> bool:
    return quantity is None or Decimal(str(quantity)) != Decimal(wanted)


def _words(change: WasNow) -> str:
    of = f"{change.label[:1].lower()}{change.label[1:]} " if change.label else ""
    return f"{of}was {change.was}, now {change.now}"


def _gone(line: PriceLine, was: tuple[DrawnFrom, ...], kept_article: tuple[DrawnFrom, ...]) -> ChangedLine:
    now = "no longer in the survey"
    changes = tuple(WasNow(item.label, item.words, now) for item in was[:1]) or (WasNow("", "there", now),)
    return ChangedLine(
        line=line.id,
        title=line.title,
        changes=changes,
        words=f"{line.title}: what it was drawn from is no longer in the survey.",
        is_asked=False,
        what=None,
        quantity=None,
        unit_price=None,
        drops_price=False,
        drawn_from=None,
        basis=(),
        kept_article=kept_article,
    )


def _changed_grant(survey: Survey, line: PriceLine, day: str | None) -> ChangedLine | None:
    """Hold the grant that is taken off against the one that the dated table holds on the day of the quote."""
    present = grant_basis(survey, day)
    if day is None or not present or line.unit_price is None or line.quantity is None:
        return None
    (held,) = present
    amount = Decimal(line.unit_price) * Decimal(str(line.quantity))
    kept = any(item.field == held.field and item.value == held.value for item in _stored(line))
    if kept or amount == Decimal(json.loads(held.value)):
        return None
    change = WasNow("", pounds(amount), held.words)
    return ChangedLine(
        line=line.id,
        title=line.title,
        changes=(change,),
        words=f"{line.title}: {pounds(amount)} is taken off; the table's grant of {long_date(day)} is {pounds(json.loads(held.value))}.",
        is_asked=True,
        what=None,
        quantity="1",
        unit_price=json.loads(held.value),
        drops_price=False,
        drawn_from=line.drawn_from,
        basis=present,
    )


def covered(changed: Iterable[ChangedLine]) -> Iterator[LineKey]:
    """Return whose line is there already, though it still says what was: no new one is suggested beside it."""
    for item in changed:
        if item.is_asked and item.drawn_from is not None:
            yield (item.drawn_from, item.drawn_as)
