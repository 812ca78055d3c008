"""What the house is made of: rooms, surfaces, emitters."""

from __future__ import annotations

from dataclasses import dataclass

from .box import OPENINGS
from .constructions import ELEMENTS
from .fields import AT_OFFICE, Row, choice, integer, long_text, number, reference, rows, text, yes_no
from .kinds import Part, Record, record_kind
from .purposes import EMITTERS, HEAT_LOSS

ROOM_USES = (
    ("living", "Living room"),
    ("dining", "Dining room"),
    ("kitchen", "Kitchen"),
    ("kitchen_dining", "Kitchen with dining"),
    ("study", "Study"),
    ("bedroom", "Bedroom"),
    ("bedroom_en_suite", "Bedroom with en-suite"),
    ("bathroom", "Bathroom or shower"),
    ("toilet", "Toilet"),
    ("cloakroom", "Cloakroom with a WC"),
    ("hall", "Hall or landing"),
    ("utility", "Utility room"),
    ("store", "Store"),
)

STOREYS = (
    ("basement", "Basement"),
    ("ground", "Ground floor"),
    ("first", "First floor"),
    ("second", "Second floor"),
    ("loft", "Loft room"),
)


@dataclass
class BridgeRow:
    """One line along which heat passes: a corner, a sill, an edge of a floor."""

    where: str | None = text("Where", max_length=80)
    length_m: float | None = number("Length", unit="m", low=0.05, high=200, decimals=2)
    psi_w_mk: float | None = number(
        "Ψ", unit="W/mK", low=-0.5, high=2, decimals=3, help="From a catalogue of details or a calculation."
    )


#: The four walls of a room's box, as its sides are called.
WALL_SIDES = (
    ("front", "Front side"),
    ("right", "Right side"),
    ("back", "Back side"),
    ("left", "Left side"),
)


@dataclass
class FloorPartRow:
    """A part of the floor beside the room's box, or missing from it (``shape.py``)."""

    what: str | None = choice(
        "What",
        (
            ("corner", "A corner that is missing", "the room is an L"),
            ("rectangle", "Another rectangle", "an L, a T, an alcove"),
            ("bay", "A bay", "a bay window, square or splayed"),
        ),
        must=True,
    )
    where: str | None = choice(
        "Where",
        (
            *WALL_SIDES,
            ("front_left", "Front left corner"),
            ("front_right", "Front right corner"),
            ("back_right", "Back right corner"),
            ("back_left", "Back left corner"),
        ),
        must=True,
    )
    along_m: float | None = number(
        "Along the side",
        unit="m",
        low=0.05,
        high=60,
        decimals=2,
        must=True,
        help="Of a corner: along the front. Of a bay: its opening.",
    )
    depth_m: float | None = number("Deep", unit="m", low=0.05, high=60, decimals=2, must=True)
    outer_m: float | None = number(
        "Width of its front",
        unit="m",
        low=0,
        high=60,
        decimals=2,
        when={"what": "bay"},
        help="A square bay needs none.",
    )


@dataclass
class SlopeRow:
    """A ceiling that slopes down to one wall of the room (``shape.py``)."""

    side: str | None = choice("Down to which side", WALL_SIDES, must=True)
    low_m: float | None = number(
        "Wall below it", unit="m", low=0, high=12, decimals=2, must=True, help="0 where it comes down to the floor."
    )
    run_m: float | None = number(
        "Reaches into the room", unit="m", low=0.05, high=60, decimals=2, help="Level, on the floor."
    )
    slope_m: float | None = number(
        "Or its length upwards", unit="m", low=0.05, high=60, decimals=2, help="Along the plaster."
    )


