"""A year outside: monthly means, degree days, and the hours of each whole degree that an estimate of energy needs."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from math import erf, exp, floor, fsum, sqrt

from wattwalk.catalogue import table

from ..answers import Month
from ..answers.citing import cite, cite_row
from ..answers.rounding import TEMPERATURE, rounded

REGIONS = "outside_temperatures_sap_10_2"
LONG_TERM = "degree_days_20_years_1998"

MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

#: Months without heating, however cool a night of theirs is.
SUMMER = ("june", "july", "august", "september")
#: UK base temperature of degree days, °C: sun and people carry a house from there to room temperature.
BASE_C = 15.5
#: Constant of Hitchin's formula for the UK, 1/K.
HITCHIN_1_K = 0.71
#: Spread of the temperatures of a month about its mean, K: Hitchin's constant is 2.5 over it.
SPREAD_K = 2.5 / HITCHIN_1_K
#: Beyond so many spreads from the mean no hour is counted.
FURTHEST_SPREADS = 4.0

HITCHIN = cite("cibse_tm41_2006", "Hitchin's formula, k 0.71", "from memory")
HEATED = cite("sap_2012", "Table 9c, heating from October to May", "from memory")
SPREAD = cite("cibse_tm41_2006", "normal spread of 2.5/0.71 K about the mean of a month", "from memory")


def degree_days(mean_c: float, days: int, base_c: float = BASE_C) -> float:
    """Return a month's heating degree days in K·d from its mean by Hitchin's formula.

    Parameters
    ----------
    mean_c : float
        Mean outside temperature of the month, °C.
    days : int
        Days of the month.
    base_c : float
        Base temperature, °C.

    References
    ----------
    CIBSE TM41 (2006), ``D = N (Tb − θm) / (1 − exp(−k (Tb − θm)))`` with k 0.71 for the UK (from memory).

    Examples
    --------
    >>> round(degree_days(5.2, 31), 1)
    319.5
    """
    below = base_c - mean_c
    if abs(below) < 1e-9:
        return days / HITCHIN_1_K
    return days * below / (1 - exp(-HITCHIN_1_K * below))


def _share_below(value_k: float) -> float:
    return 0.5 * (1 + erf(value_k / (SPREAD_K * sqrt(2))))


def month_bins(mean_c: float, hours: float) -> list[tuple[int, float]]:
    """Return the hours of a month at each whole degree outside, which add up to its hours.

    Parameters
    ----------
    mean_c : float
        Mean outside temperature of the month, °C.
    hours : float
        Hours of the month.

    Notes
    -----
    Normal about the mean with a spread of 3.5 K, cut off at four spreads.  The spread is the one that Hitchin's
    constant stands for, so that these bins give his degree days within half a per cent of a heating month.

    Examples
    --------
    >>> round(fsum(hours for _, hours in month_bins(5.2, 744)), 6)
    744.0
    """
    reach = FURTHEST_SPREADS * SPREAD_K
    degrees = range(floor(mean_c - reach), floor(mean_c + reach) + 2)
    shares = [(degree, _share_below(degree + 0.5 - mean_c) - _share_below(degree - 0.5 - mean_c)) for degree in degrees]
    whole = fsum(share for _, share in shares)
    return [(degree, hours * share / whole) for degree, share in shares]


def _means(region: float, warmer_k: float) -> list[tuple[str, float, int]]:
    """Return the months by name, each with its mean in °C and its days."""
    row = table(REGIONS).get(region=region)
    return [(name, row.number(f"{name}_c") + warmer_k, days) for name, days in zip(MONTHS, DAYS, strict=True)]


@lru_cache(maxsize=256)
def year_bins(region: float, warmer_k: float = 0.0) -> tuple[tuple[int, float], ...]:
    """Return the hours of a year at each whole degree outside in a region of SAP's Table U1, coldest first.

    Parameters
    ----------
    region : int
        A region of SAP's Table U1, 1 to 21.
    warmer_k : float
        By how much every month is warmer there than in the table, K; negative where it is colder.

    References
    ----------
    SAP 10.2, Table U1 for the monthly means.

    Examples
    --------
    >>> round(fsum(hours for _, hours in year_bins(7)), 6)
    8760.0
    """
    return _bins_of(_means(region, warmer_k))


def _bins_of(months: Iterable[tuple[str, float, int]]) -> tuple[tuple[int, float], ...]:
    """Return the hours of some months, each with its mean in °C and its days, at each whole degree outside, coldest first."""
    gathered: dict[int, list[float]] = {}
    for _name, mean_c, days in months:
        for degree, hours in month_bins(mean_c, 24 * days):
            gathered.setdefault(degree, []).append(hours)
    return tuple((degree, fsum(gathered[degree])) for degree in sorted(gathered))


@lru_cache(maxsize=256)
def heating_bins(region: float, warmer_k: float = 0.0) -> tuple[tuple[int, float], ...]:
    """Return the hours in which a house is heated: from October to May, below the base temperature of degree days.

    Parameters
    ----------
    region, warmer_k : float
        As of :func:`year_bins`.

    References
    ----------
    SAP 2012, Table 9c: the heating of October to May is counted, that of June to September is not (from memory).

    Examples
    --------
    >>> heating_bins(7)[-1][0]
    15
    """
    months = [month for month in _means(region, warmer_k) if month[0] not in SUMMER]
    return tuple((outside, hours) for outside, hours in _bins_of(months) if outside < BASE_C)


@lru_cache(maxsize=256)
def months_of(region: float, warmer_k: float = 0.0) -> tuple[Month, ...]:
    """Return the twelve months of a region with their means and degree days.

    Parameters
    ----------
    region : int
        A region of SAP's Table U1, 1 to 21.
    warmer_k : float
        By how much every month is warmer there than in the table, K; negative where it is colder.

    Examples
    --------
    >>> months_of(7)[0].mean_c
    4.7
    """
    return tuple(
        Month(name.capitalize(), rounded(mean_c, TEMPERATURE), rounded(degree_days(mean_c, days), 1))
        for name, mean_c, days in _means(region, warmer_k)
    )


@lru_cache(maxsize=256)
def year_degree_days(region: float, warmer_k: float = 0.0) -> float:
    """Return a region's degree days of a year in K·d, base 15.5 °C, from its monthly means.

    Parameters
    ----------
    region : int
        A region of SAP's Table U1, 1 to 21.
    warmer_k : float
        By how much every month is warmer there than in the table, K; negative where it is colder.

    References
    ----------
    SAP 10.2, Table U1, and :func:`degree_days`.

    Examples
    --------
    >>> round(year_degree_days(7), 1)
    2127.7
    """
    return fsum(degree_days(mean_c, days) for _name, mean_c, days in _means(region, warmer_k))


@cache
def long_term_degree_days(region: float) -> tuple[float, str] | None:
    """Return the 20-year mean of a region's degree days in K·d and its source, or None where the table has none.

    Parameters
    ----------
    region : int
        A region of SAP's Table U1, 1 to 21.

    Examples
    --------
    >>> long_term_degree_days(7)[0]
    2362.0
    """
    row = table(LONG_TERM).find(region=region)
    return None if row is None else (row.number("degree_days_kd"), cite_row(row))
