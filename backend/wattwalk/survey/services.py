"""Hot water, electricity supply, pipe runs and cable runs."""

from __future__ import annotations

from dataclasses import dataclass

from .building import STOREYS
from .fields import AT_OFFICE, Row, choice, date, integer, long_text, number, reference, rows, text, yes_no
from .kinds import Part, Record, record_kind
from .purposes import HOT_WATER, ROUTES, SUPPLY

#: What a pipe is made of, and what a cable is for: an article of the firm stands for them by the same codes.
PIPE_MATERIALS = (
    ("copper", "Copper"),
    ("multilayer", "Multilayer"),
    ("plastic", "Plastic barrier pipe"),
    ("steel", "Steel"),
)
CABLE_PURPOSES = (
    ("supply", "Supply to the outdoor unit"),
    ("bus", "Bus cable to the outdoor unit"),
    ("sensor", "Temperature sensor"),
    ("interlock", "Interlock or switching wire"),
    ("immersion", "Immersion heater"),
    ("other", "Other"),
)

PLACES = (
    ("outdoors", "Outdoors"),
    ("buried", "Buried"),
    ("void", "Under a floor or in a void"),
    ("unheated", "Garage, cellar or loft"),
    ("heated", "Heated room or cupboard"),
)


@record_kind(
    "hot_water",
    "Hot water",
    "Hot water",
    stage="hot_water",
    part=Part("water", photo="cylinder_place", in_options=True),
    single=True,
    groups=(
        ("need", "What is needed"),
        ("now", "What is there"),
        ("new", "The new cylinder"),
        ("water", "Mains water"),
    ),
    help="Stand before the cylinder cupboard.",
)
class HotWater(Record):
    """Hot water: need, present cylinder, and room for the new one."""

    baths: int | None = integer("Baths", low=0, high=10, group="need", needed_for=HOT_WATER)
    showers: int | None = integer("Showers", low=0, high=10, group="need", needed_for=HOT_WATER)
    shower_flow_l_min: float | None = number(
        "Shower flow, measured", unit="l/min", low=1, high=40, decimals=1, group="need"
    )
    present_cylinder_l: float | None = number(
        "Present cylinder", unit="l", low=0, high=1000, decimals=0, group="now", nought_means="none"
    )
    present_condition: str | None = text("Its age and condition", group="now", max_length=160)
    new_place: str | None = text("Where the new one stands", group="new", max_length=120, needed_for=HOT_WATER)
    cylinder_room: str | None = reference(
        "In which room",
        "room",
        group="new",
        empty_means="Not said",
        help="Puts it on the plan; no figure hangs on it.",
    )
    place_width_mm: float | None = number(
        "Clear width",
        unit="mm",
        low=100,
        high=5000,
        decimals=0,
        group="new",
        needed_for=HOT_WATER,
        fills=("place_depth_mm", "place_height_mm"),
    )
    place_depth_mm: float | None = number(
        "Clear depth", unit="mm", low=100, high=5000, decimals=0, group="new", needed_for=HOT_WATER
    )
    place_height_mm: float | None = number(
        "Clear height", unit="mm", low=300, high=6000, decimals=0, group="new", needed_for=HOT_WATER
    )
    door_width_mm: float | None = number(
        "Narrowest door on the way", unit="mm", low=300, high=3000, decimals=0, group="new", needed_for=HOT_WATER
    )
    floor_can_carry: bool | None = yes_no(
        "Floor looks able to carry it",
        group="new",
        help="A full 250 l cylinder weighs about 320 kg. In doubt, a structural engineer decides.",
    )
    mains_pressure_bar: float | None = number(
        "Mains pressure, standing", unit="bar", low=0, high=16, decimals=1, group="water"
    )
    mains_flow_l_min: float | None = number("Mains flow", unit="l/min", low=0, high=100, decimals=0, group="water")
    discharge_route: str | None = long_text(
        "Where the safety discharge goes",
        group="water",
        max_length=400,
        help="Unvented cylinders: a qualified person designs and fits the discharge pipe.",
    )
    valve_outlet: str | None = choice(
        "Outlet of the relief valve",
        (("g_half", "G ½"), ("g_three_quarter", "G ¾"), ("g_one", "G 1")),
        group="water",
        help="On the valve of the cylinder; decides the pipe.",
        answered=AT_OFFICE,
    )
    d1_mm: float | None = number(
        "Pipe from the valve to the tundish", unit="mm", low=10, high=60, decimals=0, group="water", answered=AT_OFFICE
    )
    d1_length_mm: float | None = number(
        "Its length", unit="mm", low=50, high=5000, decimals=0, group="water", answered=AT_OFFICE
    )
    discharge_elbows: int | None = integer("Elbows below the tundish", low=0, high=40, group="water")
    discharge_drop_mm: float | None = number(
        "Straight drop below the tundish", unit="mm", low=0, high=5000, decimals=0, group="water"
    )
    discharge_fall_mm_m: float | None = number(
        "Least fall of the pipe after it",
        unit="mm/m",
        low=0,
        high=1000,
        decimals=1,
        group="water",
        help="Along the whole way to where it ends.",
    )


