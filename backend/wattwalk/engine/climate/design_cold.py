"""The design cold and the yearly mean outside, from the station, the height, the postcode, or the surveyor's hand."""

from __future__ import annotations

import re

from wattwalk.catalogue import Row, table
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known

from ..answers import Climate, Finding, Severity, Step
from ..answers.citing import COMMON_PRACTICE, SURVEYOR, cite, cite_row
from ..answers.rounding import TEMPERATURE, figure, rounded
from .stations import OWN_STEP, WIDEST_STEP_K, has_percentile, percentile_c, station_named
from .weather import HITCHIN, long_term_degree_days, months_of, year_degree_days

BY_REGION = "stations_by_region_2026"
REGIONS = "outside_temperatures_sap_10_2"
POSTCODES = "postcode_regions_sap_10_2"
EN_GRADIENT = cite("en_12831_1_2017", "default gradient of the outside temperature with height", "from memory")

#: The table's means hold for the height that is typical of the region, and it has no rule for a house's own.
MEAN_HEIGHT = cite("sap_10_2", "Table U1, its heading: for the height typical of the region")
#: A house so much above its station has a mean of its own worth a word, m: one step of the UK's fall with height.
WORTH_SAYING_M = 50.0

#: Own rule: a yearly mean set by hand so far from the region's is more likely a slip than a place, K.
UNLIKELY_K = 3.0
#: Common practice in the UK: 0.3 K for each 50 m that the house stands above its station.
FALL_WITH_HEIGHT_K_M = 0.006
#: EN 12831-1:2017, default gradient (from memory).
EN_FALL_WITH_HEIGHT_K_M = 0.01

_OUTWARD = re.compile(r"([A-Z]{1,2})([0-9]{1,2})[A-Z]?")
_INWARD = re.compile(r"[0-9][A-Z]{2}$")


def at_height(station_c: float, station_m: float, site_m: float, fall_k_m: float = FALL_WITH_HEIGHT_K_M) -> float:
    """Return a station's design temperature carried up to the house.

    Parameters
    ----------
    station_c : float
        Design temperature at the station, °C.
    station_m, site_m : float
        Heights of the station and of the house above the sea, m.
    fall_k_m : float
        Fall of temperature with height, K/m.

    Returns
    -------
    float
        Design temperature at the house, °C.

    Notes
    -----
    Only ever colder: a house that lies lower than its station keeps the station's figure.

    Examples
    --------
    >>> round(at_height(-3.0, 69, 219), 2)
    -3.9
    >>> at_height(-3.0, 69, 20)
    -3.0
    """
    return station_c - fall_k_m * max(0.0, site_m - station_m)


def fall_with_height(record: SurveyRecord) -> float:
    """Return by how much it is colder for each metre of height, K/m, by the survey's choice."""
    return EN_FALL_WITH_HEIGHT_K_M if record.effective("height_gradient") == "en_12831_1_2017" else FALL_WITH_HEIGHT_K_M


def split_postcode(postcode: str) -> tuple[str, int] | None:
    """Return a postcode's area letters and district number (``LS40 0VK`` → ``LS``, 40), or None.

    Parameters
    ----------
    postcode : str
        A whole postcode or its first part.

    Examples
    --------
    >>> split_postcode('LS40 0VK')
    ('LS', 40)
    """
    compact = re.sub(r"\s", "", postcode).upper()
    outward = _INWARD.sub("", compact) if len(compact) >= 5 else compact
    found = _OUTWARD.fullmatch(outward)
    return (found[1], int(found[2])) if found else None


def region_of(postcode: str) -> Row | None:
    """Return the row of the postcode table that covers a postcode, or None when none does.

    A row that names districts wins over the row for the rest of its area; letters and number are
    compared as such, so that S1 is never taken for S18.
    """
    parts = split_postcode(postcode)
    if parts is None:
        return None
    area, district = parts
    rest = None
    for row in table(POSTCODES).where("area", area):
        low, high = row.number_if_any("from_district"), row.number_if_any("to_district")
        if low is None or high is None:
            rest = row
        elif low <= district <= high:
            return row
    return rest


