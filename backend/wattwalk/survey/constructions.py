"""How the parts of a house are built: constructions, however their U-value is known."""

from __future__ import annotations

from dataclasses import dataclass

from .fields import AT_OFFICE, Row, choice, integer, number, reference, rows, text, yes_no
from .kinds import Part, Record, record_kind
from .purposes import HEAT_LOSS
from .usual import MATERIAL_NAMES, READY

ELEMENTS = (
    ("wall", "Outside wall"),
    ("partition", "Inside wall"),
    ("window", "Window"),
    ("door", "Door"),
    ("rooflight", "Roof window"),
    ("ground_floor", "Ground floor"),
    ("floor", "Upper floor"),
    ("ceiling", "Ceiling"),
    ("roof", "Roof"),
)

#: Looks that the default tables know; each belongs to one or more elements.
LOOKS = (
    ("wall_solid_brick", "Solid brick wall", "bricks laid end and side on in turn; about 220 mm thick"),
    ("wall_cavity", "Cavity wall, empty", "only long sides of bricks seen; about 250 to 300 mm"),
    ("wall_cavity_filled", "Cavity wall, filled", "round plugs of mortar in a pattern, or papers to show it"),
    ("wall_stone_granite", "Stone wall, granite or whinstone", "hard speckled or dark stone"),
    ("wall_stone_sandstone", "Stone wall, sandstone or limestone", "softer stone, cut blocks"),
    ("wall_timber_frame", "Timber frame wall", "sounds hollow inside, thin reveal, brick skin or cladding"),
    ("wall_system", "System-built wall", "concrete panels"),
    ("wall_cob", "Cob or earth wall", "very thick, rounded, no joints"),
    ("roof_loft", "Loft, insulated at the joists", "measure the quilt in three places"),
    ("roof_rafters", "Sloping ceiling or rafters", "plaster follows the slope"),
    ("roof_flat", "Flat roof", "felt, lead or rubber; no loft above"),
    ("roof_room", "Room in the roof, all its sides", "rooms under the rafters with low walls at the eaves"),
    ("roof_thatch", "Thatched roof", "reed or straw"),
    ("floor_solid", "Solid ground floor", "hard and cold, no air bricks"),
    ("floor_suspended", "Suspended timber ground floor", "springy, air bricks outside"),
    ("floor_cellar", "Floor over an unheated cellar", "a cellar you can walk into below"),
    ("floor_exposed", "Floor over outside air", "over a passage, a porch or a bay"),
    ("window_single", "Single glazing", "one pane; one reflection of a flame"),
    ("window_double_old", "Double glazing before 2002", "no mark of low-emissivity glass"),
    ("window_double_new", "Double glazing 2002 to 2021", "one reflection of a flame differs in colour"),
    ("window_double_2022", "Double or triple glazing from 2022", "date between the panes"),
    ("window_secondary", "Secondary glazing", "a second window inside the first"),
    ("window_triple_old", "Triple glazing before 2002", "three panes, six reflections"),
    ("door_solid", "Outside door", "timber or composite, little glass"),
    ("door_inside", "Inside door", "timber, to another room or an unheated space"),
    ("partition_stud", "Inside wall, boards on studs", "sounds hollow"),
    ("partition_brick", "Inside wall, half brick, plastered", "sounds solid, about 130 mm"),
    ("party_brick", "Wall to a neighbour, solid brick", "about 250 mm, plastered both sides"),
    ("floor_between", "Floor between storeys, timber", "boards on joists, plasterboard below"),
)

