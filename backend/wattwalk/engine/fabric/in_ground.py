"""Constructions in the ground of one survey: slabs, suspended floors, floors and walls of basements."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from wattwalk.catalogue import table
from wattwalk.survey.constructions import ALONE, Construction
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.parts import HousePart

from ..answers.citing import EN_ISO_13370_BASEMENT, EN_ISO_13370_EDGE, EN_ISO_13370_SLAB, EN_ISO_13370_SUSPENDED
from ..answers.rounding import figure
from ..answers.values import Refusal, Value, u_step
from .basement import WALL_RSI, basement_floor, basement_wall, floor_over_cellar
from .by_look import BELOW_OF_LOOK, nation_words, usual_wall_thickness
from .ground import DECK_M2K_W, RSE, RSI, VOID_WORDS, edge_psi, slab_on_ground, suspended_floor, with_edge
from .u_value import element_resistance, read_layer

FLOOR_INSULATION = "ground_floor_insulation_rdsap_10_2025"
GROUNDS = "grounds_en_iso_13370_2017"

#: Own rule: edge insulation counts while its reach, doubled where it stands, is no more than so many times B′. Up to there a thicker
#: floor never loses more by the sum of EN ISO 13370; beyond it the edges of a narrow floor meet, for which the sum was not made.
FARTHEST_EDGE = 1.5
#: Wall thickness taken for the loss into the ground when nothing says otherwise, mm.
WALL_MM = 300.0


class GroundWork:
    """Works out what of one part of a house lies in the ground; the whole floor decides, never one room."""

    def __init__(
        self,
        record: SurveyRecord,
        part: HousePart,
        by_id: Mapping[str, Construction],
        outside_walls: Mapping[str, int],
    ):
        self._outside_walls = outside_walls
        self._record, self._part, self._by_id = record, part, by_id
        self._ground_w_mk = table(GROUNDS).get(ground_kind=record.effective("ground_kind")).number("conductivity_w_mk")

    def by_look(self, item: Construction) -> Value | Refusal:
        """Return the U-value of a ground floor known by its look."""
        found = self._usual_insulation(item)
        if isinstance(found, Refusal):
            return found
        resistance, words = found
        return self.floor(item, BELOW_OF_LOOK[known(item.look)], resistance, words)

    def declared(self, item: Construction, below: str | None, found: Value) -> Value | Refusal:
        """Return the U-value of a ground floor from the one that papers declare, of the whole of it or of the floor alone."""
        if item.effective("declared_for") == ALONE:
            resistance = 1 / found.u_value - RSI - RSE
            if resistance < 0:
                return Refusal("its U-value is higher than any floor by itself can have", item.key(), "u_value_w_m2k")
            words = f"declared {figure(found.u_value)} W/m²K for the floor alone, R {figure(resistance, 3)} m²K/W"
            return self.floor(item, below or "slab", resistance, words, 0.0)
        step = replace(found.step, formula="as declared for the whole floor, ground counted in")
        return Value(found.u_value, step, "slab" if below in (None, "slab") else "suspended")

    def layered(self, item: Construction, below: str | None) -> Value | Refusal:
        """Return the U-value of a ground floor from its layers."""
        layers = [read_layer(row, place, "down") for place, row in enumerate(known(item.layers), start=1)]
        words = "; ".join(layer.words for layer in layers)
        return self.floor(item, below or "slab", element_resistance(0.0, 0.0, layers).total, words, 0.0)

    def floor(
        self, item: Construction, below: str, resistance: float, words: str, deck_m2k_w: float = DECK_M2K_W
    ) -> Value | Refusal:
        """Return the U-value of a ground floor by what lies ``below`` it.

        ``resistance`` is in m²K/W: of a slab's layers, or of what is added to a deck of ``deck_m2k_w`` over a void or a cellar.
        """
        if below == "slab":
            return self.slab(item, resistance, words)
        size = self._footprint(item)
        if isinstance(size, Refusal):
            return size
        area, perimeter = size
        wall_mm, wall_words = self._wall_thickness(item)
        if below == "cellar":
            return self._over_cellar(item, size, resistance, f"{wall_words}, {words}", deck_m2k_w)
        made = suspended_floor(area, perimeter, wall_mm / 1000, resistance, self._ground_w_mk, deck_m2k_w)
        numbers = (
            f"A {figure(area, 1)} m², P {figure(perimeter, 1)} m, B′ {figure(made.characteristic_m, 3)} m, {wall_words}, {words}, "
            f"{self._ground_words()}, d = w + λ (0.17 + 0.04) = {figure(made.equivalent_m, 3)} m, Ug = 2λ/(πB′ + d) · ln(πB′/d + 1) = {figure(made.u_ground, 4)}, "
            f"{VOID_WORDS} = {figure(made.u_void, 4)}, "
            f"Uf = 1/(2 × 0.17 + deck {figure(deck_m2k_w, 3)} + {figure(resistance, 3)}) = {figure(1 / (2 * RSI + deck_m2k_w + resistance), 4)}"
        )
        return Value(
            made.u_value, u_step("1/U = 1/Uf + 1/(Ug + Ux)", numbers, made.u_value, EN_ISO_13370_SUSPENDED), "suspended"
        )

    def slab(self, item: Construction, resistance: float, words: str) -> Value | Refusal:
        """Return the U-value of a floor on the ground whose layers have this resistance in m²K/W; below the ground as a basement's."""
        size = self._footprint(item)
        if isinstance(size, Refusal):
            return size
        area, perimeter = size
        wall_mm, wall_words = self._wall_thickness(item)
        made = slab_on_ground(area, perimeter, wall_mm / 1000, resistance, self._ground_w_mk)
        u_value, source, more, depth = made.u_value, EN_ISO_13370_SLAB, "", item.depth_m or 0.0
        thick = "(d + 0.5 z)" if depth else "d"
        is_thin = made.equivalent_m + 0.5 * depth < made.characteristic_m
        formula = f"U = 2λ/(πB′ + {thick}) · ln(πB′/{thick} + 1)" if is_thin else f"U = λ/(0.457 B′ + {thick})"
        if depth:
            u_value, source, more = (
                basement_floor(made.characteristic_m, made.equivalent_m, depth, self._ground_w_mk),
                EN_ISO_13370_BASEMENT,
                f", z {figure(depth)} m",
            )
        if item.effective("edge_insulation") != "none":
            edge = self._edge(item, made.equivalent_m, made.characteristic_m)
            if isinstance(edge, Refusal):
                return edge
            u_value, source, formula = (
                with_edge(u_value, edge, made.characteristic_m),
                EN_ISO_13370_EDGE,
                f"{formula}; + 2 Ψ/B′",
            )
            if u_value <= 0:
                return Refusal(
                    "its edge insulation saves more than the floor loses, which cannot be: check its reach and thickness, and the size of the floor",
                    item.key(),
                    "edge_thickness_mm",
                )
            more += f", edge insulation {item.kind.field('edge_insulation').choice_label(item.edge_insulation).lower()}, Ψ {figure(edge, 4)} W/mK"
        numbers = f"A {figure(area, 1)} m², P {figure(perimeter, 1)} m, B′ {figure(made.characteristic_m, 3)} m, {wall_words}, {words}, {self._ground_words()}, d = w + λ (0.17 + {figure(resistance, 3)} + 0.04) = {figure(made.equivalent_m, 3)} m{more}"
        return Value(u_value, u_step(formula, numbers, u_value, source), "slab")

    def wall(self, item: Construction, u_to_outside: float, depth_m: float) -> Value | Refusal:
        """Return the U-value of a wall in the ground, from its U-value in air and the depth in m that it reaches."""
        resistance = 1 / u_to_outside - WALL_RSI - RSE
        if resistance < 0:
            return Refusal(
                "its U-value is higher than any wall can have, so no wall in the ground can be made of it",
                item.key(),
                "u_value_w_m2k",
            )
        floor_m2k_w, words = self._basement_floor()
        wall_mm = item.thickness_mm if item.thickness_mm is not None else WALL_MM
        floor_m = wall_mm / 1000 + self._ground_w_mk * (RSI + floor_m2k_w + RSE)
        u_value = basement_wall(depth_m, resistance, floor_m, self._ground_w_mk)
        numbers = f"z {figure(depth_m)} m, R of the wall {figure(resistance, 3)} m²K/W, wall {figure(wall_mm, 0)} mm, {words}, d {figure(floor_m, 3)} m, {self._ground_words()}"
        return Value(
            u_value,
            u_step("U = 2λ/(πz) · (1 + 0.5 d/(d + z)) · ln(z/dw + 1)", numbers, u_value, EN_ISO_13370_BASEMENT),
            "slab",
        )

    def _over_cellar(
        self, item: Construction, size: tuple[float, float], resistance: float, words: str, deck_m2k_w: float
    ) -> Value | Refusal:
        if not item.depth_m:
            return Refusal(
                "how deep the cellar's floor lies below the ground outside is missing", item.key(), "depth_m"
            )
        area, perimeter = size
        height = item.effective("height_above_m")
        wall_mm, _words = self._wall_thickness(item)
        u_value = floor_over_cellar(
            area, perimeter, item.depth_m, height, wall_mm / 1000, resistance, self._ground_w_mk, deck_m2k_w=deck_m2k_w
        )
        numbers = f"A {figure(area, 1)} m², P {figure(perimeter, 1)} m, z {figure(item.depth_m)} m, h {figure(height)} m, {words}, {self._ground_words()}"
        return Value(
            u_value,
            u_step("1/U = 1/Uf + A/(A Ubf + z P Ubw + h P Uw + 0.33 n V)", numbers, u_value, EN_ISO_13370_BASEMENT),
            "suspended",
        )

    def _ground_words(self) -> str:
        return f"ground λ {figure(self._ground_w_mk, 1)}"

    def _basement_floor(self) -> tuple[float, str]:
        """Return the resistance in m²K/W of the basement's floor, where one is known by its look, and the words for it."""
        for item in self._by_id.values():
            if (
                item.element == "ground_floor"
                and item.depth_m
                and item.known_by == "look"
                and item.look == "floor_solid"
            ):
                found = self._usual_insulation(item)
                if not isinstance(found, Refusal):
                    return found[0], f"floor R {figure(found[0], 3)} m²K/W"
        return 0.0, "floor taken as bare"

    def _usual_insulation(self, item: Construction) -> tuple[float, str] | Refusal:
        band, nation = self._part.age_band, self._record.effective("nation")
        if item.insulation_mm is None and band is None:
            return Refusal(
                f"the age of {self._part.whose} is missing, and the usual insulation of its floor goes by it",
                self._part.key,
                "age_band",
            )
        row = table(FLOOR_INSULATION).find(nation=nation, age_band=band or "A")
        if row is None and item.insulation_mm is None:
            return Refusal(
                f"the default tables held for {nation_words(nation)} have no floor of age band {band}: write down the insulation seen, or declare the U-value",
                item.key(),
                "insulation_mm",
            )
        conductivity = (row or table(FLOOR_INSULATION).rows[0]).number("conductivity_w_mk")
        thickness = item.insulation_mm if item.insulation_mm is not None else known(row).number("insulation_mm")
        resistance = thickness / 1000 / conductivity
        seen = "seen" if item.insulation_mm is not None else f"usual for band {band}"
        return resistance, f"insulation {figure(thickness, 0)} mm ({seen}), R {figure(resistance, 3)}"

    def _edge(self, item: Construction, equivalent_m: float, characteristic_m: float) -> float | Refusal:
        if item.edge_reach_m is None:
            return Refusal("how far its edge insulation reaches is missing", item.key(), "edge_reach_m")
        if item.edge_thickness_mm is None:
            return Refusal("the thickness of its edge insulation is missing", item.key(), "edge_thickness_mm")
        if item.depth_m:
            return Refusal(
                "insulation at the edge belongs to a floor at the level of the ground, and this one lies below it",
                item.key(),
                "edge_insulation",
            )
        farthest = FARTHEST_EDGE * characteristic_m / (2 if item.edge_insulation == "vertical" else 1)
        if item.edge_reach_m > farthest + 1e-9:
            return Refusal(
                f"its edge insulation reaches {figure(item.edge_reach_m)} m, and the method holds to {figure(farthest)} m for a floor so narrow (B′ {figure(characteristic_m)} m): beyond that thicker insulation would seem to lose more",
                item.key(),
                "edge_reach_m",
            )
        return edge_psi(
            equivalent_m,
            item.edge_reach_m,
            item.edge_thickness_mm / 1000,
            item.effective("edge_conductivity_w_mk"),
            item.edge_insulation == "vertical",
            self._ground_w_mk,
        )

    def _footprint(self, item: Construction) -> tuple[float, float] | Refusal:
        if item.own_area_m2 is not None or item.own_edge_m is not None:
            if item.own_area_m2 is None:
                return Refusal("its own whole area is missing beside its own edge", item.key(), "own_area_m2")
            if not item.own_edge_m:
                return Refusal("its own outside edge is missing beside its own area", item.key(), "own_edge_m")
            return item.own_area_m2, item.own_edge_m
        area, perimeter = self._record.ground_floor_area_m2, self._record.exposed_perimeter_m
        if area is None:
            return Refusal(
                "the ground floor area of the whole house is missing", self._record.key(), "ground_floor_area_m2"
            )
        if not perimeter:
            found = (
                "is missing"
                if perimeter is None
                else "is 0, and a floor without an outside edge cannot be worked out this way"
            )
            return Refusal(f"the outside edge of the ground floor {found}", self._record.key(), "exposed_perimeter_m")
        return area, perimeter

    def _wall_thickness(self, floor: Construction) -> tuple[float, str]:
        if floor.thickness_mm is not None:
            return floor.thickness_mm, f"walls {figure(floor.thickness_mm, 0)} mm"
        walls = [item for item in self._by_id.values() if item.element == "wall"]
        # The wall that most of this part is made of, whatever was written down first.
        walls.sort(
            key=lambda item: (
                not (item.is_usual and item.extension == self._part.id),
                -self._outside_walls.get(item.id, 0),
                not item.is_usual,
                item.id,
            )
        )
        for wall in walls:
            if wall.thickness_mm is not None:
                return wall.thickness_mm, f"walls {figure(wall.thickness_mm, 0)} mm, as {wall.name or 'the wall'}"
            if wall.look and self._part.age_band:
                usual = usual_wall_thickness(wall.look, self._part.age_band)
                if usual is not None:
                    return usual, f"walls {figure(usual, 0)} mm, usual for their look and age"
        return WALL_MM, f"walls taken as {figure(WALL_MM, 0)} mm, common practice"
