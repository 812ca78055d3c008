"""Whole houses drawn at random: every side of every room said, whatever each part's U-value is known by.

A house is one or two storeys of rooms in a row, as deep as each other, so that walls and floors between rooms meet::

    first    room-1-0 | room-1-1 | room-1-2
    ground   room-0-0 | room-0-1 | room-0-2

It is drawn by Hypothesis: `make test` tries the same houses in every run, `make soak` new ones, and makes one that breaks a relation as
small as it can before it shows it.
"""

from __future__ import annotations

import copy
import json
import os
from collections.abc import Callable
from functools import cache
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st

from tests.support.houses import terrace
from wattwalk.demo.house import house as demo_house
from wattwalk.survey.document import DOCUMENT_VERSION
from wattwalk.survey.kinds import KINDS


class Document(dict):
    """A survey document; what Hypothesis shows of one that broke a relation is one line, which `read_document` takes."""

    def __repr__(self) -> str:
        return f"the {self['id']}" if self["id"] in _samples() else json.dumps(self, ensure_ascii=False)


Fields = dict[str, Any]
Draw = Callable[[st.SearchStrategy], Any]

#: So many new houses for each relation instead of the usual ones that are the same in every run.
HOUSES = os.environ.get("RELATION_HOUSES")


def houses_each(usual: int) -> settings:
    """Return how a relation is tried: on so many houses, the same in every run, or on new ones for as long as is asked."""
    return settings(
        max_examples=int(HOUSES) if HOUSES else usual,
        derandomize=HOUSES is None,
        database=None,
        deadline=None,
        # Making a house smaller takes minutes, and the run that looks for new ones has them.
        phases=[Phase.generate, Phase.shrink] if HOUSES else [Phase.generate],
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
    )


def between(low: float, high: float, decimals: int = 2) -> st.SearchStrategy[float]:
    """Return a strategy for a measured number: as many decimals as a person writes down."""
    scale = 10**decimals
    return st.integers(round(low * scale), round(high * scale)).map(lambda whole: whole / scale)


def one(*values: Any) -> st.SearchStrategy:
    """Return a strategy for one of a few values."""
    return st.sampled_from(values)


def choices(kind: str, field: str) -> st.SearchStrategy[str]:
    """Return a strategy for one of the choices that a field declares."""
    return st.sampled_from([item.value for item in KINDS[kind].field(field).choices])


DECLARED = between(0.1, 3).map(lambda u_value: {"known_by": "declared", "u_value_w_m2k": u_value})
WOOL = between(10, 300, 0).map(
    lambda thick: {"material": "Wool", "thickness_mm": thick, "conductivity_w_mk": 0.038},
)
BRIDGED = st.tuples(between(50, 200, 0), between(0.05, 0.2)).map(
    lambda drawn: {
        "material": "Wool between timbers",
        "thickness_mm": drawn[0],
        "conductivity_w_mk": 0.038,
        "bridge_fraction": drawn[1],
        "bridge_conductivity_w_mk": 0.13,
    }
)
AIR = between(5, 100, 0).map(lambda thick: {"material": "Air", "thickness_mm": thick, "air": "still"})
BRICK = between(60, 330, 0).map(lambda thick: {"material": "Brick, outer leaf", "thickness_mm": thick})
BOARD = between(9, 30, 1).map(lambda thick: {"material": "Plasterboard", "thickness_mm": thick})
PLASTER = one({"material": "Dense plaster", "thickness_mm": 13})


def layers(*possible: st.SearchStrategy) -> st.SearchStrategy[Fields]:
    """Return a strategy for a build-up by its layers, the first one always there."""
    first, *others = possible
    return st.tuples(first, st.lists(st.one_of(*others), max_size=3) if others else st.just([])).map(
        lambda drawn: {"known_by": "layers", "layers": [dict(drawn[0]), *(dict(item) for item in drawn[1])]}
    )


