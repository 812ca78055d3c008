"""U-values by look and age of the house: the default tables, and the rules that refine them by what was measured."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.catalogue import CatalogueError, interpolate, table

from ..answers.citing import cite, cite_row
from ..answers.rounding import figure
from .windows import slope_addition

DEFAULTS = "u_values_rdsap_10_2025"
NATIONS = "u_values_nations_rdsap_2012"
BY_INSULATION = "u_values_by_insulation_rdsap_2012"
INSULATED_WALLS = "insulated_walls_rdsap_2012"
ADDED = "added_insulation_rdsap_10_2025"
BRICK = "brick_thickness_rdsap_10_2025"
WALL_THICKNESS = "wall_thickness_rdsap_2012"
AGE_BANDS = "age_bands_rdsap_10_2025"

#: Which elements each look can be.
ELEMENTS_OF_LOOK = {
    "wall": ("wall",),
    "roof": ("roof", "ceiling"),
    "window": ("window", "rooflight"),
    "door": ("door",),
    "partition": ("partition",),
    "party": ("wall", "partition"),
}
ELEMENTS_OF_FLOOR = {
    "floor_solid": ("ground_floor",),
    "floor_suspended": ("ground_floor",),
    "floor_cellar": ("ground_floor",),
    "floor_exposed": ("floor",),
    "floor_between": ("floor", "ceiling"),
}
#: Looks whose U-value is worked out from a usual build-up.
LAYERED_LOOKS = ("partition_stud", "partition_brick", "party_brick", "floor_between", "door_inside")
#: Looks whose usual build-up takes in the insulation that was seen.
LAYERED_WHEN_INSULATED = ("wall_timber_frame", "roof_flat")
#: What lies below each look of a ground floor.
BELOW_OF_LOOK = {"floor_solid": "slab", "floor_suspended": "void", "floor_cellar": "cellar"}
GROUND_LOOKS = tuple(BELOW_OF_LOOK)

#: Age bands of solid walls for which the measured thickness decides; RdSAP 2012 stops a band earlier.
OLD_BANDS, OLD_BANDS_2012 = "ABCDE", "ABCD"
#: Walls to which the rule for added insulation applies.
INSULATED_AFTER = (
    "wall_solid_brick",
    "wall_stone_granite",
    "wall_stone_sandstone",
    "wall_cavity",
    "wall_cavity_filled",
    "wall_cob",
    "wall_system",
)
STONE = ("wall_stone_granite", "wall_stone_sandstone")
#: Walls to which a lining on battens adds its air layer and boards, m²K/W.
LINED_WALLS, LINING_M2K_W = ("wall_solid_brick", *STONE, "wall_cob", "wall_system"), 0.17

_NATION_WORDS = {"england": "England", "wales": "Wales", "scotland": "Scotland", "northern_ireland": "Northern Ireland"}
_TABLE_OF_NATION = {"england": "england_wales", "wales": "england_wales"}


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


@dataclass(frozen=True)
class House:
    """What the default tables ask of a house or a part of one: its age band, its nation, which edition is wanted, and what it is called."""

    age_band: str | None
    nation: str = "england"
    edition: str = "nation"
    name: str = "the house"

    @property
    def is_2012(self) -> bool:
        """Say whether the tables of RdSAP 2012 apply."""
        return self.edition == "rdsap_2012" or (self.edition == "nation" and self.nation != "england")


def nation_words(nation: str) -> str:
    """Return a nation's name."""
    return _NATION_WORDS[nation]


def years_of(nation: str, age_band: str) -> str | None:
    """Return the years that an age band means in a nation, or None when it has no such band."""
    row = table(AGE_BANDS).find(nation=nation, age_band=age_band)
    return row.word("years") if row else None


def elements_of(look: str) -> tuple[str, ...]:
    """Return the elements that a look can be."""
    return ELEMENTS_OF_FLOOR.get(look) or ELEMENTS_OF_LOOK[look.split("_", 1)[0]]


def stone_wall(look: str, thickness_mm: float) -> float:
    """Return the U-value in W/m²K of a bare stone wall by its thickness in mm (RdSAP 10, Table 12).

    Parameters
    ----------
    look : str
        ``wall_stone_granite`` or ``wall_stone_sandstone``.
    thickness_mm : float
        mm.

    Examples
    --------
    >>> round(stone_wall('wall_stone_granite', 500), 2)
    1.87
    >>> round(stone_wall('wall_stone_sandstone', 500), 2)
    1.68
    """
    factor, power = (45.315, -0.513) if look == "wall_stone_granite" else (54.876, -0.561)
    by_thickness: float = thickness_mm**power
    return factor * by_thickness


