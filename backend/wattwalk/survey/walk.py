"""The walk: its stages in order, what is expected at each, and the photos the job asks for."""

from __future__ import annotations

from .kinds import OFFICE_STAGE, AskedBy, Expectation, Stage
from .purposes import BASE, EMITTERS, EVIDENCE, HEAT_LOSS, HOT_WATER, ROUTES, SITING, SUPPLY

STAGES = (
    Stage("household", "Household and meter", "At the door: who lives here, the house, the meter cupboard."),
    Stage("constructions", "Usual constructions", "Two minutes that fill the whole house."),
    Stage("rooms", "Rooms", "Storey by storey: size, sides, emitters."),
    Stage("hot_water", "Hot water", "The cylinder cupboard."),
    Stage("outside", "Outside", "Where the unit stands, what is near, the base."),
    Stage("routes", "Pipes and cables", "How they get from the unit to the plant."),
    Stage("photos", "Photos", "What the job asks to see."),
    Stage("leaving", "Before you leave", "What stands against the job, then every gap on the way back."),
    Stage(OFFICE_STAGE, "Office", "Design, works by trade, price, report."),
)

EXPECTATIONS = (
    Expectation("survey", 1, HEAT_LOSS, "The household and the house", "Without it there is no report."),
    Expectation("supply", 1, SUPPLY, "The electricity supply", "Without it the supply check cannot be made."),
    Expectation(
        "construction", 1, HEAT_LOSS, "At least one usual construction", "Without one no surface has a U-value."
    ),
    Expectation("room", 1, HEAT_LOSS, "At least one room", "Without rooms there is no heat loss."),
    Expectation("emitter", 1, EMITTERS, "An emitter in the room", "Without one the room stays cold.", per="room"),
    Expectation("hot_water", 1, HOT_WATER, "Hot water", "Without it the cylinder cannot be chosen."),
    Expectation(
        "outdoor_position", 1, SITING, "A place for the outdoor unit", "Without it nothing outside can be checked."
    ),
    Expectation(
        "base",
        1,
        BASE,
        "A base for the position",
        "Without it a base out of level is found on the day the unit is lifted.",
        per="outdoor_position",
    ),
    Expectation(
        "level_reading",
        3,
        BASE,
        "Three level readings on the base",
        "Without three readings the base's fall is not known.",
        per="base",
        per_where=(("made_of", ("concrete", "slabs", "beams")),),
    ),
    Expectation(
        "pipe_run",
        1,
        ROUTES,
        "The pipe run from the unit to the house",
        "Without it the pipe day starts with a search.",
        where=(("purpose", "primary"),),
    ),
    Expectation(
        "cable_run",
        1,
        ROUTES,
        "The supply cable to the outdoor unit",
        "Without it the unit has no power on the day.",
        where=(("purpose", "supply"),),
    ),
    Expectation(
        "cable_run",
        1,
        ROUTES,
        "The bus cable to the outdoor unit",
        "Without it the unit and its controller cannot talk: the job stops.",
        where=(("purpose", "bus"),),
    ),
    *(
        Expectation(
            "photo",
            1,
            EVIDENCE,
            words,
            "Without it the office has to ask or come back.",
            where=(("category", category),),
        )
        for category, words in (
            ("meter", "Photo of the meter and main fuse"),
            ("consumer_unit", "Photo of the consumer unit"),
            ("present_heater", "Photo of the present heater"),
            ("cylinder_place", "Photo of the place of the cylinder"),
            ("outdoor_place", "Photo of the place of the outdoor unit"),
            ("base", "Photo of the base"),
            ("pipe_route", "Photo of the pipe route"),
        )
    ),
    Expectation(
        "photo",
        1,
        EVIDENCE,
        "Photo of the emitter",
        "With it the office can check its type and valves.",
        per="emitter",
        where=(("category", "emitter"),),
        per_where=(("plan", ("keep", "replace")),),
        link="of",
        is_wish=True,
    ),
)

#: A ground floor is worked out from the whole footprint, unless it has one of its own or papers that count the ground in.
_BY_THE_FOOTPRINT = (
    (("element", ("ground_floor",)), ("known_by", ("look", "layers"))),
    (("element", ("ground_floor",)), ("known_by", ("declared",)), ("declared_for", ("alone",))),
)

#: Fields that something else in the survey asks for.
ASKED_BY = (
    *(
        AskedBy(
            "survey",
            field,
            HEAT_LOSS,
            "Without it no ground floor known by its look or its layers has a U-value.",
            "construction",
            where,
            ("own_area_m2", "own_edge_m"),
        )
        for field in ("ground_floor_area_m2", "exposed_perimeter_m")
        for where in _BY_THE_FOOTPRINT
    ),
    AskedBy(
        "surface",
        "below",
        HEAT_LOSS,
        "Without it the floor is counted as a slab; over a void it loses more.",
        "construction",
        (("element", ("ground_floor",)), ("known_by", ("layers", "declared"))),
        link="construction",
    ),
)

#: Fields that need no answer of their own once another field of the record has one.
REPLACED_BY: dict[str, dict[str, tuple[str, ...]]] = {
    "survey": {"design_location": ("outside_design_temperature_c",)},
    "construction": {"frame_kind": ("frame_u_w_m2k",)},
    "room": {"length_m": ("floor_area_m2",), "width_m": ("floor_area_m2",)},
    "surface": {"width_m": ("area_m2",), "height_m": ("area_m2",), "unheated_space": ("space",)},
    "emitter": {
        "height_mm": ("rated_output_w",),
        "length_mm": ("rated_output_w",),
        "covering": ("covering_resistance_m2k_w", "declared_w_m2k"),
    },
}
