"""How much hot water a household needs: three ways of counting, each with its own temperature, so that the choice is seen."""

from __future__ import annotations

from math import exp, fsum

from wattwalk.catalogue import table
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.works import Design

from ..answers import HotWaterNeed
from ..answers.citing import cite_row
from ..answers.rounding import figure, rounded
from .charge import heat_kwh

NEEDS, MONTHS = "hot_water_needs_2026", "hot_water_months_sap_2012"
#: Heat that SAP 2012 counts for a litre of water and each kelvin, kJ.
SAP_KJ_LK = 4.19


def people_by_area(floor_area_m2: float) -> float:
    """Return how many people SAP takes to live on a floor area in m².

    Parameters
    ----------
    floor_area_m2 : float
        m².

    References
    ----------
    SAP 2012, Table 1b: ``N = 1 + 1.76 (1 − exp(−0.000349 (A − 13.9)²)) + 0.0013 (A − 13.9)`` above 13.9 m², else 1.

    Examples
    --------
    >>> round(people_by_area(85), 2)
    2.55
    """
    above = floor_area_m2 - 13.9
    return 1.0 if above <= 0 else 1 + 1.76 * (1 - exp(-0.000349 * above**2)) + 0.0013 * above


def sap_litres(people: float) -> float:
    """Return SAP 2012's mean hot water in l/day for a number of people: ``25 N + 36``.

    Parameters
    ----------
    people : float
        How many.

    References
    ----------
    SAP 2012, Table 1b: ``25 N + 36``.

    Examples
    --------
    >>> sap_litres(3)
    111.0
    """
    row = table(NEEDS).get(method="sap_2012")
    return row.number("per_person_l") * people + row.number("fixed_l")


def sap_heat_kwh(litres_day: float) -> float:
    """Return the heat of a year's hot water in kWh for a mean in l/day, month by month.

    Parameters
    ----------
    litres_day : float
        Mean over the year, l/day.

    References
    ----------
    SAP 2012, Tables 1c and 1d: ``Σ 4.19 V f n ΔT / 3600``, without the loss of the pipes.

    Examples
    --------
    >>> round(sap_heat_kwh(111))
    1751
    """
    return fsum(
        SAP_KJ_LK * litres_day * row.number("factor") * row.number("days") * row.number("rise_k") / 3600
        for row in table(MONTHS).rows
    )


def hot_water_needs(record: SurveyRecord, design: Design, floor_area_m2: float) -> tuple[HotWaterNeed, ...]:
    """Return the day's hot water by each method; the one the design chose is marked.

    Parameters
    ----------
    record, design
        People and bedrooms; store temperature and choice of method.
    floor_area_m2 : float
        Floor area of the rooms surveyed, m²; none while there are none.
    """
    used = design.effective("hot_water_method")
    label = design.kind.field("hot_water_method").choice_label
    return tuple(
        make(record, design, floor_area_m2, used == method, label(method))
        for method, make in (("per_person_45", _by_bedrooms), ("sap_2012", _by_area), ("per_person_35", _by_person))
    )


def _unknown(method: str, label: str, is_used: bool, words: str, source: str) -> HotWaterNeed:
    return HotWaterNeed(
        method=method,
        label=label,
        is_used=is_used,
        people=None,
        litres_low=None,
        litres_high=None,
        water_c=None,
        heat_kwh_day=None,
        words=words,
        source=source,
    )


def _by_bedrooms(record: SurveyRecord, design: Design, _area: float, is_used: bool, label: str) -> HotWaterNeed:
    row = table(NEEDS).get(method="per_person_45")
    if record.bedrooms is None and record.occupants is None:
        return _unknown("per_person_45", label, is_used, "bedrooms and people are missing", cite_row(row))
    people = max((record.bedrooms or 0) + 1 if record.bedrooms is not None else 0, record.occupants or 0)
    litres, store = row.number("per_person_l") * people, design.effective("store_c")
    words = f"{figure(row.number('per_person_l'), 0)} l × {people} (the larger of bedrooms + 1 and people), at the store's {figure(store, 0)} °C"
    heat = heat_kwh(litres, store - row.number("cold_c"))
    return HotWaterNeed(
        method="per_person_45",
        label=label,
        is_used=is_used,
        people=float(people),
        litres_low=rounded(litres, 1),
        litres_high=rounded(litres, 1),
        water_c=rounded(store, 1),
        heat_kwh_day=rounded(heat, 2),
        words=words,
        source=cite_row(row),
    )


def _by_area(_record: SurveyRecord, _design: Design, area_m2: float, is_used: bool, label: str) -> HotWaterNeed:
    row = table(NEEDS).get(method="sap_2012")
    if area_m2 <= 0:
        return _unknown("sap_2012", label, is_used, "the floor area of the rooms is missing", cite_row(row))
    people = people_by_area(area_m2)
    litres = sap_litres(people)
    words = f"25 l × {figure(people)} + 36 l, people by {figure(area_m2, 0)} m² of floor; heat by the months' own rises"
    return HotWaterNeed(
        method="sap_2012",
        label=label,
        is_used=is_used,
        people=rounded(people, 2),
        litres_low=rounded(litres, 1),
        litres_high=rounded(litres, 1),
        water_c=None,
        heat_kwh_day=rounded(sap_heat_kwh(litres) / 365, 2),
        words=words,
        source=cite_row(row),
    )


def _by_person(record: SurveyRecord, _design: Design, _area: float, is_used: bool, label: str) -> HotWaterNeed:
    low, high = table(NEEDS).get(method="per_person_35_low"), table(NEEDS).get(method="per_person_35_high")
    if record.occupants is None:
        return _unknown("per_person_35", label, is_used, "the people living here are missing", cite_row(high))
    least, most = (row.number("per_person_l") * record.occupants for row in (low, high))
    hot = high.number("water_c")
    words = f"35 to 45 l × {record.occupants} people at {figure(hot, 0)} °C; the heat is that of the upper end"
    return HotWaterNeed(
        method="per_person_35",
        label=label,
        is_used=is_used,
        people=float(record.occupants),
        litres_low=rounded(least, 1),
        litres_high=rounded(most, 1),
        water_c=rounded(hot, 1),
        heat_kwh_day=rounded(heat_kwh(most, hot - high.number("cold_c")), 2),
        words=words,
        source=cite_row(high),
    )