def stone_wall_2012(look: str, thickness_mm: float) -> float:
    """Return the U-value in W/m²K of a bare stone wall by its thickness in mm (RdSAP 2012, below Table S6).

    Parameters
    ----------
    look : str
        ``wall_stone_granite`` or ``wall_stone_sandstone``.
    thickness_mm : float
        Up to 1200 mm.

    Raises
    ------
    LookError
        Beyond 1200 mm, where the straight line says less than the thickest wall.

    Examples
    --------
    >>> round(stone_wall_2012('wall_stone_granite', 500), 2)
    2.3
    >>> round(stone_wall_2012('wall_stone_sandstone', 500), 2)
    2.0
    """
    if thickness_mm > 1200:
        raise LookError(
            f"a stone wall of {figure(thickness_mm, 0)} mm lies beyond the straight lines of RdSAP 2012: describe its layers",
            "thickness_mm",
        )
    return (3.3 if look == "wall_stone_granite" else 3.0) - 0.002 * thickness_mm


def brick_wall(thickness_mm: float) -> float:
    """Return the U-value in W/m²K of a bare solid brick wall by its thickness in mm (RdSAP 10, Table 13).

    Parameters
    ----------
    thickness_mm : float
        mm.

    Examples
    --------
    >>> brick_wall(220)
    1.7
    """
    for row in table(BRICK).rows:
        if row.number("over_mm") < thickness_mm <= row.number("up_to_mm"):
            return row.number("u_value_w_m2k")
    raise CatalogueError(f"no row for a brick wall of {thickness_mm:g} mm")


def added_insulation(thickness_mm: float, insulation_kind: str = "lambda_0_040") -> float:
    """Return the resistance in m²K/W that insulation added to a wall brings, lining and air layer in it.

    Parameters
    ----------
    thickness_mm : float
        Of the insulation, mm.
    insulation_kind : str
        ``lambda_0_040`` (also when it is not known), ``lambda_0_030`` or ``lambda_0_025``.

    References
    ----------
    RdSAP 10, Table 14.

    Examples
    --------
    >>> round(added_insulation(100), 2)
    2.75
    """
    row = table(ADDED).get(insulation_kind=insulation_kind)
    return row.number("slope_m2k_w_mm") * thickness_mm + row.number("start_m2k_w")


def with_resistance(u_value: float, resistance_m2k_w: float) -> float:
    """Return the U-value in W/m²K of an element with a resistance in m²K/W added: ``1 / (1/U + R)``.

    Parameters
    ----------
    u_value : float
        Of the element as it is, W/m²K.
    resistance_m2k_w : float
        What is added, m²K/W.

    References
    ----------
    EN ISO 6946:2017: resistances in line add up.

    Examples
    --------
    >>> round(with_resistance(1.5, 2.0), 3)
    0.375
    """
    return 1 / (1 / u_value + resistance_m2k_w)


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
    resistance = interpolate(
        ((row.number("insulation_mm"), 1 / row.number("u_value_w_m2k")) for row in rows), min(insulation_mm, thickest)
    )
    return LookValue(
        1 / resistance, "table by thickness of insulation", f"{figure(insulation_mm, 0)} mm", cite_row(rows[-1])
    )


def as_built(look: str, house: House) -> LookValue:
    """Return the default U-value of a look in a house of this age and nation, nothing measured.

    Raises
    ------
    LookError
        When the age is missing, or no table held has a row for it.
    """
    band = house.age_band
    if band is None:
        raise LookError(f"the age of {house.name} is missing, and the default tables go by it", "age_band")
    if house.is_2012:
        row = table(NATIONS).find(nation=_TABLE_OF_NATION.get(house.nation, house.nation), look=look, age_band=band)
    else:
        row = table(DEFAULTS).find(look=look, age_band=band)
    if row is None:
        edition = "RdSAP 2012" if house.is_2012 else "RdSAP 10"
        raise LookError(
            f"the default tables held for {nation_words(house.nation)} ({edition}) have no row for age band {band}: take the U-value from the papers of the house",
            "age_band",
        )
    return LookValue(row.number("u_value_w_m2k"), "table by look and age", f"band {band}", cite_row(row))