def work_out_climate(record: SurveyRecord, has_rooms: bool) -> tuple[Climate | None, list[Finding]]:
    """Return the climate and the findings on it.

    The climate is None while there is neither a station nor a temperature set by hand, which is a finding once there are rooms.
    """
    findings: list[Finding] = []
    steps: list[Step] = []
    station = station_named(record.design_location) if record.design_location else None
    if station is None and record.outside_design_temperature_c is None:
        station = _station_by_postcode(record, findings)
    percentiles = None
    if record.outside_design_temperature_c is not None:
        outside = record.outside_design_temperature_c
        words = f"{figure(outside, 1)} °C, set by hand"
        steps.append(
            Step(
                "Design outside temperature",
                "as written in the survey",
                f"{figure(outside, 1)} °C",
                rounded(outside, TEMPERATURE),
                "°C",
                SURVEYOR,
            )
        )
    elif station is not None:
        outside, words = _with_exposure(record, *_from_station(record, station, steps, findings), steps)
        usual, colder = (rounded(_carried_up(record, station, name), TEMPERATURE) for name in ("99", "99_6"))
        percentiles = usual, colder
    else:
        if has_rooms:
            findings.append(
                Finding(
                    Severity.CHECK,
                    "no_design_temperature",
                    record.key(),
                    "design_location",
                    "There is no design outside temperature, so no room's loss can be worked out.",
                    "Choose the nearest weather station, or set the temperature by hand.",
                    COMMON_PRACTICE,
                )
            )
        return None, findings
    region = _region(record, station, steps, findings)
    number = region.number("region")
    mean = _yearly_mean(record, region, station, steps, findings)
    warmer = rounded(mean - region.number("annual_mean_c"), TEMPERATURE)
    long_term = _degree_days(number, warmer, steps)
    if (
        record.exposure == "exposed"
        and record.outside_design_temperature_c is None
        and record.exposure_allowance is None
    ):
        findings.append(
            Finding(
                Severity.CHECK,
                "exposed_site",
                record.key(),
                "exposure_allowance",
                "The house stands exposed. The design cold has not been lowered for it; many designers take 2 to 3 K off.",
                "Decide with the designer: choose an allowance for an exposed site, or none.",
                COMMON_PRACTICE,
            )
        )
    climate = Climate(
        rounded(outside, TEMPERATURE),
        rounded(mean, TEMPERATURE),
        words,
        tuple(steps),
        region=int(number),
        region_name=region.word("name"),
        percentiles_c=percentiles,
        months=months_of(number, warmer),
        degree_days_kd=rounded(year_degree_days(number, warmer), 0),
        long_term_degree_days_kd=long_term,
        warmer_k=warmer,
    )
    return climate, findings


def _from_station(record: SurveyRecord, station: Row, steps: list[Step], findings: list[Finding]) -> tuple[float, str]:
    percentile = record.effective("design_percentile")
    base = percentile_c(station, percentile)
    height = station.number("altitude_m")
    share = "99.6 %" if percentile == "99_6" else "99 %"
    is_held = has_percentile(station, percentile)
    steps.append(
        Step(
            "Design temperature at the station",
            f"table, {share if is_held else '99 %'} column",
            station.word("name"),
            rounded(base if is_held else station.number("percentile_99_c"), TEMPERATURE),
            "°C",
            cite_row(station),
        )
    )
    if is_held:
        words = f"{station.word('name')}, not colder for {share} of the hours of a year: {figure(base, 1)} °C at {figure(height, 0)} m"
    else:
        words = f"{station.word('name')}, {figure(WIDEST_STEP_K, 1)} K below its 99 % figure: {figure(base, 1)} °C at {figure(height, 0)} m"
        _say_not_held(record, station, base, steps, findings)
    if record.altitude_m is None:
        findings.append(
            Finding(
                Severity.NOTE,
                "height_unknown",
                record.key(),
                "altitude_m",
                f"The height of the house is not known; the design cold is that of the station at {figure(height, 0)} m.",
                f"Read the height from a map: each 100 m higher is {figure(fall_with_height(record) * 100, 1)} K colder.",
                COMMON_PRACTICE,
            )
        )
        return base, f"{words}; height of the house not known"
    fall = fall_with_height(record)
    outside = at_height(base, height, record.altitude_m, fall)
    shown = figure(fall, 3)
    numbers = f"{figure(base, 1)} − {shown} × max(0, {figure(record.altitude_m, 0)} − {figure(height, 0)})"
    source = COMMON_PRACTICE if fall == FALL_WITH_HEIGHT_K_M else EN_GRADIENT
    steps.append(
        Step(
            "Carried up to the house",
            f"θe = θstation − {shown} × (height − station height)",
            numbers,
            rounded(outside, TEMPERATURE),
            "°C",
            source,
        )
    )
    return outside, f"{words}; {figure(outside, 2)} °C at {figure(record.altitude_m, 0)} m"


