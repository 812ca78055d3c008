"""A small invented house and an assessment of it written by hand, for tests of drawings and reports.

The figures are chosen for the drawing, not worked out: what the engine says of a real survey is tested elsewhere.
"""

from __future__ import annotations

from dataclasses import replace

from wattwalk.engine.answers import (
    Assessment,
    BaseAssessment,
    BaseFoot,
    BasePoint,
    BuildingLoss,
    CableAssessment,
    Climate,
    ConstructionValue,
    EmitterOutput,
    Finding,
    FlowCandidate,
    FlowTemperature,
    PlantAssessment,
    RoomAssessment,
    Severity,
    SiteAssessment,
    Source,
    Step,
    SurfaceLoss,
    VentilationLoss,
    Verdict,
)
from wattwalk.engine.codes import declared
from wattwalk.survey.document import Survey, read_document

#: Nothing was said of unit, hot water and cost, or of the site.
NO_PLANT = PlantAssessment(
    load_kw=None, units=(), day_parts=(), scop_35=None, scop_55=None, steps=(), hot_water=None, cost=None
)
NO_SITE = SiteAssessment(zones=(), noise=(), circuit=None, runs=(), heat=(), bases=(), supply=None)


def surface(room: str, number: int, loss_w: float, words: str = "Outside wall, front side") -> SurfaceLoss:
    """One surface with a consistent set of figures: 10 m² through 22 K."""
    u_value = round(loss_w / (10.0 * 22.0) - 0.1, 3)
    return SurfaceLoss(
        f"{room}-s{number}",
        room,
        words,
        "wall",
        "outside",
        "wall",
        12.0,
        2.0,
        10.0,
        u_value,
        0.1,
        1.0,
        22.0,
        loss_w,
        "en_12831_2017",
    )


def emitter(name: str, output_w: float | None, *, counts: bool = True) -> EmitterOutput:
    """One radiator."""
    step = Step(
        "Output at the design flow temperature",
        "Φ = Φ50 · (ΔT/50)^n",
        "1,720 · (22.5/50)^1.33",
        output_w or 0.0,
        "W",
        "en_442_2_2014",
    )
    return EmitterOutput(
        name,
        "panel_22",
        "Double panel, two convectors (type 22), 600 × 1000 mm",
        counts,
        1720.0,
        1.33,
        22.5,
        output_w,
        () if output_w is not None else ("its length",),
        (step,) if output_w is not None else (),
        "en_442_2_2014",
    )


def room(
    name: str, total_w: float | None, output_w: float | None, storey: str = "ground", lowest_c: float | None = 42.0
) -> RoomAssessment:
    """One room; ``total_w`` or ``output_w`` of None is a room not known."""
    key = name.lower().replace(" ", "-")
    if total_w is None or output_w is None:
        verdict, margin = Verdict.NOT_KNOWN, None
    elif output_w == 0:
        verdict, margin = Verdict.NO_EMITTER, -total_w
    else:
        margin = output_w - total_w
        verdict = Verdict.ENOUGH if margin >= 0 else Verdict.SHORT
    known = total_w is not None
    fabric = total_w * 0.6 if known else None
    air = (
        VentilationLoss(1.5, 40.0, 0.33, 22.0, round(total_w * 0.4, 1), "living room, before 2000", "uk_practice")
        if known
        else None
    )
    return RoomAssessment(
        key,
        name,
        storey,
        21.0,
        "usual for a living room",
        16.0,
        40.0,
        (surface(key, 1, round(fabric, 1)),) if known else (),
        air,
        fabric,
        total_w,
        (emitter(f"{key}-e1", output_w),) if output_w != 0 else (),
        output_w,
        margin,
        verdict,
        lowest_c if known else None,
        () if known else ("the width of the room",),
    )