@record_kind(
    "room",
    "Room",
    "Rooms",
    stage="rooms",
    part=Part("rooms", photo="room", in_options=True),
    title=("name",),
    groups=(
        ("what", "The room"),
        ("size", "Size"),
        ("shape", "Shape"),
        ("air", "Warmth and air"),
        ("seen", "What you see"),
    ),
    help="A room is a box: measure it, then say what is beyond each side.",
)
class Room(Record):
    """One heated room, as a box or as an area and a height."""

    name: str | None = text("Name", group="what", max_length=60, needed_for=HEAT_LOSS)
    storey: str | None = choice("Storey", STOREYS, group="what", default="ground", default_from="most rooms")
    use: str | None = choice(
        "Used as", ROOM_USES, group="what", needed_for=HEAT_LOSS, help="Sets the usual temperature and air changes."
    )
    extension: str | None = reference(
        "Part of the house",
        "extension",
        group="what",
        empty_means="Main house",
        help="Its age decides the usual U-values and air changes of the room.",
    )
    turn: str | None = choice(
        "Its front side looks to",
        (
            ("front", "The front of the house"),
            ("right", "The right of the house"),
            ("back", "The back of the house"),
            ("left", "The left of the house"),
        ),
        group="what",
        is_its_own=True,
        help="The front side is the wall you face first. Right and left as you stand indoors and face the front of the house. Leave it empty: the plan finds it from the walls, and asks where it cannot.",
    )
    length_m: float | None = number(
        "Length",
        unit="m",
        low=0.3,
        high=60,
        decimals=2,
        group="size",
        needed_for=HEAT_LOSS,
        fills=("width_m", "height_m"),
        help="Along the wall you face first.",
    )
    width_m: float | None = number("Width", unit="m", low=0.3, high=60, decimals=2, group="size", needed_for=HEAT_LOSS)
    height_m: float | None = number("Height", unit="m", low=1, high=12, decimals=2, group="size", needed_for=HEAT_LOSS)
    floor_area_m2: float | None = number(
        "Floor area, if the room is no box",
        unit="m²",
        low=0.2,
        high=1000,
        decimals=2,
        group="size",
        help="Takes the place of length × width for floor and ceiling. Walls keep the length and width.",
    )
    perimeter_m: float | None = number(
        "Length of its walls all round, if the room is no box",
        unit="m",
        low=0,
        high=200,
        decimals=2,
        group="size",
        help="Along every wall, inside ones too: it shows when one is missing. 0 under a roof without upright walls.",
    )
    floor_parts: list[Row] | None = rows(
        "Parts of the floor",
        FloorPartRow,
        group="shape",
        max_rows=12,
        help="The box is the longest length and width; say what is added to it or missing from it.",
    )
    slopes: list[Row] | None = rows(
        "Sloping ceilings",
        SlopeRow,
        group="shape",
        max_rows=4,
        help="The room's height is where it is highest; say each slope.",
    )
    volume_m3: float | None = number(
        "Volume, if its shape is another",
        unit="m³",
        low=0.2,
        high=10_000,
        decimals=2,
        group="shape",
        help="Takes the place of the sum. Worked out by hand.",
    )
    bridges: list[Row] | None = rows(
        "Thermal bridges by length",
        BridgeRow,
        group="size",
        max_rows=30,
        answered=AT_OFFICE,
        help="Counted when the survey counts bridges by their lengths, and never beside an allowance.",
    )
    inside_temperature_c: float | None = number(
        "Design temperature",
        unit="°C",
        low=5,
        high=30,
        decimals=1,
        group="air",
        help="Leave empty for the usual one of this kind of room.",
    )
    air_changes_h: float | None = number(
        "Air changes, if known",
        unit="1/h",
        low=0,
        high=15,
        decimals=2,
        group="air",
        help="Leave empty for the usual rate of this kind of room and age.",
        answered=AT_OFFICE,
    )
    open_chimney: bool | None = yes_no("Open chimney or flue", group="air")
    extract_fan: bool | None = yes_no("Extract fan", group="air")
    trickle_vents: bool | None = yes_no("Trickle vents", group="air")
    damp_seen: bool | None = yes_no("Damp or mould seen", group="seen", help="Take a photo of it.", is_its_own=True)
    notes: str | None = long_text("Notes", group="seen", is_its_own=True)


