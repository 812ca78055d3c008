"""The U-value of each construction, however it is known: by its look, from its layers, as declared, or in the ground."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from wattwalk.catalogue import CatalogueError, Row, table
from wattwalk.survey.building import Surface
from wattwalk.survey.constructions import DECLARED as BY_PAPERS
from wattwalk.survey.constructions import (
    LAYERS,
    LOOK,
    NEIGHBOUR,
    PARTS,
    READY_ONE,
    STOREYS_BETWEEN,
    TABLE,
    Construction,
)
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HousePart, HouseParts

from ..answers import ConstructionValue, Finding, Severity
from ..answers.citing import AGE_BAND_YEARS, COMMON_PRACTICE, DECLARED, EN_ISO_6946, EN_ISO_6946_BRIDGED, cite_row
from ..answers.rounding import U_VALUE, figure, rounded
from ..answers.values import Refusal, Value, u_step
from .by_look import (
    GROUND_LOOKS,
    LAYERED_LOOKS,
    LAYERED_WHEN_INSULATED,
    House,
    LookError,
    LookValue,
    as_built,
    by_look,
    elements_of,
    nation_words,
    years_of,
)
from .in_ground import GroundWork
from .u_value import (
    CORRECTION_SHARE,
    LIMIT_RATIO,
    Layer,
    LayerError,
    Resistance,
    air_gap_correction,
    element_resistance,
    fixing_correction,
    read_layer,
    surface_resistances,
)
from .windows import window_value

USUAL_LAYERS = "usual_layers_2026"
READY_BY_LOOK = "ready_by_look_2026"

_DIRECTION = {"ground_floor": "down", "floor": "down", "ceiling": "up", "roof": "up", "rooflight": "up"}
_INSIDE_BEYOND = ("partition", "floor")
_OVER_OUTSIDE = ("floor_exposed", "floor_passage_bare", "floor_passage_100")
_ELEMENT_WORDS = {
    "wall": "an outside wall",
    "partition": "an inside wall",
    "window": "a window",
    "door": "a door",
    "rooflight": "a roof window",
    "ground_floor": "a ground floor",
    "floor": "an upper floor",
    "ceiling": "a ceiling",
    "roof": "a roof",
}


def element_words(element: str | None) -> str:
    """Return an element with its article, as a message says it."""
    return _ELEMENT_WORDS.get(element or "", "something not named")


def ready_elements(ready: str) -> tuple[str, ...]:
    """Return the elements that a ready construction can be."""
    return (
        ("floor", "ceiling")
        if ready.startswith("floor_between")
        else ("floor",)
        if ready.startswith("floor_")
        else elements_of(ready)
    )


class Constructions:
    """Every construction of a survey, valued once for each way that it is used."""

    def __init__(self, survey: Survey, record: SurveyRecord, parts: HouseParts):
        self._record, self.parts = record, parts
        self._by_id: Mapping[str, Construction] = {item.id: item for item in survey.of_kind(Construction)}
        #: The outside walls of each part, and the parts in which each construction is met.
        walls: dict[str, Counter[str]] = {}
        self._met_in: dict[str, set[str]] = {}
        for surface in survey.of_kind(Surface):
            part = parts.of_surface(surface)
            if part is None or surface.construction is None:
                continue
            self._met_in.setdefault(surface.construction, set()).add(part.key)
            if surface.element == "wall" and surface.other_side == "outside":
                walls.setdefault(part.key, Counter())[surface.construction] += 1
        self._ground = {
            part.key: GroundWork(record, part, self._by_id, walls.get(part.key, Counter())) for part in parts.every
        }
        self._known: dict[tuple[object, ...], Value | Refusal] = {}
        #: What the first floor made of each construction says to lie below it.
        self._below: dict[str, str] = {}
        for surface in survey.of_kind(Surface):
            if surface.element == "ground_floor" and surface.below and surface.construction:
                self._below.setdefault(surface.construction, surface.below)

    def find(self, construction_id: str | None) -> Construction | None:
        """Return the construction with this id, or None."""
        return self._by_id.get(construction_id or "")

    def value(
        self,
        construction: Construction,
        direction: str,
        inside_beyond: bool,
        size_m: tuple[float, float] | None = None,
        *,
        part: HousePart,
    ) -> Value | Refusal:
        """Return the U-value for heat that flows in ``direction`` (``up``, ``horizontal``, ``down``) to still air or to outside.

        ``size_m`` is the width and height of an opening, which decides when a window is known by its parts; ``part`` says the age.
        """
        key = (construction.id, direction, inside_beyond, size_m if construction.known_by == PARTS else None, part.key)
        if key not in self._known:
            self._known[key] = self._work_out(construction, direction, inside_beyond, size_m, part=part)
        return self._known[key]

    def ground_floor(self, construction: Construction, below: str | None, part: HousePart) -> Value | Refusal:
        """Return the U-value of a ground floor by what lies ``below`` it; None where that was not said, and a look says it or it counts as a slab."""
        key = (construction.id, "below", below, part.key)
        if key not in self._known:
            self._known[key] = self._work_out(construction, "down", False, None, below, part=part)
        return self._known[key]

    def changed_floor(self, construction: Construction, part: HousePart) -> Value | Refusal:
        """Return the U-value that a ground floor would have if it were so; nothing of it is kept."""
        return self._work_out(construction, "down", False, None, self._below.get(construction.id), part=part)

    def wall_in_ground(self, construction: Construction, depth_m: float, part: HousePart) -> Value | Refusal:
        """Return the U-value of a wall that reaches ``depth_m`` below the ground outside."""
        key = (construction.id, "ground", depth_m, part.key)
        if key not in self._known:
            found = self.value(construction, "horizontal", False, part=part)
            self._known[key] = (
                found
                if isinstance(found, Refusal)
                else self._ground[part.key].wall(construction, found.u_value, depth_m)
            )
        return self._known[key]

    def part_of(self, construction: Construction) -> HousePart:
        """Return the part whose age a construction has by itself: the one it is usual in, else the first that has it."""
        met = self._met_in.get(construction.id, ())
        return next(
            (part for part in self.parts.extensions if part.id == construction.extension),
            next((part for part in self.parts.every if part.key in met), self.parts.main),
        )

    def usual(self, construction: Construction, part: HousePart | None = None) -> Value | Refusal:
        """Return the U-value in the construction's most usual use, in ``part`` or where it is met."""
        part = part or self.part_of(construction)
        element, seen = construction.element or "wall", construction.look or construction.ready or ""
        if element == "ground_floor":
            return self.ground_floor(construction, self._below.get(construction.id), part)
        inside = (
            element in _INSIDE_BEYOND
            or seen.startswith("party_")
            or seen == "door_inside"
            or construction.serves in (NEIGHBOUR, STOREYS_BETWEEN)
        )
        direction = "up" if seen.startswith("floor_between") else _DIRECTION.get(element, "horizontal")
        return self.value(construction, direction, inside and seen not in _OVER_OUTSIDE, part=part)

    def _work_out(
        self,
        item: Construction,
        direction: str,
        inside_beyond: bool,
        size_m: tuple[float, float] | None,
        below: str | None = None,
        *,
        part: HousePart,
    ) -> Value | Refusal:
        if item.element is None:
            return Refusal("what it is has not been said", item.key(), "element")
        if item.known_by is None:
            return Refusal("how its U-value is known has not been said", item.key(), "known_by")
        try:
            if item.known_by == BY_PAPERS:
                found = self._declared(item)
                if item.element != "ground_floor" or isinstance(found, Refusal):
                    return found
                return self._ground[part.key].declared(item, below, found)
            if item.known_by in (PARTS, TABLE):
                return window_value(item, size_m)
            if item.known_by == LAYERS:
                if not item.layers:
                    return Refusal("its layers are missing", item.key(), "layers")
                if item.element == "ground_floor":
                    return self._ground[part.key].layered(item, below)
                return self._from_layers(item, item.layers, direction, inside_beyond, None)
            if item.known_by == READY_ONE:
                return self._ready(item, direction, inside_beyond)
            return self._by_look(item, direction, inside_beyond, part)
        except LayerError as error:
            return Refusal(str(error), item.key(), "layers")
        except LookError as error:
            return Refusal(str(error), part.key if error.field == "age_band" else item.key(), error.field)
        except CatalogueError as error:
            return Refusal(str(error), item.key(), "look")

    def _declared(self, item: Construction) -> Value | Refusal:
        if item.u_value_w_m2k is None:
            return Refusal("its declared U-value is missing", item.key(), "u_value_w_m2k")
        step = u_step(
            "as declared", item.source_note or "where it comes from is not written down", item.u_value_w_m2k, DECLARED
        )
        return Value(item.u_value_w_m2k, step)

    def _from_layers(
        self,
        item: Construction,
        given: Sequence[Mapping[str, Any]],
        direction: str,
        inside_beyond: bool,
        basis: Row | None,
    ) -> Value | Refusal:
        layers = [read_layer(row, place, direction) for place, row in enumerate(given, start=1)]
        near, far = surface_resistances(direction, inside_beyond)
        found = element_resistance(near, far, layers)
        if found.upper / found.lower > LIMIT_RATIO:
            raise LayerError(
                f"the two limits of the method for bridged layers lie a factor {figure(found.upper / found.lower)} apart, and it holds to {figure(LIMIT_RATIO, 1)}: "
                "have the U-value worked out in two dimensions, or declare the maker's"
            )
        words = [
            f"Rsi {figure(near)}",
            *(layer.words for layer in layers),
            f"{'Rsi' if inside_beyond else 'Rse'} {figure(far)}",
        ]
        bridged = any(layer.fraction for layer in layers)
        if bridged:
            words.append(f"upper limit {figure(found.upper, 4)}, lower limit {figure(found.lower, 4)}")
        words.append(
            f"R {figure(found.total, 4)} m²K/W, heat {'flows ' + direction if direction != 'horizontal' else 'flows level'}"
        )
        formula = "U = 2 / (R upper + R lower)" if bridged else "U = 1 / ΣR"
        u_value = 1 / found.total
        if basis is None:
            more, said = corrections(item, layers, found)
            if said:
                words.append(said)
            if more:
                u_value, formula = u_value + more, f"{formula} + ΔU"
        source = cite_row(basis) if basis is not None else (EN_ISO_6946_BRIDGED if bridged else EN_ISO_6946)
        return Value(u_value, u_step(formula, "; ".join(words), u_value, source))

    def _ready(self, item: Construction, direction: str, inside_beyond: bool) -> Value | Refusal:
        if item.ready is None:
            return Refusal("which of the library it is has not been said", item.key(), "ready")
        label = item.kind.field("ready").choice_label(item.ready)
        allowed = ready_elements(item.ready)
        if item.element not in allowed:
            return self._wrong_element(label, allowed, item, "ready")
        row = table(READY_BY_LOOK).find(ready=item.ready)
        if row is None:
            return self._from_layers(
                item,
                _usual_rows(item.ready, None),
                direction,
                inside_beyond,
                table(USUAL_LAYERS).where("look", item.ready)[0],
            )
        thickness, insulation = row.number_if_any("thickness_mm"), row.number_if_any("insulation_mm")
        found = by_look(
            row.word("look"),
            item.element,
            "A",
            insulation,
            thickness,
            edition="rdsap_10_2025",
            lined=row.word("lined") == "yes",
        )
        return _look_value(row.word("look"), label, found)

    def _by_look(self, item: Construction, direction: str, inside_beyond: bool, part: HousePart) -> Value | Refusal:
        if item.look is None:
            return Refusal("what it looks like has not been said", item.key(), "look")
        label = item.kind.field("look").choice_label(item.look)
        allowed = elements_of(item.look)
        if item.element not in allowed:
            return self._wrong_element(label, allowed, item, "look")
        if item.look in LAYERED_LOOKS:
            return self._from_layers(
                item,
                _usual_rows(item.look, None),
                direction,
                inside_beyond,
                table(USUAL_LAYERS).where("look", item.look)[0],
            )
        if item.look in GROUND_LOOKS:
            return self._ground[part.key].by_look(item)
        if item.look in LAYERED_WHEN_INSULATED and item.insulation_mm:
            nation, edition = self._record.effective("nation"), self._record.effective("default_tables")
            bare = as_built(item.look, House(part.age_band, nation, edition, part.whose))
            made = self._from_layers(
                item,
                _usual_rows(item.look, item.insulation_mm),
                direction,
                inside_beyond,
                table(USUAL_LAYERS).where("look", item.look)[0],
            )
            return (
                made
                if isinstance(made, Refusal) or made.u_value < bare.u_value
                else _look_value(item.look, label, bare)
            )
        found = by_look(
            item.look,
            item.element,
            part.age_band,
            item.insulation_mm,
            item.thickness_mm,
            nation=self._record.effective("nation"),
            edition=self._record.effective("default_tables"),
            insulation_kind=item.effective("insulation_kind"),
            lined=bool(item.lined),
            slope_deg=item.effective("slope_deg"),
            whose=part.whose,
        )
        return _look_value(item.look, label, found)

    def _wrong_element(self, label: str, allowed: Sequence[str], item: Construction, field: str) -> Refusal:
        can_be = " or ".join(element_words(name) for name in allowed)
        return Refusal(
            f"'{label}' is the look of {can_be}, but this is {element_words(item.element)}", item.key(), field
        )

    def _years_of_band(self) -> list[Finding]:
        """Say what years an age band means where they are not those of the list that it was chosen from."""
        if not any(item.known_by == LOOK for item in self._by_id.values()):
            return []
        return [finding for part in self.parts.every for finding in self._years_in(part)]

    def _years_in(self, part: HousePart) -> list[Finding]:
        band, nation = part.age_band, self._record.effective("nation")
        if band is None:
            return []
        years, listed_years = years_of(nation, band), years_of("england", band)
        if years == listed_years:
            return []
        words = f"Band {band} was chosen by the years of England and Wales, {listed_years}; in {nation_words(nation)} it means {years}."
        if years is None:
            words = f"{nation_words(nation)} has no age band {band} ({listed_years} in England and Wales)."
        if part.id is not None:
            words = (
                f"{part.name}: {words[0].lower()}{words[1:]}" if words.startswith("Band") else f"{part.name}: {words}"
            )
        return [
            Finding(
                Severity.CHECK,
                "age_band_years",
                part.key,
                "age_band",
                words,
                "Choose the band by the years of the nation.",
                AGE_BAND_YEARS,
            )
        ]

    def results(self) -> tuple[tuple[ConstructionValue, ...], list[Finding]]:
        """Return the usual value of every construction, and a finding for each that has none."""
        values, findings = [], self._years_of_band()
        for item in self._by_id.values():
            found = self.usual(item)
            name = item.title
            if isinstance(found, Refusal):
                words = f"{name} has no U-value: {found.words}"
                words = words if words.endswith(".") else f"{words}."
                findings.append(
                    Finding(
                        Severity.CHECK,
                        "no_u_value",
                        found.record,
                        found.field,
                        words,
                        "Put it right in the survey; until then the rooms it belongs to cannot be worked out.",
                        COMMON_PRACTICE,
                    )
                )
                values.append(ConstructionValue(item.id, name, item.element or "", None, found.words, "", ()))
                continue
            words = item.kind.field("known_by").choice_label(item.known_by)
            values.append(
                ConstructionValue(
                    item.id,
                    name,
                    item.element or "",
                    rounded(found.u_value, U_VALUE),
                    words,
                    found.step.source,
                    (found.step,),
                )
            )
        return tuple(values), findings