def base(slope_x: float = 5.0, slope_y: float = 2.0) -> BaseAssessment:
    """A slab of 1,200 by 600 mm on a fitted plane, with nine readings and four feet."""
    points = []
    for place, (x, y) in enumerate((x, y) for y in (50.0, 300.0, 550.0) for x in (50.0, 600.0, 1150.0)):
        residual = 0.4 if place % 2 else -0.3
        points.append(
            BasePoint(f"r{place}", x, y, round((slope_x * x + slope_y * y) / 1000 + 1 + residual, 1), residual)
        )
    feet = []
    for name, x, y in (
        ("wall right", 200.0, 120.0),
        ("wall left", 1000.0, 120.0),
        ("front right", 200.0, 480.0),
        ("front left", 1000.0, 480.0),
    ):
        height = (slope_x * x + slope_y * y) / 1000 + 1
        top = (slope_x * 1000 + slope_y * 480) / 1000 + 1
        feet.append(BaseFoot(name, x, y, round(height, 1), round(top - height)))
    return BaseAssessment(
        "base1",
        "Slab by the kitchen wall",
        1200.0,
        600.0,
        tuple(points),
        slope_x,
        slope_y,
        5.4,
        6.5,
        "wall right",
        0.4,
        tuple(feet),
        (),
        (Step("Fall", "√(a² + b²)", "√(5.0² + 2.0²)", 5.4, "mm/m", "least_squares"),),
        "least_squares",
    )


FINDINGS = declared(
    (
        Finding(
            Severity.STOP,
            "in_protective_zone",
            "nearby_object/airbrick",
            "remedy_done",
            "An air brick lies inside the protective zone of the outdoor unit.",
            "Close it off and give the floor another vent, or move the unit; then tick that it is done.",
            "common practice, no source",
        ),
        Finding(
            Severity.CHECK,
            "base_falls_a_little",
            "base/base1",
            None,
            "The base falls 6.5 mm from one side to the other.",
            "Pack each foot over its whole area with solid packing as listed.",
            "common practice, no source",
        ),
        Finding(
            Severity.NOTE,
            "open_chimney",
            "room/kitchen",
            "air_changes_h",
            "The air changes are the usual ones for rooms of this age.",
            "",
            "from memory",
        ),
    )
)

SOURCES = (
    Source(
        "en_12831_2017",
        "Energy performance of buildings: method for the design heat load",
        "EN 12831-1:2017",
        "6.3",
        "from memory",
    ),
    Source(
        "en_442_2_2014",
        "Radiators and convectors: test methods and rating",
        "EN 442-2:2014",
        "formula of the characteristic",
        "published",
    ),
    Source("uk_practice", "Air changes and heat content of air", "usual UK practice", "", "common practice"),
    Source("least_squares", "Plane of least squares through the readings", "", "", "common practice"),
)


def assessment(rooms: tuple[RoomAssessment, ...] | None = None) -> Assessment:
    """The whole house."""
    rooms = (
        rooms
        if rooms is not None
        else (
            room("Living room", 1240.0, 1450.0, lowest_c=41.3),
            room("Kitchen", 980.0, 660.0, lowest_c=52.4),
            room("Hall", 520.0, 0.0, lowest_c=None),
            room("Bedroom over the porch", 610.0, 612.0, "first", lowest_c=44.9),
            room("Bathroom", 480.0, 520.0, "first", lowest_c=43.7),
            room("Box room", None, 300.0, "first"),
        )
    )
    known = [item.total_w for item in rooms if item.total_w is not None]
    missing = tuple(item.id for item in rooms if item.total_w is None)
    total = float(sum(known))
    building = BuildingLoss(
        None if missing else total,
        total,
        total * 0.45,
        total * 0.08,
        total * 0.07,
        0.0,
        0.0,
        total * 0.4,
        None if missing else total,
        84.0,
        None if missing else round(total / 84, 1),
        None if missing else round(total / 22, 1),
        missing,
    )
    candidates = tuple(
        FlowCandidate(float(flow), short, 3000.0 + flow)
        for flow, short in ((30, 6), (35, 5), (40, 4), (45, 2), (50, 2), (55, 1), (60, 0), (65, 0))
    )
    flow = FlowTemperature(
        45.0,
        5.0,
        "the firm's usual aim",
        57.3,
        rooms[0].id if rooms else None,
        candidates,
        "From 57.3 °C every room is served.",
        "en_442_2_2014",
    )
    outside = Step("Height above the station", "θ = θ0 − 0.006 · h", "−1.7 − 0.006 · 60", -2.1, "°C", "en_12831_2017")
    wall = ConstructionValue(
        "wall",
        "Outside walls",
        "wall",
        1.5,
        "Cavity wall, empty, 1930 to 1949",
        "rdsap_10",
        (Step("U-value by age and look", "table", "band C, cavity wall", 1.5, "W/m²K", "rdsap_10"),),
    )
    return Assessment(
        "0.1.0",
        "survey",
        Climate(-2.1, 10.2, "Birmingham, 60 m higher", (outside,)),
        (wall,),
        rooms,
        building,
        flow,
        (base(),),
        (CableAssessment("bus1", "bus", "Bus cable to the outdoor unit", 11.5, "electrician", "fine", ()),),
        FINDINGS,
        ("Winter loss into the ground: annual mean ground temperature, usual UK practice.",),
        SOURCES,
        NO_SITE,
        plant=NO_PLANT,
    )


