"""Whether postcode, nation and weather station of a survey can be of one house."""

from __future__ import annotations

from math import cos, hypot, radians

from wattwalk.catalogue import Row, table
from wattwalk.survey.household import SurveyRecord

from ..answers import Finding, Severity
from ..answers.citing import cite_row
from ..answers.rounding import listed
from .design_cold import REGIONS, region_of, split_postcode
from .stations import all_stations

NATIONS, PLACES = "postcode_nations_2026", "rough_places_2026"
#: Common practice, no source: a station so much farther from the middle of the postcode's region than the nearest one is another part of the country, km.
MUCH_FARTHER_KM = 200.0
#: Length of a degree of latitude, km.
DEGREE_KM = 111.2
#: Over the water from all other stations: its own station alone stands for it.
NORTHERN_IRELAND, BELFAST = 21, "belfast"


def nations_of(postcode: str) -> tuple[Row, ...]:
    """Return the rows of the nations in which a postcode's area lies: none for an area that is not known, two at a border.

    Examples
    --------
    >>> [row.word("nation") for row in nations_of("TD15 0VK")]
    ['scotland', 'england']
    """
    parts = split_postcode(postcode)
    return () if parts is None else table(NATIONS).where("area", parts[0])


def distance_km(one: Row, other: Row) -> float:
    """Return about how far two places are apart, km; good to a few kilometres over the length of Britain.

    Examples
    --------
    >>> places = table(PLACES)
    >>> round(distance_km(places.get(place="edinburgh"), places.get(place="london")), -1)
    530.0
    """
    north = one.number("latitude") - other.number("latitude")
    middle = radians((one.number("latitude") + other.number("latitude")) / 2)
    return DEGREE_KM * hypot(north, (one.number("longitude") - other.number("longitude")) * cos(middle))


def contradictions(record: SurveyRecord) -> list[Finding]:
    """Return where the postcode contradicts the nation or the chosen weather station."""
    return [] if record.postcode is None else [*_nation(record, record.postcode), *_station(record, record.postcode)]


def _nation(record: SurveyRecord, postcode: str) -> list[Finding]:
    rows = nations_of(postcode)
    taken = record.effective("nation")
    if not rows or taken in [row.word("nation") for row in rows]:
        return []
    label = record.kind.field("nation").choice_label
    why = ", since nobody has said which nation it is in" if record.nation is None else ""
    lies = listed([label(row.word("nation")) for row in rows])
    return [
        Finding(
            Severity.CHECK,
            "postcode_other_nation",
            record.key(),
            "nation",
            f"The postcode {postcode} lies in {lies}; the house is held to the rules of {label(taken)}{why}: limits on noise, default U-values and grant follow the nation.",
            "Choose the nation where the house stands, or correct the postcode.",
            cite_row(rows[0]),
        )
    ]


def _station(record: SurveyRecord, postcode: str) -> list[Finding]:
    region = region_of(postcode)
    if region is None or record.design_location is None:
        return []
    number, places = int(region.number("region")), table(PLACES)
    middle = places.get(place=f"region-{number}")
    stations = all_stations()
    far = {row.word("location"): distance_km(middle, places.get(place=row.word("location"))) for row in stations}
    nearest = (
        BELFAST if number == NORTHERN_IRELAND else min((name for name in far if name != BELFAST), key=far.__getitem__)
    )
    over_water = (number == NORTHERN_IRELAND) != (record.design_location == BELFAST)
    if not over_water and far[record.design_location] - far[nearest] <= MUCH_FARTHER_KM:
        return []
    names = {row.word("location"): row.word("name") for row in stations}
    part = table(REGIONS).get(region=float(number)).word("name")
    return [
        Finding(
            Severity.CHECK,
            "station_far_from_postcode",
            record.key(),
            "design_location",
            f"The postcode {postcode} lies in the region {part}; the weather station {names[record.design_location]} is in another part of the country, and {names[nearest]} is far nearer.",
            f"Choose the nearest weather station, {names[nearest]} by the postcode, or correct the postcode.",
            cite_row(middle),
        )
    ]
