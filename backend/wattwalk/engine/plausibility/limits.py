"""Every limit of the checks of plausibility in one table, each with its reason.

A limit lies where a sound house hardly ever reaches it, so that what is found deserves a look; none of them changes a figure.  The
reasons are the trade's habit and are printed with each finding.
"""

from __future__ import annotations

from typing import NamedTuple

from ..answers.citing import cite

#: Less than anybody measures: sums in another order, or on another machine, decide the same.
DUST = 1e-9


class Limit(NamedTuple):
    """A limit, its unit and why it lies there; ``share`` of the expected figure, and so much ``more`` in the unit."""

    unit: str
    why: str
    low: float = 0.0
    high: float = float("inf")
    share: float = 1.0
    more: float = 0.0

    def most(self, expected: float) -> float:
        """Return the largest figure that passes where ``expected`` is the usual one."""
        return expected * self.share + self.more + DUST

    def holds(self, value: float) -> bool:
        """Say whether a figure lies between the two ends."""
        return self.low - DUST <= value <= self.high + DUST

    @property
    def source(self) -> str:
        """Return the reason as a finding cites it."""
        return cite("common_practice", self.why, "common practice")


# -- Rooms -----------------------------------------------------------------------------------------------------------------

WALLS = Limit("m", "a bay or a chimney breast makes the way round a room a little longer", share=1.1, more=1.0)
#: Of a room known by its area alone: the way round it over that of a square. A room four times as long as wide has 1.25.
ROUND_OF_AREA = Limit("1", "a room of that area and up to eight times as long as wide", high=1.6)
WALL_HEIGHT = Limit("m", "a gable is at most about twice as high as its room", share=2.0, more=0.5)
SAME_SIZE = Limit("1", "two sizes within 2 % are one size measured twice", share=0.02)
SAME_PARTITION = Limit("m²", "a wall measured from both sides differs by its doors' frames and its plaster", share=0.05)
OVER_SIDE = Limit("m²", "measuring leaves 5 % of a side", share=1.05, more=0.1)
#: What a side has too much over the part that seems to be there twice.
TWIN_TOO_MUCH = Limit(
    "1", "a wall counted twice is about itself too much, the two cheeks of a bay twice one of them", low=0.5, high=1.5
)
FLOORS = Limit("m²", "a bay or a recess adds a little to a floor", share=1.1, more=0.5)
CEILINGS = Limit("m²", "a slope of 60° is twice as large as the floor below it", share=2.0, more=1.0)
ROOM_SIDE = Limit("m", "hardly a room of a home is longer than 20 m or narrower than 0.6 m", low=0.6, high=20.0)
ROOM_HEIGHT = Limit("m", "a room to stand in, and a barn open to its ridge", low=1.8, high=6.0)
LOFT_HEIGHT = Limit("m", "mean height under a slope, down to dwarf walls", low=1.2, high=6.0)
ROOM_AREA = Limit(
    "m²", "a bay adds a little to length × width, an L-shape leaves at least a third", low=0.3, share=1.25, more=1.0
)
TEMPERATURE = Limit(
    "°C", "a store kept from frost, and 2 K more than the warmest bathroom of EN 12831", low=8.0, high=26.0
)
AIR_CHANGES = Limit(
    "1/h",
    "twice the usual rate of such a room in an old house; below a tenth of one hardly any air",
    low=0.1,
    share=2.0,
)
HEATED_FLOOR = Limit("m²", "a heated floor leaves the room's edge free, and measuring 2 %", share=1.02, more=0.1)
ROOM_LOSS = Limit("W/m²", "a bathroom in the corner of an uninsulated house loses about 250", high=400.0)

# -- Emitters --------------------------------------------------------------------------------------------------------------

RATING = Limit(
    "1",
    "panels of one type and size differ by about 8 % between makes; half or twice is another size",
    low=0.5,
    high=2.0,
)
FRONT_OUTPUT = Limit(
    "W/m²",
    "a bare plate gives about 1,000 for each m² of its front, a strong fan convector 15,000",
    low=200.0,
    high=20_000.0,
)
PANEL_HEIGHT = Limit("mm", "panels are sold from 200 mm high", low=180.0)
PANEL_LENGTH = Limit("mm", "panels are sold from about 300 mm long", low=250.0)
EMITTER_LENGTH = Limit("m", "it has to stand along a wall", share=1.0, more=0.1)

