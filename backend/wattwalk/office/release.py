"""What to look at before a version of the report is made: the red points, which want a written reason, and the amber ones.

Each point is declared here by its code, with how serious it is; nowhere else is that decided, and no message decides anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from wattwalk.engine.answers import Severity, Verdict
from wattwalk.engine.answers.rounding import counted, listed
from wattwalk.offers.quote import LINE_CHANGED, NO_PRICE, ROOM_OPEN, TOO_MUCH_OFF
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.standing import chosen_unit
from wattwalk.survey.wording import long_date, pounds
from wattwalk.survey.works import Design, Photo, ScopeItem

from .report_inputs import ReportInputs


class Weight(StrEnum):
    """How serious a point is: a red one wants a written reason before a version is made with it."""

    RED = "red"
    AMBER = "amber"


@dataclass(frozen=True)
class Declared:
    """A code: how serious it is, and what a person calls it."""

    weight: Weight
    title: str


CODES: dict[str, Declared] = {
    "stop_finding": Declared(Weight.RED, "Something stops the installation"),
    "room_cold": Declared(Weight.RED, "A room stays cold"),
    "house_open": Declared(Weight.RED, "Rooms are not whole yet"),
    "unit_not_chosen": Declared(Weight.RED, "No unit is chosen"),
    "unit_gone": Declared(Weight.RED, "The chosen unit is not there any more"),
    "credits_above_price": Declared(Weight.RED, "More is taken off than the price"),
    "line_changed": Declared(Weight.RED, "A price line is of something that has changed"),
    "option_gone": Declared(Weight.RED, "The offered option is not there any more"),
    "option_unit_gone": Declared(Weight.RED, "The offered option's unit is not in the list any more"),
    "option_of_gone": Declared(Weight.RED, "The offered option changes something that is gone"),
    "option_value_wrong": Declared(Weight.RED, "The offered option has an answer that cannot be taken"),
    "option_said_twice": Declared(Weight.RED, "The offered option has two answers for one"),
    "line_not_drawn": Declared(Weight.RED, "What the offered option has fitted is not in the price"),
    "price_open": Declared(Weight.RED, "A price line cannot be added up"),
    "vat_not_of_day": Declared(Weight.RED, "A rate of VAT does not hold on the day"),
    "firm_address": Declared(Weight.RED, "The firm's address is empty"),
    "date_past": Declared(Weight.RED, "A date has passed"),
    "option_empty": Declared(Weight.AMBER, "The offered option changes nothing"),
    "other_option": Declared(Weight.AMBER, "Another option wants a look"),
    "cold_beside_remarks": Declared(Weight.AMBER, "The remarks stand beside a cold room"),
    "vat_changes": Declared(Weight.AMBER, "VAT changes before the installation"),
    "grant_not_held": Declared(Weight.AMBER, "No grant is held for the day"),
    "grant_changes": Declared(Weight.AMBER, "The grant changes before the installation"),
    "no_price": Declared(Weight.AMBER, "There is no price"),
    "no_install_day": Declared(Weight.AMBER, "No day is planned for the installation"),
    "unit_left": Declared(Weight.AMBER, "The chosen unit has left the firm's list"),
    "checks_open": Declared(Weight.AMBER, "A person must look"),
    "gaps_open": Declared(Weight.AMBER, "Something is still missing"),
    "photos_missing": Declared(Weight.AMBER, "Photos have not arrived"),
    "firm_contact": Declared(Weight.AMBER, "The household cannot reach the firm"),
}
#: Problems of a quote that are points of their own; any other one leaves a line that cannot be added up.
_OF_QUOTE = {ROOM_OPEN: "", TOO_MUCH_OFF: "credits_above_price", LINE_CHANGED: "line_changed", NO_PRICE: "no_price"}
#: Findings of the engine that are points of their own, whatever their severity.
_OF_FINDINGS = {"unit_gone": "unit_gone", "unit_left": "unit_left"}
#: Works that are over: their dates may lie behind.
_OVER = ("done", "checked", "refused")


@dataclass(frozen=True)
class Point:
    """One thing to look at: its code, the record that it is about (``kind/id``, or empty), and what else tells two of one code apart."""

    code: str
    record: str
    about: str
    words: str

    @property
    def weight(self) -> Weight:
        """How serious it is."""
        return CODES[self.code].weight

    @property
    def key(self) -> tuple[str, str, str]:
        """What a reason is given for."""
        return (self.code, self.record, self.about)

    def as_dict(self) -> dict[str, str]:
        """Return the JSON form."""
        return {
            "code": self.code,
            "record": self.record,
            "about": self.about,
            "weight": str(self.weight),
            "title": CODES[self.code].title,
            "words": self.words,
        }


def look(inputs: ReportInputs) -> tuple[Point, ...]:
    """Return what stands against a version made of these inputs, the red points first, in the order in which they are declared.

    Parameters
    ----------
    inputs : ReportInputs
        With the day on which the version would be made.
    """
    found = [*_of_options(inputs), *_of_design(inputs), *_of_price(inputs), *_of_days(inputs), *_of_paper(inputs)]
    order = list(CODES)
    return tuple(sorted(found, key=lambda point: (point.weight is not Weight.RED, order.index(point.code))))


def red(points: Iterable[Point]) -> tuple[Point, ...]:
    """Return the points that want a written reason."""
    return tuple(point for point in points if point.weight is Weight.RED)


def _of_options(inputs: ReportInputs) -> Iterator[Point]:
    """Give what is wrong with the offered option, and that something is wrong with another one."""
    for problem in inputs.option_problems:
        yield Point(problem.code, problem.record or "", problem.field or "", problem.message)
    for problem in inputs.others_problems:
        yield Point("other_option", problem.record or "", problem.code, problem.message)


def _of_design(inputs: ReportInputs) -> Iterator[Point]:
    """Give what is open in the design: findings, cold rooms, rooms that do not close, the unit."""
    survey, assessed = inputs.survey, inputs.assessment
    checks = []
    for finding in assessed.findings:
        if finding.code in _OF_FINDINGS:
            yield Point(_OF_FINDINGS[finding.code], finding.record, finding.about or "", finding.message)
        elif finding.severity is Severity.STOP:
            yield Point("stop_finding", finding.record, f"{finding.code}/{finding.about or ''}", finding.message)
        elif finding.severity is Severity.CHECK:
            checks.append(finding)
    if checks:
        yield Point(
            "checks_open", "", "", f"{counted(len(checks), 'check', 'checks')} of the design want a person's look."
        )
    cold = [room for room in assessed.rooms if room.verdict in (Verdict.SHORT, Verdict.NO_EMITTER)]
    at = "" if assessed.flow is None else f" with water of {assessed.flow.design_c:g} °C"
    for room in cold:
        short = (
            "it has no emitter" if room.verdict is Verdict.NO_EMITTER else f"{-(room.margin_w or 0):.0f} W are missing"
        )
        yield Point("room_cold", f"room/{room.id}", "", f"{room.name} stays cold on the design day{at}: {short}.")
    design = survey.single(Design)
    if cold and design is not None and design.remarks:
        names = listed([room.name for room in cold])
        words = f"{names} stays cold by this design. Read whether the remarks for the household hold beside that: ‘{design.remarks}’"
        yield Point("cold_beside_remarks", design.key(), "remarks", words)
    if assessed.building.so_far:
        yield Point(
            "house_open",
            "",
            "",
            f"The house is known only in part, {assessed.building.so_far}: every figure may change.",
        )
    if chosen_unit(survey) is None and (design is None or not design.unit):
        named = (
            f"‘{design.unit_name}’ is a name without data."
            if design is not None and design.unit_name
            else "The design names none."
        )
        yield Point(
            "unit_not_chosen", "" if design is None else design.key(), "unit", f"No unit of the list is chosen. {named}"
        )


def _of_price(inputs: ReportInputs) -> Iterator[Point]:
    """Give what is open in the price."""
    quote = inputs.quote
    for problem in quote.problems:
        code = _OF_QUOTE.get(problem.code, "price_open")
        if code:
            yield Point(code, problem.record or "", problem.field or "", problem.message)
    if quote.charges():
        for line in inputs.lines_open:
            yield Point("line_not_drawn", line.record, line.drawn_as, f"No price line yet: {line.what}.")
    # Said although lines are open: more taken off than there is to pay is wrong whatever they come to.
    if quote.charges() and quote.to_pay < 0 and not any(problem.code == TOO_MUCH_OFF for problem in quote.problems):
        yield Point(
            "credits_above_price",
            "",
            "",
            f"Credits and deposit are {pounds(-quote.to_pay)} more than the price so far.",
        )


def _of_days(inputs: ReportInputs) -> Iterator[Point]:
    """Give what does not hold on the day of the quote or on the planned day, and days that have passed."""
    survey, quote, today = inputs.survey, inputs.quote, inputs.made_on
    design = survey.single(Design)
    for rate in quote.rates:
        if not rate.holds:
            yield Point("vat_not_of_day", "", rate.rate, rate.words)
        elif rate.holds_then is False:
            yield Point("vat_changes", "", rate.rate, rate.words)
    if quote.hangs_on_grant and quote.grant is not None:
        if quote.grant.pounds is None:
            yield Point("grant_not_held", "", "", quote.grant.words)
        elif quote.grant.changes:
            yield Point("grant_changes", "", "", quote.grant.words)
    if quote.charges() and quote.install_on is None:
        words = (
            "VAT and grant are held against the day of the quote only: plan a day for the installation in the design."
        )
        yield Point("no_install_day", "" if design is None else design.key(), "install_on", words)
    if design is not None and quote.install_on is not None and quote.install_on < today:
        words = f"The planned day of the installation, {long_date(quote.install_on)}, has passed."
        yield Point("date_past", design.key(), "install_on", words)
    for work in survey.of_kind(ScopeItem):
        if work.needed_by is not None and work.needed_by < today and work.effective("state") not in _OVER:
            words = f"‘{work.title}’ is asked for by {long_date(work.needed_by)}, which has passed."
            yield Point("date_past", work.key(), "needed_by", words)


def _of_paper(inputs: ReportInputs) -> Iterator[Point]:
    """Give what the paper itself lacks."""
    firm, house = inputs.firm, inputs.survey.single(SurveyRecord)
    if not (firm.get("address") or "").strip():
        words = "The firm's address is empty: the household is told to cancel ‘to the address on the first page’."
        yield Point("firm_address", "", "", words)
    if not (firm.get("telephone") or "").strip() and not (firm.get("email") or "").strip():
        yield Point("firm_contact", "", "", "The report names neither a telephone nor an email of the firm.")
    if inputs.gaps:
        words = (
            f"{counted(len(inputs.gaps), 'gap is', 'gaps are')} still open. The report prints each with what it spoils."
        )
        yield Point("gaps_open", "" if house is None else house.key(), "", words)
    shown = {photo.sha256 for photo in inputs.survey.of_kind(Photo) if photo.sha256}
    missing = len(shown - set(inputs.photos))
    if missing:
        words = f"{counted(missing, 'photo has', 'photos have')} not arrived: the report says so in their place."
        yield Point("photos_missing", "", "", words)
