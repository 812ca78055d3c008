"""One room: its temperature and size, its loss, and the house that the rooms add up to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import fsum

from wattwalk.catalogue import table
from wattwalk.survey.building import Room

from ..answers import BridgeLoss, BuildingLoss, Climate, RoomHole, SurfaceLoss, VentilationLoss
from ..answers.citing import SURVEYOR, cite_row
from ..answers.rounding import AREA, WATTS, figure, rounded
from .room_shape import RoomSize, size_of_room

#: The table of temperatures for each choice of the survey.
TEMPERATURES = {
    "bs_5449_1990": "room_temperatures_bs_5449_1990",
    "en_12831_1_2017": "room_temperatures_en_12831_1_2017",
}


@dataclass
class RoomWork:
    """A room on its way through the engine, with unrounded figures."""

    room: Room
    name: str
    inside_c: float | None
    inside_words: str
    inside_source: str
    floor_area_m2: float | None
    volume_m3: float | None
    missing: list[str]
    surfaces: list[tuple[SurfaceLoss, float]]
    size: RoomSize
    ventilation: VentilationLoss | None = None
    ventilation_w: float = 0.0
    bridges: list[tuple[BridgeLoss, float]] = field(default_factory=list)
    #: Where the room does not close, and what stands beside its figures until then.
    holes: tuple[RoomHole, ...] = ()
    so_far: str = ""

    @property
    def fabric_w(self) -> float:
        """Heat through all surfaces worked out so far, and along the bridges counted by length, W."""
        return fsum(watts for _, watts in (*self.surfaces, *self.bridges))

    @property
    def envelope_m2(self) -> float:
        """Area towards everything that is not a room of this home, m²."""
        return fsum(loss.net_area_m2 for loss, _ in self.surfaces if loss.other_side != "room")

    @property
    def total_w(self) -> float | None:
        """The room's design heat loss in W, or None while something is missing."""
        if self.missing or self.ventilation is None:
            return None
        return self.fabric_w + self.ventilation_w


def start_room(room: Room, temperatures: str) -> RoomWork:
    """Work out a room's temperature, by the survey's choice of table, and its size, and note what is missing for them."""
    missing = []
    if room.inside_temperature_c is not None:
        inside, words, source = (
            room.inside_temperature_c,
            f"{figure(room.inside_temperature_c, 1)} °C, as written in the survey",
            SURVEYOR,
        )
    elif room.use is not None:
        row = table(TEMPERATURES[temperatures]).get(use=room.use)
        inside, source = row.number("temperature_c"), cite_row(row)
        words = f"{figure(inside, 1)} °C, usual for {room.kind.field('use').choice_label(room.use).lower()}"
    else:
        inside, words, source = None, "not known", ""
        missing.append("what the room is used as, or its design temperature")
    if room.use is None and room.air_changes_h is None and inside is not None:
        missing.append("what the room is used as, or its air changes")
    size = size_of_room(room)
    missing += size.missing
    return RoomWork(
        room=room,
        name=room.title,
        inside_c=inside,
        inside_words=words,
        inside_source=source,
        floor_area_m2=size.floor_m2,
        volume_m3=size.volume_m3,
        missing=missing,
        surfaces=[],
        size=size,
    )


def mean_difference_k(rooms: Sequence[RoomWork], outside_c: float) -> float | None:
    """Return the mean temperature of the rooms by their floor area less the outside temperature in °C, K; None while no room has both."""
    told = [(room.inside_c, room.floor_area_m2) for room in rooms if room.inside_c is not None and room.floor_area_m2]
    area = fsum(item for _, item in told)
    return fsum(inside * item for inside, item in told) / area - outside_c if area > 0 else None


def add_up(rooms: Sequence[RoomWork], climate: Climate | None) -> BuildingLoss:
    """Add the rooms up to the house.

    ``coefficient_w_k`` is the load without heated neighbours over the difference between the mean inside
    temperature (weighted by floor area) and the design cold.  ``unit_size_w`` is filled in once every term of the unit's load is known.
    """
    complete = [room for room in rooms if room.total_w is not None]
    every = [item for room in complete for item in room.surfaces]

    def through(side: str) -> float:
        return fsum(watts for loss, watts in every if loss.other_side == side)

    counted = fsum(room.total_w for room in rooms if room.total_w is not None)
    neighbour = through("neighbour")
    missing = tuple(room.name for room in rooms if room.total_w is None)
    whole = bool(rooms) and not missing
    area = fsum(room.floor_area_m2 for room in rooms if room.floor_area_m2 is not None)
    coefficient = None
    if whole and climate is not None:
        difference = mean_difference_k(rooms, climate.outside_c)
        if difference is not None and difference > 0:
            coefficient = rounded((counted - neighbour) / difference, 2)
    return BuildingLoss(
        total_w=rounded(counted, WATTS) if whole else None,
        known_so_far_w=rounded(counted, WATTS),
        outside_w=rounded(
            fsum([through("outside"), *(watts for room in complete for _, watts in room.bridges)]), WATTS
        ),
        ground_w=rounded(through("ground"), WATTS),
        unheated_w=rounded(through("unheated"), WATTS),
        neighbour_w=rounded(neighbour, WATTS),
        between_rooms_w=rounded(through("room"), WATTS),
        ventilation_w=rounded(fsum(room.ventilation_w for room in complete), WATTS),
        unit_size_w=None,
        floor_area_m2=rounded(area, AREA),
        loss_w_m2=rounded(counted / area, 1) if whole and area > 0 else None,
        coefficient_w_k=coefficient,
        rooms_missing=missing,
    )