def _say_not_held(record: SurveyRecord, station: Row, base: float, steps: list[Step], findings: list[Finding]) -> None:
    """Say that the station's 99.6 % figure is a rule of this program's own."""
    usual, step = figure(station.number("percentile_99_c"), 1), figure(WIDEST_STEP_K, 1)
    steps.append(
        Step(
            "Colder for 99.6 % of hours",
            "99 % figure − the widest step between the two columns",
            f"{usual} − {step}",
            rounded(base, TEMPERATURE),
            "°C",
            OWN_STEP,
        )
    )
    findings.append(
        Finding(
            Severity.CHECK,
            "percentile_not_held",
            record.key(),
            "design_percentile",
            f"No 99.6 % figure is held for {station.word('name')}. The design cold is {step} K below its 99 % figure of {usual} °C: the widest step of the stations that have both.",
            "Set the design outside temperature by hand from the designer's own table, or design to 99 % of hours.",
            OWN_STEP,
        )
    )


def _carried_up(record: SurveyRecord, station: Row, percentile: str) -> float:
    height = station.number("altitude_m")
    return at_height(
        percentile_c(station, percentile),
        height,
        height if record.altitude_m is None else record.altitude_m,
        fall_with_height(record),
    )


def _station_by_postcode(record: SurveyRecord, findings: list[Finding]) -> Row | None:
    """Return the station that stands for the postcode's region while nobody has chosen one."""
    found = region_of(record.postcode) if record.postcode else None
    if found is None:
        return None
    row = table(BY_REGION).get(region=found.number("region"))
    station = known(station_named(row.word("location")))
    findings.append(
        Finding(
            Severity.CHECK,
            "station_by_postcode",
            record.key(),
            "design_location",
            f"Nobody has chosen a weather station. By the postcode the design cold is that of {station.word('name')}.",
            "Choose the nearest weather station, or set the design outside temperature by hand.",
            cite_row(row),
        )
    )
    return station


def _with_exposure(record: SurveyRecord, outside: float, words: str, steps: list[Step]) -> tuple[float, str]:
    """Return the design cold lowered for an exposed site, when a person has chosen so."""
    lower = (
        {"two_kelvin": 2.0, "three_kelvin": 3.0}.get(record.exposure_allowance or "")
        if record.exposure == "exposed"
        else None
    )
    if lower is None:
        return outside, words
    steps.append(
        Step(
            "Lowered for the exposed site",
            "as chosen in the survey",
            f"{figure(outside)} − {figure(lower, 0)}",
            rounded(outside - lower, TEMPERATURE),
            "°C",
            COMMON_PRACTICE,
        )
    )
    return outside - lower, f"{words}; {figure(lower, 0)} K colder for the exposed site"


