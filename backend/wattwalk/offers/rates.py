"""VAT and grant by the day: what holds on the day of the quote, what on the day of the installation, and any change between them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from wattwalk.engine.cost import RateOfDay, grant_of_day, rate_of_day
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.wording import long_date, pounds


@dataclass(frozen=True)
class RateHeld:
    """A rate of VAT that charges are at, in per cent: whether it can hold on the day of the quote and on the planned day of the installation.

    ``holds_then`` is None while no such day is planned. ``words`` say what is wrong or changes, and are empty where nothing is.
    """

    rate: str
    holds: bool
    holds_then: bool | None
    last_day: str
    next_rate: str
    words: str
    source: str


@dataclass(frozen=True)
class GrantHeld:
    """The grant by the dated table: on the day of the quote, and on the planned day of the installation; None where it holds none.

    ``changes`` says that the two differ, or that the table ends before the second.
    """

    pounds: str | None
    pounds_then: str | None
    changes: bool
    words: str
    source: str


def hold_rates(rates: Iterable[Decimal], nation: str, day: str, install_on: str | None) -> tuple[RateHeld, ...]:
    """Hold each rate of VAT against both days (``YYYY-MM-DD``), the lowest rate first."""
    return tuple(_hold(f"{rate.normalize():f}", nation, day, install_on) for rate in sorted(set(rates)))


def _hold(rate: str, nation: str, day: str, install_on: str | None) -> RateHeld:
    now = rate_of_day(rate, nation, day)
    then = None if install_on is None else rate_of_day(rate, nation, install_on)
    worse = now if not now.holds else then if then is not None and not then.holds else None
    words = "" if worse is None else _not_held(worse, "the quote" if worse is now else "the installation")
    told = worse or now
    return RateHeld(
        rate, now.holds, None if then is None else then.holds, told.last_day, told.next_rate, words, told.source
    )


def _not_held(rate: RateOfDay, of: str) -> str:
    day = long_date(rate.day)
    if not rate.last_day:
        return f"{rate.rate} % VAT cannot hold on {day}, the day of {of}."
    after = f" From then on it is {rate.next_rate} %." if rate.next_rate else ""
    return f"{rate.rate} % VAT holds until {long_date(rate.last_day)}; the day of {of} is {day}.{after}"


def hold_grant(house: SurveyRecord | None, day: str, install_on: str | None) -> GrantHeld | None:
    """Hold the grant of the dated table against both days (``YYYY-MM-DD``); None while the present fuel is not known."""
    now = None if house is None else grant_of_day(house, day)
    if house is None or now is None:
        return None
    then = None if install_on is None else grant_of_day(house, install_on)
    changes = then is not None and then.pounds != now.pounds
    words = now.words
    if changes and then is not None and install_on is not None:
        amount = "holds none" if then.pounds is None else f"holds {pounds(then.pounds)}"
        words += f" For the planned day of the installation, {long_date(install_on)}, it {amount}: read the scheme's notice again before then."
    return GrantHeld(now.pounds, None if then is None else then.pounds, changes, words, now.source)
