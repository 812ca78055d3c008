"""The heating water: the circuit as a whole, and each vessel or fitting that stands in it."""

from __future__ import annotations

from dataclasses import dataclass

from .fields import AT_OFFICE, Row, choice, integer, long_text, number, reference, rows, text, yes_no
from .holders import FIRM, IN_LIST, LEFT_LIST, SURVEY
from .kinds import Part, Record, record_kind

VESSELS = (
    ("buffer", "Buffer with four connections, or low-loss header", "separates the unit's flow from the house's"),
    ("buffer_two_port", "Buffer with two connections"),
    ("volumiser", "Volumiser", "a vessel in the return that only adds water"),
    ("expansion", "Expansion vessel"),
    ("dirt_separator", "Dirt separator"),
    ("strainer", "Strainer"),
    ("antifreeze_valve", "Antifreeze valve"),
    ("isolation_valve", "Isolation valve"),
    ("air_separator", "Air separator"),
)


@record_kind(
    "circuit",
    "Heating water",
    "Heating water",
    stage="hot_water",
    part=Part("routes", in_options=True),
    single=True,
    groups=(("fluid", "What flows"), ("pressure", "Pressure"), ("plan", "How it is laid out")),
    help="What the office decides about the heating circuit, and what was seen of it.",
)
class Circuit(Record):
    """The heating circuit as a whole."""

    fluid: str | None = choice(
        "Fluid",
        (
            ("water", "Water with inhibitor"),
            ("propylene_glycol", "Water with propylene glycol"),
            ("ethylene_glycol", "Water with ethylene glycol: poisonous"),
        ),
        group="fluid",
        default="water",
        default_from="most houses",
        answered=AT_OFFICE,
    )
    glycol_percent: float | None = number(
        "Glycol by mass",
        unit="%",
        low=20,
        high=40,
        decimals=0,
        group="fluid",
        when={"fluid": ("propylene_glycol", "ethylene_glycol")},
        answered=AT_OFFICE,
    )
    frost_measure: str | None = choice(
        "Against frost in a power cut",
        (
            ("antifreeze_valves", "Antifreeze valves on flow and return outdoors"),
            ("glycol", "Glycol"),
            ("unit_only", "Only the unit's own logic"),
            ("indoors", "No water outdoors"),
        ),
        group="fluid",
        answered=AT_OFFICE,
    )
    outdoor_low_c: float | None = number(
        "Coldest night it must withstand",
        unit="°C",
        low=-30,
        high=0,
        decimals=0,
        group="fluid",
        default=-10,
        default_from="a cold night in most of the country",
        answered=AT_OFFICE,
    )
    static_height_m: float | None = number(
        "Highest water above the vessel", unit="m", low=0, high=40, decimals=1, group="pressure"
    )
    safety_valve_bar: float | None = number(
        "Safety valve",
        unit="bar",
        low=1,
        high=6,
        decimals=1,
        group="pressure",
        default=3,
        default_from="usual in houses",
        answered=AT_OFFICE,
    )
    precharge_bar: float | None = number(
        "Charge of the expansion vessel",
        unit="bar",
        low=0.3,
        high=4,
        decimals=1,
        group="pressure",
        default=1,
        default_from="usual for a vessel low in the house",
        answered=AT_OFFICE,
    )
    fill_temperature_c: float | None = number(
        "Water when it is filled",
        unit="°C",
        low=4,
        high=25,
        decimals=0,
        group="pressure",
        default=10,
        default_from="cold mains",
        answered=AT_OFFICE,
    )
    highest_c: float | None = number(
        "Hottest the circuit gets",
        unit="°C",
        low=30,
        high=90,
        decimals=0,
        group="pressure",
        default=60,
        default_from="hot water reheating or hygiene cycle",
        answered=AT_OFFICE,
    )
    other_content_l: float | None = number(
        "Other water in the circuit",
        unit="l",
        low=0,
        high=2000,
        decimals=0,
        group="plan",
        help="Cylinder coil, old pipes that stay.",
        answered=AT_OFFICE,
    )
    radiators_always_open_l: float | None = number(
        "Water in emitters that no valve can shut",
        unit="l",
        low=0,
        high=500,
        decimals=0,
        group="plan",
        help="Only what stays open whatever valves and room stats do.",
        answered=AT_OFFICE,
    )
    defrost_s: float | None = number(
        "Length of a defrost",
        unit="s",
        low=60,
        high=900,
        decimals=0,
        group="plan",
        default=300,
        default_from="a long defrost; the maker's least volume wins",
        answered=AT_OFFICE,
    )
    defrost_drop_k: float | None = number(
        "Water may cool in it by",
        unit="K",
        low=2,
        high=20,
        decimals=0,
        group="plan",
        default=10,
        default_from="keeps the rooms from noticing",
        answered=AT_OFFICE,
    )
    preset_valve: str | None = reference(
        "Valve of the radiators",
        "preset_valve",
        group="plan",
        empty_means="None with a table",
        help="With its table the setting of each is worked out. An emitter may name another.",
        answered=AT_OFFICE,
    )
    house_flow_l_min: float | None = number(
        "Flow of the house side",
        unit="l/min",
        low=0,
        high=300,
        decimals=1,
        group="plan",
        help="Only behind a buffer with four connections or a low-loss header.",
        answered=AT_OFFICE,
    )
    notes: str | None = long_text("Notes", group="plan")


