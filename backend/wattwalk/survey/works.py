"""What is done with the survey: design, price, works by trade; and its evidence: photos, notes, hazards."""

from __future__ import annotations

from dataclasses import dataclass

from .fields import Row, choice, date, integer, long_text, moment, money, number, reference, rows, text, yes_no
from .kinds import ANY_SUBJECT, Part, Record, record_kind
from .purposes import EVIDENCE, PRICE, WORKS


@record_kind(
    "design",
    "Design",
    "Designs",
    stage="office",
    part=Part("rooms", in_options=True),
    single=True,
    groups=(("heat", "Heating"), ("unit", "Unit and cylinder"), ("water", "Hot water"), ("offer", "Offer")),
    help="What the office has chosen.",
)
class Design(Record):
    """The office's choice of temperatures, unit and cylinder."""

    flow_temperature_c: float | None = number(
        "Flow temperature at the design cold",
        unit="°C",
        low=25,
        high=75,
        decimals=0,
        group="heat",
        default=45,
        default_from="the firm's usual aim for radiators; the lowest that serves every room is shown beside it",
    )
    flow_return_difference_k: float | None = number(
        "Flow to return difference",
        unit="K",
        low=2,
        high=20,
        decimals=0,
        group="heat",
        default=5,
        default_from="usual for a heat pump",
    )
    unit: str | None = reference("Outdoor unit, from those in question", "unit", group="unit", is_priced=True)
    unit_name: str | None = text(
        "Outdoor unit in words",
        group="unit",
        max_length=120,
        help="While it is none of those in question; the name of the chosen one takes its place.",
        is_priced=True,
    )
    unit_capacity_kw: float | None = number(
        "Its output at the design cold",
        unit="kW",
        low=0.5,
        high=100,
        decimals=1,
        group="unit",
        help="From the maker's table at the design outside and flow temperature.",
    )
    backup_kw: float | None = number(
        "Electric heater beside it",
        unit="kW",
        low=0,
        high=30,
        decimals=1,
        group="unit",
        help="Helps on the coldest days. Leave empty for none.",
    )
    cylinder_name: str | None = text("Cylinder", group="unit", max_length=120, is_priced=True)
    cylinder_l: float | None = number(
        "Its real content", unit="l", low=50, high=1000, decimals=0, group="unit", is_priced=True
    )
    remarks: str | None = long_text("Remarks for the household", group="unit")
    cost_heat: str | None = choice(
        "A year's heat for the running cost",
        (
            ("bill", "By the bill, where there is one", "what the present fuel gave in a year"),
            ("worked_out", "As worked out here", "the house kept warm all day"),
        ),
        group="heat",
        default="bill",
        default_from="what a house took says more of its people than any sum; how far the two lie apart stands beside it",
    )
    install_on: str | None = date(
        "Planned day of the installation",
        group="unit",
        help="VAT and grant are held against this day as well as against the day of the quote.",
    )
    offered: str | None = reference(
        "Offered option",
        "option",
        group="offer",
        is_its_own=True,
        empty_means="The survey as it stands",
        help="Report and quote are of this one.",
    )
    beside: str | None = reference(
        "Option printed beside it", "option", group="offer", is_its_own=True, empty_means="None"
    )
    valid_until: str | None = date("The quotation holds until", group="unit")
    earliest_start: str | None = date("Work could begin on", group="unit")
    hot_water_method: str | None = choice(
        "Hot water a day",
        (
            ("per_person_45", "45 l for each person", "installers' scheme: bedrooms + 1 or people, the larger"),
            ("sap_2012", "25 l for each person and 36 l", "SAP 2012, people by floor area"),
            ("per_person_35", "35 to 45 l for each person at 60 °C", "older code of practice"),
        ),
        group="water",
        default="per_person_45",
        default_from="usual for a heat pump; the others are shown beside it",
    )
    store_c: float | None = number(
        "Store temperature",
        unit="°C",
        low=35,
        high=70,
        decimals=0,
        group="water",
        default=50,
        default_from="usual for a heat pump, with a weekly cycle at 60 °C",
    )
    cylinder_nominal_l: float | None = number(
        "Size it is sold by", unit="l", low=50, high=1000, decimals=0, group="water"
    )
    coil_m2: float | None = number("Area of its coil", unit="m²", low=0.1, high=12, decimals=2, group="water")
    cylinder_loss_kwh: float | None = number(
        "Its loss in a day, declared",
        unit="kWh",
        low=0.1,
        high=12,
        decimals=2,
        group="water",
        help="At 45 K above the room, from its label or test.",
    )
    cylinder_height_mm: float | None = number("Its height", unit="mm", low=300, high=4000, decimals=0, group="water")
    cylinder_diameter_mm: float | None = number(
        "Its diameter, insulation and all", unit="mm", low=200, high=2000, decimals=0, group="water"
    )
    cylinder_empty_kg: float | None = number("Its weight, empty", unit="kg", low=5, high=500, decimals=0, group="water")
    cylinder_kind: str | None = choice(
        "Kind of cylinder",
        (("unvented", "Unvented, at mains pressure"), ("vented", "Vented, from a tank")),
        group="water",
        default="unvented",
        default_from="most new cylinders",
    )
    hygiene: str | None = choice(
        "Weekly cycle against legionella",
        (("immersion", "By the immersion heater"), ("unit", "By the unit alone"), ("none", "None")),
        group="water",
        default="immersion",
        default_from="usual: 60 °C once a week, held for an hour",
    )


