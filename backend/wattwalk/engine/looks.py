"""U-values by look and age of the house: the default tables, and the rules that refine them by what was measured."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.catalogue import CatalogueError, interpolate, table

from .citing import cite, cite_row
from .rounding import figure

DEFAULTS = "u_values_rdsap_10_2025"
BY_INSULATION = "u_values_by_insulation_rdsap_2012"
BRICK = "brick_thickness_rdsap_10_2025"
WALL_THICKNESS = "wall_thickness_rdsap_2012"

#: Which elements each look can be.
ELEMENTS_OF_LOOK = {
    "wall": ("wall",), "roof": ("roof", "ceiling"), "window": ("window", "rooflight"), "door": ("door",),
    "partition": ("partition",), "party": ("wall", "partition"),
}
ELEMENTS_OF_FLOOR = {
    "floor_solid": ("ground_floor",), "floor_suspended": ("ground_floor",), "floor_exposed": ("floor",), "floor_between": ("floor", "ceiling"),
}
#: Looks whose U-value is worked out from a usual build-up.
LAYERED_LOOKS = ("partition_stud", "partition_brick", "party_brick", "floor_between")
GROUND_LOOKS = ("floor_solid", "floor_suspended")

#: Age bands of solid walls for which the measured thickness decides.
OLD_BANDS = "ABCDE"
#: Walls to which the rule for added insulation applies.
INSULATED_AFTER = ("wall_solid_brick", "wall_stone_granite", "wall_stone_sandstone", "wall_cavity", "wall_cavity_filled", "wall_cob", "wall_system")

#: Roof windows at about 45° lose more than the same glass upright (SAP Table 6e, note 2), W/m²K.
ROOFLIGHT_ADDS, ROOFLIGHT_TRIPLE_ADDS = 0.3, 0.2


class LookError(ValueError):
    """A look that gives no U-value here; its text says what is missing and ``field`` where to write it."""

    def __init__(self, words: str, field: str):
        super().__init__(words)
        self.field = field


@dataclass(frozen=True)
class LookValue:
    """A U-value in W/m²K with the formula, the numbers and the source behind it."""

    u_value: float
    formula: str
    numbers: str
    source: str


def elements_of(look: str) -> tuple[str, ...]:
    """Return the elements that a look can be."""
    return ELEMENTS_OF_FLOOR.get(look) or ELEMENTS_OF_LOOK[look.split("_", 1)[0]]


def stone_wall(look: str, thickness_mm: float) -> float:
    """Return the U-value in W/m²K of a bare stone wall by its thickness in mm (RdSAP 10, Table 12)."""
    if look == "wall_stone_granite":
        return 45.315 * thickness_mm**-0.513
    return 54.876 * thickness_mm**-0.561


def brick_wall(thickness_mm: float) -> float:
    """Return the U-value in W/m²K of a bare solid brick wall by its thickness in mm (RdSAP 10, Table 13)."""
    for row in table(BRICK).rows:
        if row.number("over_mm") < thickness_mm <= row.number("up_to_mm"):
            return row.number("u_value_w_m2k")
    raise CatalogueError(f"no row for a brick wall of {thickness_mm:g} mm")


def added_insulation(thickness_mm: float) -> float:
    """Return the resistance in m²K/W of insulation of unknown λ added to a wall: 0.025 T + 0.25 (RdSAP 10, Table 14)."""
    return 0.025 * thickness_mm + 0.25


def usual_wall_thickness(look: str, age_band: str) -> float | None:
    """Return the usual thickness in mm of a wall of this look and age, or None when the table has none."""
    row = table(WALL_THICKNESS).find(look=look, age_band=age_band)
    return row.number("thickness_mm") if row else None


def by_insulation(look: str, insulation_mm: float) -> LookValue:
    """Return the U-value of a roof or an exposed floor with measured insulation.

    Between two rows the resistance is drawn straight; thicker than the last row counts as the last row.
    """
    rows = table(BY_INSULATION).where("look", look)
    thickest = rows[-1].number("insulation_mm")
    resistance = interpolate(((row.number("insulation_mm"), 1 / row.number("u_value_w_m2k")) for row in rows), min(insulation_mm, thickest))
    return LookValue(1 / resistance, "table by thickness of insulation", f"{figure(insulation_mm, 0)} mm", cite_row(rows[-1]))


def by_look(look: str, element: str, age_band: str | None, insulation_mm: float | None, thickness_mm: float | None) -> LookValue:
    """Return the default U-value of what was seen.

    Parameters
    ----------
    look, element : str
        As declared in the survey.
    age_band : str or None
        ``A`` to ``M``.
    insulation_mm, thickness_mm : float or None
        Insulation seen, and thickness of the wall, when measured.

    Raises
    ------
    LookError
        When the age is needed and missing, or insulation was seen that the tables cannot take in.
    """
    if look.startswith("window"):
        return _window(look, element)
    if look in ("roof_loft", "roof_rafters") and insulation_mm is not None:
        return by_insulation(look, insulation_mm)
    if age_band is None:
        raise LookError("the age of the house is missing, and the default tables go by it", "age_band")
    row = table(DEFAULTS).get(look=look, age_band=age_band)
    value = LookValue(row.number("u_value_w_m2k"), "table by look and age", f"band {age_band}", cite_row(row))
    if look == "floor_exposed" and insulation_mm is not None:
        measured = by_insulation(look, insulation_mm)
        return measured if measured.u_value < value.u_value else value
    if thickness_mm is not None and age_band in OLD_BANDS:
        value = _by_thickness(look, thickness_mm) or value
    if not insulation_mm:
        return value
    if look not in INSULATED_AFTER:
        raise LookError("insulation was seen that the default tables cannot take in for this look: describe its layers", "insulation_mm")
    resistance = added_insulation(insulation_mm)
    return LookValue(
        1 / (1 / value.u_value + resistance), "U = 1/(1/U0 + 0.025 T + 0.25)",
        f"U0 {figure(value.u_value)} ({value.formula}, {value.numbers}), T {figure(insulation_mm, 0)} mm", cite("rdsap_10_2025", "Table 14"),
    )


def _by_thickness(look: str, thickness_mm: float) -> LookValue | None:
    if look == "wall_solid_brick":
        return LookValue(brick_wall(thickness_mm), "table by thickness", f"{figure(thickness_mm, 0)} mm", cite("rdsap_10_2025", "Table 13"))
    if look in ("wall_stone_granite", "wall_stone_sandstone"):
        formula = "U = 45.315 t^−0.513" if look == "wall_stone_granite" else "U = 54.876 t^−0.561"
        return LookValue(stone_wall(look, thickness_mm), formula, f"t {figure(thickness_mm, 0)} mm", cite("rdsap_10_2025", "Table 12"))
    return None


def _window(look: str, element: str) -> LookValue:
    row = table(DEFAULTS).get(look=look, age_band="any")
    upright = row.number("u_value_w_m2k")
    if element != "rooflight":
        return LookValue(upright, "table by glazing", "upright", cite_row(row))
    adds = ROOFLIGHT_TRIPLE_ADDS if look.startswith("window_triple") else ROOFLIGHT_ADDS
    return LookValue(upright + adds, "U upright + addition for the slope", f"{figure(upright)} + {figure(adds)}", cite_row(row))
