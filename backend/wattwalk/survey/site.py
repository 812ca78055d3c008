"""Outside: where the unit can stand, what is near, its base and the readings taken on it."""

from __future__ import annotations

from .building import WALL_SIDES
from .fields import AT_OFFICE, choice, date, long_text, number, reference, text, yes_no
from .kinds import Part, Record, record_kind
from .purposes import BASE, SITING


@record_kind(
    "outdoor_position",
    "Outdoor position",
    "Outdoor positions",
    stage="outside",
    part=Part("site", photo="outdoor_place", in_options=True),
    title=("name",),
    groups=(
        ("where", "Where"),
        ("unit", "Unit named for this place"),
        ("zone", "Planning shape of the protective zone", AT_OFFICE),
        ("room", "Room around it"),
        ("water", "Condensate"),
        ("neighbour", "Neighbour"),
    ),
    help="Stand with your back to the wall where the unit would stand.",
)
class OutdoorPosition(Record):
    """A place where the outdoor unit could stand."""

    name: str | None = text(
        "Name", group="where", max_length=80, needed_for=SITING, help="For example: back wall by the kitchen."
    )
    wall_faced: str | None = choice(
        "Behind the unit",
        (
            ("house_wall", "House wall"),
            ("garage_wall", "Garage or shed wall"),
            ("fence", "Fence"),
            ("free", "Nothing, it stands free"),
        ),
        group="where",
        needed_for=SITING,
    )
    room_behind: str | None = reference(
        "Room behind the wall",
        "room",
        group="where",
        empty_means="Not said",
        help="Puts the unit on the plan; no figure hangs on it.",
    )
    side_behind: str | None = choice("Which side of that room", WALL_SIDES, group="where")
    reflecting_surfaces: str | None = choice(
        "Hard surfaces within one metre",
        (("one", "Ground only"), ("two", "Ground and one wall"), ("three", "Ground and two walls, a corner")),
        group="where",
        needed_for=SITING,
    )
    unit: str | None = reference(
        "Unit for this place",
        "unit",
        group="unit",
        help="While the design has chosen none, or where another than the chosen one would stand at a second place.",
    )
    second_unit: str | None = reference(
        "Second unit beside it", "unit", group="unit", help="Only where two units would stand here.", answered=AT_OFFICE
    )
    zone_shape: str | None = choice(
        "What stands around the unit",
        (
            ("planning", "As the answers above say", "the stricter of two answers that differ"),
            ("free", "It stands free"),
            ("wall", "A wall behind it"),
            ("corner_left", "A second wall on the left"),
            ("corner_right", "A second wall on the right"),
        ),
        group="zone",
        default="planning",
        default_from="the strictest that fits what stands around it; the drawing of the unit's maker takes its place",
        renamed={"sides": "planning", "corners": "planning"},
    )
    zone_reach_m: float | None = number(
        "Planning reach over open ground",
        unit="m",
        low=1,
        high=6,
        decimals=2,
        group="zone",
        default=1.6,
        default_from="own planning rule, no source: the metre usual round a unit that stands free, and 0.6 m while neither unit nor charge is known",
        help="From the casing. Along a wall the planning shape goes twice as far, away from the wall 1.4 times.",
    )
    zone_side_m: float | None = number(
        "To each side at least",
        unit="m",
        low=0,
        high=10,
        decimals=2,
        group="zone",
        help="Only where more is known to be needed: it widens the planning shape and never narrows it.",
    )
    zone_front_m: float | None = number(
        "To the front at least",
        unit="m",
        low=0,
        high=10,
        decimals=2,
        group="zone",
        help="Only where more is known to be needed: it widens the planning shape and never narrows it.",
    )
    clear_back_mm: float | None = number("Clear behind", unit="mm", low=0, high=5000, decimals=0, group="room")
    clear_left_mm: float | None = number("Clear to the left", unit="mm", low=0, high=20_000, decimals=0, group="room")
    clear_right_mm: float | None = number("Clear to the right", unit="mm", low=0, high=20_000, decimals=0, group="room")
    clear_front_mm: float | None = number("Clear in front", unit="mm", low=0, high=20_000, decimals=0, group="room")
    clear_above_mm: float | None = number("Clear above", unit="mm", low=0, high=20_000, decimals=0, group="room")
    condensate_route: str | None = choice(
        "Where the condensate goes",
        (
            ("gravel", "Gravel pit below the frost line"),
            ("gully", "Trapped gully outside the protective zone"),
            ("soakaway", "Soakaway"),
            ("none", "Nowhere yet"),
        ),
        group="water",
        needed_for=SITING,
    )
    condensate_depth_mm: float | None = number(
        "Depth of the pit or drain below the ground",
        unit="mm",
        low=0,
        high=2000,
        decimals=0,
        group="water",
        when={"condensate_route": ("gravel", "soakaway")},
    )
    condensate_crosses_path: bool | None = yes_no("The condensate crosses a path", group="water")
    condensate_is_heated: bool | None = yes_no(
        "Its pipe is insulated and heated", group="water", help="Only where a pipe carries it; an open drop needs none."
    )
    neighbour_distance_m: float | None = number(
        "To the neighbour's nearest window or door",
        unit="m",
        low=0.5,
        high=200,
        decimals=1,
        group="neighbour",
        needed_for=SITING,
        spoils="Without it the noise check cannot be made.",
        help="To the window itself; the level is worked out 1 m before it.",
    )
    second_neighbour_distance_m: float | None = number(
        "From the second unit to the neighbour's window",
        unit="m",
        low=0.5,
        high=200,
        decimals=1,
        group="neighbour",
        answered=AT_OFFICE,
    )
    neighbour_screened: str | None = choice(
        "Seen from the neighbour's window, the unit is",
        (
            ("in_view", "In full view"),
            ("half_hidden", "Half hidden", "something solid covers a part of it"),
            ("out_of_sight", "Out of sight", "something solid covers all of it"),
        ),
        group="neighbour",
        help="A hedge or a fence with gaps does not screen sound.",
        renamed={"no": "in_view", "partly": "half_hidden", "yes": "out_of_sight"},
    )
    screen_detour_m: float | None = number(
        "Detour of the sound over the screen",
        unit="m",
        low=0,
        high=5,
        decimals=2,
        group="neighbour",
        when={"neighbour_screened": ("half_hidden", "out_of_sight")},
        help="From unit to the screen's top and on to the window, less the straight way. Leave empty to count by what can be seen.",
        answered=AT_OFFICE,
    )
    noise_nation: str | None = choice(
        "Held to another nation's rules on noise",
        (
            ("england", "England"),
            ("wales", "Wales"),
            ("scotland", "Scotland"),
            ("northern_ireland", "Northern Ireland"),
        ),
        group="neighbour",
        help="Leave empty: the rules are those of the nation where the house stands. Whoever chooses another says why in the notes.",
        answered=AT_OFFICE,
    )
    notes: str | None = long_text("Notes", group="neighbour")


