"""The U-value of each construction, however it is known: by its look, from its layers, as declared, or in the ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wattwalk.catalogue import CatalogueError, Row, table
from wattwalk.survey.building import Construction
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord

from .citing import COMMON_PRACTICE, DECLARED, EN_ISO_6946, EN_ISO_6946_BRIDGED, EN_ISO_13370_SLAB, EN_ISO_13370_SUSPENDED, cite_row
from .ground import slab_on_ground, suspended_floor
from .layers import LIMIT_RATIO, LayerError, read_layer, surface_resistances, total_resistance
from .looks import GROUND_LOOKS, LAYERED_LOOKS, LookError, by_look, elements_of, usual_wall_thickness
from .results import ConstructionValue, Finding, Severity, Step
from .rounding import U_VALUE, figure, rounded

FLOOR_INSULATION = "ground_floor_insulation_rdsap_10_2025"
USUAL_LAYERS = "usual_layers_2026"

#: Wall thickness taken for the loss into the ground when nothing says otherwise, mm.
WALL_MM = 300.0

_DIRECTION = {"ground_floor": "down", "floor": "down", "ceiling": "up", "roof": "up", "rooflight": "up"}
_INSIDE_BEYOND = ("partition", "floor")
_ELEMENT_WORDS = {
    "wall": "an outside wall", "partition": "an inside wall", "window": "a window", "door": "a door", "rooflight": "a roof window",
    "ground_floor": "a ground floor", "floor": "an upper floor", "ceiling": "a ceiling", "roof": "a roof",
}


@dataclass(frozen=True)
class Value:
    """A construction's U-value in one use of it.

    ``ground`` is ``slab`` (to the yearly mean), ``suspended`` (to outside air) or None; ``to_outside_air``
    says that loft and roof are already in it.
    """

    u_value: float
    step: Step
    ground: str | None = None
    to_outside_air: bool = False
    ratio: float = 1.0


@dataclass(frozen=True)
class Refusal:
    """Why a construction has no U-value, and the record and field where that can be put right."""

    words: str
    record: str
    field: str | None


def element_words(element: str | None) -> str:
    """Return an element with its article, as a message says it."""
    return _ELEMENT_WORDS.get(element or "", "something not named")


class Constructions:
    """Every construction of a survey, valued once for each way that it is used."""

    def __init__(self, survey: Survey, record: SurveyRecord):
        self._survey = survey
        self._record = record
        self._by_id: Mapping[str, Construction] = {item.id: item for item in survey.of_kind("construction")}
        self._known: dict[tuple[str, str, bool], Value | Refusal] = {}

    def find(self, construction_id: str | None) -> Construction | None:
        """Return the construction with this id, or None."""
        return self._by_id.get(construction_id or "")

    def value(self, construction: Construction, direction: str, inside_beyond: bool) -> Value | Refusal:
        """Return the U-value for heat that flows in ``direction`` (``up``, ``horizontal``, ``down``) to still air or to outside."""
        key = (construction.id, direction, inside_beyond)
        if key not in self._known:
            self._known[key] = self._work_out(construction, direction, inside_beyond)
        return self._known[key]

    def usual(self, construction: Construction) -> Value | Refusal:
        """Return the U-value in the construction's most usual use."""
        element = construction.element or "wall"
        inside = element in _INSIDE_BEYOND or construction.look == "party_brick"
        direction = "up" if construction.look == "floor_between" else _DIRECTION.get(element, "horizontal")
        return self.value(construction, direction, inside and construction.look != "floor_exposed")

    def _work_out(self, item: Construction, direction: str, inside_beyond: bool) -> Value | Refusal:
        if item.element is None:
            return Refusal("what it is has not been said", item.key(), "element")
        if item.known_by is None:
            return Refusal("how its U-value is known has not been said", item.key(), "known_by")
        try:
            if item.known_by == "declared":
                return self._declared(item)
            if item.known_by == "layers":
                if not item.layers:
                    return Refusal("its layers are missing", item.key(), "layers")
                return self._from_layers(item, item.layers, direction, inside_beyond, None)
            return self._by_look(item, direction, inside_beyond)
        except LayerError as error:
            return Refusal(str(error), item.key(), "layers")
        except LookError as error:
            return Refusal(str(error), self._record.key() if error.field == "age_band" else item.key(), error.field)
        except CatalogueError as error:
            return Refusal(str(error), item.key(), "look")

    def _declared(self, item: Construction) -> Value | Refusal:
        if item.u_value_w_m2k is None:
            return Refusal("its declared U-value is missing", item.key(), "u_value_w_m2k")
        step = _step("as declared", item.source_note or "where it comes from is not written down", item.u_value_w_m2k, DECLARED)
        return Value(item.u_value_w_m2k, step, "slab" if item.element == "ground_floor" else None)

    def _from_layers(self, item: Construction, given: list, direction: str, inside_beyond: bool, basis: Row | None) -> Value | Refusal:
        layers = [read_layer(row, place, direction) for place, row in enumerate(given, start=1)]
        if item.element == "ground_floor":
            return self._slab(item, total_resistance(0.0, 0.0, layers).total, "; ".join(layer.words for layer in layers), EN_ISO_13370_SLAB)
        near, far = surface_resistances(direction, inside_beyond)
        found = total_resistance(near, far, layers)
        words = [f"Rsi {figure(near)}", *(layer.words for layer in layers), f"{'Rsi' if inside_beyond else 'Rse'} {figure(far)}"]
        bridged = any(layer.fraction for layer in layers)
        if bridged:
            words.append(f"upper limit {figure(found.upper, 4)}, lower limit {figure(found.lower, 4)}")
        words.append(f"R {figure(found.total, 4)} m²K/W, heat {'flows ' + direction if direction != 'horizontal' else 'flows level'}")
        formula = "U = 2 / (R upper + R lower)" if bridged else "U = 1 / ΣR"
        source = cite_row(basis) if basis is not None else (EN_ISO_6946_BRIDGED if bridged else EN_ISO_6946)
        return Value(1 / found.total, _step(formula, "; ".join(words), 1 / found.total, source), ratio=found.upper / found.lower)

    def _by_look(self, item: Construction, direction: str, inside_beyond: bool) -> Value | Refusal:
        if item.look is None:
            return Refusal("what it looks like has not been said", item.key(), "look")
        label = item.kind.field("look").choice_label(item.look)
        allowed = elements_of(item.look)
        if item.element not in allowed:
            can_be = " or ".join(element_words(name) for name in allowed)
            return Refusal(f"'{label}' is the look of {can_be}, but this is {element_words(item.element)}", item.key(), "look")
        if item.look in LAYERED_LOOKS:
            rows = table(USUAL_LAYERS).where("look", item.look)
            given = [{"material": row.word("material"), "thickness_mm": row.number("thickness_mm")} for row in rows]
            return self._from_layers(item, given, direction, inside_beyond, rows[0])
        if item.look in GROUND_LOOKS:
            return self._ground_by_look(item)
        found = by_look(item.look, item.element, self._record.age_band, item.insulation_mm, item.thickness_mm)
        step = _step(found.formula, f"{label}; {found.numbers}", found.u_value, found.source)
        return Value(found.u_value, step, to_outside_air=item.look == "roof_loft")

    def _ground_by_look(self, item: Construction) -> Value | Refusal:
        band = self._record.age_band
        if item.insulation_mm is None and band is None:
            return Refusal("the age of the house is missing, and the usual insulation of its floor goes by it", self._record.key(), "age_band")
        row = table(FLOOR_INSULATION).get(age_band=band or "A")
        thickness = item.insulation_mm if item.insulation_mm is not None else row.number("insulation_mm")
        resistance = thickness / 1000 / row.number("conductivity_w_mk")
        seen = "seen" if item.insulation_mm is not None else f"usual for band {band}"
        words = f"insulation {figure(thickness, 0)} mm ({seen}), R {figure(resistance, 3)}"
        if item.look == "floor_solid":
            return self._slab(item, resistance, words, EN_ISO_13370_SLAB)
        size = self._footprint()
        if isinstance(size, Refusal):
            return size
        area, perimeter = size
        wall_mm, wall_words = self._wall_thickness(item)
        found = suspended_floor(area, perimeter, wall_mm / 1000, resistance)
        numbers = (
            f"A {figure(area, 1)} m², P {figure(perimeter, 1)} m, B′ {figure(found.characteristic_m, 3)} m, {wall_words}, {words}, "
            f"Ug {figure(found.u_ground, 4)}, Ux {figure(found.u_void, 4)}"
        )
        step = _step("1/U = 1/Uf + 1/(Ug + Ux)", numbers, found.u_value, EN_ISO_13370_SUSPENDED)
        return Value(found.u_value, step, "suspended")

    def _slab(self, item: Construction, resistance: float, words: str, source: str) -> Value | Refusal:
        size = self._footprint()
        if isinstance(size, Refusal):
            return size
        area, perimeter = size
        wall_mm, wall_words = self._wall_thickness(item)
        found = slab_on_ground(area, perimeter, wall_mm / 1000, resistance)
        numbers = (
            f"A {figure(area, 1)} m², P {figure(perimeter, 1)} m, B′ {figure(found.characteristic_m, 3)} m, {wall_words}, {words}, "
            f"ground λ 1.5, d {figure(found.equivalent_m, 3)} m"
        )
        formula = "U = 2λ/(πB′ + d) · ln(πB′/d + 1)" if found.equivalent_m < found.characteristic_m else "U = λ/(0.457 B′ + d)"
        return Value(found.u_value, _step(formula, numbers, found.u_value, source), "slab")

    def _footprint(self) -> tuple[float, float] | Refusal:
        area, perimeter = self._record.ground_floor_area_m2, self._record.exposed_perimeter_m
        if area is None:
            return Refusal("the ground floor area of the whole house is missing", self._record.key(), "ground_floor_area_m2")
        if not perimeter:
            found = "is missing" if perimeter is None else "is 0, and a floor without an outside edge cannot be worked out this way"
            return Refusal(f"the outside edge of the ground floor {found}", self._record.key(), "exposed_perimeter_m")
        return area, perimeter

    def _wall_thickness(self, floor: Construction) -> tuple[float, str]:
        if floor.thickness_mm is not None:
            return floor.thickness_mm, f"walls {figure(floor.thickness_mm, 0)} mm"
        walls = [item for item in self._by_id.values() if item.element == "wall"]
        walls.sort(key=lambda item: not item.is_usual)
        for wall in walls:
            if wall.thickness_mm is not None:
                return wall.thickness_mm, f"walls {figure(wall.thickness_mm, 0)} mm, as {wall.name or 'the wall'}"
            if wall.look and self._record.age_band:
                usual = usual_wall_thickness(wall.look, self._record.age_band)
                if usual is not None:
                    return usual, f"walls {figure(usual, 0)} mm, usual for their look and age"
        return WALL_MM, f"walls taken as {figure(WALL_MM, 0)} mm, common practice"

    def results(self) -> tuple[tuple[ConstructionValue, ...], list[Finding]]:
        """Return the usual value of every construction, and a finding for each that has none."""
        values, findings = [], []
        for item in self._by_id.values():
            found = self.usual(item)
            name = item.name or item.kind.title_of(item.values())
            if isinstance(found, Refusal):
                words = f"{name} has no U-value: {found.words}"
                words = words if words.endswith(".") else f"{words}."
                findings.append(
                    Finding(Severity.CHECK, "no_u_value", found.record, found.field, words, "Put it right in the survey; until then the rooms it belongs to cannot be worked out.", COMMON_PRACTICE)
                )
                values.append(ConstructionValue(item.id, name, item.element or "", None, found.words, "", ()))
                continue
            if found.ratio > LIMIT_RATIO:
                findings.append(
                    Finding(
                        Severity.CHECK, "bridges_too_strong", item.key(), "layers",
                        f"{name}: the two limits of the method lie a factor {figure(found.ratio)} apart; it holds to {figure(LIMIT_RATIO, 1)}.",
                        "Have the U-value worked out in two dimensions, or declare the maker's.", EN_ISO_6946_BRIDGED,
                    )
                )
            words = item.kind.field("known_by").choice_label(item.known_by)
            values.append(ConstructionValue(item.id, name, item.element or "", rounded(found.u_value, U_VALUE), words, found.step.source, (found.step,)))
        return tuple(values), findings


def _step(formula: str, numbers: str, u_value: float, source: str) -> Step:
    return Step("U-value", formula, numbers, rounded(u_value, U_VALUE), "W/m²K", source)