#: Whole windows of the table by glazing; the gap between panes and the frame choose the figure.
GLAZINGS = (
    ("double_air", "Double, plain glass", "all reflections of a flame alike"),
    ("double_air_hard_0_2", "Double, hard coating 0.2", "one reflection differs; older coating"),
    ("double_air_hard_0_15", "Double, hard coating 0.15", "one reflection differs; papers"),
    ("double_air_soft_0_1", "Double, soft coating 0.1", "one reflection differs; papers"),
    ("double_air_soft_0_05", "Double, soft coating 0.05", "one reflection differs; papers"),
    ("double_argon", "Double, plain glass, argon", "papers"),
    ("double_argon_hard_0_15", "Double, hard coating 0.15, argon", "papers"),
    ("double_argon_soft_0_1", "Double, soft coating 0.1, argon", "papers"),
    ("double_argon_soft_0_05", "Double, soft coating 0.05, argon", "papers; usual since about 2010"),
    ("triple_air", "Triple, plain glass", "six reflections alike"),
    ("triple_air_soft_0_1", "Triple, soft coating 0.1", "papers"),
    ("triple_argon_soft_0_05", "Triple, soft coating 0.05, argon", "papers"),
    ("single", "Single", "one pane"),
    ("secondary", "Secondary glazing", "a second window inside the first"),
)

GLASSES = (
    ("single", "Single"),
    ("double_air_6", "Double, plain, 6 mm gap"),
    ("double_air_12", "Double, plain, 12 mm gap"),
    ("double_air_16", "Double, plain, 16 mm gap"),
    ("double_coated_argon_16", "Double, coated, argon, 16 mm gap"),
    ("triple_coated_argon_12", "Triple, coated, argon, 12 mm gaps"),
)

FRAMES = (
    ("pvc_3", "Plastic, three chambers"),
    ("pvc_5", "Plastic, five chambers"),
    ("softwood_68", "Softwood, 68 mm"),
    ("metal_break", "Metal with a thermal break"),
    ("metal", "Metal without a break"),
)


@dataclass
class LayerRow:
    """One layer, listed from the inside outwards."""

    material: str | None = text(
        "Material", max_length=80, suggestions=MATERIAL_NAMES, help="A name of the list brings its λ with it."
    )
    thickness_mm: float | None = number("Thickness", unit="mm", low=0.1, high=2000, decimals=1)
    conductivity_w_mk: float | None = number("Conductivity λ", unit="W/mK", low=0.005, high=400, decimals=3)
    resistance_m2k_w: float | None = number(
        "or resistance R", unit="m²K/W", low=0.001, high=20, decimals=3, help="For boards and layers with a stated R."
    )
    bridge_fraction: float | None = number(
        "Share bridged",
        unit="",
        low=0,
        high=0.5,
        decimals=2,
        help="Timber or mortar through the layer, as a share of its area.",
    )
    bridge_conductivity_w_mk: float | None = number(
        "λ of what bridges it", unit="W/mK", low=0.005, high=400, decimals=3
    )
    air: str | None = choice(
        "If it is air",
        (
            ("still", "Still air", "closed, or small weep holes only"),
            ("slight", "A little ventilated", "open joints or vents of 500 to 1500 mm² for each metre"),
            ("well", "Well ventilated", "open to outside along its edge; nothing beyond it is counted"),
        ),
    )
    vents_mm2_m: float | None = number(
        "Vents of a little ventilated layer",
        unit="mm²/m",
        low=500,
        high=1500,
        decimals=0,
        help="For each metre of wall. Left empty: 1000, the middle.",
    )


LOOK, READY_ONE, LAYERS, PARTS, TABLE, DECLARED = "look", "ready", "layers", "window_parts", "window_table", "declared"
#: A declared U-value of a ground floor: of the whole build-up with the ground in it, or of the floor alone.
WHOLE, ALONE = "whole", "alone"
#: Where a wall or a ceiling serves, when neither its look nor the library says it.
OUTSIDE, NEIGHBOUR, LOFT, STOREYS_BETWEEN = "outside", "neighbour", "loft", "storeys"
_GLASS_KNOWN = {"known_by": (PARTS, TABLE)}
_ON_GROUND = {"element": "ground_floor"}
_WITH_EDGE = {"element": "ground_floor", "edge_insulation": ("horizontal", "vertical")}