@record_kind(
    "mixed_circuit",
    "Mixed circuit",
    "Mixed circuits",
    stage="hot_water",
    part=Part("routes", in_options=True),
    title=("name",),
    help="Emitters that get cooler water than the unit gives, by a mixing valve and a pump of their own: a heated floor beside radiators.",
)
class MixedCircuit(Record):
    """A circuit at a flow temperature of its own; its emitters name it."""

    name: str | None = text("Name", max_length=80)
    flow_temperature_c: float | None = number(
        "Its flow temperature at the design cold", unit="°C", low=20, high=70, decimals=0, answered=AT_OFFICE
    )
    flow_return_difference_k: float | None = number(
        "Its flow to return difference",
        unit="K",
        low=2,
        high=20,
        decimals=0,
        default=5,
        default_from="usual for a heated floor",
        answered=AT_OFFICE,
    )
    primary_drop_kpa: float | None = number(
        "Resistance of the pipes up to its mixing valve",
        unit="kPa",
        low=0,
        high=100,
        decimals=1,
        help="Of the part that the unit's water flows through, at the circuit's full flow; it decides how well the valve rules.",
        answered=AT_OFFICE,
    )
    pipes_drop_kpa: float | None = number(
        "Resistance of its own pipes",
        unit="kPa",
        low=0,
        high=100,
        decimals=1,
        help="Between mixing valve and manifold, both legs, at its full flow.",
        answered=AT_OFFICE,
    )
    valve_kvs_m3_h: float | None = number(
        "Kvs of its mixing valve",
        unit="m³/h",
        low=0.1,
        high=100,
        decimals=2,
        help="Leave empty for the ordinary size that is worked out.",
        answered=AT_OFFICE,
    )
    pump_kpa: float | None = number(
        "What its pump has at that flow",
        unit="kPa",
        low=0,
        high=200,
        decimals=1,
        help="From the pump's curve.",
        answered=AT_OFFICE,
    )


@record_kind(
    "vessel",
    "Vessel or fitting",
    "Vessels and fittings",
    stage="hot_water",
    part=Part("routes", in_options=True),
    title=("name", "type"),
    groups=(("what", "What it is"), ("place", "Where it goes")),
    help="Buffer, volumiser, expansion vessel, dirt separator, strainer, antifreeze valve: what is there and what is needed.",
)
class Vessel(Record):
    """One vessel or fitting of the heating circuit."""

    type: str | None = choice("What", VESSELS, group="what", is_priced=True)
    name: str | None = text("Name", group="what", max_length=80)
    plan: str | None = choice(
        "What happens",
        (("new", "New"), ("keep", "There, stays"), ("remove", "Taken out")),
        group="what",
        default="new",
        default_from="most plants are new",
        is_priced=True,
    )
    litres: float | None = number("Content", unit="l", low=0, high=2000, decimals=1, group="what", is_priced=True)
    kv_m3_h: float | None = number(
        "Kv",
        unit="m³/h",
        low=0.1,
        high=200,
        decimals=1,
        group="what",
        help="From the maker: what flows at a resistance of one bar.",
        answered=AT_OFFICE,
    )
    is_magnetic: bool | None = yes_no("With a magnet", group="what", when={"type": "dirt_separator"})
    count: int | None = integer("How many", low=1, high=20, group="what", default=1, default_from="one", is_priced=True)
    where: str | None = choice(
        "Where",
        (
            ("outdoors", "Outdoors, by the unit"),
            ("unheated", "Garage, cellar or loft"),
            ("heated", "Heated room or cupboard"),
        ),
        group="place",
    )
    clear_width_mm: float | None = number(
        "Clear width there",
        unit="mm",
        low=50,
        high=5000,
        decimals=0,
        group="place",
        fills=("clear_depth_mm", "clear_height_mm"),
    )
    clear_depth_mm: float | None = number("Clear depth there", unit="mm", low=50, high=5000, decimals=0, group="place")
    clear_height_mm: float | None = number(
        "Clear height there", unit="mm", low=50, high=6000, decimals=0, group="place"
    )
    width_mm: float | None = number(
        "Its width", unit="mm", low=20, high=3000, decimals=0, group="place", fills=("depth_mm", "height_mm")
    )
    depth_mm: float | None = number("Its depth", unit="mm", low=20, high=3000, decimals=0, group="place")
    height_mm: float | None = number("Its height", unit="mm", low=20, high=4000, decimals=0, group="place")
    notes: str | None = long_text("Notes", group="place")


@dataclass
class SettingRow:
    """What a valve lets through at one of its settings."""

    setting: str | None = text("Setting", max_length=12)
    kv_m3_h: float | None = number("Kv", unit="m³/h", low=0.001, high=50, decimals=3)


@record_kind(
    "preset_valve",
    "Valve with settings",
    "Valves with settings",
    stage="office",
    part=Part("routes", is_subject=False, opens_the_walk=False),
    title=("name",),
    help="A radiator or manifold valve that is set once, by its maker's table.",
    held_by=(SURVEY, FIRM),
)
class PresetValve(Record):
    """A valve that is set to a flow, with the Kv of each of its settings."""

    name: str | None = text("Name", max_length=120)
    table_from: str | None = text("Where its table is from", max_length=160, help="The paper, its edition and page.")
    settings: list[Row] | None = rows(
        "Settings",
        SettingRow,
        max_rows=40,
        help="Each setting with its Kv, as the maker's paper gives it at the proportional band in use.",
    )
    firm_list: str | None = choice(
        "The firm's list",
        ((IN_LIST, "In it"), (LEFT_LIST, "No longer in it")),
        in_report=False,
        by_program=True,
        help="Where a valve comes from the firm's list, whether it is still there.",
    )
