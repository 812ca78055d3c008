"""The survey's own record: who lives there, where, and what the house is."""

from __future__ import annotations

from .fields import AT_OFFICE, choice, date, integer, long_text, money, number, text, yes_no
from .kinds import Part, Record, record_kind
from .purposes import HEAT_LOSS, HOT_WATER, REPORT

#: England and Wales bands of the published default tables (RdSAP 10 code list, government XML schema 21).
AGE_BANDS = (
    ("A", "before 1900", "thick solid walls, sash windows, chimneys in most rooms"),
    ("B", "1900 to 1929", "solid brick, bay windows, suspended floors"),
    ("C", "1930 to 1949", "early cavity walls, hipped roof, bay"),
    ("D", "1950 to 1966", "cavity walls, plain render or brick, solid floors appear"),
    ("E", "1967 to 1975", "cavity walls, large windows, solid floors"),
    ("F", "1976 to 1982", "first insulation rules, thin loft quilt"),
    ("G", "1983 to 1990", "insulated cavity block inside"),
    ("H", "1991 to 1995", "double glazing as built"),
    ("I", "1996 to 2002", "part-filled cavity, insulated floor"),
    ("J", "2003 to 2006", "low-emissivity double glazing"),
    ("K", "2007 to 2011", "full insulation, tested for air-tightness"),
    ("L", "2012 to 2022", "full insulation, tested for air-tightness"),
    ("M", "2023 or later", "current rules"),
)

#: How tight a house is by its age, where nothing was tested.
VENTILATION_AGES = (
    ("before_2000", "Before 2000, or draughty", "chimneys, gaps at floors, old windows"),
    ("2000_to_2006", "2000 to 2006", "double glazed, insulated to the rules of the time"),
    ("after_2006", "After 2006", "tested for air leakage or thoroughly sealed since"),
)

#: How thermal bridges are counted.
BRIDGE_ALLOWANCES = (
    ("none", "None, counted elsewhere"),
    ("lengths", "Each bridge by its length", "Ψ of each detail, written down in the rooms"),
    ("good_details", "0.05 W/m²K", "new work with good details"),
    ("usual", "0.10 W/m²K", "all other buildings"),
    ("internal_insulation", "0.15 W/m²K", "insulated inside, broken by solid floors"),
    ("by_age", "By age", "RdSAP 2012: 0.15 W/m²K to 2002, 0.11 to 2006, 0.08 since"),
)

#: Stations of the tables of design temperatures, with what part of the country; the figures are in the catalogue.
LOCATIONS = (
    ("aberdeen", "Aberdeen", "Dyce"),
    ("aberporth", "Aberporth", "coast of west Wales"),
    ("belfast", "Belfast"),
    ("birmingham", "Birmingham"),
    ("bournemouth", "Bournemouth"),
    ("brize_norton", "Brize Norton", "Oxfordshire"),
    ("cardiff", "Cardiff"),
    ("carlisle", "Carlisle"),
    ("edinburgh", "Edinburgh"),
    ("eskdalemuir", "Eskdalemuir", "Southern Uplands"),
    ("exeter", "Exeter"),
    ("gatwick", "Gatwick", "Surrey and Sussex"),
    ("glasgow", "Glasgow"),
    ("inverness", "Inverness"),
    ("kirkwall", "Kirkwall", "Orkney"),
    ("leeds_bradford", "Leeds Bradford", "West Yorkshire"),
    ("leeming", "Leeming", "North Yorkshire"),
    ("lerwick", "Lerwick", "Shetland"),
    ("leuchars", "Leuchars", "Fife and Tayside"),
    ("lincoln", "Lincoln", "Waddington"),
    ("london", "London"),
    ("manchester", "Manchester"),
    ("marham", "Marham", "west Norfolk and the Fens"),
    ("newcastle", "Newcastle"),
    ("norwich", "Norwich"),
    ("nottingham", "Nottingham", "Watnall"),
    ("plymouth", "Plymouth"),
    ("shawbury", "Shawbury", "Shropshire"),
    ("stornoway", "Stornoway", "Western Isles"),
    ("trawsgoed", "Trawsgoed", "mid Wales"),
    ("valley", "Valley", "Anglesey"),
    ("wattisham", "Wattisham", "Suffolk"),
    ("wick", "Wick", "Caithness"),
)