def look(name: str, **fields: Any) -> st.SearchStrategy[Fields]:
    """Return a strategy for a construction by its look, with what else was seen of it, some of it drawn."""
    drawn = {key: value if isinstance(value, st.SearchStrategy) else st.just(value) for key, value in fields.items()}
    return st.fixed_dictionaries({"known_by": st.just("look"), "look": st.just(name), **drawn})


ADDED = st.one_of(st.just(0), between(1, 200, 0))
KIND = one("lambda_0_040", "lambda_0_030", "lambda_0_025")
WALLS = st.one_of(
    DECLARED,
    layers(PLASTER, BRICK, WOOL, AIR, BRIDGED, BOARD),
    look("wall_solid_brick", thickness_mm=between(200, 500, 0), insulation_mm=ADDED, insulation_kind=KIND),
    look("wall_solid_brick", thickness_mm=between(200, 500, 0), lined=True),
    look("wall_stone_sandstone", thickness_mm=between(300, 700, 0), insulation_mm=ADDED, lined=st.booleans()),
    look("wall_cavity", insulation_mm=ADDED),
    look("wall_cavity_filled"),
    look("wall_timber_frame"),
).flatmap(lambda fields: between(200, 500, 0).map(lambda thick: {"thickness_mm": thick} | fields))
PARTITIONS = st.one_of(DECLARED, look("partition_stud"), look("partition_brick"), layers(BOARD, AIR, WOOL, BOARD))
PARTY_WALLS = st.one_of(DECLARED, look("party_brick"), layers(PLASTER, BRICK, AIR, BRICK))
WINDOWS = st.one_of(
    DECLARED,
    look("window_single"),
    look("window_double_new"),
    st.fixed_dictionaries(
        {
            "known_by": st.just("window_table"),
            "glazing": choices("construction", "glazing"),
            "frame": one("wood_pvc", "metal"),
            "pane_gap": one("6", "12", "16"),
        }
    ).map(lambda fields: fields | ({"frame": "wood_pvc"} if fields["glazing"] == "secondary" else {})),
    st.fixed_dictionaries(
        {
            "known_by": st.just("window_parts"),
            "glass": choices("construction", "glass"),
            "frame_kind": choices("construction", "frame_kind"),
            "spacer": one("metal", "warm"),
        }
    ),
)
DOORS = st.one_of(DECLARED, look("door_solid"))
EDGES = st.one_of(
    st.just({}),
    st.fixed_dictionaries(
        {
            "edge_insulation": one("horizontal", "vertical"),
            "edge_reach_m": between(0.2, 0.5),
            "edge_thickness_mm": between(20, 100, 0),
        }
    ),
)
GROUND_FLOORS = st.one_of(
    look("floor_solid", insulation_mm=ADDED),
    look("floor_solid"),
    look("floor_suspended", insulation_mm=ADDED),
    DECLARED.flatmap(lambda fields: one("whole", "alone").map(lambda of: fields | {"declared_for": of})),
    layers(one({"material": "Sand and cement screed", "thickness_mm": 65}), WOOL),
    look("floor_solid", insulation_mm=ADDED).flatmap(lambda fields: EDGES.map(lambda edge: fields | edge)),
)
FLOORS_OVER_AIR = st.one_of(DECLARED, look("floor_exposed", insulation_mm=ADDED), layers(BOARD, WOOL, BOARD))
FLOORS_BETWEEN = st.one_of(DECLARED, look("floor_between"), layers(BOARD, AIR, WOOL))
CEILINGS = st.one_of(
    DECLARED,
    look("roof_loft", insulation_mm=between(0, 400, 0)),
    look("roof_rafters", insulation_mm=between(0, 200, 0)),
    look("roof_flat"),
    layers(BOARD, BRIDGED, AIR, BOARD),
)
LOFT_FLOORS = st.one_of(DECLARED, layers(BOARD, BRIDGED, WOOL))