def corrections(item: Construction, layers: Sequence[Layer], found: Resistance) -> tuple[float, str]:
    """Return what gaps and fixings in the insulation add to U in W/m²K (0 below 3 %), and the words for it.

    The insulation is the layer with the greatest resistance.

    Raises
    ------
    LayerError
        When fixings are counted but their section or the thickness of the insulation is missing.
    """
    gaps, fixings = item.effective("air_gaps"), item.fixings_per_m2
    if not layers or (gaps == "none" and not fixings):
        return 0.0, ""
    insulation = max(layers, key=lambda layer: layer.equivalent)
    more = air_gap_correction(gaps, insulation.equivalent, found.total)
    if fixings:
        if item.fixing_area_mm2 is None:
            raise LayerError("fixings go through the insulation, but the section of one is missing")
        if insulation.thickness_m is None:
            raise LayerError("fixings go through the insulation, but its thickness is missing")
        depth = None if item.fixing_depth_mm is None else item.fixing_depth_mm / 1000
        more += fixing_correction(
            item.effective("fixing_conductivity_w_mk"),
            item.fixing_area_mm2,
            fixings,
            insulation.thickness_m,
            depth,
            insulation.equivalent,
            found.total,
        )
    share = more * found.total
    words = f"gaps and fixings add ΔU {figure(more, 4)}, {figure(share * 100, 1)} % of U"
    if share < CORRECTION_SHARE:
        return 0.0, f"{words}: below {figure(CORRECTION_SHARE * 100, 0)} %, left out"
    return more, words


def _usual_rows(name: str, insulation_mm: float | None) -> list[Mapping[str, Any]]:
    """Return the layers of a usual build-up; the layer without a thickness takes the insulation that was seen."""
    given: list[Mapping[str, Any]] = []
    for row in table(USUAL_LAYERS).where("look", name):
        thickness, resistance = row.number_if_any("thickness_mm"), row.number_if_any("resistance_m2k_w")
        layer: dict[str, Any] = {
            "material": row.word("material"),
            "thickness_mm": insulation_mm if thickness is None and resistance is None else thickness,
            "air": row.word("air") or None,
        }
        if resistance is not None:
            layer["resistance_m2k_w"] = resistance
        if row.cells["bridge_fraction"] is not None:
            layer |= {
                "bridge_fraction": row.number("bridge_fraction"),
                "bridge_conductivity_w_mk": row.number("bridge_conductivity_w_mk"),
            }
        given.append(layer)
    return given


def _look_value(look: str, label: str, found: LookValue) -> Value:
    return Value(
        found.u_value,
        u_step(found.formula, f"{label}; {found.numbers}", found.u_value, found.source),
        to_outside_air=look == "roof_loft",
    )
