"""What changed between two versions: money, unit, rooms, dates, each with its reason.

A version keeps of the one before it only what is compared here (`facts_of`), beside its own records, so that it can be set again alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from wattwalk.engine.answers.rounding import listed
from wattwalk.engine.answers.words import VERDICT_WORDS, inside_a_sentence
from wattwalk.offers.quote import Quote
from wattwalk.survey.standing import unit_words
from wattwalk.survey.wording import long_date, pounds
from wattwalk.survey.works import Design, ScopeItem

from .figures import degrees, kilowatts, upper_first, watts
from .promises import valid_until
from .report_inputs import ReportInputs


@dataclass(frozen=True)
class Changed:
    """One thing that is another than it was: what, how it was, how it is, and why."""

    what: str
    before: str
    now: str
    reason: str

    def as_dict(self) -> dict[str, str]:
        """Return the JSON form."""
        return asdict(self)


def facts_of(inputs: ReportInputs) -> dict[str, Any]:
    """Return what of a version the next one is held against, as JSON holds it."""
    quote, design = inputs.quote, inputs.survey.single(Design)
    assessment = inputs.assessment
    dates = {
        "Work could begin on": design.earliest_start if design is not None else None,
        "The quotation holds until": valid_until(inputs),
    }
    return {
        "number": inputs.version,
        "made_on": inputs.made_on,
        "left_to_pay": str(quote.to_pay) if quote.charges() and quote.is_complete else None,
        "deposit": str(quote.deposit),
        "lines": _lines_of(quote),
        "unit": unit_words(inputs.survey),
        "flow": degrees(assessment.flow.design_c) if assessment.flow is not None else "not known",
        "load": kilowatts(assessment.building.unit_size_w),
        "rooms": {
            room.id: {
                "name": room.name,
                "verdict": inside_a_sentence(VERDICT_WORDS[room.verdict]),
                "loss": watts(room.total_w),
                "heating": [item.words for item in room.emitters if item.counts],
            }
            for room in assessment.rooms
        },
        "dates": {name: day for name, day in dates.items() if day},
        "works": {
            item.id: [item.what or "A work without words", item.needed_by]
            for item in inputs.survey.of_kind(ScopeItem)
            if item.needed_by
        },
    }


def _lines_of(quote: Quote) -> dict[str, list[str | None]]:
    """Return what is told of the lines in the sum: each with its amount, or its group's where that alone is told."""
    found: dict[str, list[str | None]] = {
        f"group/{group.label}": [group.label, str(group.amount) if group.is_whole else None]
        for group in quote.groups()
        if any(line.is_hidden for line in group.lines)
    }
    for line in quote.lines:
        if not (line.is_hidden or line.is_optional):
            found[line.record] = [
                line.what or "a line without words",
                None if line.amount is None else str(line.amount),
            ]
    return found


def changes(before: Mapping[str, Any], now: Mapping[str, Any]) -> list[Changed]:
    """Return what is another in the facts of a version than in those of the one before it.

    Parameters
    ----------
    before, now : mapping
        As `facts_of` gives them.
    """
    return [*_money(before, now), *_plant(before, now), *_rooms(before, now), *_dates(before, now)]


def _amount(text: str | None) -> str:
    return "not complete" if text is None else pounds(text)


def _money(before: Mapping[str, Any], now: Mapping[str, Any]) -> list[Changed]:
    if before["left_to_pay"] == now["left_to_pay"]:
        return []
    was, is_ = before["lines"], now["lines"]
    reasons = [f"new: {what} ({_amount(amount)})" for record, (what, amount) in is_.items() if record not in was]
    reasons += [f"no longer in it: {what}" for record, (what, _) in was.items() if record not in is_]
    reasons += [
        f"{what}: {_amount(was[record][1])} before, {_amount(amount)} now"
        for record, (what, amount) in is_.items()
        if record in was and was[record][1] != amount
    ]
    if before["deposit"] != now["deposit"]:
        reasons.append(f"the deposit is {pounds(now['deposit'])}, was {pounds(before['deposit'])}")
    reason = "; ".join(reasons[:4]) + ("; and more" if len(reasons) > 4 else "")
    words = reason or "the VAT of a line, or whether every line can be added up"
    return [Changed("Left to pay", _amount(before["left_to_pay"]), _amount(now["left_to_pay"]), upper_first(words))]


def _plant(before: Mapping[str, Any], now: Mapping[str, Any]) -> list[Changed]:
    needs = (
        f"The house needs {now['load']}, it was {before['load']}"
        if before["load"] != now["load"]
        else "Chosen anew by the office; what the house needs is the same"
    )
    rows = []
    for name, what in (("unit", "Outdoor unit"), ("flow", "Water on the coldest day")):
        if before[name] != now[name]:
            rows.append(Changed(what, before[name] or "not chosen yet", now[name] or "not chosen yet", needs))
    return rows


def _rooms(before: Mapping[str, Any], now: Mapping[str, Any]) -> list[Changed]:
    rows = []
    for key, room in now["rooms"].items():
        old = before["rooms"].get(key)
        if old is None:
            rows.append(Changed(room["name"], "not surveyed", room["verdict"], "The room was added to the survey"))
            continue
        if old["heating"] == room["heating"] and old["verdict"] == room["verdict"]:
            continue
        reasons = []
        if old["heating"] != room["heating"]:
            reasons.append("other heating is planned")
        if old["loss"] != room["loss"]:
            reasons.append(f"it loses {room['loss']}, was {old['loss']}")
        if before["flow"] != now["flow"]:
            reasons.append(f"the water is {now['flow']}, was {before['flow']}")
        is_other = old["heating"] != room["heating"]
        was, is_ = (
            f"{listed(each['heating']) or 'no heating'}: {each['verdict']}" if is_other else each["verdict"]
            for each in (old, room)
        )
        rows.append(
            Changed(
                room["name"], was, is_, upper_first(listed(reasons)) or "What its heating gives was worked out anew"
            )
        )
    rows += [
        Changed(room["name"], room["verdict"], "not in the survey", "The room was taken out of the survey")
        for key, room in before["rooms"].items()
        if key not in now["rooms"]
    ]
    return rows


def _dates(before: Mapping[str, Any], now: Mapping[str, Any]) -> list[Changed]:
    def day(text: str | None) -> str:
        return long_date(text) if text else "no date"

    rows = []
    for name in dict.fromkeys([*before["dates"], *now["dates"]]):
        was, is_ = before["dates"].get(name), now["dates"].get(name)
        if was != is_:
            rows.append(Changed(name, day(was), day(is_), "Set by the office"))
    for key in dict.fromkeys([*before["works"], *now["works"]]):
        was, is_ = before["works"].get(key, ["", None]), now["works"].get(key, ["", None])
        if was[1] != is_[1]:
            reason = (
                "The work was added"
                if not was[0]
                else "The work or its date went away"
                if not is_[0]
                else "The work was put on another day"
            )
            rows.append(Changed(is_[0] or was[0], day(was[1]), day(is_[1]), reason))
    return rows