@record_kind(
    "construction",
    "Construction",
    "Usual constructions",
    stage="constructions",
    part=Part("rooms", photo="room", in_options=True),
    title=("name",),
    groups=(("what", "What it is"), ("value", "How well it holds heat"), ("ground", "In the ground")),
    help="Two minutes here fill the whole house; any surface can differ later.",
)
class Construction(Record):
    """A wall, floor, roof, window or door that is used once or many times."""

    name: str | None = text("Name", group="what", max_length=80, needed_for=HEAT_LOSS)
    element: str | None = choice("What it is", ELEMENTS, group="what", needed_for=HEAT_LOSS)
    is_usual: bool | None = yes_no(
        "The usual one of its kind in this house", group="what", help="New surfaces of this kind start with it."
    )
    extension: str | None = reference(
        "Usual in which part of the house",
        "extension",
        group="what",
        empty_means="Main house",
        when={"is_usual": True},
        help="New surfaces of rooms there start with it.",
    )
    serves: str | None = choice(
        "Where in the house",
        (
            (OUTSIDE, "To outside"),
            (NEIGHBOUR, "To a neighbour"),
            (LOFT, "Under a loft or a roof"),
            (STOREYS_BETWEEN, "Between storeys"),
        ),
        group="what",
        when={"element": ("wall", "ceiling"), "known_by": (LAYERS, DECLARED)},
        help="Its layers do not say it; a look does. Sides that face there start with it.",
    )
    known_by: str | None = choice(
        "How its U-value is known",
        (
            (LOOK, "By its look and the age of the house", "published default table"),
            (READY_ONE, "From the library of usual constructions", "its layers are known by its look"),
            (LAYERS, "From its layers", "measured or opened up"),
            (TABLE, "Glazing by its panes and frame", "table of whole windows"),
            (PARTS, "Glazing from glass, frame and size", "each part known"),
            (DECLARED, "From papers or the maker", "certificate, window label"),
        ),
        group="value",
        needed_for=HEAT_LOSS,
    )
    look: str | None = choice("What it looks like", LOOKS, group="value", when={"known_by": LOOK}, needed_for=HEAT_LOSS)
    ready: str | None = choice("Which one", READY, group="value", when={"known_by": READY_ONE}, needed_for=HEAT_LOSS)
    insulation_mm: float | None = number(
        "Insulation seen",
        unit="mm",
        low=0,
        high=600,
        decimals=0,
        group="value",
        when={"known_by": LOOK},
        help="Loft quilt, insulation added to a wall or a floor. Leave empty when unknown.",
    )
    insulation_kind: str | None = choice(
        "What was added to the wall",
        (
            ("lambda_0_040", "Wool or white polystyrene", "λ about 0.040"),
            ("lambda_0_030", "Grey polystyrene or good wool", "λ about 0.030"),
            ("lambda_0_025", "Rigid foam board with foil", "λ about 0.025"),
        ),
        group="value",
        when={"known_by": LOOK, "element": "wall"},
        default="lambda_0_040",
        default_from="RdSAP 10 when it is not known, which gives the higher loss",
    )
    lined: bool | None = yes_no(
        "Lined inside on battens or lath",
        group="value",
        when={"known_by": LOOK, "element": "wall"},
        help="Sounds hollow: adds 0.17 m²K/W to a solid wall.",
    )
    thickness_mm: float | None = number(
        "Thickness of the wall",
        unit="mm",
        low=50,
        high=1500,
        decimals=0,
        group="value",
        when={"element": ("wall", "ground_floor")},
        help="Measure at a door or window reveal.",
    )
    layers: list[Row] | None = rows(
        "Layers, inside first", LayerRow, group="value", max_rows=20, when={"known_by": LAYERS}, needed_for=HEAT_LOSS
    )
    air_gaps: str | None = choice(
        "Gaps in the insulation",
        (
            ("none", "None", "laid in two layers, or joints closed"),
            ("gaps", "Gaps through the insulation", "single layer with open joints"),
            ("circulation", "Gaps, and air moving round it", "cold draught behind boards"),
        ),
        group="value",
        when={"known_by": LAYERS},
        default="none",
        default_from="work done with care; EN ISO 6946 level 0",
        answered=AT_OFFICE,
    )
    fixings_per_m2: float | None = number(
        "Metal fixings through the insulation",
        unit="1/m²",
        low=0,
        high=30,
        decimals=1,
        group="value",
        when={"known_by": LAYERS},
        answered=AT_OFFICE,
    )
    fixing_area_mm2: float | None = number(
        "Section of one fixing",
        unit="mm²",
        low=1,
        high=500,
        decimals=1,
        group="value",
        when={"known_by": LAYERS},
        answered=AT_OFFICE,
    )
    fixing_conductivity_w_mk: float | None = number(
        "λ of a fixing",
        unit="W/mK",
        low=0.1,
        high=400,
        decimals=1,
        group="value",
        when={"known_by": LAYERS},
        answered=AT_OFFICE,
        default=50,
        default_from="steel; stainless steel has 17",
    )
    fixing_depth_mm: float | None = number(
        "Depth it goes into the insulation",
        unit="mm",
        low=1,
        high=600,
        decimals=0,
        group="value",
        when={"known_by": LAYERS},
        answered=AT_OFFICE,
        help="Leave empty when it goes right through.",
    )

    glazing: str | None = choice("Panes", GLAZINGS, group="value", when={"known_by": TABLE}, needed_for=HEAT_LOSS)
    frame: str | None = choice(
        "Frame",
        (("wood_pvc", "Wood or plastic"), ("metal", "Metal")),
        group="value",
        when={"known_by": TABLE},
        default="wood_pvc",
        default_from="most houses",
    )
    pane_gap: str | None = choice(
        "Gap between the panes",
        (("6", "6 mm"), ("12", "12 mm"), ("16", "16 mm or more")),
        group="value",
        when={"known_by": TABLE},
        default="12",
        default_from="often found; measure the spacer",
        help="The width of the spacer bar between the panes.",
    )
    frame_break: str | None = choice(
        "Thermal break of a metal frame",
        (("none", "None"), ("4", "4 mm"), ("8", "8 mm"), ("12", "12 mm"), ("20", "20 mm"), ("32", "32 mm")),
        group="value",
        when={"known_by": TABLE, "frame": "metal"},
        default="4",
        default_from="the break that the table's figures are for",
    )
    glass: str | None = choice("Glass", GLASSES, group="value", when={"known_by": PARTS})
    glass_u_w_m2k: float | None = number(
        "U-value of the glass, if known",
        unit="W/m²K",
        low=0.3,
        high=6,
        decimals=2,
        group="value",
        when={"known_by": PARTS},
        help="Wins over the choice above.",
    )
    frame_kind: str | None = choice(
        "Frame material", FRAMES, group="value", when={"known_by": PARTS}, needed_for=HEAT_LOSS
    )
    frame_u_w_m2k: float | None = number(
        "U-value of the frame, if known",
        unit="W/m²K",
        low=0.5,
        high=8,
        decimals=2,
        group="value",
        when={"known_by": PARTS},
        help="Of a door: of its leaf. Wins over the choice above.",
    )
    spacer: str | None = choice(
        "Edge of the glass",
        (("metal", "Metal spacer", "bright metal between the panes"), ("warm", "Warm edge", "black or grey plastic")),
        group="value",
        when={"known_by": PARTS},
        default="metal",
        default_from="most windows, and it gives the higher loss",
    )
    edge_psi_w_mk: float | None = number(
        "Ψ of the glass edge, if known",
        unit="W/mK",
        low=0,
        high=0.3,
        decimals=3,
        group="value",
        when={"known_by": PARTS},
        answered=AT_OFFICE,
    )
    frame_width_mm: float | None = number(
        "Width of the frame seen",
        unit="mm",
        low=20,
        high=300,
        decimals=0,
        group="value",
        when={"known_by": PARTS, "element": ("window", "rooflight")},
        default=110,
        default_from="fixed and opening frame together, common practice",
    )
    panes: int | None = integer(
        "Panes side by side",
        low=1,
        high=12,
        group="value",
        when={"known_by": PARTS},
        default=1,
        default_from="one pane",
    )
    pane_width_mm: float | None = number(
        "Width of one pane",
        unit="mm",
        low=50,
        high=5000,
        decimals=0,
        group="value",
        when={"known_by": PARTS, "element": "door"},
        help="Leave empty for a door without glass.",
        fills=("pane_height_mm",),
    )
    pane_height_mm: float | None = number(
        "Height of one pane",
        unit="mm",
        low=50,
        high=5000,
        decimals=0,
        group="value",
        when={"known_by": PARTS, "element": "door"},
    )
    secondary_u_w_m2k: float | None = number(
        "U-value of a second window inside",
        unit="W/m²K",
        low=0.5,
        high=6,
        decimals=2,
        group="value",
        when=_GLASS_KNOWN,
        help="4.8 for a single pane in wood or plastic. Leave empty when there is none.",
    )
    secondary_gap_mm: float | None = number(
        "Gap to the second window",
        unit="mm",
        low=5,
        high=300,
        decimals=0,
        group="value",
        when=_GLASS_KNOWN,
        default=100,
        default_from="usual for secondary glazing",
    )
    slope_deg: float | None = number(
        "Slope of the roof window",
        unit="°",
        low=0,
        high=90,
        decimals=0,
        group="value",
        when={"element": "rooflight"},
        default=45,
        default_from="usual pitch of a roof",
        help="0 lies flat, 90 stands upright.",
    )

    u_value_w_m2k: float | None = number(
        "U-value",
        unit="W/m²K",
        low=0.05,
        high=8,
        decimals=2,
        group="value",
        when={"known_by": DECLARED},
        needed_for=HEAT_LOSS,
    )
    declared_for: str | None = choice(
        "What that U-value covers",
        (
            (WHOLE, "The whole floor, ground counted in", "certificates and energy assessments of a house"),
            (ALONE, "The floor alone", "its layers and surfaces; a maker's or an architect's figure"),
        ),
        group="value",
        when={"known_by": DECLARED, "element": "ground_floor"},
        default=WHOLE,
        default_from="a certificate's U-value of a ground floor holds ground and void, as EN ISO 13370 works it out (from memory)",
        help="The floor alone gets void and ground added by the size of the house.",
    )
    source_note: str | None = text(
        "Where it comes from",
        group="value",
        max_length=200,
        when={"known_by": DECLARED},
        help="Certificate number, label, drawing.",
    )

    depth_m: float | None = number(
        "Depth of this floor below the ground outside",
        unit="m",
        low=0,
        high=10,
        decimals=2,
        group="ground",
        when=_ON_GROUND,
        help="For a basement or a cellar. Leave empty for a floor at ground level.",
    )
    height_above_m: float | None = number(
        "Height of the floor above the ground outside",
        unit="m",
        low=0,
        high=3,
        decimals=2,
        group="ground",
        when=_ON_GROUND,
        default=0.3,
        default_from="two steps up to the door",
        help="Counts for a floor over a cellar.",
    )
    own_area_m2: float | None = number(
        "Its own whole area",
        unit="m²",
        low=1,
        high=2000,
        decimals=1,
        group="ground",
        when=_ON_GROUND,
        help="For a basement or an extension apart from the rest. Left empty: the ground floor of the whole house.",
    )
    own_edge_m: float | None = number(
        "Its own outside edge",
        unit="m",
        low=0,
        high=400,
        decimals=1,
        group="ground",
        when=_ON_GROUND,
        help="Goes with its own area.",
    )
    edge_insulation: str | None = choice(
        "Insulation at the edge",
        (("none", "None"), ("horizontal", "Lying along the edge"), ("vertical", "Standing down the edge")),
        group="ground",
        when=_ON_GROUND,
        default="none",
        default_from="none seen",
    )
    edge_reach_m: float | None = number(
        "How far it reaches",
        unit="m",
        low=0.1,
        high=3,
        decimals=2,
        group="ground",
        when=_WITH_EDGE,
        needed_for=HEAT_LOSS,
        help="Its width when it lies, its depth when it stands.",
    )
    edge_thickness_mm: float | None = number(
        "Its thickness", unit="mm", low=5, high=300, decimals=0, group="ground", when=_WITH_EDGE, needed_for=HEAT_LOSS
    )
    edge_conductivity_w_mk: float | None = number(
        "Its λ",
        unit="W/mK",
        low=0.015,
        high=0.2,
        decimals=3,
        group="ground",
        when=_WITH_EDGE,
        default=0.035,
        default_from="usual floor insulation",
        answered=AT_OFFICE,
    )


