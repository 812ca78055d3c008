"""The outdoor unit: all that is true of it wherever it stands, from its maker's papers."""

from __future__ import annotations

from dataclasses import dataclass

from .fields import Row, choice, long_text, number, rows, text
from .holders import FIRM, IN_LIST, LEFT_LIST, SURVEY
from .kinds import Part, Record, record_kind
from .purposes import PLANT

#: Safety classes of refrigerants, and a refrigerant of which only its own plate tells the class.
A1, A2L, A3 = "a1", "a2l", "a3"
OTHER = "other"


@dataclass
class UnitPointRow:
    """What a unit gives at one outside temperature and one flow temperature."""

    outside_c: float | None = number("Outside", unit="°C", low=-30, high=35, decimals=1)
    flow_c: float | None = number("Flow", unit="°C", low=20, high=85, decimals=1)
    capacity_kw: float | None = number("Output", unit="kW", low=0.1, high=200, decimals=2)
    cop: float | None = number("Coefficient of performance", unit="", low=0.5, high=15, decimals=2)
    least_kw: float | None = number("Least output", unit="kW", low=0.1, high=200, decimals=2)


@dataclass
class CornerRow:
    """One corner of the maker's protective zone, seen with one's back to the wall."""

    along_m: float | None = number("Along from the unit's centre", unit="m", low=-10, high=10, decimals=2)
    out_m: float | None = number("Out from the wall", unit="m", low=-3, high=12, decimals=2)