@record_kind(
    "nearby_object",
    "Nearby object",
    "Nearby objects",
    stage="outside",
    part=Part("site", photo="outdoor_place", in_options=True),
    title=("type",),
    parent="position",
    groups=(("what", "What it is"), ("where", "Where it is"), ("remedy", "What is done about it")),
    help="Say what is left, right, in front, low and high, with distances.",
)
class NearbyObject(Record):
    """Something near the unit that matters for refrigerant, air or noise."""

    position: str | None = reference(
        "Position", "outdoor_position", group="what", needed_for=SITING, goes_with=True, counts_through=True
    )
    type: str | None = choice(
        "What",
        (
            ("air_brick", "Air brick or vent"),
            ("window", "Window that opens"),
            ("door", "Door"),
            ("drain", "Drain"),
            ("gully", "Gully"),
            ("light_well", "Light well"),
            ("cellar_hatch", "Cellar hatch"),
            ("pit", "Pit or hollow"),
            ("socket", "Socket"),
            ("switch", "Switch or lamp"),
            ("isolator", "Isolator"),
            ("flue", "Flue"),
            ("boundary", "Boundary"),
            ("charging_point", "Vehicle charging point"),
            ("other", "Something else"),
        ),
        group="what",
        needed_for=SITING,
    )
    name: str | None = text("Name", group="what", max_length=80, help="Only if it needs one.")
    along_m: float | None = number(
        "Along the wall from the unit's centre",
        unit="m",
        low=-20,
        high=20,
        decimals=2,
        group="where",
        needed_for=SITING,
        help="Right is plus, left is minus, seen with your back to the wall.",
    )
    out_m: float | None = number(
        "Out from the wall", unit="m", low=0, high=30, decimals=2, group="where", needed_for=SITING
    )
    up_m: float | None = number(
        "Lowest edge above the ground", unit="m", low=-3, high=12, decimals=2, group="where", needed_for=SITING
    )
    remedy: str | None = choice(
        "Remedy",
        (
            ("none_needed", "None needed"),
            ("close_off", "Close off"),
            ("move", "Move"),
            ("other", "Other, see the notes"),
        ),
        group="remedy",
        is_priced=True,
    )
    remedy_done: bool | None = yes_no(
        "Done and seen", group="remedy", help="Tick only what you have seen finished; take a photo."
    )
    notes: str | None = long_text("Notes", group="remedy")