#: A supply or a unit of three phases; the phases by their names, and a load that lies on all of them.
THREE = "three"
PHASES = ("1", "2", "3")
ALL_PHASES = "all"
_THREE_PHASE = {"phases": THREE}


@dataclass
class LoadRow:
    """One electrical load of the house, or a group of equal ones."""

    kind: str | None = choice(
        "What",
        (
            ("lighting", "Lighting"),
            ("sockets", "Socket circuit"),
            ("cooker", "Cooker or hob"),
            ("cooker_socket", "Cooker with a socket beside it"),
            ("shower", "Electric shower or instant water heater"),
            ("immersion", "Immersion heater"),
            ("storage", "Storage or floor heating"),
            ("vehicle", "Vehicle charging point"),
            ("other", "Other circuit"),
        ),
    )
    current_a: float | None = number("Current", unit="A", low=0.1, high=200, decimals=1)
    phase: str | None = choice(
        "Phase", (*((name, f"Phase {name}") for name in PHASES), (ALL_PHASES, "All three, the current on each"))
    )


@record_kind(
    "supply",
    "Electricity supply",
    "Electricity supply",
    stage="household",
    part=Part("routes", photo="meter"),
    single=True,
    groups=(("fuse", "Meter and main fuse"), ("board", "Consumer unit"), ("load", "Large loads")),
    help="At the meter cupboard. Look and photograph; open nothing, touch nothing live.",
)
class Supply(Record):
    """The electricity supply as it can be seen without opening anything."""

    main_fuse_a: int | None = integer(
        "Main fuse",
        unit="A",
        low=15,
        high=400,
        group="fuse",
        needed_for=SUPPLY,
        help="The label is not proof; the network operator confirms.",
    )
    phases: str | None = choice(
        "Phases", (("one", "Single phase"), ("three", "Three phase")), group="fuse", needed_for=SUPPLY
    )
    earthing: str | None = choice(
        "Earthing",
        (("tn_c_s", "TN-C-S (PME)"), ("tn_s", "TN-S"), ("tt", "TT, earth rod"), ("unknown", "Cannot be told")),
        group="fuse",
        needed_for=SUPPLY,
    )
    looped: bool | None = yes_no("Looped supply to a neighbour", group="fuse")
    cut_out_condition: str | None = choice(
        "Cut-out and meter",
        (("good", "Looks sound"), ("old", "Old, or heat marks"), ("unsafe", "Unsafe: report it")),
        group="fuse",
        needed_for=SUPPLY,
    )
    spare_ways: int | None = integer("Spare ways", low=0, high=30, group="board", needed_for=SUPPLY)
    board_condition: str | None = text("Consumer unit: make, year, condition", group="board", max_length=160)
    large_loads: str | None = long_text(
        "Large loads", group="load", max_length=600, help="Electric shower, cooker, vehicle charger, storage heaters."
    )
    loads: list[Row] | None = rows("Loads by circuit", LoadRow, group="load", max_rows=40)
    existing_demand_a: float | None = number(
        "Highest metered demand, if known",
        unit="A",
        low=0,
        high=400,
        decimals=0,
        group="load",
        help="Of three phases the highest; it counts on each phase that has no figure of its own.",
        answered=AT_OFFICE,
    )
    demand_l1_a: float | None = number(
        "Highest metered demand of phase 1",
        unit="A",
        low=0,
        high=400,
        decimals=0,
        group="load",
        when=_THREE_PHASE,
        answered=AT_OFFICE,
    )
    demand_l2_a: float | None = number(
        "Highest metered demand of phase 2",
        unit="A",
        low=0,
        high=400,
        decimals=0,
        group="load",
        when=_THREE_PHASE,
        answered=AT_OFFICE,
    )
    demand_l3_a: float | None = number(
        "Highest metered demand of phase 3",
        unit="A",
        low=0,
        high=400,
        decimals=0,
        group="load",
        when=_THREE_PHASE,
        answered=AT_OFFICE,
    )
    unit_phase: str | None = choice(
        "Phase that feeds the outdoor unit",
        tuple((name, f"Phase {name}") for name in PHASES),
        group="load",
        when=_THREE_PHASE,
        help="Not asked of a unit that has three phases itself.",
        answered=AT_OFFICE,
    )