def _yearly_mean(
    record: SurveyRecord, region: Row, station: Row | None, steps: list[Step], findings: list[Finding]
) -> float:
    """Return the yearly mean outside, °C: set by hand, or that of the region; every month is moved with it."""
    usual = region.number("annual_mean_c")
    if record.outside_annual_mean_c is None:
        findings += _mean_not_carried_up(record, station, region)
        return usual
    mean = record.outside_annual_mean_c
    steps.append(
        Step(
            "Yearly mean outside, set by hand",
            "as written in the survey; every month of the region is moved by the difference",
            f"{figure(mean, 1)} °C − {figure(usual, 1)} °C",
            rounded(mean, TEMPERATURE),
            "°C",
            SURVEYOR,
        )
    )
    if abs(mean - usual) > UNLIKELY_K:
        findings.append(
            Finding(
                Severity.CHECK,
                "yearly_mean_unlikely",
                record.key(),
                "outside_annual_mean_c",
                f"The yearly mean outside was set by hand to {figure(mean, 1)} °C; the region's is {figure(usual, 1)} °C.",
                "Correct it, or leave it empty: the region's mean is then taken.",
                cite_row(region),
            )
        )
    return mean


def _mean_not_carried_up(record: SurveyRecord, station: Row | None, region: Row) -> list[Finding]:
    """Say by how much a region's yearly mean would fall, were it carried up to the house as the design cold is."""
    if station is None or record.altitude_m is None or record.outside_design_temperature_c is not None:
        return []
    above = record.altitude_m - station.number("altitude_m")
    if above < WORTH_SAYING_M:
        return []
    number, usual = region.number("region"), region.number("annual_mean_c")
    lower = fall_with_height(record) * above
    more = 100 * (year_degree_days(number, -lower) / year_degree_days(number) - 1)
    return [
        Finding(
            Severity.NOTE,
            "mean_not_carried_up",
            record.key(),
            "outside_annual_mean_c",
            f"The house stands {figure(above, 0)} m above its weather station. The design cold is carried up to it. The yearly mean of {figure(usual, 1)} °C is not: the table gives it for the height typical of the region and has no rule for another. Carried up alike it would be {figure(lower, 1)} K lower, and the rooms would take about {figure(more, 0)} % more heat in a year.",
            "Set the yearly mean by hand where a local one is known; the ground and the year's heat go by it.",
            MEAN_HEIGHT,
        )
    ]


def _degree_days(region: float, warmer_k: float, steps: list[Step]) -> float | None:
    year = year_degree_days(region, warmer_k)
    steps.append(
        Step(
            "Degree days of a year, base 15.5 °C",
            "Σ N (Tb − θm)/(1 − exp(−0.71 (Tb − θm)))",
            f"twelve monthly means of the region{f', each {figure(warmer_k)} K warmer' if warmer_k > 0 else f', each {figure(-warmer_k)} K colder' if warmer_k < 0 else ''}",
            rounded(year, 0),
            "K·d",
            HITCHIN,
        )
    )
    found = long_term_degree_days(region)
    if found is None:
        return None
    steps.append(
        Step(
            "Degree days of older years, to compare", "table", "mean of 20 years", rounded(found[0], 0), "K·d", found[1]
        )
    )
    return rounded(found[0], 0)


def _region(record: SurveyRecord, station: Row | None, steps: list[Step], findings: list[Finding]) -> Row:
    by_postcode = region_of(record.postcode) if record.postcode else None
    if by_postcode is not None:
        number, basis = by_postcode.number("region"), f"region of postcode {by_postcode.word('area')}"
    elif station is not None:
        number, basis = station.number("region"), f"region of {station.word('name')}"
    else:
        number, basis = 0.0, "the UK average"
    region = table(REGIONS).get(region=number)
    if by_postcode is None:
        why = "The postcode is not one of the table" if record.postcode else "There is no postcode"
        findings.append(
            Finding(
                Severity.NOTE if station is not None else Severity.CHECK,
                "region_not_by_postcode",
                record.key(),
                "postcode",
                f"{why}; the yearly mean outside is that of {basis}.",
                "Write down the postcode.",
                COMMON_PRACTICE,
            )
        )
    mean = region.number("annual_mean_c")
    steps.append(
        Step(
            "Yearly mean outside",
            f"table, {basis}",
            region.word("name"),
            rounded(mean, TEMPERATURE),
            "°C",
            cite_row(region),
        )
    )
    return region