# -- Openings --------------------------------------------------------------------------------------------------------------

OPENING_IN_WALL = Limit("m", "frames reach a few centimetres into the wall", share=1.02, more=0.05)
OPENING_AREA = Limit("m²", "from a slit of 0.2 × 0.3 m to a glazed gable of 6 × 3 m", low=0.05, high=18.0)
DOOR_AREA = Limit("m²", "from a door of 0.5 × 1.7 m to a folding front of 6 × 3 m", low=0.8, high=18.0)

INSIDE_DOOR = Limit("W/m²K", "35 mm of softwood with still air on both sides", high=1.9)

# -- House -----------------------------------------------------------------------------------------------------------------

FOOTPRINT = Limit("m²", "rooms lie within the walls, and measuring leaves 5 %", share=1.05, more=2.0)
STOREYS = Limit("m²", "a jetty or thinner walls upstairs", share=1.15, more=3.0)
#: What lies under rooms may be more than they are by so much.
UNDER_STOREY = Limit("m²", "stairs, voids and thicker walls take up to a fifth of a storey", share=1.25, more=4.0)
EDGE_LONGEST = Limit("1", "an L or a U has up to 1.5 times the edge of a square of its area", high=1.8)
EDGE_SHORTEST = Limit("1", "the one front of a house built on three sides", low=0.1)
OUTSIDE_WALLS = Limit("m", "a bay, or a step in the front, beyond the edge as measured", share=1.1, more=2.0)
OUTSIDE_WALLS_LEAST = Limit(
    "m", "inside walls end at the outside ones and take up to 15 % of the edge", share=0.85, more=-0.5
)
#: Before that no shortness is told: the share of the footprint that rooms have to fill.
ROOMS_FILL = Limit("1", "rooms fill about nine tenths of a footprint once all are written down", low=0.85)
WINDOWS = Limit("1", "houses of one size and age differ by about half either way", low=0.35, high=2.5)
WINDOWS_FROM = Limit("m²", "below it one window more or less decides", low=40.0)
HOUSE_LOSS = Limit(
    "W/m²", "about 10 for a passive house, up to 200 for an uninsulated one on a hill", low=8.0, high=250.0
)
DESIGN_COLD = Limit(
    "°C", "colder than the stations by a glen in the Highlands, warmer by a headland", low=-16.0, high=2.5
)
#: What the stations of the tables have, at their own height.
STATIONS_COLD = Limit("°C", "design colds of the stations held, to a whole degree", low=-7.0, high=0.0)

# -- Constructions ---------------------------------------------------------------------------------------------------------

#: Over the highest value that the default tables have for the element and the age of the house.
ABOVE_TABLE = Limit("W/m²K", "worse than the default tables' worst of that age by a third", share=1.33)
LOFT_QUILT = Limit("mm", "a quilt is at least about 25 mm thick; a smaller figure is often one in cm", low=20.0)
#: What hardly any build-up of the element reaches, and what none leaves, W/m²K.
U_VALUES = {
    "wall": Limit("W/m²K", "passive-house walls reach about 0.10, one thin skin 4", low=0.09, high=4.0),
    "partition": Limit("W/m²K", "a filled stud wall has 0.2, one board or pane 4", low=0.15, high=4.5),
    "window": Limit("W/m²K", "the best triple windows reach 0.6, single panes in metal 5.8", low=0.5, high=6.0),
    "rooflight": Limit("W/m²K", "the best roof windows reach 0.6, a single pane lying flat 6.5", low=0.5, high=6.8),
    "door": Limit("W/m²K", "the best doors reach 0.6, single panes in metal 5.8", low=0.5, high=6.0),
    "ground_floor": Limit(
        "W/m²K", "0.5 m of insulation reaches 0.07, a bare floor of a small room 1.5", low=0.06, high=2.0
    ),
    "floor": Limit("W/m²K", "0.4 m of insulation reaches 0.09, bare boards 3", low=0.07, high=3.5),
    "ceiling": Limit("W/m²K", "0.5 m of insulation reaches 0.08, plaster and tiles 3", low=0.06, high=4.0),
    "roof": Limit("W/m²K", "0.5 m of insulation reaches 0.08, plaster and tiles 3", low=0.06, high=4.0),
}