@dataclass
class StretchRow:
    """One stretch of a run: a place and a length."""

    place: str | None = choice("Where", PLACES)
    length_m: float | None = number("Length", unit="m", low=0.1, high=300, decimals=1)


@dataclass
class FittingRow:
    """Fittings of one kind along a run, each leg counted."""

    kind: str | None = choice(
        "What",
        (
            ("bend", "Bend, machine-made"),
            ("elbow", "Elbow"),
            ("press_elbow", "Press elbow, multilayer or plastic"),
            ("tee_straight", "Tee, straight through"),
            ("tee_branch", "Tee, into the branch"),
            ("full_bore_valve", "Full-bore valve"),
            ("reduced_valve", "Valve with a narrowed bore"),
            ("check_valve", "Non-return valve"),
            ("vessel_in_out", "Into and out of a vessel"),
        ),
    )
    count: int | None = integer("How many", low=1, high=200)


@record_kind(
    "pipe_run",
    "Pipe run",
    "Pipe runs",
    stage="routes",
    part=Part("routes", photo="pipe_route", in_options=True),
    title=("name", "purpose"),
    # In the order of the walk: after the route what stops a job.
    groups=(
        ("what", "What it is for"),
        ("route", "Route"),
        ("limit", "What must not happen"),
        ("pipe", "Pipe and insulation"),
    ),
    help="A line of stretches, each a place and a length: outdoors 5, under floor 9, cupboard 2.",
)
class PipeRun(Record):
    """One run of pipe from one place to another."""

    name: str | None = text("Name", group="what", max_length=80)
    purpose: str | None = choice(
        "For",
        (
            ("primary", "Outdoor unit to the house, flow and return"),
            ("heating", "Heating circuit"),
            ("cylinder", "To the cylinder"),
            ("hot_water", "Hot tap water"),
            ("cold_water", "Cold water"),
            ("condensate", "Condensate"),
            ("discharge", "Safety discharge"),
        ),
        group="what",
        needed_for=ROUTES,
    )
    start: str | None = text("From", group="route", max_length=120, needed_for=ROUTES)
    end: str | None = text("To", group="route", max_length=120, needed_for=ROUTES)
    stretches: list[Row] | None = rows(
        "Stretches", StretchRow, group="route", max_rows=20, needed_for=ROUTES, is_priced=True
    )
    material: str | None = choice(
        "Pipe",
        PIPE_MATERIALS,
        group="pipe",
        needed_for=ROUTES,
        is_priced=True,
    )
    size_mm: float | None = number(
        "Outside diameter", unit="mm", low=6, high=120, decimals=0, group="pipe", needed_for=ROUTES, is_priced=True
    )
    fittings: list[Row] | None = rows("Fittings, flow and return together", FittingRow, group="pipe", max_rows=12)
    serves: str | None = choice(
        "Radiators that it feeds",
        (("house", "Of the whole house"), *((name, f"{label}: all of them") for name, label in STOREYS)),
        group="what",
        when={"purpose": "heating"},
        needed_for=ROUTES,
        spoils="Without it nobody sees whether the branch carries what its rooms need.",
    )
    carries_kw: float | None = number(
        "Heat it carries",
        unit="kW",
        low=0.1,
        high=100,
        decimals=2,
        group="pipe",
        help="Leave empty for the run from the unit: it carries the whole. A branch carries its rooms.",
        answered=AT_OFFICE,
    )
    end_drop_kpa: float | None = number(
        "Resistance of what is connected at its end",
        unit="kPa",
        low=0,
        high=100,
        decimals=1,
        group="pipe",
        help="Radiator with its valves, manifold, or coil, at this flow.",
        answered=AT_OFFICE,
    )
    insulation: str | None = choice(
        "Insulation",
        (
            ("closed_cell", "Closed-cell rubber foam"),
            ("foam", "Polyethylene foam"),
            ("mineral", "Mineral wool"),
            ("none", "None"),
        ),
        group="pipe",
    )
    insulation_mm: float | None = number("Insulation wall", unit="mm", low=0, high=120, decimals=0, group="pipe")
    uv_proof: bool | None = yes_no("UV-proof cover outdoors", group="pipe")
    constraint: str | None = choice(
        "Constraint",
        (
            ("none", "None"),
            ("finished_floor", "Finished floor that must not be lifted"),
            ("listed", "Listed or protected fabric"),
            ("asbestos", "Suspected asbestos on the way"),
            ("other", "Other, see the notes"),
        ),
        group="limit",
        needed_for=ROUTES,
    )
    other_route_agreed: str | None = text(
        "Other route agreed",
        group="limit",
        max_length=200,
        when={"constraint": ("finished_floor", "listed", "asbestos")},
        needed_for=ROUTES,
        spoils="Without it the pipe layer meets a floor that cannot be lifted, on the day.",
    )
    agreed_on: str | None = date(
        "Agreed on", group="limit", when={"constraint": ("finished_floor", "listed", "asbestos")}
    )
    notes: str | None = long_text("Notes", group="limit")


