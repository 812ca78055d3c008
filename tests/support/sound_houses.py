"""Ten sound houses of different shapes: nothing about their sizes is odd, however differently they are built."""

from __future__ import annotations

from tests.support.plans import Document, Plan, drawn, room

TERRACE = Plan(
    "terrace",
    {"ground": 2.7, "first": 2.6},
    {
        "ground": [
            room("living", "living", 0, 0, 3.4, 3.8),
            room("hall", "hall", 3.4, 0, 1.0, 7.2),
            room("dining", "dining", 0, 3.8, 3.4, 3.4),
            room("kitchen", "kitchen", 0, 7.2, 4.4, 3.2),
        ],
        "first": [
            room("bedroom-1", "bedroom", 0, 0, 4.4, 3.8),
            room("bedroom-2", "bedroom", 0, 3.8, 3.4, 3.4),
            room("landing", "hall", 3.4, 3.8, 1.0, 3.4),
            room("bathroom", "bathroom", 0, 7.2, 4.4, 3.2),
        ],
    },
    neighbours=("left", "right"),
    survey={"dwelling": "mid_terrace", "age_band": "B"},
    constructions={"wall": {"look": "wall_solid_brick"}, "ground": {"look": "floor_suspended"}},
)

L_SHAPED = Plan(
    "l-shaped",
    {"ground": 2.4, "first": 2.4},
    {
        "ground": [
            room("living", "living", 0, 0, 5.5, 4.5),
            room("hall", "hall", 5.5, 0, 2.4, 4.5),
            room("study", "study", 7.9, 0, 3.1, 4.5),
            room("kitchen", "kitchen_dining", 0, 4.5, 5.5, 6.0),
        ],
        "first": [
            room("bedroom-1", "bedroom", 0, 0, 4.2, 4.5),
            room("bedroom-2", "bedroom", 4.2, 0, 3.7, 4.5),
            room("bathroom", "bathroom", 7.9, 0, 3.1, 2.4),
            room("bedroom-3", "bedroom", 7.9, 2.4, 3.1, 2.1),
            room("bedroom-4", "bedroom", 0, 4.5, 5.5, 6.0),
        ],
    },
    survey={"dwelling": "detached", "age_band": "H"},
    constructions={"wall": {"look": "wall_cavity"}},
)

BUNGALOW = Plan(
    "bungalow",
    {"ground": 2.4},
    {
        "ground": [
            room("living", "living", 0, 0, 5.2, 4.0),
            room("hall", "hall", 5.2, 0, 1.3, 8.0),
            room("bedroom-1", "bedroom", 6.5, 0, 4.0, 3.6),
            room("bedroom-2", "bedroom", 6.5, 3.6, 4.0, 2.4),
            room("bathroom", "bathroom", 6.5, 6.0, 4.0, 2.0),
            room("kitchen", "kitchen", 0, 4.0, 3.2, 4.0),
            room("dining", "dining", 3.2, 4.0, 2.0, 4.0),
        ]
    },
    survey={"dwelling": "bungalow", "age_band": "E"},
    constructions={"top": {"insulation_mm": 270}},
)

FLAT = Plan(
    "flat",
    {"first": 2.5},
    {
        "first": [
            room("living", "kitchen_dining", 0, 0, 4.8, 5.0),
            room("bedroom", "bedroom", 4.8, 0, 3.4, 3.2),
            room("hall", "hall", 4.8, 3.2, 1.6, 1.8),
            room("bathroom", "bathroom", 6.4, 3.2, 1.8, 1.8),
        ]
    },
    neighbours=("left", "right"),
    flat_between=("first",),
    survey={"dwelling": "flat", "age_band": "K", "bedrooms": 1},
    constructions={"wall": {"look": "wall_cavity"}},
)

ROOM_IN_ROOF = Plan(
    "room-in-the-roof",
    {"ground": 2.4, "first": 2.3, "loft": 2.0},
    {
        "ground": [
            room("living", "living", 0, 0, 4.0, 4.0),
            room("hall", "hall", 4.0, 0, 2.0, 4.0),
            room("kitchen", "kitchen", 0, 4.0, 6.0, 3.6),
        ],
        "first": [
            room("bedroom-1", "bedroom", 0, 0, 4.0, 4.0),
            room("landing", "hall", 4.0, 0, 2.0, 4.0),
            room("bedroom-2", "bedroom", 0, 4.0, 3.6, 3.6),
            room("bathroom", "bathroom", 3.6, 4.0, 2.4, 3.6),
        ],
        "loft": [room("attic", "bedroom", 0, 1.5, 6.0, 4.6)],
    },
    neighbours=("left",),
    survey={"dwelling": "semi_detached", "age_band": "D"},
)

WITH_EXTENSION = Plan(
    "with-extension",
    {"ground": 2.5, "first": 2.4},
    {
        "ground": [
            room("living", "living", 0, 0, 3.8, 4.0),
            room("hall", "hall", 3.8, 0, 2.0, 4.0),
            room("dining", "dining", 0, 4.0, 5.8, 3.4),
            # Single-storey, across the whole back.
            room("garden-room", "kitchen_dining", 0, 7.4, 5.8, 4.2),
            room("utility", "utility", 5.8, 1.0, 2.0, 3.0),
        ],
        "first": [
            room("bedroom-1", "bedroom", 0, 0, 3.8, 4.0),
            room("landing", "hall", 3.8, 0, 2.0, 4.0),
            room("bedroom-2", "bedroom", 0, 4.0, 3.4, 3.4),
            room("bathroom", "bathroom", 3.4, 4.0, 2.4, 3.4),
        ],
    },
    survey={"dwelling": "detached", "age_band": "C"},
)

