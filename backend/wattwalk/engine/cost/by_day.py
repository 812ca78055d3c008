"""What holds on a day and not for ever: the rows of dated tables, the grant, the rates of VAT."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.catalogue import Row, table
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.wording import long_date

from ..answers import Grant
from ..answers.citing import COMMON_PRACTICE, cite_row
from ..answers.rounding import figure

GRANTS, VAT = "grants_2026", "vat_2026"
#: Where another scheme holds, of which nothing is kept here.
_OTHER_SCHEMES = ("scotland", "northern_ireland")


def row_of_day(name: str, day: str | None, **wanted: str) -> Row | None:
    """Return the row of a dated table that holds on a day (``YYYY-MM-DD``), or None; without a day nothing is dated."""
    if day is None:
        return None
    for row in table(name).rows:
        if all(row.cells[column] == value for column, value in wanted.items()) and _holds(row, day):
            return row
    return None


def _holds(row: Row, day: str) -> bool:
    return row.word("first_day") <= day and (not row.word("last_day") or day <= row.word("last_day"))


#: What a heat pump would take the place of, as a sentence says it.
_FROM = {
    "gas": "a house heated by gas",
    "oil": "a house heated by oil",
    "lpg": "a house heated by LPG",
    "electricity": "a house heated by electricity",
    "solid": "a house heated by coal",
    "wood": "a house heated by wood",
    "none": "a house without heating",
}


def grant_of_day(record: SurveyRecord, day: str | None) -> Grant | None:
    """Return the grant that the dated table holds for the nation, the present fuel and a day; None while fuel or day is not known.

    Parameters
    ----------
    record : SurveyRecord
        Its nation and present fuel.
    day : str or None
        ``YYYY-MM-DD``.
    """
    fuel, nation = record.present_fuel, record.effective("nation")
    if fuel is None or day is None:
        return None
    if nation in _OTHER_SCHEMES:
        return Grant(
            None,
            "Scotland and Northern Ireland have grants and loans of their own, which are not held here.",
            COMMON_PRACTICE,
        )
    row = row_of_day(GRANTS, day, nation=nation, replacing=fuel)
    if row is None:
        words = f"No grant is held here for {_FROM[fuel]} on {long_date(day)}: ask the household what they have been told, and read the scheme's notice of the day."
        return Grant(None, words, COMMON_PRACTICE)
    amount = f"{row.number('grant_pounds'):.2f}"
    words = f"£{figure(row.number('grant_pounds'), 0)} by the table for {long_date(day)}, for a heat pump of up to {figure(row.number('highest_kw'), 0)} kW; the scheme's notice and its answer decide."
    return Grant(amount, words, cite_row(row))


@dataclass(frozen=True)
class RateOfDay:
    """Whether a rate of VAT in per cent can hold on a day (``YYYY-MM-DD``).

    ``last_day`` is the last of its days, empty where none is set; ``next_rate`` is what the same sort of work takes from the day after it.
    """

    rate: str
    day: str
    holds: bool
    last_day: str
    next_rate: str
    source: str


def rate_of_day(rate: str, nation: str, day: str) -> RateOfDay:
    """Return whether a rate of VAT can hold on a day in a nation, by the dated table.

    Parameters
    ----------
    rate : str
        Per cent, as a price line says it: ``"0"``, ``"5"`` or ``"20"``.
    nation : str
        Of the house.
    day : str
        ``YYYY-MM-DD``.
    """
    place = "northern_ireland" if nation == "northern_ireland" else "great_britain"
    rows = [row for row in table(VAT).where("place", place) if row.number("vat_rate") == float(rate)]
    held = [row for row in rows if _holds(row, day)]
    if held:
        # The row without an end says most; one that ends is told with its end.
        row = min(held, key=lambda item: bool(item.word("last_day")))
        return RateOfDay(rate, day, True, row.word("last_day"), "", cite_row(row))
    ended = [row for row in rows if row.word("last_day") and row.word("last_day") < day]
    if not ended:
        return RateOfDay(rate, day, False, "", "", cite_row(rows[0]) if rows else COMMON_PRACTICE)
    row = max(ended, key=lambda item: item.word("last_day"))
    after = row_of_day(VAT, day, place=place, sort=row.word("sort"))
    next_rate = "" if after is None else f"{after.number('vat_rate'):g}"
    return RateOfDay(rate, day, False, row.word("last_day"), next_rate, cite_row(row))


def rate_of_sort(sort: str, nation: str, day: str) -> str | None:
    """Return the rate of VAT in per cent that a sort of supply takes on a day, by the dated table; None where it holds no row.

    Parameters
    ----------
    sort : str
        As the table calls it: ``standard``, ``reduced``, ``energy_saving``.
    nation : str
        Of the house.
    day : str
        ``YYYY-MM-DD``.
    """
    place = "northern_ireland" if nation == "northern_ireland" else "great_britain"
    row = row_of_day(VAT, day, place=place, sort=sort)
    return None if row is None else f"{row.number('vat_rate'):g}"