@record_kind(
    "cable_run",
    "Cable run",
    "Cable runs",
    stage="routes",
    part=Part("routes", photo="cable_route", in_options=True),
    title=("purpose", "name"),
    groups=(
        ("what", "What it is for"),
        ("route", "Route"),
        ("who", "Who runs it"),
        ("cable", "Cable"),
        ("mains", "Beside mains"),
    ),
    help="The cables the job needs are there already, waiting for a route and a name.",
)
class CableRun(Record):
    """One cable from one place to another."""

    purpose: str | None = choice(
        "For",
        CABLE_PURPOSES,
        group="what",
        needed_for=ROUTES,
    )
    name: str | None = text("Name", group="what", max_length=80)
    cores: int | None = integer("Cores", low=1, high=24, group="cable", needed_for=ROUTES, is_priced=True)
    size_mm2: float | None = number(
        "Core size", unit="mm²", low=0.14, high=120, decimals=2, group="cable", is_priced=True
    )
    is_screened: bool | None = yes_no(
        "Screened", group="cable", when={"purpose": ("bus", "sensor", "interlock", "other")}, needed_for=ROUTES
    )
    start: str | None = text("From", group="route", max_length=120, needed_for=ROUTES)
    end: str | None = text("To", group="route", max_length=120, needed_for=ROUTES)
    stretches: list[Row] | None = rows(
        "Stretches", StretchRow, group="route", max_rows=20, needed_for=ROUTES, is_priced=True
    )
    method: str | None = choice(
        "How it is fixed",
        (
            ("clipped", "Clipped to a surface"),
            ("conduit", "In conduit or trunking"),
            ("buried", "Buried in the ground"),
            ("insulation", "In insulation"),
            ("void", "In a floor or wall void"),
        ),
        group="cable",
    )
    cable_type: str | None = choice(
        "Cable",
        (
            ("twin_and_earth", "Flat twin and earth"),
            ("swa_xlpe", "Armoured, XLPE"),
            ("swa_pvc", "Armoured, PVC"),
            ("other", "Other, the electrician says"),
        ),
        group="cable",
        when={"purpose": ("supply", "immersion")},
    )
    current_a: float | None = number(
        "Design current",
        unit="A",
        low=0.1,
        high=200,
        decimals=1,
        group="cable",
        when={"purpose": ("supply", "immersion")},
        help="Leave empty to take the unit's highest current.",
        answered=AT_OFFICE,
    )
    device_a: float | None = number(
        "Rating of the protective device",
        unit="A",
        low=1,
        high=200,
        decimals=0,
        group="cable",
        when={"purpose": ("supply", "immersion")},
        help="The electrician decides.",
        answered=AT_OFFICE,
    )
    grouped_circuits: int | None = integer(
        "Loaded circuits lying together, with this one",
        low=1,
        high=20,
        group="cable",
        when={"purpose": ("supply", "immersion")},
        answered=AT_OFFICE,
    )
    parallel_to_mains_m: float | None = number(
        "How far it lies beside mains",
        unit="m",
        low=0,
        high=200,
        decimals=1,
        group="mains",
        when={"purpose": ("bus", "sensor", "interlock")},
        needed_for=ROUTES,
    )
    gap_to_mains_mm: float | None = number(
        "Gap to mains",
        unit="mm",
        low=0,
        high=5000,
        decimals=0,
        group="mains",
        when={"purpose": ("bus", "sensor", "interlock")},
        needed_for=ROUTES,
        spoils="Without it nobody can say whether the signal is safe from the mains.",
    )
    shares_conduit_with_mains: bool | None = yes_no(
        "In the same conduit as mains", group="mains", when={"purpose": ("bus", "sensor", "interlock")}
    )
    protective_device: str | None = text(
        "Protective device",
        group="cable",
        max_length=80,
        when={"purpose": ("supply", "immersion")},
        help="The electrician decides.",
        answered=AT_OFFICE,
    )
    run_by: str | None = choice(
        "Who runs it",
        (
            ("electrician", "Electrician"),
            ("us", "Our own team"),
            ("household", "Household's own electrician"),
            ("nobody", "Nobody yet"),
        ),
        group="who",
        needed_for=ROUTES,
        spoils="Without a name nobody runs this cable.",
    )
    is_there: bool | None = yes_no("Already there", group="who")
    notes: str | None = long_text("Notes", group="who")