TOWN_HOUSE = Plan(
    "town-house",
    {"basement": 2.3, "ground": 3.4, "first": 3.2, "second": 2.6},
    {
        "basement": [room("kitchen", "kitchen", 0, 0, 5.2, 4.8), room("utility", "utility", 0, 4.8, 5.2, 4.2)],
        "ground": [
            room("hall", "hall", 3.6, 0, 1.6, 9.0),
            room("dining", "dining", 0, 0, 3.6, 4.8),
            room("study", "study", 0, 4.8, 3.6, 4.2),
        ],
        "first": [
            room("drawing-room", "living", 0, 0, 5.2, 4.8),
            room("landing", "hall", 3.6, 4.8, 1.6, 4.2),
            room("bedroom-1", "bedroom", 0, 4.8, 3.6, 4.2),
        ],
        "second": [
            room("bedroom-2", "bedroom", 0, 0, 5.2, 4.8),
            room("upper-landing", "hall", 3.6, 4.8, 1.6, 4.2),
            room("bathroom", "bathroom", 0, 4.8, 3.6, 4.2),
        ],
    },
    neighbours=("left", "right"),
    survey={"dwelling": "mid_terrace", "age_band": "A", "bedrooms": 2},
    constructions={
        "wall": {"look": "wall_solid_brick", "thickness_mm": 340},
        "window": {"look": "window_single"},
        "top": {"insulation_mm": 50},
    },
)

BARN = Plan(
    "barn",
    {"ground": 2.6, "first": 2.4},
    {
        "ground": [
            room("great-room", "living", 0, 0, 14.0, 6.5, height_m=4.8),
            room("bedroom-1", "bedroom", 14.0, 0, 4.0, 3.5),
            room("bathroom", "bathroom", 14.0, 3.5, 4.0, 3.0),
        ],
        "first": [room("gallery", "bedroom", 14.0, 0, 4.0, 6.5)],
    },
    survey={"dwelling": "detached", "age_band": "A", "bedrooms": 2},
    constructions={
        "wall": {"look": "wall_stone_sandstone", "thickness_mm": 550},
        "top": {"look": "roof_rafters", "insulation_mm": 150, "element": "ceiling"},
    },
    # The great room is open to the roof, so the gallery's wall stands in it.
    instead={
        "gallery-left-out": {
            "element": "partition",
            "construction": "inner",
            "other_side": "room",
            "other_room": "great-room",
        }
    },
)

CELLAR_AND_GARAGE = Plan(
    "cellar-and-garage",
    {"ground": 2.5, "first": 2.4},
    {
        "ground": [
            room("living", "living", 0, 0, 4.2, 4.2),
            room("hall", "hall", 4.2, 0, 1.8, 4.2),
            room("kitchen", "kitchen_dining", 0, 4.2, 6.0, 3.6),
        ],
        "first": [
            room("bedroom-1", "bedroom", 0, 0, 4.2, 4.2),
            room("landing", "hall", 4.2, 0, 1.8, 4.2),
            room("bedroom-2", "bedroom", 0, 4.2, 3.4, 3.6),
            room("bathroom", "bathroom", 3.4, 4.2, 2.6, 3.6),
            # Over the garage.
            room("bedroom-3", "bedroom", 6.0, 0, 3.0, 5.4),
        ],
    },
    unheated={"ground": [room("garage", "store", 6.0, 0, 3.0, 5.4)]},
    survey={"dwelling": "detached", "age_band": "D"},
    constructions={"ground": {"look": "floor_cellar", "depth_m": 2.0}},
)

NEW_HOUSE = Plan(
    "new-house",
    {"ground": 2.4, "first": 2.4},
    {
        "ground": [
            room("living", "kitchen_dining", 0, 0, 5.4, 8.4),
            room("hall", "hall", 5.4, 0, 2.2, 5.0),
            room("cloakroom", "toilet", 5.4, 5.0, 2.2, 1.4),
            room("plant", "utility", 5.4, 6.4, 2.2, 2.0),
        ],
        "first": [
            room("bedroom-1", "bedroom_en_suite", 0, 0, 5.4, 3.6),
            room("landing", "hall", 5.4, 0, 2.2, 4.2),
            room("bathroom", "bathroom", 5.4, 4.2, 2.2, 4.2),
            room("bedroom-2", "bedroom", 0, 3.6, 5.4, 4.8),
        ],
    },
    neighbours=("right",),
    survey={"dwelling": "end_terrace", "age_band": "L", "ventilation_age": "after_2006"},
    constructions={
        "wall": {"look": "wall_timber_frame"},
        "top": {"insulation_mm": 400},
        "door": {"known_by": "declared", "u_value_w_m2k": 1.2},
    },
)

PLANS = (
    TERRACE,
    L_SHAPED,
    BUNGALOW,
    FLAT,
    ROOM_IN_ROOF,
    WITH_EXTENSION,
    TOWN_HOUSE,
    BARN,
    CELLAR_AND_GARAGE,
    NEW_HOUSE,
)


def sound_houses() -> dict[str, Document]:
    """Return the ten houses as survey documents by their names."""
    return {plan.name: drawn(plan) for plan in PLANS}