#: Name of each construction of a house, its element, and how it may be known.
CONSTRUCTIONS = {
    "wall": ("wall", WALLS),
    "other-wall": ("wall", WALLS),
    "party": ("wall", PARTY_WALLS),
    "inner": ("partition", PARTITIONS),
    "window": ("window", WINDOWS),
    "door": ("door", DOORS),
    "ground": ("ground_floor", GROUND_FLOORS),
    "over-air": ("floor", FLOORS_OVER_AIR),
    "between": ("floor", FLOORS_BETWEEN),
    "top": ("ceiling", CEILINGS),
    "loft-floor": ("ceiling", LOFT_FLOORS),
}

USES = ("living", "kitchen", "bedroom", "bathroom", "hall", "dining", "utility", "store")
#: Rooms that a ventilation unit blows fresh air into, and those that it draws it from.
SUPPLIED, EXTRACTED = {"living", "bedroom", "dining"}, {"kitchen", "bathroom", "utility"}
PANELS = st.fixed_dictionaries(
    {
        "type": one("panel_11", "panel_21", "panel_22", "panel_33"),
        "height_mm": one(300, 450, 600, 700),
        "length_mm": between(800, 2400, 0),
    }
)
RATED = st.fixed_dictionaries(
    {
        "type": one("column", "convector", "fan_convector", "other"),
        "height_mm": st.just(600),
        "length_mm": st.just(1000),
        "rated_output_w": between(800, 8000, 0),
        "exponent": between(1.05, 1.5),
    }
)
HEATED_FLOORS = st.fixed_dictionaries(
    {
        "type": st.just("underfloor"),
        "heated_area_m2": between(2, 20, 1),
        "pipe_spacing_mm": one(100, 150, 200, 300),
        "covering": one("tile", "thin_carpet", "laminate"),
        "covering_resistance_m2k_w": between(0, 0.15),
        "screed_over_pipe_mm": between(30, 80, 0),
        "insulation_below_m2k_w": between(0.5, 5, 1),
        "below": one("ground", "heated", "outside"),
    }
)
EMITTERS = st.one_of(PANELS, PANELS, RATED, HEATED_FLOORS)
UNITS = st.tuples(between(2, 16, 1), between(2.5, 4.5, 1)).map(
    lambda drawn: [
        {
            "outside_c": outside,
            "flow_c": flow,
            "capacity_kw": round(drawn[0] * (1 + 0.02 * outside), 2),
            "cop": round(drawn[1] * (1 + 0.03 * outside) * 35 / flow, 2),
            "least_kw": 1.5,
        }
        for outside in (-15, -7, 2, 7, 12)
        for flow in (35, 45, 55, 65)
    ]
)

METHODS = (
    "thermal_bridges",
    "ground_convention",
    "ground_kind",
    "ground_water",
    "default_tables",
    "separate_neighbour",
    "ventilation_method",
    "ventilation_age",
    "air_heat",
    "room_temperatures",
)


def _survey(draw: Draw, area_m2: float, edge_m: float, uses: set[str]) -> Fields:
    record = {
        "id": "survey",
        "household_name": "Test household",
        "postcode": draw(one("LS40 0VK", "KW15 1VK", "N1 9VK", "TD1 1VK")),
        "visit_date": "2026-03-12",
        "nation": draw(choices("survey", "nation")),
        "age_band": draw(one(*"ABCDEFGHIJ")),
        "bedrooms": draw(st.integers(1, 4)),
        "occupants": 3,
        "ground_floor_area_m2": round(area_m2, 1),
        "exposed_perimeter_m": round(edge_m, 1),
        "outside_design_temperature_c": draw(between(-15, 2, 1)),
        "sheltered_sides": draw(st.integers(0, 4)),
        "recovery_efficiency_pct": draw(st.integers(0, 95)),
        **{name: draw(choices("survey", name)) for name in METHODS},
    }
    if record["ventilation_method"] == "mechanical":
        if uses & SUPPLIED and uses & EXTRACTED:
            record["mechanical_flow_m3_h"] = draw(between(60, 300, 0))
        else:
            record["ventilation_method"] = "room_table"
    if draw(st.booleans()):
        record["air_permeability_m3_hm2"] = draw(between(1, 15, 1))
    # The table of these nations ends with a band, and a band is there or not.
    if record["nation"] == "northern_ireland" and record["age_band"] == "J":
        record["age_band"] = "I"
    return record