@record_kind(
    "base",
    "Base",
    "Bases",
    stage="outside",
    part=Part("site", photo="base"),
    title=("name",),
    parent="position",
    groups=(("what", "The slab"), ("age", "Its age"), ("level", "Taking readings")),
    help="The slab or beams that the unit stands on.",
)
class Base(Record):
    """What the outdoor unit will stand on."""

    position: str | None = reference(
        "For which position", "outdoor_position", group="what", needed_for=BASE, goes_with=True
    )
    name: str | None = text("Name", group="what", max_length=80)
    made_of: str | None = choice(
        "Made of",
        (
            ("concrete", "Concrete slab"),
            ("slabs", "Paving slabs"),
            ("frame", "Steel frame or wall brackets"),
            ("beams", "Concrete beams"),
            ("not_yet", "Not made yet"),
        ),
        group="what",
        needed_for=BASE,
        is_priced=True,
    )
    length_mm: float | None = number(
        "Length along the wall",
        unit="mm",
        low=200,
        high=6000,
        decimals=0,
        group="what",
        needed_for=BASE,
        fills=("width_mm", "thickness_mm"),
    )
    width_mm: float | None = number(
        "Width out from the wall", unit="mm", low=200, high=4000, decimals=0, group="what", needed_for=BASE
    )
    thickness_mm: float | None = number(
        "Thickness", unit="mm", low=20, high=1000, decimals=0, group="what", when={"made_of": "concrete"}
    )
    poured_on: str | None = date(
        "Poured on", group="age", when={"made_of": "concrete"}, help="Leave empty for an old slab; say so in the notes."
    )
    mix: str | None = text(
        "Mix", group="age", max_length=60, when={"made_of": "concrete"}, help="From the delivery note."
    )
    expected_air_temperature_c: float | None = number(
        "Air temperature since it was poured",
        unit="°C",
        low=-15,
        high=40,
        decimals=0,
        group="age",
        when={"made_of": "concrete"},
        answered=AT_OFFICE,
    )
    strength_gain: str | None = choice(
        "How fast the cement hardens",
        (("rapid", "Rapid: class R"), ("normal", "Normal: class N"), ("slow", "Slow: class S, much slag or ash")),
        group="age",
        when={"made_of": "concrete"},
        default="normal",
        default_from="most ready-mixed concrete",
        answered=AT_OFFICE,
    )
    carries_at_share: float | None = number(
        "Share of its strength it must have",
        unit="%",
        low=35,
        high=100,
        decimals=0,
        group="age",
        when={"made_of": "concrete"},
        default=70,
        default_from="common practice before a heavy load; whoever designed the base may say otherwise",
        answered=AT_OFFICE,
    )
    levelled_on: str | None = date("Levelling compound laid on", group="age", help="Leave empty when there is none.")
    levelled_mm: float | None = number("Thickness of the compound", unit="mm", low=0, high=100, decimals=0, group="age")
    levelled_outdoor_grade: bool | None = yes_no("The compound is for outdoors, frost-proof", group="age")
    unit_set_on: str | None = date("Day planned for setting the unit", group="age", answered=AT_OFFICE)
    approved_by: str | None = text("Approved by", group="age", max_length=120, answered=AT_OFFICE)
    stands_on: str | None = choice(
        "Ground under it",
        (
            ("rock", "Rock or an old yard"),
            ("gravel", "Compacted gravel or hardcore"),
            ("firm_clay", "Firm clay or dense sand"),
            ("soft", "Soft clay, loose sand"),
            ("made_up", "Made-up ground, soil: not known"),
        ),
        group="what",
    )
    instrument: str | None = choice(
        "Read with",
        (
            ("laser_up", "Laser line and rule, reading up from the slab", "a bigger reading is a lower point"),
            ("height", "Heights, bigger is higher", "a digital level or a height gauge"),
        ),
        group="level",
        default="laser_up",
        default_from="a rule held on the slab up to a level line",
    )
    notes: str | None = long_text("Notes", group="level")


@record_kind(
    "level_reading",
    "Level reading",
    "Level readings",
    stage="outside",
    part=Part("site", photo="base"),
    title=("x_mm", "y_mm"),
    parent="base",
    help="Tap a point on the slab and type what the rule shows. Three points make a plane; nine are better.",
)
class LevelReading(Record):
    """One height read at one point of the base."""

    base: str | None = reference("Base", "base", needed_for=BASE, goes_with=True, counts_through=True)
    x_mm: float | None = number(
        "Along from the right end",
        unit="mm",
        low=0,
        high=6000,
        decimals=0,
        needed_for=BASE,
        help="Right as you stand with your back to the wall.",
    )
    y_mm: float | None = number("Out from the wall edge", unit="mm", low=0, high=4000, decimals=0, needed_for=BASE)
    reading_mm: float | None = number("Reading", unit="mm", low=-5000, high=5000, decimals=1, needed_for=BASE)
