"""Constructions and materials that a surveyor meets most: picked by looking, worked out from the catalogue's layers."""

from __future__ import annotations

#: Ready constructions: stored word, what it is, what to look for, and the U-value in its usual use, W/m²K.
#: The layers or the table behind each are in the catalogue; a test holds the figures here to the engine's.
_LIBRARY = (
    ("wall_brick_220", "Brick, 220 mm, plastered", "long sides and ends of bricks in turn; no lining, sounds solid", 2.09),
    ("wall_brick_220_lined", "Brick, 220 mm, lined on battens", "bricks as before; inside sounds hollow between battens", 1.44),
    ("wall_brick_220_inside_50", "Brick, 220 mm, 50 mm rigid board inside", "deep new reveals inside; papers of the work", 0.40),
    ("wall_brick_220_outside_90", "Brick, 220 mm, 90 mm outside under render", "new render, sills pushed out, hollow knock outside", 0.37),
    ("wall_brick_330", "Brick, 330 mm, plastered", "one brick and a half; reveal about 350 mm", 1.61),
    ("wall_cavity_brick", "Two leaves of brick, empty 50 mm cavity", "only long sides of bricks; about 270 mm; no drill plugs", 1.44),
    ("wall_cavity_brick_filled", "Two leaves of brick, 50 mm cavity filled", "drill plugs in the mortar in a pattern; about 270 mm", 0.57),
    ("wall_cavity_block", "Brick and block, empty 50 mm cavity", "block seen in the loft gable or a meter box; no plugs", 1.47),
    ("wall_cavity_block_filled", "Brick and block, 50 mm cavity filled", "block inside, drill plugs outside", 0.57),
    ("wall_cavity_aerated", "Brick and light block, empty cavity", "pale light blocks inside, of the eighties", 0.82),
    ("wall_cavity_part_filled", "Brick and light block, 50 mm batt in the cavity", "batts seen at a meter box or in the loft; of the nineties", 0.37),
    ("wall_cavity_full_100", "Brick and light block, 100 mm batt filling the cavity", "about 330 mm; papers of the build", 0.26),
    ("wall_frame_90", "Timber frame, 90 mm wool, brick skin", "sounds hollow inside; weep holes outside; thin reveal", 0.41),
    ("wall_frame_140", "Timber frame, 140 mm wool, brick skin", "sounds hollow inside; deep reveal; of this century", 0.29),
    ("wall_sandstone_500", "Sandstone or limestone, 500 mm, plastered", "cut or coursed stone; plaster straight on it", 1.68),
    ("wall_sandstone_500_lined", "Sandstone or limestone, 500 mm, lined", "the same, hollow inside: lath or boards on straps", 1.31),
    ("wall_granite_600_lined", "Granite or whinstone, 600 mm, lined", "hard dark or speckled stone; hollow inside", 1.32),
    ("wall_roof_room_100", "Upright of a roof room, 100 mm between studs", "low door into the eaves; wool between studs behind it", 0.35),
    ("roof_loft_100", "Loft, 100 mm at the joists", "quilt level with the tops of the joists", 0.40),
    ("roof_loft_200", "Loft, 200 mm at the joists", "two layers, joists hidden", 0.21),
    ("roof_loft_270", "Loft, 270 mm at the joists", "thick quilt across the joists everywhere", 0.16),
    ("roof_slope_bare", "Sloping ceiling, nothing in it", "plaster follows the slope; lath or old board", 2.30),
    ("roof_slope_100", "Sloping ceiling, 100 mm wool between rafters", "wool seen at the eaves or the ridge", 0.45),
    ("roof_slope_rigid_125", "Sloping ceiling, rigid board between and under rafters", "papers of a loft room built after about 2006", 0.22),
    ("roof_flat_bare", "Flat roof, nothing in it", "felt or lead; damp marks; before about 1970", 1.85),
    ("roof_flat_cold_100", "Flat roof, 100 mm wool between joists, vented", "vents along the edge; space above the wool", 0.45),
    ("roof_flat_warm_100", "Flat roof, 100 mm rigid board on the deck", "thick upstand at the edge; no vents", 0.22),
    ("floor_passage_bare", "Floor over a passage, nothing in it", "boards seen from below, or old board ceiling", 1.20),
    ("floor_passage_100", "Floor over a passage, 100 mm wool between joists", "boarded soffit below; papers", 0.40),
    ("floor_garage_100", "Floor over a garage, 100 mm wool between joists", "plasterboard ceiling in the garage", 0.38),
    ("floor_between_wool", "Floor between storeys, 100 mm wool", "quiet floor of a newer house", 0.41),
    ("partition_block_100", "Inside wall, 100 mm block, plastered", "sounds solid; about 125 mm", 2.08),
    ("partition_stud_wool", "Inside wall, studs with 75 mm wool", "sounds dull rather than hollow", 0.50),
    ("party_cavity_block", "Wall to a neighbour, two leaves of block", "about 300 mm; of the sixties or later", 1.20),
    ("door_inside", "Inside door, timber", "between two rooms", 1.89),
)  # fmt: skip

#: Choices of the field ``ready``: the hint ends in the U-value, so that two that look alike can be told apart.
READY = tuple((value, label, f"{hint} (U {u_value:.2f})") for value, label, hint, u_value in _LIBRARY)

#: Names of the catalogue's materials, offered while a layer is typed; any other name is allowed.
MATERIAL_NAMES = (
    "Brick, outer leaf", "Brick, inner leaf", "Dense concrete block, inner", "Dense concrete block, outer", "Medium aggregate block, inner",
    "Medium aggregate block, outer", "Lightweight aggregate block", "Aerated block 460", "Aerated block 600", "Aerated block 730",
    "Mortar, protected", "Mortar, exposed", "Sandstone", "Limestone, soft", "Limestone, semi-hard", "Limestone, hard", "Granite", "Slate",
    "Whinstone or basalt", "Cob or earth", "Concrete 1800", "Concrete 2000", "Concrete 2200", "Concrete 2400", "Reinforced concrete, 1 % steel",
    "Reinforced concrete, 2 % steel", "Sand and cement screed", "Dense plaster", "Lightweight plaster", "Cement and sand render", "Plasterboard",
    "Softwood", "Hardwood", "Plywood", "Oriented strand board", "Chipboard", "Wood fibreboard 250", "Wood fibreboard 400", "Cement-bonded board",
    "Mineral wool quilt", "Mineral wool batt", "Blown mineral wool", "Polystyrene bead fill", "Expanded polystyrene board",
    "Extruded polystyrene board", "Rigid polyurethane or PIR board", "Phenolic foam board", "Cellulose fibre", "Sheep's wool or hemp batt",
    "Wood-wool slab", "Urea-formaldehyde foam", "Clay tile", "Concrete tile", "Asphalt", "Bitumen felt", "Glass", "Carpet", "Linoleum", "Steel",
    "Aluminium alloy", "Copper", "Thatch, reed", "Thatch, straw",
)  # fmt: skip