def _beyond(draw: Draw, has_space: bool) -> Fields:
    kind = draw(one("outside", "outside", "neighbour", "unheated", *(["space"] if has_space else [])))
    if kind == "outside":
        return {"other_side": "outside", "construction": draw(one("wall", "other-wall"))}
    if kind == "neighbour":
        return {"other_side": "neighbour", "construction": "party"}
    if kind == "space":
        return {"other_side": "unheated", "space": "garage", "construction": "other-wall"}
    space = draw(one("one_outside_wall", "two_outside_walls_door", "corridor"))
    return {"other_side": "unheated", "unheated_space": space, "construction": "other-wall"}


def _floor(draw: Draw) -> Fields:
    kind = draw(one("ground", "ground", "outside", "unheated"))
    if kind == "ground":
        return {"element": "ground_floor", "construction": "ground", "other_side": "ground"}
    fields = {"element": "floor", "construction": "over-air", "other_side": kind}
    return fields | (
        {"unheated_space": "basement_no_openings", "construction": "between"} if kind == "unheated" else {}
    )


def _ceiling(draw: Draw) -> Fields:
    if draw(st.booleans()):
        return {"element": "ceiling", "construction": "top", "other_side": "outside"}
    space = draw(one("loft_felted", "loft_open_tiles"))
    return {
        "element": "ceiling",
        "construction": "loft-floor",
        "other_side": "unheated",
        "unheated_space": space,
    }


class _Plan:
    """The rooms of a house being drawn, and their surfaces."""

    def __init__(self, draw: Draw, has_space: bool):
        self.draw, self.has_space = draw, has_space
        self.rooms: list[Fields] = []
        self.surfaces: list[Fields] = []
        self.emitters: list[Fields] = []

    def surface(self, room: str, side: str, **fields: Any) -> str:
        """Add a side of a room, as large as the room is there."""
        name = f"{room}-{side}"
        self.surfaces.append({"id": name, "room": room, "side": side, **fields})
        return name

    def openings(self, wall: str, room: str, length_m: float) -> None:
        """Add a window, and at times a door, to a wall that faces outside."""
        draw = self.draw
        if draw(st.booleans()):
            self.surfaces.append(
                {
                    "id": f"{wall}-pane",
                    "room": room,
                    "element": "window",
                    "construction": "window",
                    "opening_in": wall,
                    "width_m": draw(between(0.3, min(1.0, length_m / 3))),
                    "height_m": draw(between(0.4, 1.4)),
                    "count": draw(st.integers(1, 2)),
                }
            )
        if draw(one(False, False, True)):
            self.surfaces.append(
                {
                    "id": f"{wall}-door",
                    "room": room,
                    "element": "door",
                    "construction": "door",
                    "opening_in": wall,
                    "width_m": 0.6,
                    "height_m": 1.9,
                }
            )

    def told(self, one_room: str, one_side: str, other: str, other_side: str, construction: str) -> None:
        """Add what lies between two rooms, told from either of them."""
        element = {"floor": "floor", "ceiling": "ceiling"}
        room, side, beyond = self.draw(one((one_room, one_side, other), (other, other_side, one_room)))
        self.surface(
            room,
            side,
            element=element.get(side, "partition"),
            construction=construction,
            other_side="room",
            other_room=beyond,
        )


