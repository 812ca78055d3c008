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

from .drawn import CHARGE, GRANT, ChangedLine
from .lines import look_at_lines
from .rates import GrantHeld, RateHeld, hold_grant, hold_rates

PENNY = Decimal("0.01")
ZERO = Decimal("0.00")
#: The codes of problems: a room that the lines were chosen for does not close; a line whose source has changed; too much taken off.
ROOM_OPEN, LINE_CHANGED, TOO_MUCH_OFF, NO_PRICE = (
    "room_not_closed",
    "line_changed",
    "more_than_the_price",
    "no_price",
)


def pence(amount: Decimal) -> Decimal:
    """Round an amount in pounds to pence, half up."""
    return amount.quantize(PENNY, rounding=ROUND_HALF_UP)


@dataclass(frozen=True)
class QuoteLine:
    """One line: ``amount`` is quantity times price in pounds without VAT, None while something is missing."""

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
        return tuple(line for line in self.lines if line.kind == CHARGE)

    def credit_lines(self) -> tuple[QuoteLine, ...]:
        """Return the lines that are taken off after VAT."""
        return tuple(line for line in self.lines if line.kind != CHARGE)

    def as_dict(self) -> dict[str, Any]:
        """Return the JSON form: amounts are decimal text in pounds, rates and quantities decimal text."""
        return {
            "lines": [_line_dict(line) for line in self.lines],
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
    amount = None if missing or quantity is None or price is None else pence(quantity * price)
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
    )


def _groups(lines: list[QuoteLine]) -> tuple[VatGroup, ...]:
    nets: dict[Decimal, Decimal] = {}
    for line in lines:
        if line.kind == CHARGE and line.amount is not None and line.vat_rate is not None:
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
    A discount here is one off the whole price with VAT.  One that lowers the taxable price belongs in the
    price of the line it lowers.

    References
    ----------
    HMRC VAT Notice 700, section 17.5: rounding of VAT on invoices (common practice is half up per rate, no
    source for a domestic quote).
    """
    problems: list[Problem] = []
    lines = [_read_line(record, problems) for record in survey.of_kind(PriceLine)]
    groups = _groups(lines)
    house = survey.single(SurveyRecord)
    deposit = pence(Decimal(house.existing_deposit)) if house is not None and house.existing_deposit else ZERO
    net = sum((group.net for group in groups), ZERO)
    vat = sum((group.vat for group in groups), ZERO)
    credits = sum((line.amount for line in lines if line.kind != CHARGE and line.amount is not None), ZERO)
    gross = net + vat
    to_pay = gross - credits - deposit
    if not lines:
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
            (group.rate for group in groups), "england" if house is None else house.effective("nation"), day, install_on
        ),
        grant=hold_grant(house, day, install_on),
        changed=changed,
    )
