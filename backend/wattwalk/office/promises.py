"""What a firm promises and asks with every quotation: how long it holds, when work can usually begin, in which payments, what is never in the price.

All of it is the firm's own word from its settings; a firm that has said nothing promises nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from wattwalk.engine.answers.rounding import counted
from wattwalk.offers.quote import ZERO, pence
from wattwalk.survey.wording import clean, pounds
from wattwalk.survey.works import Design

from .figures import lower_first
from .report_inputs import ReportInputs

#: What of the firm's settings goes into a version.
PROMISES = ("valid_days", "lead_weeks", "stages", "exclusions", "assumptions")
MOST_STAGES = 8
_ALL = Decimal(100)


def stages_problem(stages: Sequence[Mapping[str, Any]]) -> str | None:
    """Say in one sentence why these payments cannot stand, or return None.

    Parameters
    ----------
    stages : sequence of mapping
        Rows of ``percent`` (decimal text), ``words`` and ``is_deposit``; none at all can stand.
    """
    shares = [Decimal(row["percent"]) for row in stages]
    if not shares:
        return None
    if any(share <= 0 for share in shares):
        return "Payments: each needs a share above 0 %."
    if sum(shares, ZERO) != _ALL:
        return f"Payments: they add up to {_percent(sum(shares, ZERO))}, and have to come to 100 %."
    if any(row.get("is_deposit") for row in stages[1:]):
        return "Payments: the deposit is asked first, so only the first payment can be one."
    return None


def split(amount: Decimal, shares: Iterable[Decimal]) -> Iterator[Decimal]:
    """Yield what each payment comes to in pounds, so that together they are exactly the amount.

    Parameters
    ----------
    amount : Decimal
        What is paid in all, whole pence.
    shares : iterable of Decimal
        Percent, 100 together.

    Notes
    -----
    What is due up to and with each payment is rounded to the penny, half up; a payment is what has come to that since the one before. So no payment
    is more than a penny off its share, and no penny is left over.
    """
    share_so_far = paid = ZERO
    for share in shares:
        share_so_far += share
        due = pence(amount * share_so_far / _ALL)
        yield due - paid
        paid = due


def valid_until(inputs: ReportInputs) -> str | None:
    """Return the last day on which a quotation holds: the one that the office wrote down, else so many days after its own as the firm says."""
    design = inputs.survey.single(Design)
    if design is not None and design.valid_until:
        return design.valid_until
    days = inputs.firm.get("valid_days")
    return (date.fromisoformat(inputs.made_on) + timedelta(days=int(days))).isoformat() if days else None


def lead_words(inputs: ReportInputs) -> str:
    """Say how long after a yes the work usually begins; empty where the firm has not said."""
    weeks = inputs.firm.get("lead_weeks")
    return (
        f"Usually we begin about {counted(int(weeks), 'week', 'weeks')} after you have said yes; we agree on the day with you."
        if weeks
        else ""
    )


def said_lines(inputs: ReportInputs, name: str) -> list[str]:
    """Return the lines of one of the firm's lists, every one of them: what is not printed is not agreed."""
    lines = [clean(line).strip() for line in (inputs.firm.get(name) or "").splitlines()]
    return [line for line in lines if line]


def payments(inputs: ReportInputs) -> dict[str, Any] | None:
    """Return the payments with their shares, and their amounts where the price is whole; None where the firm asks for none.

    What is divided is what the household pays in all: the price with VAT less what is taken off it. A deposit that was paid already counts towards it.
    """
    stages: Sequence[Mapping[str, Any]] = inputs.firm.get("stages") or ()
    if not stages:
        return None
    quote = inputs.quote
    whole = quote.gross - quote.credits
    shares = [Decimal(row["percent"]) for row in stages]
    is_known = bool(quote.charges()) and quote.is_complete and whole > ZERO
    amounts = [pounds(part) for part in split(whole, shares)] if is_known else [""] * len(shares)
    rows = [
        {
            "words": f"Deposit: {lower_first(row['words'])}" if row.get("is_deposit") else row["words"],
            "share": _percent(share),
            "amount": amount,
        }
        for row, share, amount in zip(stages, shares, amounts, strict=True)
    ]
    if not is_known:
        return {"rows": rows, "total": "", "notes": ["The amounts follow once the price is complete."]}
    off = " less what is taken off it" if quote.credits else ""
    notes = [
        f"Together they are {pounds(whole)}, the price with VAT{off}; each is rounded to the penny so that none is left over."
    ]
    if quote.deposit:
        notes.append(
            f"The {pounds(quote.deposit)} that you have paid already counts towards them, the first one first."
        )
    if quote.hangs_on_grant:
        notes.append(f"If the grant is not approved, {pounds(quote.granted)} more is due with the last payment.")
    return {"rows": rows, "total": pounds(whole), "notes": notes}


def _percent(share: Decimal) -> str:
    return f"{share.normalize():f}\N{NO-BREAK SPACE}%"