#: What is beyond a surface that loses heat; an opening says nothing of its own and takes it from its wall.
COUNTED_SIDES = ("outside", "ground", "room", "unheated", "neighbour", None)

SIDES = (*WALL_SIDES, ("floor", "Floor"), ("ceiling", "Ceiling"), ("slope", "Sloping ceiling"))


@record_kind(
    "surface",
    "Surface",
    "Surfaces",
    stage="rooms",
    part=Part("rooms", photo="room", in_options=True),
    title=("name", "element", "side"),
    parent="room",
    groups=(("what", "What it is"), ("size", "Size"), ("beyond", "What is beyond")),
    help="A wall, floor, ceiling, window or door. One between two rooms is one record and counts in both.",
)
class Surface(Record):
    """One piece of a room's envelope, or an opening in one; without a size of its own it is as large as its side of the room (``box.py``)."""

    room: str | None = reference(
        "Room", "room", group="what", needed_for=HEAT_LOSS, goes_with=True, or_stays_with="other_room"
    )
    name: str | None = text("Name", group="what", max_length=60, help="Only if it needs one.")
    element: str | None = choice("What it is", ELEMENTS, group="what", needed_for=HEAT_LOSS)
    side: str | None = choice("Side of the room", SIDES, group="what")
    construction: str | None = reference(
        "Construction", "construction", group="what", needed_for=HEAT_LOSS, when={"other_side": COUNTED_SIDES}
    )
    opening_in: str | None = reference(
        "In which wall or roof",
        "surface",
        group="what",
        when={"element": OPENINGS},
        goes_with=True,
        needed_for=HEAT_LOSS,
        spoils="Without it the opening is not taken off the wall it sits in.",
    )
    width_m: float | None = number(
        "Width",
        unit="m",
        low=0.05,
        high=60,
        decimals=2,
        group="size",
        needed_for=HEAT_LOSS,
        fills=("height_m",),
        help="A whole side of a room needs none: it is as wide as the room.",
    )
    height_m: float | None = number(
        "Height",
        unit="m",
        low=0.05,
        high=60,
        decimals=2,
        group="size",
        needed_for=HEAT_LOSS,
        help="For a floor or ceiling: its length. A whole side of a room needs none.",
    )
    area_m2: float | None = number(
        "Area, if not width × height", unit="m²", low=0.01, high=2000, decimals=2, group="size", help="For odd shapes."
    )
    count: int | None = integer(
        "How many alike", low=1, high=50, group="size", default=1, default_from="one", when={"element": OPENINGS}
    )
    from_left_m: float | None = number(
        "From the left end of its side",
        unit="m",
        low=0,
        high=60,
        decimals=2,
        group="size",
        when={"element": ("wall", "partition")},
        help="As you face the wall. Only where the plan of the storey asks for it.",
    )
    beyond_from_left_m: float | None = number(
        "From the left end of the side in the room beyond",
        unit="m",
        low=0,
        high=60,
        decimals=2,
        group="size",
        when={"other_side": "room"},
        help="As you face the wall from the room beyond. Only where the plan of the storey asks for it.",
    )
    other_side: str | None = choice(
        "What is beyond",
        (
            ("outside", "Outside air"),
            ("ground", "The ground"),
            ("room", "Another room of this home"),
            ("unheated", "An unheated space", "garage, porch, loft, cellar"),
            ("neighbour", "A neighbour's home"),
            ("nothing", "Nothing worth counting", "an inside wall to a room just as warm"),
        ),
        group="beyond",
        needed_for=HEAT_LOSS,
        when={"element": ("wall", "partition", "ground_floor", "floor", "ceiling", "roof")},
    )
    other_room: str | None = reference(
        "Which room", "room", group="beyond", when={"other_side": "room"}, needed_for=HEAT_LOSS
    )
    unheated_space: str | None = choice(
        "What kind of space",
        (
            ("one_outside_wall", "Space with one outside wall"),
            ("two_outside_walls", "Space with two outside walls, no outside door"),
            ("two_outside_walls_door", "Space with two outside walls and a door", "porch, attached garage"),
            ("three_outside_walls", "Space with three or more outside walls", "conservatory, lean-to"),
            ("basement_no_openings", "Cellar without window or outside door"),
            ("basement_openings", "Cellar with window or outside door"),
            ("loft_open_tiles", "Loft under bare tiles", "no felt"),
            ("loft_felted", "Loft with felt, roof not insulated"),
            ("loft_insulated_roof", "Loft with insulated roof"),
            ("corridor", "Inside corridor or stair"),
        ),
        group="beyond",
        when={"other_side": "unheated"},
        needed_for=HEAT_LOSS,
    )
    space: str | None = reference(
        "Or a space that is described",
        "unheated_space",
        group="beyond",
        when={"other_side": "unheated"},
        help="Takes the place of the kind of space.",
    )
    below: str | None = choice(
        "What lies below this floor",
        (
            ("slab", "The ground itself", "hard and cold, no air bricks: a slab, or boards laid on one"),
            ("void", "A void with air bricks", "springy boards on joists, or beams and blocks"),
            ("cellar", "An unheated cellar", "a cellar you can walk into"),
        ),
        group="beyond",
        when={"element": "ground_floor", "other_side": "ground"},
        help="Look for air bricks outside. The look of a floor says it already; layers and papers do not.",
    )
    depth_below_ground_m: float | None = number(
        "How deep it reaches below the ground outside",
        unit="m",
        low=0.05,
        high=10,
        decimals=2,
        group="beyond",
        when={"element": "wall", "other_side": "ground"},
        needed_for=HEAT_LOSS,
        help="From the ground outside down to the floor inside. The part above the ground is a surface of its own.",
    )