@dataclass
class DrawnRow:
    """One value that a price line hangs on, as it stood when somebody last looked: the record and field, and the value as JSON; ``words`` are for people."""

    record: str | None = text("Record", max_length=120, must=True, by_program=True)
    field: str | None = text("Field", max_length=80, must=True, by_program=True)
    value: str | None = text("Value", max_length=400, must=True, by_program=True)
    words: str | None = text("In words", max_length=200)


@record_kind(
    "price_line",
    "Price line",
    "Price lines",
    stage="office",
    part=Part("price", is_subject=False, in_options=True),
    title=("what",),
    help="One line of the quote.",
)
class PriceLine(Record):
    """One line of the quote; amounts are decimal pounds without VAT."""

    what: str | None = text("What", max_length=200, needed_for=PRICE)
    part_of: str | None = choice(
        "Part of",
        (
            ("unit", "Outdoor unit and plant"),
            ("hot_water", "Hot water"),
            ("emitters", "Emitters"),
            ("pipes", "Pipes and insulation"),
            ("electrical", "Electrical work"),
            ("base", "Base and outside work"),
            ("labour", "Labour and commissioning"),
            ("other", "Other"),
        ),
        needed_for=PRICE,
    )
    quantity: float | None = number("Quantity", unit="", low=0, high=100_000, decimals=2, needed_for=PRICE)
    unit: str | None = choice(
        "Counted in",
        (("each", "each"), ("m", "metres"), ("h", "hours"), ("day", "days"), ("sum", "lump sum")),
        default="each",
        default_from="most lines",
    )
    unit_price: str | None = money("Price of one, without VAT", needed_for=PRICE)
    is_credit: str | None = choice(
        "Kind of line",
        (("charge", "Charge"), ("grant", "Grant, taken off"), ("discount", "Discount, taken off")),
        default="charge",
        default_from="most lines",
    )
    vat_rate: str | None = choice(
        "VAT",
        (
            ("0", "0 %", "energy-saving materials installed in a home, until 31 March 2027"),
            ("5", "5 %"),
            ("20", "20 %"),
        ),
        needed_for=PRICE,
        help="VAT Notice 708/6. The firm answers for the rate.",
    )
    drawn_from: str | None = reference("From which record", among=ANY_SUBJECT)
    drawn_basis: list[Row] | None = rows(
        "What it hung on when it was drawn", DrawnRow, max_rows=20, in_report=False, by_program=True
    )
    drawn_as: str | None = text(
        "As what it was drawn from there",
        max_length=40,
        in_report=False,
        by_program=True,
        help="Tells two lines of one record apart, such as a radiator and its valve; the record's own line has none.",
    )
    order: float | None = number(
        "Place among the lines", unit="", low=0, high=1_000_000, decimals=6, in_report=False, by_program=True
    )
    group: str | None = text(
        "Group",
        max_length=60,
        help="Lines of one group stand together with a sum. Left open, they go by what they are part of.",
    )
    is_hidden: bool | None = yes_no(
        "Only in its group's sum", help="The household sees what it is, not what it costs by itself."
    )
    discount_percent: float | None = number(
        "Discount",
        unit="%",
        low=0,
        high=100,
        decimals=2,
        help="Off this line before VAT.",
    )
    discount_pounds: str | None = money("Discount in pounds", help="Off this line before VAT. Give one of the two.")
    is_optional: bool | None = yes_no(
        "The household may choose it", help="Not in the sum: it stands by itself with its price, VAT included."
    )


@dataclass
class AskedRow:
    """What asked for a work: the code of a finding or a suggestion, the record it is about, and what else tells two of one code apart."""

    code: str | None = text("Code", max_length=80, must=True, by_program=True)
    record: str | None = text("Record", max_length=120, must=True, by_program=True)
    about: str | None = text("About", max_length=80, by_program=True)


@record_kind(
    "scope_item",
    "Work for a trade",
    "Works by trade",
    stage="office",
    part=Part("works"),
    title=("what",),
    help="Exactly what is asked of whom, to what specification, by when.",
)
class ScopeItem(Record):
    """One thing asked of another trade."""

    trade: str | None = choice(
        "Trade",
        (
            ("builder", "Builder"),
            ("electrician", "Electrician"),
            ("plumber", "Plumber"),
            ("floor_layer", "Floor layer"),
            ("household", "Household"),
            ("us", "Our own team"),
        ),
        needed_for=WORKS,
    )
    what: str | None = text("What", max_length=200, needed_for=WORKS)
    specification: str | None = long_text("To what specification", needed_for=WORKS)
    why: str | None = text("Why", max_length=300)
    needed_by: str | None = date("Needed by")
    drawn_from: str | None = reference("From which record", among=ANY_SUBJECT)
    asked_by: list[Row] | None = rows("What asked for it", AskedRow, max_rows=20, in_report=False, by_program=True)
    state: str | None = choice(
        "State",
        (
            ("drafted", "Drafted"),
            ("sent", "Sent"),
            ("accepted", "Accepted"),
            ("done", "Done"),
            ("checked", "Checked"),
            ("refused", "Refused"),
        ),
        default="drafted",
        default_from="just written",
    )


