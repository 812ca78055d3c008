"""A quote from price lines: decimal money, VAT per rate, credits, deposit, what is left to pay.

Standard library only: the phone adds up with selling prices as the office does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from wattwalk.engine.answers import RoomAssessment
from wattwalk.survey.document import Survey
from wattwalk.survey.errors import Problem
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.works import Design, PriceLine

from .lines import look_at_lines
from .rates import GrantHeld, RateHeld, hold_grant, hold_rates
from .shapes import CHARGE, GRANT, ChangedLine

PENNY = Decimal("0.01")
ZERO = Decimal("0.00")
#: The codes of problems: a room that the lines were chosen for does not close; a line whose source has changed; too much taken off;
#: two discounts on a line, one that is more than the line, and what only a charge can have on a line that is taken off.
ROOM_OPEN, LINE_CHANGED, TOO_MUCH_OFF, NO_PRICE = (
    "room_not_closed",
    "line_changed",
    "more_than_the_price",
    "no_price",
)
TWO_DISCOUNTS, DISCOUNT_TOO_LARGE, NO_CHARGE = "two_discounts", "discount_too_large", "only_for_charges"


def pence(amount: Decimal) -> Decimal:
    """Round an amount in pounds to pence, half up."""
    return amount.quantize(PENNY, rounding=ROUND_HALF_UP)


@dataclass(frozen=True)
class QuoteLine:
    """One line: ``amount`` is quantity times price less its discount, in pounds without VAT, None while something is missing or cannot stand.

    ``discount`` is what has come off it already, in pounds without VAT. The amount of a line that ``is_hidden`` is told only in the sum of its
    group; one that ``is_optional`` is in no sum.
    """

    record: str
    what: str
    part_of: str
    part_label: str
    kind: str
    kind_label: str
    quantity: Decimal | None
    unit: str
    unit_label: str
    unit_price: Decimal | None
    vat_rate: Decimal | None
    amount: Decimal | None
    drawn_from: str | None
    group: str = ""
    is_hidden: bool = False
    is_optional: bool = False
    discount: Decimal = ZERO

    @property
    def group_label(self) -> str:
        """What its group is called: as the office said, else by what the line is part of."""
        return self.group or self.part_label

    @property
    def with_vat(self) -> Decimal | None:
        """What it costs with VAT by itself, in pounds, rounded to the penny; None while that cannot be said."""
        if self.amount is None or self.vat_rate is None:
            return None
        return self.amount + pence(self.amount * self.vat_rate / 100)


@dataclass(frozen=True)
class LineGroup:
    """Charges that stand together: ``amount`` is their sum without VAT, as far as they can be added up.

    ``told`` is what those come to whose amount is told line by line, ``hidden`` what is left in the sum alone.
    """

    label: str
    lines: tuple[QuoteLine, ...]
    amount: Decimal
    hidden: Decimal
    is_whole: bool

    @property
    def told(self) -> Decimal:
        """What the lines come to whose amounts are told."""
        return self.amount - self.hidden


@dataclass(frozen=True)
class VatGroup:
    """All charges at one VAT rate, pounds; the VAT is rounded once for the group."""

    rate: Decimal
    net: Decimal
    vat: Decimal
    gross: Decimal


@dataclass(frozen=True)
class Quote:
    """The quote as a whole, in pounds.

    While ``is_complete`` is False the totals add up only the lines that can be added up, and ``problems``
    says which cannot and why, which hang on something that has changed, and which rooms do not close yet.
    ``day`` is the day that rates and grant are held against (``YYYY-MM-DD``), ``install_on`` the planned day of the installation.
    """

    lines: tuple[QuoteLine, ...]
    by_vat: tuple[VatGroup, ...]
    net: Decimal
    vat: Decimal
    gross: Decimal
    credits: Decimal
    deposit: Decimal
    to_pay: Decimal
    is_complete: bool
    problems: tuple[Problem, ...]
    day: str
    install_on: str | None
    rates: tuple[RateHeld, ...]
    grant: GrantHeld | None
    changed: tuple[ChangedLine, ...]

    @property
    def granted(self) -> Decimal:
        """What the grant takes off, as far as its amount is known."""
        return sum((line.amount for line in self.lines if line.kind == GRANT and line.amount is not None), ZERO)

    @property
    def hangs_on_grant(self) -> bool:
        """Whether a grant is taken off: then what is left to pay is so only if the grant is approved."""
        return any(line.kind == GRANT and line.amount for line in self.lines)

    @property
    def left_words(self) -> str:
        """What the last line is called wherever it stands."""
        return "Left to pay, if the grant is approved" if self.hangs_on_grant else "Left to pay"

    def charges(self) -> tuple[QuoteLine, ...]:
        """Return the lines that add to the price."""
        return tuple(line for line in self.lines if line.kind == CHARGE and not line.is_optional)

    def optional(self) -> tuple[QuoteLine, ...]:
        """Return the lines that the household may choose: they are in no sum."""
        return tuple(line for line in self.lines if line.kind == CHARGE and line.is_optional)

    def groups(self) -> tuple[LineGroup, ...]:
        """Return the charges group by group, in the order in which each group is first met."""
        found: dict[str, list[QuoteLine]] = {}
        for line in self.charges():
            found.setdefault(line.group_label, []).append(line)
        return tuple(_group(label, lines) for label, lines in found.items())

    def credit_lines(self) -> tuple[QuoteLine, ...]:
        """Return the lines that are taken off after VAT."""
        return tuple(line for line in self.lines if line.kind != CHARGE)

    def as_dict(self) -> dict[str, Any]:
        """Return the JSON form: amounts are decimal text in pounds, rates and quantities decimal text."""
        return {
            "lines": [_line_dict(line) for line in self.lines],
            "groups": [{"label": group.label, "amount": str(group.amount)} for group in self.groups()],
            "by_vat": [
                {"rate": str(item.rate), "net": str(item.net), "vat": str(item.vat), "gross": str(item.gross)}
                for item in self.by_vat
            ],
            "net": str(self.net),
            "vat": str(self.vat),
            "gross": str(self.gross),
            "credits": str(self.credits),
            "deposit": str(self.deposit),
            "to_pay": str(self.to_pay),
            "left_words": self.left_words,
            "is_complete": self.is_complete,
            "day": self.day,
            "install_on": self.install_on,
            "rates": [asdict(rate) for rate in self.rates],
            "grant": None if self.grant is None else asdict(self.grant),
            "problems": [problem.as_dict() for problem in self.problems],
        }


def _group(label: str, lines: list[QuoteLine]) -> LineGroup:
    known = [(line, line.amount) for line in lines if line.amount is not None]
    return LineGroup(
        label=label,
        lines=tuple(lines),
        amount=sum((amount for _line, amount in known), ZERO),
        hidden=sum((amount for line, amount in known if line.is_hidden), ZERO),
        is_whole=len(known) == len(lines),
    )


def _text(value: Decimal | None) -> str | None:
    return None if value is None else f"{value:f}"


def _line_dict(line: QuoteLine) -> dict[str, Any]:
    return {
        "record": line.record,
        "what": line.what,
        "part_of": line.part_of,
        "part_label": line.part_label,
        "kind": line.kind,
        "kind_label": line.kind_label,
        "quantity": _text(line.quantity),
        "unit": line.unit,
        "unit_label": line.unit_label,
        "unit_price": _text(line.unit_price),
        "vat_rate": _text(line.vat_rate),
        "amount": _text(line.amount),
        "drawn_from": line.drawn_from,
        "group": line.group,
        "group_label": line.group_label,
        "is_hidden": line.is_hidden,
        "is_optional": line.is_optional,
        "discount": _text(line.discount),
        "with_vat": _text(line.with_vat),
    }


def _read_line(record: PriceLine, problems: list[Problem]) -> QuoteLine:
    kind = KINDS["price_line"]
    quantity = None if record.quantity is None else Decimal(str(record.quantity))
    price = None if record.unit_price is None else Decimal(record.unit_price)
    rate = None if record.vat_rate is None else Decimal(record.vat_rate)
    sort, part, unit = record.effective("is_credit"), record.part_of or "", record.effective("unit")
    needed = ["what", "quantity", "unit_price"] + (["vat_rate"] if sort == CHARGE else [])
    missing = [name for name in needed if getattr(record, name) in (None, "")]
    for name in missing:
        spec = kind.field(name)
        words = f"{record.title}: {spec.label} is missing, so the line cannot be added up."
        problems.append(Problem("missing_answer", words, name, record.key()))
    wrong = _wrong(record, sort)
    full = None if missing or wrong or quantity is None or price is None else pence(quantity * price)
    discount = ZERO if full is None else _discount(record, full)
    if full is not None and discount > full:
        words = f"{record.title}: the discount of £{discount:,.2f} is more than the line, which is £{full:,.2f}."
        wrong = Problem(DISCOUNT_TOO_LARGE, words, "discount_pounds", record.key())
    if wrong is not None:
        problems.append(wrong)
    amount = None if wrong is not None or full is None else full - discount
    return QuoteLine(
        record=record.key(),
        what=record.what or "",
        part_of=part,
        part_label=kind.field("part_of").choice_label(part) if part else "Other",
        kind=sort,
        kind_label=kind.field("is_credit").choice_label(sort),
        quantity=quantity,
        unit=unit,
        unit_label=kind.field("unit").choice_label(unit),
        unit_price=price,
        vat_rate=rate,
        amount=amount,
        drawn_from=record.drawn_from,
        group=record.group or "",
        is_hidden=bool(record.is_hidden),
        is_optional=bool(record.is_optional) and sort == CHARGE,
        discount=ZERO if wrong is not None else discount,
    )


def _wrong(record: PriceLine, sort: str) -> Problem | None:
    """Say what of a line cannot stand together, or None."""
    if record.discount_percent and record.discount_pounds and Decimal(record.discount_pounds):
        words = f"{record.title}: it has a discount in per cent and one in pounds. Take one of the two away."
        return Problem(TWO_DISCOUNTS, words, "discount_pounds", record.key())
    has_discount = bool(record.discount_percent) or bool(Decimal(record.discount_pounds or 0))
    if sort != CHARGE and (has_discount or record.is_optional):
        what = "a discount of its own" if has_discount else "a line that the household may choose"
        words = f"{record.title}: what is taken off after VAT cannot be or have {what}."
        return Problem(NO_CHARGE, words, "is_credit", record.key())
    return None


def _discount(record: PriceLine, full: Decimal) -> Decimal:
    if record.discount_percent:
        return pence(full * Decimal(str(record.discount_percent)) / 100)
    return pence(Decimal(record.discount_pounds or 0))


def in_order(lines: Sequence[PriceLine]) -> list[PriceLine]:
    """Return price lines in the order that the office gave them; those that have no place yet come last, as they were made."""
    return sorted(lines, key=lambda line: (line.order is None, line.order or 0.0))


def _groups(lines: list[QuoteLine]) -> tuple[VatGroup, ...]:
    nets: dict[Decimal, Decimal] = {}
    for line in lines:
        if line.kind == CHARGE and not line.is_optional and line.amount is not None and line.vat_rate is not None:
            nets[line.vat_rate] = nets.get(line.vat_rate, ZERO) + line.amount
    groups = []
    for rate in sorted(nets):
        vat = pence(nets[rate] * rate / 100)
        groups.append(VatGroup(rate, nets[rate], vat, nets[rate] + vat))
    return tuple(groups)


def work_out(survey: Survey, rooms: Sequence[RoomAssessment], day: str) -> Quote:
    """Work out the quote of a survey.

    Parameters
    ----------
    survey : Survey
        Its price lines, and the deposit already paid.
    rooms : sequence of RoomAssessment
        What the lines were chosen for: while one of them does not close, the price is one so far.
    day : str
        The day of the quote, ``YYYY-MM-DD``: rates of VAT and grant are held against it and against the planned day of the installation.

    Returns
    -------
    Quote
        Amounts in pounds.  Each line is rounded to pence (half up), so that what is printed adds up;
        VAT is rounded once per rate; grants and discounts come off the total with VAT.

    Notes
    -----
    A line of the kind discount is one off the whole price with VAT.  A discount on a line lowers its taxable amount: it is rounded to pence
    (half up) by itself and taken off the rounded amount of the line.  A line that the household may choose is in no sum.

    References
    ----------
    HMRC VAT Notice 700, section 17.5: rounding of VAT on invoices (common practice is half up per rate, no
    source for a domestic quote).
    """
    problems: list[Problem] = []
    lines = [_read_line(record, problems) for record in in_order(survey.of_kind(PriceLine))]
    groups = _groups(lines)
    house = survey.single(SurveyRecord)
    deposit = pence(Decimal(house.existing_deposit)) if house is not None and house.existing_deposit else ZERO
    net = sum((group.net for group in groups), ZERO)
    vat = sum((group.vat for group in groups), ZERO)
    credits = sum((line.amount for line in lines if line.kind != CHARGE and line.amount is not None), ZERO)
    gross = net + vat
    to_pay = gross - credits - deposit
    if all(line.is_optional for line in lines):
        problems.append(Problem(NO_PRICE, "No price line has been written yet.", None, None))
    changed = look_at_lines(survey, day)[1]
    problems += [Problem(LINE_CHANGED, item.words, None, f"price_line/{item.line}") for item in changed]
    problems += [
        Problem(ROOM_OPEN, f"{room.name}, {room.so_far}: what was sized for it may change.", None, f"room/{room.id}")
        for room in rooms
        if room.holes
    ]
    is_complete = not problems
    design = survey.single(Design)
    install_on = None if design is None else design.install_on
    if is_complete and to_pay < 0:
        words = f"Credits and deposit are £{-to_pay:,.2f} more than the price; look at the lines again."
        problems.append(Problem(TOO_MUCH_OFF, words, None, None))
    return Quote(
        lines=tuple(lines),
        by_vat=groups,
        net=net,
        vat=vat,
        gross=gross,
        credits=credits,
        deposit=deposit,
        to_pay=to_pay,
        is_complete=is_complete,
        problems=tuple(problems),
        day=day,
        install_on=install_on,
        rates=hold_rates(
            {
                line.vat_rate
                for line in lines
                if line.kind == CHARGE and line.amount is not None and line.vat_rate is not None
            },
            "england" if house is None else house.effective("nation"),
            day,
            install_on,
        ),
        grant=hold_grant(house, day, install_on),
        changed=changed,
    )