#: Parts of an unheated space that face outside air; each has a usual U-value in the catalogue.
SPACE_FACES = (
    ("wall_half_brick", "Wall, half a brick or single block"),
    ("wall_cavity", "Wall, cavity or one brick"),
    ("wall_insulated", "Wall, insulated"),
    ("glass_single", "Single glass"),
    ("glass_double", "Double glass or twin-wall sheet"),
    ("roof_tiles", "Roof, bare tiles or sheets"),
    ("roof_felt", "Roof, tiles on felt or boards"),
    ("roof_insulated", "Roof, insulated"),
    ("garage_door", "Garage door"),
    ("door", "Door"),
)


@dataclass
class SpaceFaceRow:
    """One outside face of an unheated space."""

    face: str | None = choice("What", SPACE_FACES)
    area_m2: float | None = number("Area", unit="m²", low=0.1, high=1000, decimals=1)
    u_value_w_m2k: float | None = number("U-value, if known", unit="W/m²K", low=0.05, high=8, decimals=2)


@record_kind(
    "unheated_space",
    "Unheated space",
    "Unheated spaces",
    stage="constructions",
    part=Part("rooms"),
    title=("name",),
    groups=(("what", "What it is"), ("faces", "Its outside")),
    help="A garage, porch, conservatory or loft worth more than a usual figure. Surfaces of rooms can then point at it.",
)
class UnheatedSpace(Record):
    """A space without heating, whose temperature follows from what it gains and loses."""

    name: str | None = text("Name", group="what", max_length=60, needed_for=HEAT_LOSS)
    volume_m3: float | None = number(
        "Volume", unit="m³", low=0.5, high=5000, decimals=1, group="what", needed_for=HEAT_LOSS
    )
    tightness: str | None = choice(
        "How tight it is",
        (
            ("type_1", "Very tight", "no doors, windows or vents to outside; 0.1 air changes"),
            ("type_2", "Tight", "joints sealed, no vents; 0.5 air changes"),
            ("type_3", "Ordinary", "well-fitted doors and windows, small vents; 1 air change"),
            ("type_4", "Leaky", "gaps or open vents; 3 air changes"),
            ("type_5", "Open", "many gaps, large or numerous openings; 10 air changes"),
        ),
        group="what",
        needed_for=HEAT_LOSS,
    )
    faces: list[Row] | None = rows(
        "Faces to outside air",
        SpaceFaceRow,
        group="faces",
        max_rows=20,
        needed_for=HEAT_LOSS,
        help="Leave out what it shares with the house, and its floor on the ground.",
    )