@st.composite
def drawn_houses(draw: Draw) -> Document:
    """A house of one to six rooms, every figure of it within what one meets."""
    count, storeys = draw(st.integers(1, 3)), draw(st.integers(1, 2))
    lengths = [draw(between(2, 6, 1)) for _ in range(count)]
    width = draw(between(2.5, 5, 1))
    has_space = draw(one(False, False, True))
    plan = _Plan(draw, has_space)
    for storey in range(storeys):
        height = draw(between(2.1, 3, 2))
        for place, length in enumerate(lengths):
            name = f"room-{storey}-{place}"
            room = {
                "id": name,
                "name": f"Room {storey} {place}",
                "storey": ("ground", "first")[storey],
                "use": draw(one(*USES)),
                "length_m": length,
                "width_m": width,
                "height_m": height,
            }
            if draw(st.booleans()):
                room["inside_temperature_c"] = draw(between(14, 25, 1))
            if draw(one(False, False, True)):
                room["air_changes_h"] = draw(between(0.2, 4, 1))
            room |= {field: True for field in ("open_chimney", "extract_fan") if draw(one(False, False, True))}
            if draw(one(False, False, False, True)):
                room["bridges"] = [
                    {"where": "Edge", "length_m": draw(between(1, 20, 1)), "psi_w_mk": draw(between(0, 0.3))}
                ]
            plan.rooms.append(room)
            for side in ("front", "back"):
                beyond = _beyond(draw, has_space)
                wall = plan.surface(name, side, element="wall", **beyond)
                if beyond["other_side"] == "outside":
                    plan.openings(wall, name, length)
            if place == 0:
                plan.surface(name, "left", element="wall", **_beyond(draw, has_space))
            else:
                plan.told(name, "left", f"room-{storey}-{place - 1}", "right", "inner")
            if place == count - 1:
                plan.surface(name, "right", element="wall", **_beyond(draw, has_space))
            if storey == 0:
                plan.surface(name, "floor", **_floor(draw))
            else:
                plan.told(name, "floor", f"room-0-{place}", "ceiling", "between")
            if storey == storeys - 1:
                plan.surface(name, "ceiling", **_ceiling(draw))
            for number in range(draw(one(1, 1, 2, 1, 2, 1, 2, 0))):
                plan.emitters.append({"id": f"{name}-e{number}", "room": name, **draw(EMITTERS)})
    edge = draw(between(4, 2 * (sum(lengths) + width), 1))
    used = {surface["construction"] for surface in plan.surfaces}
    constructions = [
        {"id": name, "name": name.capitalize(), "element": element, **draw(known)}
        for name, (element, known) in CONSTRUCTIONS.items()
        if name in used
    ]
    if any(item["id"] == "ground" and item["known_by"] != "look" for item in constructions):
        below = draw(one("slab", "void"))
        for surface in plan.surfaces:
            surface |= {"below": below} if surface["construction"] == "ground" else {}
    records = {
        "survey": [_survey(draw, sum(lengths) * width, edge, {room["use"] for room in plan.rooms})],
        "construction": constructions,
        "room": plan.rooms,
        "surface": plan.surfaces,
        "emitter": plan.emitters,
        "design": [
            {
                "id": "design",
                "flow_temperature_c": draw(st.integers(35, 60)),
                "flow_return_difference_k": draw(st.integers(4, 10)),
            }
        ],
        "unit": [{"id": "unit-0", "name": "Unit", "points": draw(UNITS)}],
    }
    if has_space:
        records["unheated_space"] = [
            {
                "id": "garage",
                "name": "Garage",
                "volume_m3": draw(between(10, 80, 1)),
                "tightness": draw(choices("unheated_space", "tightness")),
                "faces": [
                    {"face": draw(one("wall_half_brick", "roof_tiles")), "area_m2": draw(between(5, 40, 1))},
                    {"face": "door", "area_m2": 2.0},
                ],
            }
        ]
    return Document(format="wattwalk-survey", version=DOCUMENT_VERSION, id="drawn-house", records=records)


@cache
def _samples() -> dict[str, Document]:
    demo = demo_house()
    # Its photos get their hashes when their pictures are drawn, and no figure hangs on them.
    del demo["records"]["photo"]
    return {item["id"]: Document(item) for item in (demo, terrace(3) | {"id": "terrace"})}


def houses() -> st.SearchStrategy[Document]:
    """Return a strategy for whole houses: drawn ones, and now and then one of the sample houses."""
    samples = st.sampled_from(sorted(_samples())).map(lambda name: copy.deepcopy(_samples()[name]))
    return st.one_of(drawn_houses(), drawn_houses(), drawn_houses(), drawn_houses(), samples)