def complete_assessment() -> Assessment:
    """The house with every room known and served."""
    served = tuple(
        room(name, loss, loss + 60, storey)
        for name, loss, storey in (
            ("Living room", 1240.0, "ground"),
            ("Kitchen", 980.0, "ground"),
            ("Bedroom", 610.0, "first"),
        )
    )
    made = assessment(served)
    return replace(made, findings=(), flow=replace(made.flow, lowest_c=43.2, set_by_room="kitchen"))


def document() -> dict:
    """A survey document that the assessment above could belong to."""
    return {
        "format": "wattwalk-survey",
        "version": 1,
        "id": "survey-1",
        "records": {
            "survey": [
                {
                    "id": "survey",
                    "reference": "INV-014",
                    "household_name": "Mr and Mrs Inventold",
                    "address": "3 Madeup Lane, Nowhere Green",
                    "postcode": "ZZ1 1ZV",
                    "contact_email": "inventold@household.example",
                    "visit_date": "2026-03-31",
                    "surveyor": "A. Surveyor",
                    "dwelling": "semi_detached",
                    "age_band": "C",
                    "bedrooms": 3,
                    "occupants": 4,
                    "existing_deposit": "500.00",
                    "aims": "Warm bedrooms, and no noise at the patio.",
                }
            ],
            "construction": [
                {"id": "wall", "name": "Outside walls", "element": "wall", "known_by": "look", "look": "wall_cavity"}
            ],
            "room": [
                {
                    "id": "living-room",
                    "name": "Living room",
                    "storey": "ground",
                    "use": "living",
                    "length_m": 4.2,
                    "width_m": 3.8,
                    "height_m": 2.4,
                },
                {
                    "id": "kitchen",
                    "name": "Kitchen",
                    "storey": "ground",
                    "use": "kitchen",
                    "length_m": 3.6,
                    "width_m": 3.0,
                    "height_m": 2.4,
                },
            ],
            "surface": [
                {
                    "id": "living-room-s1",
                    "room": "living-room",
                    "element": "wall",
                    "side": "front",
                    "construction": "wall",
                    "width_m": 4.2,
                    "height_m": 2.4,
                    "other_side": "outside",
                },
            ],
            "emitter": [
                {
                    "id": "living-room-e1",
                    "room": "living-room",
                    "type": "panel_22",
                    "plan": "keep",
                    "height_mm": 600,
                    "length_mm": 1000,
                },
                {
                    "id": "kitchen-e1",
                    "room": "kitchen",
                    "type": "panel_11",
                    "plan": "replace",
                    "height_mm": 600,
                    "length_mm": 800,
                },
                {
                    "id": "kitchen-e2",
                    "room": "kitchen",
                    "type": "panel_22",
                    "plan": "new",
                    "height_mm": 600,
                    "length_mm": 1200,
                },
            ],
            "hot_water": [
                {
                    "id": "hw",
                    "baths": 1,
                    "showers": 1,
                    "new_place": "Airing cupboard",
                    "place_width_mm": 720,
                    "place_depth_mm": 700,
                    "place_height_mm": 2100,
                    "floor_can_carry": True,
                }
            ],
            "supply": [
                {
                    "id": "supply",
                    "main_fuse_a": 80,
                    "phases": "one",
                    "earthing": "tn_c_s",
                    "cut_out_condition": "good",
                    "spare_ways": 2,
                }
            ],
            "pipe_run": [
                {
                    "id": "primary",
                    "name": "Unit to cylinder",
                    "purpose": "primary",
                    "start": "Outdoor unit",
                    "end": "Airing cupboard",
                    "material": "copper",
                    "size_mm": 28,
                    "stretches": [
                        {"place": "outdoors", "length_m": 1.5},
                        {"place": "void", "length_m": 7},
                        {"place": "heated", "length_m": 2},
                    ],
                    "insulation": "closed_cell",
                    "insulation_mm": 19,
                    "constraint": "finished_floor",
                    "other_route_agreed": "Along the skirting, boxed in",
                }
            ],
            "cable_run": [
                {
                    "id": "bus1",
                    "purpose": "bus",
                    "cores": 2,
                    "is_screened": True,
                    "stretches": [{"place": "void", "length_m": 11.5}],
                    "run_by": "electrician",
                    "gap_to_mains_mm": 300,
                },
            ],
            "outdoor_position": [
                {
                    "id": "place1",
                    "name": "Back wall by the kitchen",
                    "wall_faced": "house_wall",
                    "reflecting_surfaces": "two",
                    "refrigerant": "r290",
                    "heavy_side": "right",
                    "unit_mass_kg": 120,
                    "condensate_route": "gravel",
                    "neighbour_distance_m": 7.5,
                }
            ],
            "nearby_object": [
                {
                    "id": "airbrick",
                    "position": "place1",
                    "type": "air_brick",
                    "along_m": -0.6,
                    "out_m": 0,
                    "up_m": 0.2,
                    "remedy": "close_off",
                    "remedy_done": False,
                },
                {"id": "window", "position": "place1", "type": "window", "along_m": 2.4, "out_m": 0, "up_m": 1.1},
            ],
            "base": [
                {
                    "id": "base1",
                    "position": "place1",
                    "name": "Slab by the kitchen wall",
                    "made_of": "concrete",
                    "length_mm": 1200,
                    "width_mm": 600,
                }
            ],
            "level_reading": [
                {"id": f"r{n}", "base": "base1", "x_mm": x, "y_mm": y, "reading_mm": r}
                for n, (x, y, r) in enumerate(((50, 50, 214), (1150, 50, 208.5), (600, 550, 210)))
            ],
            "design": [
                {
                    "id": "design",
                    "flow_temperature_c": 45,
                    "unit_name": "Air-source unit of 5 kW",
                    "unit_capacity_kw": 5.1,
                    "cylinder_name": "Cylinder of 210 l",
                    "cylinder_l": 208,
                }
            ],
            "price_line": [
                {
                    "id": "p1",
                    "what": "Outdoor unit of 5 kW",
                    "part_of": "unit",
                    "quantity": 1,
                    "unit_price": "3150.00",
                    "vat_rate": "0",
                },
                {
                    "id": "p2",
                    "what": "Radiator type 22, 600 × 1200 mm",
                    "part_of": "emitters",
                    "quantity": 1,
                    "unit_price": "184.35",
                    "vat_rate": "0",
                    "drawn_from": "kitchen-e2",
                },
                {
                    "id": "p3",
                    "what": "Repair of the garden path",
                    "part_of": "base",
                    "quantity": 2.5,
                    "unit": "m",
                    "unit_price": "40.01",
                    "vat_rate": "20",
                },
                {
                    "id": "p4",
                    "what": "Grant for a heat pump",
                    "part_of": "other",
                    "quantity": 1,
                    "unit_price": "1000.00",
                    "is_credit": "grant",
                    "vat_rate": "0",
                },
            ],
            "scope_item": [
                {
                    "id": "w1",
                    "trade": "builder",
                    "what": "Close the air brick beside the unit",
                    "specification": "Fill and render to match; new vent 1.5 m further left.",
                    "why": "It lies inside the protective zone.",
                    "needed_by": "2026-04-20",
                    "drawn_from": "airbrick",
                },
                {
                    "id": "w2",
                    "trade": "electrician",
                    "what": "Run the bus cable",
                    "specification": "Two cores, screened, 300 mm from mains.",
                    "drawn_from": "bus1",
                },
            ],
            "photo": [
                {
                    "id": "ph1",
                    "of": "supply",
                    "category": "meter",
                    "caption": "Meter cupboard",
                    "sha256": "a" * 64,
                    "media_type": "image/jpeg",
                },
                {
                    "id": "ph2",
                    "of": "base1",
                    "category": "base",
                    "caption": "The slab",
                    "sha256": "b" * 64,
                    "media_type": "image/jpeg",
                },
            ],
            "hazard": [
                {
                    "id": "h1",
                    "type": "loft_boards",
                    "where": "Loft over the bathroom",
                    "what_to_do": "Step on joists only; bring boards.",
                }
            ],
            "note": [
                {"id": "n1", "words": "The side gate is 780 mm wide.", "audience": "household"},
                {"id": "n2", "words": "Quote before Easter.", "audience": "office"},
            ],
        },
    }


def survey() -> Survey:
    """The survey read from the document."""
    return read_document(document())
