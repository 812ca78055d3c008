"""The whole house: whether rooms, storeys, walls and windows add up to what is known of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import fsum

from wattwalk.catalogue import table
from wattwalk.survey.building import STOREYS as STOREY_CHOICES
from wattwalk.survey.constructions import Construction
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord

from ..answers import BuildingLoss, Finding
from ..answers.citing import cite_row
from ..answers.rounding import figure
from .limits import (
    DESIGN_COLD,
    EDGE_LONGEST,
    EDGE_SHORTEST,
    FOOTPRINT,
    HOUSE_LOSS,
    OUTSIDE_WALLS,
    OUTSIDE_WALLS_LEAST,
    ROOMS_FILL,
    STATIONS_COLD,
    STOREYS,
    UNDER_STOREY,
    WINDOWS,
    WINDOWS_FROM,
)
from .said import metres, say, square_metres
from .taken import RoomTaken, Taken

WINDOW_AREAS = "window_areas_rdsap_2012"
#: A basement is smaller than the house above it, and what lies beside it rests on the ground.
_STANDING = ("ground", "first", "second", "loft")
#: Rooms in the roof are smaller than the storey below by nature, and under the eaves nothing need be said of what is above.
_FULL = ("ground", "first", "second")
_NAMES = {name: label.lower() for name, label, *_ in STOREY_CHOICES}
#: The last band of the table of windows stands for what was built since.
_LAST_BAND, _SINCE = "L", "M"


def house_findings(survey: Survey, record: SurveyRecord, taken: Taken, building: BuildingLoss) -> Iterator[Finding]:
    """Yield what can hardly be so of the house as a whole; rooms whose own sizes are doubtful are left out."""
    rooms = [room for room in taken.rooms.values() if not room.is_doubtful]
    by_storey: dict[str, list[RoomTaken]] = {}
    for room in taken.rooms.values():
        by_storey.setdefault(room.storey, []).append(room)
    yield from _cold(record)
    # One wrong figure throws the next ones out of joint, so only the first is said.
    yield from (
        [*_footprint(survey, record, taken), *_storeys(record, by_storey), *_under(record, by_storey)]
        or [*_edge(record)]
        or [*_outside_walls(record, by_storey)]
    )
    if len(rooms) == len(taken.rooms):
        yield from _windows(record, rooms, building)
        yield from _loss(record, building)


def _area(rooms: Sequence[RoomTaken]) -> float:
    return fsum(room.work.floor_area_m2 for room in rooms if room.work.floor_area_m2 is not None)


def _cold(record: SurveyRecord) -> Iterator[Finding]:
    cold = record.outside_design_temperature_c
    if cold is not None and not DESIGN_COLD.holds(cold):
        yield say(
            "outside_temperature_odd",
            record.key(),
            "outside_design_temperature_c",
            f"The design cold is set by hand to {figure(cold, 1)} °C; the weather stations have {figure(STATIONS_COLD.low, 0)} to {figure(STATIONS_COLD.high, 0)} °C.",
            "Look whether a minus is missing, or leave it empty for the nearest station.",
            DESIGN_COLD,
        )


def _footprint(survey: Survey, record: SurveyRecord, taken: Taken) -> Iterator[Finding]:
    """Yield ground floors that are larger together than the footprint; a floor with an area of its own is held against that."""
    shared = []
    for construction_id, floors in taken.grounds.items():
        sound = [area for room, area in floors if not room.is_doubtful]
        item = survey.find(Construction, construction_id)
        own = None if item is None else item.own_area_m2
        if item is None or own is None:
            shared += sound
        elif fsum(sound) > FOOTPRINT.most(own):
            yield say(
                "ground_floors_over_footprint",
                item.key(),
                "own_area_m2",
                f"Floors of {item.title} add up to {square_metres(fsum(sound))}; its own whole area is {square_metres(own)}.",
                "Measure again, or correct its own whole area.",
                FOOTPRINT,
            )
    footprint, total = record.ground_floor_area_m2, fsum(shared)
    if footprint is not None and total > FOOTPRINT.most(footprint):
        yield say(
            "ground_floors_over_footprint",
            record.key(),
            "ground_floor_area_m2",
            f"Ground floors of the rooms add up to {square_metres(total)}; the ground floor of the house is {square_metres(footprint)}.",
            "Measure the rooms again, or correct the ground floor area of the house.",
            FOOTPRINT,
        )


def _storeys(record: SurveyRecord, by_storey: dict[str, list[RoomTaken]]) -> Iterator[Finding]:
    for lower, upper in pairwise(_STANDING):
        below, above = by_storey.get(lower), by_storey.get(upper)
        if not below or not above or any(room.is_doubtful for room in (*below, *above)):
            continue
        carries = _area(below)
        if lower == "ground" and record.ground_floor_area_m2 is not None:
            carries = max(carries, record.ground_floor_area_m2)
        elsewhere = fsum(room.open_below_m2 for room in above)
        total = _area(above)
        if total <= STOREYS.most(carries + elsewhere):
            continue
        beside = f" and {square_metres(elsewhere)} of it lie over other spaces" if elsewhere else ""
        yield say(
            "storey_over_storey",
            max(above, key=lambda room: (room.work.floor_area_m2 or 0.0, room.room.id)).key,
            "storey",
            f"Rooms of the storey '{_NAMES[upper]}' add up to {square_metres(total)}; the one below has {square_metres(carries)}{beside}.",
            "Measure again, move a room to its own storey, or say what lies below those that stand out.",
            STOREYS,
        )


def _under(record: SurveyRecord, by_storey: dict[str, list[RoomTaken]]) -> Iterator[Finding]:
    """Yield a storey of which far more lies under rooms, by what its rooms say is above them, than there are rooms above."""
    if record.dwelling == "flat":
        # Above a part of it may be somebody else's rooms, of which nothing is said.
        return
    for lower, upper in pairwise(_FULL):
        below, above = by_storey.get(lower), by_storey.get(upper)
        if not below or not above or any(room.is_doubtful or room.work.holes for room in (*below, *above)):
            continue
        under = {room.key: max(0.0, (room.work.floor_area_m2 or 0.0) - room.open_above_m2) for room in below}
        covered, total = fsum(under.values()), _area(above)
        if covered <= UNDER_STOREY.most(total):
            continue
        yield say(
            "storey_under_storey",
            max(under, key=lambda key: (under[key], key)),
            "storey",
            f"{square_metres(covered)} of the storey '{_NAMES[lower]}' have neither roof nor loft above them; rooms of the storey '{_NAMES[upper]}' add up to {square_metres(total)}.",
            "Add the rooms that are missing above, say where a room has a roof of its own, or measure again.",
            UNDER_STOREY,
        )


def _edge(record: SurveyRecord) -> Iterator[Finding]:
    area, edge = record.ground_floor_area_m2, record.exposed_perimeter_m
    if area is None or not edge:
        return
    square = 4 * area**0.5
    if EDGE_SHORTEST.low * square <= edge <= EDGE_LONGEST.high * square:
        return
    yield say(
        "edge_odd",
        record.key(),
        "exposed_perimeter_m",
        f"The outside edge is {metres(edge)}; a square ground floor of {square_metres(area)} has {metres(round(square, 1))} all round.",
        "Measure again: look where the point stands.",
        EDGE_LONGEST if edge > square else EDGE_SHORTEST,
    )


def _outside_walls(record: SurveyRecord, by_storey: dict[str, list[RoomTaken]]) -> Iterator[Finding]:
    edge, footprint = record.exposed_perimeter_m, record.ground_floor_area_m2
    if not edge:
        return
    for storey in ("ground", "first", "second"):
        rooms = [room for room in by_storey.get(storey, ()) if not room.is_doubtful]
        total = fsum(room.free_m for room in rooms)
        # Upstairs, what stands out over a garage or a passage has an edge of its own.
        over = 0.0 if storey == "ground" else fsum(room.open_below_m2 for room in rooms)
        if total > OUTSIDE_WALLS.most(edge + 4 * over**0.5):
            yield say(
                "outside_walls_over_edge",
                record.key(),
                "exposed_perimeter_m",
                f"Outside walls of the storey '{_NAMES[storey]}' add up to {metres(round(total, 1))}; the outside edge of the house is {metres(edge)}.",
                "Measure the edge again, or look for a wall that is told as outside and is not.",
                OUTSIDE_WALLS,
            )
            return
    ground = by_storey.get("ground", [])
    if (
        footprint is None
        or _area(ground) < ROOMS_FILL.low * footprint
        or any(room.is_doubtful or room.work.holes for room in ground)
    ):
        return
    total = fsum(room.free_m for room in ground)
    if total < OUTSIDE_WALLS_LEAST.most(edge):
        yield say(
            "outside_walls_short",
            record.key(),
            "exposed_perimeter_m",
            f"Rooms fill {square_metres(_area(ground))} of the ground floor's {square_metres(footprint)}, but their outside walls add up to {metres(round(total, 1))} of an outside edge of {metres(edge)}.",
            "Look for an outside wall that is told as something else, or measure the edge again.",
            OUTSIDE_WALLS_LEAST,
        )


def _windows(record: SurveyRecord, rooms: Sequence[RoomTaken], building: BuildingLoss) -> Iterator[Finding]:
    floor, band = _area(rooms), record.age_band
    if floor < WINDOWS_FROM.low or band is None:
        return
    row = table(WINDOW_AREAS).get(
        dwelling="flat" if record.dwelling == "flat" else "house", age_band=_LAST_BAND if band == _SINCE else band
    )
    usual = row.number("by_floor") * floor + row.number("start_m2")
    total = fsum(room.windows_m2 for room in rooms)
    # While something is missing, windows may be as well.
    is_few = building.total_w is not None and not building.so_far and total < WINDOWS.low * usual
    if is_few or total > WINDOWS.high * usual:
        yield say(
            "window_area_odd",
            record.key(),
            None,
            f"All windows together have {square_metres(total)}; a house of {square_metres(floor)} of that age usually has {square_metres(usual)}.",
            "Look for windows that were left out."
            if is_few
            else "Measure the largest windows again, and how many there are alike.",
            cite_row(row),
        )


def _loss(record: SurveyRecord, building: BuildingLoss) -> Iterator[Finding]:
    loss = building.loss_w_m2
    if loss is not None and not building.so_far and not HOUSE_LOSS.holds(loss):
        yield say(
            "loss_odd",
            record.key(),
            None,
            f"The house loses {figure(loss, 0)} W for each m² of floor; houses lose between {figure(HOUSE_LOSS.low, 0)} and {figure(HOUSE_LOSS.high, 0)}.",
            "Look at the rooms that lose most and least for their size: a side, a U-value or their air is likely wrong.",
            HOUSE_LOSS,
        )