#: How the sizes of rooms are known: measured each by itself, or all to the scale of one drawing or one pace.
SIZES_KNOWN_BY = (
    ("tape", "Tape"),
    ("laser", "Laser"),
    ("plan", "A plan on paper"),
    ("paced", "Paced or by eye"),
)

#: Whether a term of the unit's load counts.
_COUNTED = (("counted", "Counted"), ("left_out", "Left out"))


@record_kind(
    "survey",
    "Household and house",
    "Surveys",
    stage="household",
    part=Part("rooms", photo="outside"),
    single=True,
    title=("household_name", "address"),
    groups=(
        ("who", "Who and where"),
        ("house", "The house"),
        ("draughts", "Wind and draughts"),
        ("place", "Place and weather"),
        ("now", "Heating at present"),
        ("visit", "The visit"),
        ("method", "How losses are worked out", AT_OFFICE),
    ),
    help="Ask these at the door or the kitchen table; the rest of the walk builds on them.",
)
class SurveyRecord(Record):
    """The household, the house as a whole, its place, and its heating at present."""

    reference: str | None = text("Our reference", group="who", max_length=40, answered=AT_OFFICE)
    household_name: str | None = text("Household name", group="who", max_length=120, needed_for=REPORT)
    address: str | None = text("Address", group="who", max_length=240, needed_for=REPORT)
    postcode: str | None = text("Postcode", group="who", max_length=8, needed_for=REPORT)
    contact_email: str | None = text(
        "Email", group="who", max_length=254, is_email=True, needed_for=REPORT, help="The report is sent here."
    )
    contact_phone: str | None = text("Telephone", group="who", max_length=40)
    visit_date: str | None = date("Date of the visit", group="visit", needed_for=REPORT)
    surveyor: str | None = text("Surveyor", group="visit", max_length=120, needed_for=REPORT)
    sizes_known_by: str | None = choice(
        "Sizes of rooms known by",
        SIZES_KNOWN_BY,
        group="visit",
    )
    access_notes: str | None = long_text(
        "Getting in", group="who", help="Parking, keys, dogs, low doors, steep stairs."
    )

    dwelling: str | None = choice(
        "Kind of home",
        (
            ("detached", "Detached house"),
            ("semi_detached", "Semi-detached house"),
            ("mid_terrace", "Mid-terrace house"),
            ("end_terrace", "End-terrace house"),
            ("bungalow", "Bungalow"),
            ("flat", "Flat"),
        ),
        group="house",
    )
    front_looks: str | None = choice(
        "The front of the house looks to",
        (
            ("north", "North"),
            ("north_east", "North-east"),
            ("east", "East"),
            ("south_east", "South-east"),
            ("south", "South"),
            ("south_west", "South-west"),
            ("west", "West"),
            ("north_west", "North-west"),
        ),
        group="house",
        help="As you look out of the front door. It puts north on the plans.",
    )
    age_band: str | None = choice(
        "Built",
        AGE_BANDS,
        group="house",
        needed_for=HEAT_LOSS,
        spoils="Without it no usual wall, roof or floor can be taken from the age of the house.",
        help="The main house; an extension is a record of its own. Years of England and Wales; a finding says those of Scotland or Northern Ireland.",
    )
    ventilation_age: str | None = choice(
        "Air-tightness by age",
        VENTILATION_AGES,
        group="draughts",
        default="before_2000",
        default_from="the older category, which gives the higher loss",
        help="Sets the usual air changes of each room; a room can differ.",
    )
    sheltered_sides: int | None = integer(
        "Sides sheltered from the wind",
        low=0,
        high=4,
        group="draughts",
        default=2,
        default_from="a house in a street; SAP counts a side as sheltered by buildings, trees or a party wall",
        help="By what is about as tall as the house and within five times its own height.",
    )
    air_permeability_m3_hm2: float | None = number(
        "Air leakage, if tested",
        unit="m³/hm²",
        low=0.1,
        high=50,
        decimals=2,
        group="draughts",
        answered=AT_OFFICE,
        help="At 50 Pa, from the certificate of a pressure test.",
    )
    draught_proofed_pct: int | None = integer(
        "Windows and doors draught-proofed",
        unit="%",
        low=0,
        high=100,
        group="draughts",
        default=0,
        default_from="nothing seen, which gives the higher loss",
    )
    draught_lobby: bool | None = yes_no(
        "Draught lobby at the main door", group="draughts", help="A porch or inner door that closes behind you."
    )
    bedrooms: int | None = integer("Bedrooms", low=0, high=20, group="house", needed_for=HOT_WATER)
    occupants: int | None = integer("People living here", low=0, high=30, group="house", needed_for=HOT_WATER)
    ground_floor_area_m2: float | None = number(
        "Ground floor area",
        unit="m²",
        low=5,
        high=2000,
        decimals=1,
        group="house",
        help="The whole footprint, inside the walls.",
    )
    exposed_perimeter_m: float | None = number(
        "Outside edge of the ground floor",
        unit="m",
        low=0,
        high=400,
        decimals=1,
        group="house",
        help="Facing outside or an unheated space; no party walls.",
    )

    nation: str | None = choice(
        "Nation",
        (
            ("england", "England"),
            ("wales", "Wales"),
            ("scotland", "Scotland"),
            ("northern_ireland", "Northern Ireland"),
        ),
        group="place",
        default="england",
        default_from="most of the firm's work",
    )
    design_location: str | None = choice(
        "Nearest weather station",
        LOCATIONS,
        group="place",
        needed_for=HEAT_LOSS,
        spoils="Without it the design cold is that of a station picked by the postcode, or not known at all.",
    )
    altitude_m: float | None = number(
        "Height above the sea",
        unit="m",
        low=-5,
        high=1000,
        decimals=0,
        group="place",
        help="From a map. Higher up is colder.",
    )
    exposure: str | None = choice(
        "Exposure",
        (
            ("sheltered", "Sheltered", "town, or trees and buildings all round"),
            ("normal", "Normal", "suburb or village"),
            ("exposed", "Exposed", "hill top, coast, or above everything around"),
        ),
        group="place",
        default="normal",
        default_from="usual for a suburb or village",
    )
    exposure_allowance: str | None = choice(
        "Allowance for an exposed site",
        (
            ("none", "None", "the table's design cold"),
            ("two_kelvin", "2 K colder", "hill top or open coast"),
            ("three_kelvin", "3 K colder", "the worst of them"),
        ),
        group="place",
        default="none",
        default_from="the design cold of the table; a person decides on more",
        when={"exposure": "exposed"},
        answered=AT_OFFICE,
    )
    outside_design_temperature_c: float | None = number(
        "Design outside temperature, if set by hand",
        unit="°C",
        low=-25,
        high=10,
        decimals=1,
        group="place",
        help="Overrides the weather station and the height.",
        answered=AT_OFFICE,
    )
    outside_annual_mean_c: float | None = number(
        "Yearly mean outside temperature, if set by hand",
        unit="°C",
        low=0,
        high=15,
        decimals=1,
        group="place",
        help="Left empty: that of the postcode's region. The ground, neighbours at the yearly mean and the year's heat go by it.",
        answered=AT_OFFICE,
    )

    present_fuel: str | None = choice(
        "Fuel at present",
        (
            ("gas", "Mains gas"),
            ("oil", "Heating oil"),
            ("lpg", "LPG"),
            ("electricity", "Electricity"),
            ("solid", "Coal or smokeless fuel"),
            ("wood", "Wood or pellets"),
            ("none", "No heating"),
        ),
        group="now",
    )
    present_appliance: str | None = text("Appliance and its age", group="now", max_length=120)
    present_use_kwh: float | None = number("Use in a year", unit="kWh", low=0, high=200_000, decimals=0, group="now")
    present_price_p_kwh: float | None = number(
        "Price of that fuel", unit="p/kWh", low=0, high=200, decimals=2, group="now"
    )
    present_boiler: str | None = choice(
        "Boiler",
        (("condensing", "Condensing", "plastic flue, condensate drain"), ("older", "Older")),
        group="now",
        when={"present_fuel": ("gas", "oil", "lpg")},
    )
    present_efficiency_pct: float | None = number(
        "Its efficiency, if known",
        unit="%",
        low=20,
        high=110,
        decimals=0,
        group="now",
        help="Seasonal, of the gross heat of the fuel, from its papers.",
        answered=AT_OFFICE,
    )
    present_standing_p_day: float | None = number(
        "Standing charge of that fuel",
        unit="p/day",
        low=0,
        high=300,
        decimals=2,
        group="now",
        help="Saved only when the fuel leaves the house.",
    )
    fuel_leaves: bool | None = yes_no(
        "That fuel leaves the house altogether", group="now", help="No gas cooker or fire stays."
    )
    electricity_price_p_kwh: float | None = number(
        "Price of electricity", unit="p/kWh", low=0, high=200, decimals=2, group="now"
    )
    existing_deposit: str | None = money(
        "Deposit already paid", group="now", answered=AT_OFFICE, help="Taken off the balance on the quote."
    )
    aims: str | None = long_text(
        "What the household wants", group="now", help="In their words: warmth, cost, noise, timing."
    )
    vulnerable: bool | None = yes_no(
        "Anyone who feels cold or is at risk from hot water", group="now", help="Small children, elderly or ill people."
    )

    room_temperatures: str | None = choice(
        "Temperature of rooms that have none of their own",
        (
            ("bs_5449_1990", "UK table", "21 °C in living rooms, 22 °C in bathrooms, 18 °C elsewhere"),
            ("en_12831_1_2017", "EN 12831-1:2017 Annex B", "20 °C, 24 °C in bathrooms, 15 °C in halls and stores"),
        ),
        group="method",
        default="bs_5449_1990",
        default_from="usual UK practice, BS 5449",
        help="A room can always differ.",
    )
    height_gradient: str | None = choice(
        "Colder with height",
        (
            ("uk", "0.6 K for each 100 m", "usual in the UK"),
            ("en_12831_1_2017", "1 K for each 100 m", "EN 12831-1:2017, from memory"),
        ),
        group="method",
        default="uk",
        default_from="usual UK practice",
    )
    thermal_bridges: str | None = choice(
        "Allowance for thermal bridges",
        BRIDGE_ALLOWANCES,
        group="method",
        default="usual",
        default_from="EN 12831-1:2017 Annex B, all other buildings (from memory)",
    )
    ground_convention: str | None = choice(
        "Winter loss into the ground",
        (
            ("uk_annual_mean", "Annual mean ground temperature", "usual in the UK"),
            ("en_12831_2017", "The same times 1.45", "EN 12831-1:2017"),
        ),
        group="method",
        default="uk_annual_mean",
        default_from="usual UK practice",
    )
    ground_kind: str | None = choice(
        "Ground under the house",
        (
            ("clay", "Clay or silt", "λ 1.5 W/mK"),
            ("sand", "Sand or gravel", "λ 2.0 W/mK"),
            ("rock", "Rock", "λ 3.5 W/mK"),
        ),
        group="method",
        default="clay",
        default_from="usual for the UK when it is not known",
    )
    ground_water: str | None = choice(
        "Ground water",
        (
            ("deep", "More than 1 m below the floor"),
            ("near", "Within 1 m of the floor", "loss into the ground times 1.15"),
        ),
        group="method",
        default="deep",
        default_from="EN 12831-1:2017 when nothing is known (from memory)",
        when={"ground_convention": "en_12831_2017"},
    )
    default_tables: str | None = choice(
        "Default U-values by age",
        (
            (
                "nation",
                "The table held for the nation",
                "England RdSAP 10; Wales, Scotland and Northern Ireland RdSAP 2012",
            ),
            ("rdsap_10_2025", "RdSAP 10, England's table", "wherever the house stands"),
            ("rdsap_2012", "RdSAP 2012 of the nation"),
        ),
        group="method",
        default="nation",
        default_from="the newest table held for the nation",
    )
    design_percentile: str | None = choice(
        "Design cold",
        (
            ("99_6", "99.6 % of hours", "continuous heating"),
            ("99", "99 % of hours", "with a heating-up allowance of the firm's own"),
        ),
        group="method",
        default="99_6",
        default_from="continuous heating, as a heat pump runs",
    )
    separate_neighbour: str | None = choice(
        "Neighbour behind a party wall",
        (
            ("same_temperature", "As warm as we are", "no loss"),
            ("annual_mean", "At the yearly mean outside temperature", "EN 12831-1:2017 for a separate building"),
            ("cold", "Cold, at a temperature of its own", "an unheated or empty house"),
        ),
        renamed={"ten_degrees": "cold"},
        group="method",
        default="same_temperature",
        default_from="usual for an occupied neighbour",
    )
    load_neighbours: str | None = choice(
        "Unit's load: heat to neighbours who do not heat",
        _COUNTED,
        group="method",
        default="counted",
        default_from="a neighbour taken as not heating takes it from this house; common practice, no source",
        when={"separate_neighbour": ("annual_mean", "cold")},
    )
    neighbour_temperature_c: float | None = number(
        "Temperature of the cold neighbour",
        unit="°C",
        low=-10,
        high=18,
        decimals=1,
        group="method",
        when={"separate_neighbour": "cold"},
        default=10,
        default_from="an unheated or empty house beside heated ones; common practice, no source",
    )
    load_pipes: str | None = choice(
        "Unit's load: pipes outside heated rooms",
        _COUNTED,
        group="method",
        default="counted",
        default_from="the unit gives it before a room has it; common practice, no source",
    )
    load_floors: str | None = choice(
        "Unit's load: heat down from heated floors",
        _COUNTED,
        group="method",
        default="counted",
        default_from="EN 1264-3 counts it in the heat that the water brings (from memory)",
    )
    load_hot_water: str | None = choice(
        "Unit's load: hot water, averaged over the day",
        _COUNTED,
        group="method",
        default="left_out",
        default_from="usual UK practice: the unit is chosen for heating, hot water takes hours of the day (from memory)",
    )
    heating_up: str | None = choice(
        "How the house is heated",
        (
            ("continuous", "Day and night", "no allowance for heating up"),
            ("on_off", "On and off", "allowance to warm it up again, EN 12831:2003"),
        ),
        group="method",
        default="continuous",
        default_from="as a heat pump runs, usual UK practice",
    )
    heating_up_drop: str | None = choice(
        "How far it cools down meanwhile",
        (("1", "1 K", "heavy or well insulated"), ("2", "2 K"), ("3", "3 K", "light or poorly insulated")),
        group="method",
        default="2",
        default_from="the middle of the table, EN 12831:2003 (from memory)",
        when={"heating_up": "on_off"},
    )
    heating_up_hours: str | None = choice(
        "Time to warm it up again",
        (("1", "1 hour"), ("2", "2 hours"), ("3", "3 hours"), ("4", "4 hours")),
        group="method",
        default="2",
        default_from="common practice, no source",
        when={"heating_up": "on_off"},
    )
    ventilation_method: str | None = choice(
        "Air that has to be warmed",
        (
            ("room_table", "Usual air changes of each room", "UK table by use and age"),
            ("en_12831_2017", "Least air changes of EN 12831-1:2017", "with the leakage when it was tested"),
            (
                "air_permeability",
                "Leakage of the whole house",
                "pressure test, or built up from what is seen, as in SAP",
            ),
            ("mechanical", "Mechanical with heat recovery", "supply and extract in every room"),
        ),
        group="method",
        default="room_table",
        default_from="usual UK practice",
    )
    recovery_efficiency_pct: float | None = number(
        "Heat recovered by the ventilation unit",
        unit="%",
        low=0,
        high=98,
        decimals=0,
        group="method",
        when={"ventilation_method": "mechanical"},
        needed_for=HEAT_LOSS,
        help="Of the unit as installed; a label's test figure is often higher.",
    )
    mechanical_flow_m3_h: float | None = number(
        "Its flow, if measured",
        unit="m³/h",
        low=10,
        high=2000,
        decimals=0,
        group="method",
        when={"ventilation_method": "mechanical"},
        help="From the commissioning sheet. Leave empty for the least flow of Approved Document F.",
    )
    air_heat: str | None = choice(
        "Heat content of air",
        (("sap", "0.33 Wh/m³K", "SAP and usual UK practice"), ("en_12831_2003", "0.34 Wh/m³K", "EN 12831:2003")),
        group="method",
        default="sap",
        default_from="SAP and usual UK practice",
    )