#: Emitters that are measured by height and length, and those that have a declared output.
PANEL_TYPES = ("panel_10", "panel_11", "panel_21", "panel_22", "panel_33")
MEASURED_TYPES = (*PANEL_TYPES, "column", "towel_rail", "convector")
RATED_TYPES = (*MEASURED_TYPES, "fan_convector", "other")

EMITTER_TYPES = (
    ("panel_11", "Single panel, one convector (type 11)", "seen from above: one plate, one wave"),
    ("panel_21", "Double panel, one convector (type 21)", "seen from above: two plates, one wave"),
    ("panel_22", "Double panel, two convectors (type 22)", "seen from above: two plates, two waves"),
    ("panel_33", "Triple panel, three convectors (type 33)", "seen from above: three plates, three waves"),
    ("panel_10", "Single panel, no convector (type 10)", "seen from above: one plate"),
    ("column", "Column radiator", "round or flat columns in sections"),
    ("towel_rail", "Towel rail", "bars; towels halve what it gives"),
    ("convector", "Convector", "fins in a casing"),
    ("fan_convector", "Fan convector", "has a fan and a plug or a spur"),
    ("underfloor", "Underfloor heating", "warm floor, manifold somewhere"),
    ("other", "Something else", "output must be declared"),
)


@record_kind(
    "emitter",
    "Emitter",
    "Emitters",
    stage="rooms",
    part=Part("rooms", photo="emitter", in_options=True),
    title=("type",),
    parent="room",
    groups=(
        ("what", "What it is"),
        ("size", "Size and output"),
        ("floor", "Underfloor build-up"),
        ("pipe", "Pipe and condition"),
    ),
    help="Stand before it: height, length, and its profile from above.",
)
class Emitter(Record):
    """A radiator, towel rail, convector or heated floor, as it is or as proposed."""

    room: str | None = reference("Room", "room", group="what", needed_for=EMITTERS, goes_with=True, counts_through=True)
    type: str | None = choice("Type", EMITTER_TYPES, group="what", needed_for=EMITTERS, is_priced=True)
    plan: str | None = choice(
        "What happens to it",
        (("keep", "Keep"), ("replace", "Take out", "its replacement is a new emitter"), ("new", "New")),
        group="what",
        needed_for=EMITTERS,
        default="keep",
        default_from="what is there stays unless it must go",
        is_priced=True,
    )
    side: str | None = choice(
        "On which side of the room",
        WALL_SIDES,
        group="what",
        when={"type": RATED_TYPES},
        is_its_own=True,
        help="Puts it on the plan; no figure hangs on it.",
    )
    height_mm: float | None = number(
        "Height",
        unit="mm",
        low=100,
        high=3000,
        decimals=0,
        group="size",
        needed_for=EMITTERS,
        when={"type": MEASURED_TYPES},
        fills=("length_mm",),
        is_priced=True,
    )
    length_mm: float | None = number(
        "Length",
        unit="mm",
        low=100,
        high=6000,
        decimals=0,
        group="size",
        needed_for=EMITTERS,
        when={"type": MEASURED_TYPES},
        is_priced=True,
    )
    sections: int | None = integer("Sections", low=1, high=60, group="size", when={"type": "column"}, is_priced=True)
    columns: int | None = integer("Columns deep", low=1, high=9, group="size", when={"type": "column"})
    rated_output_w: float | None = number(
        "Declared output at ΔT 50 K",
        unit="W",
        low=20,
        high=20_000,
        decimals=0,
        group="size",
        when={"type": RATED_TYPES},
        help="From the maker's data: 75/65/20 °C. Wins over the table.",
    )
    exponent: float | None = number(
        "Exponent n",
        unit="",
        low=1.0,
        high=1.8,
        decimals=2,
        group="size",
        when={"type": RATED_TYPES},
        help="From the maker's test report; leave empty for the usual one.",
        answered=AT_OFFICE,
    )
    depth_mm: float | None = number(
        "Depth",
        unit="mm",
        low=30,
        high=400,
        decimals=0,
        group="size",
        when={"type": "column"},
        help="Front to back of one section.",
    )
    finish: str | None = choice(
        "Finish",
        (("painted", "Painted"), ("metallic", "Metallic paint"), ("chrome", "Chrome")),
        group="size",
        when={"type": MEASURED_TYPES},
        default="painted",
        default_from="most radiators",
    )
    enclosure: str | None = choice(
        "What stands around it",
        (
            ("open", "Free on the wall"),
            ("shelf", "Under a shelf or deep sill"),
            ("recess", "In a recess"),
            ("cabinet", "Behind a cover or furniture"),
        ),
        group="size",
        when={"type": MEASURED_TYPES},
        default="open",
        default_from="most radiators",
    )
    connection: str | None = choice(
        "Pipes join it",
        (("same_end", "At one end, or top and bottom"), ("bottom_opposite", "At the bottom of both ends")),
        group="size",
        when={"type": PANEL_TYPES},
        default="same_end",
        default_from="nothing is taken off until it is seen",
    )
    towels: str | None = choice(
        "Towels on it",
        (("bare", "None"), ("some", "Half covered"), ("full", "Fully hung")),
        group="size",
        when={"type": "towel_rail"},
        default="bare",
        default_from="the rail is counted bare, and said so",
    )
    free_width_mm: float | None = number(
        "Free wall there: width",
        unit="mm",
        low=200,
        high=8000,
        decimals=0,
        group="size",
        when={"type": MEASURED_TYPES},
        fills=("free_height_mm",),
        help="How wide a radiator's place could be, between doors, corners and furniture.",
    )
    free_height_mm: float | None = number(
        "Free wall there: height",
        unit="mm",
        low=200,
        high=3000,
        decimals=0,
        group="size",
        when={"type": MEASURED_TYPES},
        help="From the floor to the sill or shelf.",
    )
    heated_area_m2: float | None = number(
        "Heated floor area",
        unit="m²",
        low=0.2,
        high=500,
        decimals=1,
        group="floor",
        when={"type": "underfloor"},
        needed_for=EMITTERS,
    )
    pipe_spacing_mm: float | None = number(
        "Pipe spacing",
        unit="mm",
        low=50,
        high=450,
        decimals=0,
        group="floor",
        when={"type": "underfloor"},
        default=200,
        default_from="often found when nothing is written down",
    )
    covering: str | None = choice(
        "Floor covering",
        (
            ("tile", "Tile or stone", "R about 0.015 m²K/W"),
            ("vinyl", "Vinyl", "R about 0.02 m²K/W"),
            ("laminate", "Laminate with underlay", "R about 0.075 m²K/W"),
            ("engineered_timber", "Engineered timber", "R about 0.10 m²K/W"),
            ("solid_timber", "Solid timber", "R about 0.125 m²K/W"),
            ("thin_carpet", "Thin carpet", "R about 0.125 m²K/W"),
            ("thick_carpet", "Thick carpet", "R 0.20 m²K/W or more: not for a heated floor"),
        ),
        group="floor",
        when={"type": "underfloor"},
        needed_for=EMITTERS,
    )
    floor_system: str | None = choice(
        "How the pipes lie",
        (
            ("screed", "In screed", "EN 1264 types A and C"),
            ("plates", "In plates or overlay boards", "EN 1264 type B; a maker's tested figure is better"),
        ),
        group="floor",
        when={"type": "underfloor"},
        default="screed",
        default_from="most wet floors",
    )
    screed_over_pipe_mm: float | None = number(
        "Screed above the pipe",
        unit="mm",
        low=10,
        high=150,
        decimals=0,
        group="floor",
        when={"type": "underfloor"},
        default=45,
        default_from="usual sand and cement screed",
    )
    pipe_outer_mm: float | None = number(
        "Pipe outside diameter",
        unit="mm",
        low=8,
        high=30,
        decimals=0,
        group="floor",
        when={"type": "underfloor"},
        default=16,
        default_from="usual pipe",
    )
    pipe_wall_mm: float | None = number(
        "Pipe wall",
        unit="mm",
        low=0.5,
        high=5,
        decimals=1,
        group="floor",
        when={"type": "underfloor"},
        default=2,
        default_from="usual pipe; printed on it",
        answered=AT_OFFICE,
    )
    screed_w_mk: float | None = number(
        "Conductivity of the screed",
        unit="W/mK",
        low=0.2,
        high=3,
        decimals=2,
        group="floor",
        when={"type": "underfloor", "floor_system": "screed"},
        default=1.2,
        default_from="usual sand and cement screed",
        answered=AT_OFFICE,
    )
    plate_thickness_mm: float | None = number(
        "Plate thickness",
        unit="mm",
        low=0.05,
        high=3,
        decimals=2,
        group="floor",
        when={"type": "underfloor", "floor_system": "plates"},
        help="The metal that spreads the heat: foil about 0.1 to 0.3, plates about 0.5.",
    )
    plate_width_mm: float | None = number(
        "Plate width",
        unit="mm",
        low=20,
        high=450,
        decimals=0,
        group="floor",
        when={"type": "underfloor", "floor_system": "plates"},
        help="Leave empty when it fills the spacing.",
    )
    plate_w_mk: float | None = number(
        "Conductivity of the plate",
        unit="W/mK",
        low=0.2,
        high=400,
        decimals=1,
        group="floor",
        when={"type": "underfloor", "floor_system": "plates"},
        default=200,
        default_from="aluminium",
        answered=AT_OFFICE,
    )
    board_thickness_mm: float | None = number(
        "Board above the plates: thickness",
        unit="mm",
        low=1,
        high=100,
        decimals=1,
        group="floor",
        when={"type": "underfloor", "floor_system": "plates"},
        help="Chipboard, plywood or gypsum board that carries the floor; the covering is asked for separately.",
    )
    board_w_mk: float | None = number(
        "Conductivity of that board",
        unit="W/mK",
        low=0.05,
        high=3,
        decimals=2,
        group="floor",
        when={"type": "underfloor", "floor_system": "plates"},
        default=0.13,
        default_from="chipboard, EN ISO 10456",
        answered=AT_OFFICE,
    )
    floor_zone: str | None = choice(
        "Part of the floor",
        (("occupied", "Where people stay"), ("perimeter", "Along an outside wall", "at most 1 m wide")),
        group="floor",
        when={"type": "underfloor"},
        default="occupied",
        default_from="the whole floor is lived on",
    )
    below: str | None = choice(
        "Below the heated floor",
        (
            ("heated", "A heated room"),
            ("unheated", "An unheated space or a void"),
            ("ground", "The ground"),
            ("outside", "Outside air"),
        ),
        group="floor",
        when={"type": "underfloor"},
        default="ground",
        default_from="most heated floors",
    )
    insulation_below_m2k_w: float | None = number(
        "Insulation below the pipes, R",
        unit="m²K/W",
        low=0,
        high=10,
        decimals=2,
        group="floor",
        when={"type": "underfloor"},
        help="Thickness in metres over its conductivity: 100 mm of foam is about 4.5. Leave empty when unknown.",
    )
    loops: int | None = integer(
        "Loops",
        low=1,
        high=40,
        group="floor",
        when={"type": "underfloor"},
        help="Pairs of pipes at the manifold that serve this floor.",
    )
    manifold_distance_m: float | None = number(
        "Pipe from the manifold to the floor",
        unit="m",
        low=0,
        high=60,
        decimals=1,
        group="floor",
        when={"type": "underfloor"},
        default=0,
        default_from="the manifold stands in the room",
        help="One way.",
    )
    covering_resistance_m2k_w: float | None = number(
        "Covering resistance, if known",
        unit="m²K/W",
        low=0,
        high=0.5,
        decimals=3,
        group="floor",
        when={"type": "underfloor"},
        answered=AT_OFFICE,
    )
    declared_w_m2k: float | None = number(
        "Maker's tested output per kelvin",
        unit="W/m²K",
        low=0.5,
        high=12,
        decimals=2,
        group="floor",
        when={"type": "underfloor"},
        help="For plates, boards and any tested floor: wins over the formula.",
        answered=AT_OFFICE,
    )
    manifold_place: str | None = text(
        "Where the manifold is", group="floor", max_length=120, when={"type": "underfloor"}
    )
    branch_pipe: str | None = choice(
        "Pipe to it",
        (
            ("copper_8", "8 mm copper"),
            ("copper_10", "10 mm copper"),
            ("copper_15", "15 mm copper"),
            ("copper_22", "22 mm copper"),
            ("plastic_10", "10 mm plastic"),
            ("plastic_15", "15 mm plastic"),
            ("multilayer_16", "16 mm multilayer"),
            ("unknown", "Cannot be seen"),
        ),
        group="pipe",
    )
    valve: str | None = choice(
        "Valve",
        (("thermostatic", "Thermostatic"), ("hand", "Hand wheel"), ("none", "None"), ("stuck", "Stuck or leaking")),
        group="pipe",
    )
    mixed_circuit: str | None = reference(
        "Mixed circuit that feeds it",
        "mixed_circuit",
        group="pipe",
        empty_means="None: the unit's own water",
        help="Where a mixing valve cools its water.",
    )
    preset_valve: str | None = reference(
        "Valve that is set",
        "preset_valve",
        group="pipe",
        empty_means="The one that the circuit names",
        help="Where it has another than the circuit names; on a heated floor that of each loop.",
        answered=AT_OFFICE,
    )
    condition: str | None = choice(
        "Condition",
        (("good", "Good"), ("rust", "Rust or leak marks"), ("cold_spots", "Cold patches")),
        group="pipe",
        is_its_own=True,
    )
    notes: str | None = long_text("Notes", group="pipe", is_its_own=True)