@dataclass
class StrokeRow:
    """One mark drawn over a photo; positions are shares of the upright picture's width and height.

    An arrow goes from its tail to its tip, a ring fills the box between two corners, words stand at one place.
    """

    shape: str | None = choice("Shape", (("arrow", "Arrow"), ("ring", "Ring"), ("words", "Words")), must=True)
    x1: float | None = number("From across", unit="", low=0, high=1, decimals=4, must=True)
    y1: float | None = number("From down", unit="", low=0, high=1, decimals=4, must=True)
    x2: float | None = number(
        "To across", unit="", low=0, high=1, decimals=4, when={"shape": ("arrow", "ring")}, must=True
    )
    y2: float | None = number(
        "To down", unit="", low=0, high=1, decimals=4, when={"shape": ("arrow", "ring")}, must=True
    )
    words: str | None = text("Words", max_length=120, when={"shape": "words"}, must=True)


@record_kind(
    "photo",
    "Photo",
    "Photos",
    stage="photos",
    part=Part("photos", is_subject=False, is_counted=False),
    title=("caption", "category"),
    groups=(("what", "What it shows"), ("file", "The picture")),
)
class Photo(Record):
    """One photo: what it shows, and the hash of its bytes."""

    of: str | None = reference("Belongs to", among=ANY_SUBJECT, group="what")
    category: str | None = choice(
        "What it shows",
        (
            ("meter", "Meter and main fuse"),
            ("consumer_unit", "Consumer unit"),
            ("present_heater", "Present heater"),
            ("cylinder_place", "Place of the cylinder"),
            ("outdoor_place", "Place of the outdoor unit"),
            ("base", "Base"),
            ("pipe_route", "Pipe route"),
            ("cable_route", "Cable route"),
            ("emitter", "Emitter"),
            ("room", "Room"),
            ("damp", "Damp or mould"),
            ("hazard", "Hazard"),
            ("outside", "House from outside"),
            ("other", "Other"),
        ),
        group="what",
        needed_for=EVIDENCE,
    )
    caption: str | None = text("Caption", group="what", max_length=160)
    sha256: str | None = text("SHA-256 of the bytes", group="file", max_length=64, in_report=False, by_program=True)
    media_type: str | None = choice(
        "Format",
        (("image/jpeg", "JPEG"), ("image/png", "PNG"), ("image/webp", "WebP")),
        group="file",
        in_report=False,
        by_program=True,
    )
    size_bytes: int | None = integer(
        "Size", unit="bytes", low=1, high=40_000_000, group="file", in_report=False, by_program=True
    )
    width_px: int | None = integer(
        "Width", unit="px", low=1, high=20_000, group="file", in_report=False, by_program=True
    )
    height_px: int | None = integer(
        "Height", unit="px", low=1, high=20_000, group="file", in_report=False, by_program=True
    )
    taken_at: str | None = moment("Taken at", group="file")
    strokes: list[Row] | None = rows("Marks", StrokeRow, group="file", max_rows=60, in_report=False)


@record_kind(
    "hazard",
    "Hazard",
    "Hazards",
    stage="household",
    part=Part("cautions", photo="hazard", opens_the_walk=False),
    title=("type",),
    help="Anything the team must know before it starts.",
)
class Hazard(Record):
    """Something that can hurt someone."""

    type: str | None = choice(
        "What",
        (
            ("asbestos", "Suspected asbestos: leave it alone, have it tested"),
            ("loft_boards", "Loft without boards: step on joists only"),
            ("live_conductors", "Live conductors within reach: stop, call the electrician"),
            ("lone_working", "Lone working"),
            ("lifting", "Heavy lift"),
            ("height", "Work at height"),
            ("gas", "Smell of gas, or an unsafe appliance"),
            ("other", "Other"),
        ),
        needed_for=WORKS,
    )
    where: str | None = text("Where", max_length=160, needed_for=WORKS)
    what_to_do: str | None = long_text("What to do", max_length=600)


@record_kind(
    "note",
    "Note",
    "Notes",
    stage="household",
    part=Part("recorded", is_subject=False, opens_the_walk=False),
    title=("words",),
)
class Note(Record):
    """A free note, for the office or for the household."""

    of: str | None = reference("Belongs to", among=ANY_SUBJECT)
    words: str | None = long_text("Note")
    audience: str | None = choice(
        "For whom",
        (("office", "The office"), ("household", "The household, printed in the report")),
        default="office",
        default_from="notes stay inside unless you say otherwise",
    )