def by_look(
    look: str,
    element: str,
    age_band: str | None,
    insulation_mm: float | None,
    thickness_mm: float | None,
    *,
    nation: str = "england",
    edition: str = "nation",
    insulation_kind: str = "lambda_0_040",
    lined: bool = False,
    slope_deg: float = 45,
    whose: str = "the house",
) -> LookValue:
    """Return the default U-value of what was seen.

    Parameters
    ----------
    look, element : str
        As declared in the survey.
    age_band : str or None
        ``A`` to ``M``.
    insulation_mm, thickness_mm : float or None
        Insulation seen, and thickness of the wall, when measured.
    nation, edition : str
        Where the house stands, and which edition of the tables is wanted, as the survey declares them.
    insulation_kind : str
        What was added to a wall.
    lined : bool
        True for a solid wall lined on battens or lath.
    slope_deg : float
        Slope of a roof window.
    whose : str
        What the house, or the part of it, is called whose age this is.

    Raises
    ------
    LookError
        When the age is needed and missing, has no row, or insulation was seen that the tables cannot take in.
    """
    house = House(age_band, nation, edition, whose)
    if look.startswith("window"):
        return _window(look, element, slope_deg)
    if look in ("roof_loft", "roof_rafters") and insulation_mm is not None:
        return by_insulation(look, insulation_mm)
    value = as_built(look, house)
    if look == "floor_exposed" and insulation_mm is not None:
        measured = by_insulation(look, insulation_mm)
        return measured if measured.u_value < value.u_value else value
    if (
        thickness_mm is not None
        and age_band is not None
        and age_band in (OLD_BANDS_2012 if house.is_2012 else OLD_BANDS)
    ):
        value = _by_thickness(look, thickness_mm, value, house.is_2012)
    if insulation_mm:
        if look not in INSULATED_AFTER:
            raise LookError(
                "insulation was seen that the default tables cannot take in for this look: describe its layers",
                "insulation_mm",
            )
        insulated = (
            _insulated_2012(look, house, insulation_mm, value)
            if house.is_2012
            else _insulated(value, insulation_mm, insulation_kind)
        )
        # The table's least insulation is drawn from the bare wall; a lining that is there already is not lost to it.
        bare = _lined(value) if lined and look in LINED_WALLS else insulated
        return min(insulated, bare, key=lambda item: item.u_value)
    if lined and look in LINED_WALLS:
        return _lined(value)
    return value


def _lined(value: LookValue) -> LookValue:
    numbers = (
        f"U0 {figure(value.u_value, 3)} ({value.formula}, {value.numbers}), lined on battens R {figure(LINING_M2K_W)}"
    )
    return LookValue(with_resistance(value.u_value, LINING_M2K_W), "U = 1/(1/U0 + R)", numbers, value.source)


def _insulated(value: LookValue, insulation_mm: float, kind: str) -> LookValue:
    resistance = added_insulation(insulation_mm, kind)
    row = table(ADDED).get(insulation_kind=kind)
    numbers = f"U0 {figure(value.u_value)} ({value.formula}, {value.numbers}), T {figure(insulation_mm, 0)} mm of λ {figure(row.number('conductivity_w_mk'), 3)}: R {figure(resistance, 3)}"
    formula = f"U = 1/(1/U0 + {figure(row.number('slope_m2k_w_mm'), 4)} T + {figure(row.number('start_m2k_w'), 3)})"
    return LookValue(with_resistance(value.u_value, resistance), formula, numbers, cite("rdsap_10_2025", "Table 14"))


def _insulated_2012(look: str, house: House, insulation_mm: float, bare: LookValue) -> LookValue:
    rows = [row for row in table(INSULATED_WALLS).where("look", look) if row.cells["age_band"] == house.age_band]
    points = [
        (0.0, 1 / bare.u_value),
        *((row.number("insulation_mm"), 1 / row.number("u_value_w_m2k")) for row in rows),
    ]
    # A wall built well can be better than the row for a little insulation: more never makes it worse.
    best = 0.0
    for place, (mm, resistance) in enumerate(points):
        best = max(best, resistance)
        points[place] = (mm, best)
    u_value = 1 / interpolate(points, min(insulation_mm, points[-1][0]))
    numbers = f"band {house.age_band}, {figure(insulation_mm, 0)} mm, bare {figure(bare.u_value)}"
    return LookValue(u_value, "table by thickness of insulation", numbers, cite_row(rows[-1]))


def _by_thickness(look: str, thickness_mm: float, value: LookValue, is_2012: bool) -> LookValue:
    if look in STONE and is_2012:
        formula = "U = 3.3 − 0.002 t" if look == "wall_stone_granite" else "U = 3.0 − 0.002 t"
        return LookValue(
            stone_wall_2012(look, thickness_mm),
            formula,
            f"t {figure(thickness_mm, 0)} mm",
            cite("rdsap_2012", "Table S6, stone"),
        )
    if look in STONE:
        formula = "U = 45.315 t^−0.513" if look == "wall_stone_granite" else "U = 54.876 t^−0.561"
        return LookValue(
            stone_wall(look, thickness_mm),
            formula,
            f"t {figure(thickness_mm, 0)} mm",
            cite("rdsap_10_2025", "Table 12"),
        )
    if look == "wall_solid_brick" and not is_2012:
        return LookValue(
            brick_wall(thickness_mm),
            "table by thickness",
            f"{figure(thickness_mm, 0)} mm",
            cite("rdsap_10_2025", "Table 13"),
        )
    return value


def _window(look: str, element: str, slope_deg: float) -> LookValue:
    row = table(DEFAULTS).get(look=look, age_band="any")
    upright = row.number("u_value_w_m2k")
    if element != "rooflight":
        return LookValue(upright, "table by glazing", "upright", cite_row(row))
    adds, source = slope_addition(slope_deg, look.startswith("window_triple"))
    return LookValue(
        upright + adds,
        "U upright + addition for the slope",
        f"{figure(upright)} + {figure(adds)} at {figure(slope_deg, 0)}°",
        source,
    )
