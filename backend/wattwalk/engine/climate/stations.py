"""The weather stations: two tables of design temperatures read as one, and what stands where a table has no 99.6 % figure."""

from __future__ import annotations

from functools import cache

from wattwalk.catalogue import Row, table

from ..answers.citing import cite

STATIONS = ("design_temperatures_cibse_guide_a_2006", "design_temperatures_ashrae_2009")

#: Own rule: so much colder than the 99 % figure where the 99.6 % one is not held. It is the widest step between the two of all stations that have both, K.
WIDEST_STEP_K = 2.5
OWN_STEP = cite("station_step", "", "own rule")


@cache
def all_stations() -> tuple[Row, ...]:
    """Return the rows of all weather stations."""
    return tuple(row for name in STATIONS for row in table(name).rows)


@cache
def station_named(location: str) -> Row | None:
    """Return the row of one weather station, or None when no table has it."""
    return next((row for row in all_stations() if row.word("location") == location), None)


def has_percentile(station: Row, percentile: str) -> bool:
    """Say whether the station's table has this column for it: ``99`` or ``99_6``."""
    return station.number_if_any(f"percentile_{percentile}_c") is not None


def percentile_c(station: Row, percentile: str) -> float:
    """Return a station's design temperature at ``99`` or ``99_6`` % of the hours, °C.

    Parameters
    ----------
    station : Row
        A weather station.
    percentile : str
        ``99`` or ``99_6``.

    Returns
    -------
    float
        Of the table; where it has no 99.6 % figure, the 99 % one less :data:`WIDEST_STEP_K`, °C.

    Examples
    --------
    >>> [percentile_c(row, "99_6") for name in ("glasgow", "marham") if (row := station_named(name))]
    [-5.9, -5.0]
    """
    value = station.number_if_any(f"percentile_{percentile}_c")
    return station.number("percentile_99_c") - WIDEST_STEP_K if value is None else value