@record_kind(
    "unit",
    "Outdoor unit in question",
    "Outdoor units in question",
    stage="office",
    part=Part("site"),
    title=("name",),
    groups=(
        ("what", "Which unit"),
        ("body", "Size and feet"),
        ("zone", "Refrigerant and zone"),
        ("sound", "Sound and electricity"),
        ("water", "Heating water"),
        ("room", "Room it needs around it"),
        ("table", "Its table"),
    ),
    help="Units the firm could fit, each by its maker's papers. Choosing one in the design moves every check, drawing and line.",
    held_by=(SURVEY, FIRM),
)
class Unit(Record):
    """A unit that could be fitted, with what its maker declares of it."""

    name: str | None = text("Name", group="what", max_length=120, needed_for=PLANT)
    table_from: str | None = text(
        "Where its table is from",
        group="what",
        max_length=160,
        help="The paper, its edition and page.",
    )
    standby_w: float | None = number("Power when it stands still", unit="W", low=0, high=200, decimals=0, group="what")
    declared_scop_35: float | None = number(
        "Declared seasonal efficiency at 35 °C", unit="", low=1, high=8, decimals=2, group="what"
    )
    declared_scop_55: float | None = number(
        "Declared seasonal efficiency at 55 °C", unit="", low=1, high=8, decimals=2, group="what"
    )
    notes: str | None = long_text("Notes", group="what", max_length=1000)
    width_mm: float | None = number(
        "Width", unit="mm", low=300, high=3000, decimals=0, group="body", fills=("depth_mm", "height_mm")
    )
    depth_mm: float | None = number("Depth", unit="mm", low=200, high=2000, decimals=0, group="body")
    height_mm: float | None = number("Height", unit="mm", low=300, high=3000, decimals=0, group="body")
    mass_kg: float | None = number("Mass", unit="kg", low=10, high=600, decimals=0, group="body")
    heavy_side: str | None = choice(
        "Heavy side, seen from the front",
        (("left", "Left"), ("right", "Right"), ("even", "Even"), ("unknown", "Not known")),
        group="body",
    )
    feet_across_mm: float | None = number(
        "Feet, centre to centre across",
        unit="mm",
        low=200,
        high=2500,
        decimals=0,
        group="body",
        fills=("feet_deep_mm",),
        help="From the maker's drawing.",
    )
    feet_deep_mm: float | None = number(
        "Feet, centre to centre front to back",
        unit="mm",
        low=150,
        high=1500,
        decimals=0,
        group="body",
        help="From the maker's drawing.",
    )
    foot_pad_cm2: float | None = number(
        "Bearing area of one foot", unit="cm²", low=4, high=2000, decimals=0, group="body"
    )
    feet_mount: str | None = choice(
        "How the feet stand",
        (
            ("fixed", "Fixed feet, no thread"),
            ("adjustable", "Feet that screw up and down"),
            ("dampers", "On dampers or rubber blocks"),
        ),
        group="body",
    )
    level_tolerance_mm_m: float | None = number(
        "Fall the maker allows", unit="mm/m", low=0, high=50, decimals=1, group="body"
    )
    refrigerant: str | None = choice(
        "Refrigerant",
        (
            ("r290", "R290, propane: flammable"),
            ("r32", "R32: mildly flammable"),
            ("r454", "R454B or R454C: mildly flammable"),
            (OTHER, "Other"),
        ),
        group="zone",
        default="r290",
        default_from="most new units; gives the strictest check",
    )
    safety_class: str | None = choice(
        "Safety class of the refrigerant",
        ((A1, "A1: does not burn"), (A2L, "A2L: mildly flammable"), (A3, "A3: flammable")),
        group="zone",
        when={"refrigerant": OTHER},
        help="On the unit's plate or in its papers. Until it is known the rules of propane hold.",
    )
    zone_drawing: str | None = choice(
        "Its protective zone",
        (
            ("not_known", "Not known yet", "a planning shape stands in"),
            ("corners", "The maker's own, by its corners", "from the drawing of this very unit"),
        ),
        group="zone",
        default="not_known",
        default_from="a planning shape is drawn until the corners are entered from the maker's drawing",
    )
    zone_corners: list[Row] | None = rows(
        "Corners of the maker's zone, in order",
        CornerRow,
        group="zone",
        max_rows=24,
        when={"zone_drawing": "corners"},
    )
    sound_power_dba: float | None = number(
        "Highest sound power",
        unit="dB(A)",
        low=30,
        high=90,
        decimals=1,
        group="sound",
        help="Sound power, not sound pressure at a metre; the highest that the unit can make.",
    )
    maximum_current_a: float | None = number(
        "Highest current",
        unit="A",
        low=1,
        high=125,
        decimals=1,
        group="sound",
        help="Of one phase, where it has three.",
    )
    phases: str | None = choice(
        "Phases of the unit",
        (("one", "Single phase"), ("three", "Three phases")),
        group="sound",
        default="one",
        default_from="usual for a house; common practice, no source",
    )
    backup_heater_kw: float | None = number("Its backup heater", unit="kW", low=0, high=24, decimals=1, group="sound")
    residual_head_kpa: float | None = number(
        "Head left for the house at the design flow",
        unit="kPa",
        low=0,
        high=200,
        decimals=1,
        group="water",
        help="From the pump's curve at the design flow, not the greatest head.",
    )
    minimum_flow_l_min: float | None = number("Least flow", unit="l/min", low=0, high=200, decimals=1, group="water")
    minimum_volume_l: float | None = number(
        "Least water that cannot be shut off", unit="l", low=0, high=500, decimals=0, group="water"
    )
    content_l: float | None = number("Water in the unit", unit="l", low=0, high=50, decimals=1, group="water")
    need_back_mm: float | None = number("Room it needs behind", unit="mm", low=0, high=3000, decimals=0, group="room")
    need_left_mm: float | None = number(
        "Room it needs on the left", unit="mm", low=0, high=3000, decimals=0, group="room"
    )
    need_right_mm: float | None = number(
        "Room it needs on the right", unit="mm", low=0, high=3000, decimals=0, group="room"
    )
    need_front_mm: float | None = number(
        "Room it needs in front", unit="mm", low=0, high=5000, decimals=0, group="room"
    )
    need_above_mm: float | None = number("Room it needs above", unit="mm", low=0, high=5000, decimals=0, group="room")
    points: list[Row] | None = rows(
        "Table",
        UnitPointRow,
        group="table",
        max_rows=200,
        needed_for=PLANT,
        in_report=False,
        help="Every outside temperature with every flow temperature, defrosting counted in; none left out.",
    )
    firm_list: str | None = choice(
        "The firm's list",
        ((IN_LIST, "In it"), (LEFT_LIST, "No longer in it")),
        group="what",
        in_report=False,
        by_program=True,
        help="Where a unit comes from the firm's list, whether it is still there.",
    )
