"""What lies below a ground floor: a fact of the floor itself, however its U-value is known."""

from __future__ import annotations

from math import log, pi

import pytest

from tests.support.houses import changed, small_house
from wattwalk.engine.answers import Severity
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps

from .support import assessed, findings, only, room

#: The small house by hand: B′ = 56 / 11; walls 300 mm; clay; RdSAP's void (EN ISO 13370, as in `published/ground_floors.csv`).
CHARACTERISTIC = 56 / 11
EQUIVALENT = 0.3 + 1.5 * 0.21
GROUND = 3.0 / (pi * CHARACTERISTIC + EQUIVALENT) * log(pi * CHARACTERISTIC / EQUIVALENT + 1)
VOID = (2 * 0.3 * 1.5 + 1450 * 0.003 * 5 * 0.05) / CHARACTERISTIC
AREA, TO_OUTSIDE_K = 20, 24
BOARDS = [{"material": "Boards", "thickness_mm": 20, "resistance_m2k_w": 0.2}]


def floor(below: str | None = None, **fields):
    """The small house with a ground floor of another kind, and what lies below it."""
    document = changed(small_house(), "construction", "slab", **{"look": None, "insulation_mm": None, **fields})
    return changed(document, "surface", "floor", below=below)


def loss(document) -> tuple[float, float]:
    """Return the floor's U-value and its loss in W."""
    found = next(item for item in room(assessed(document), "living").surfaces if item.id == "floor")
    return found.u_value_w_m2k, found.loss_w


def over_void(deck_m2k_w: float) -> float:
    return 1 / (0.34 + deck_m2k_w + 1 / (GROUND + VOID))


class TestVoid:
    def test_layers_over_a_void_are_no_slab(self):
        u_value, watts = loss(floor("void", known_by="layers", layers=BOARDS))
        assert u_value == pytest.approx(over_void(0.2), abs=1e-4)
        assert watts == pytest.approx(AREA * over_void(0.2) * TO_OUTSIDE_K, abs=0.1)
        # The bare timber deck known by its look is the same floor.
        assert (u_value, watts) == loss(floor(known_by="look", look="floor_suspended", insulation_mm=0))

    def test_a_declared_value_over_a_void_counts_to_outside_air(self):
        u_value, watts = loss(floor("void", known_by="declared", u_value_w_m2k=0.66))
        assert (u_value, watts) == (0.66, pytest.approx(AREA * 0.66 * TO_OUTSIDE_K, abs=0.1))

    def test_a_declared_value_of_the_floor_alone_gets_void_and_ground(self):
        alone = {"known_by": "declared", "u_value_w_m2k": 2.0, "declared_for": "alone"}
        assert loss(floor("void", **alone))[0] == pytest.approx(over_void(0.5 - 0.21), abs=1e-4)
        resistance = 0.3 + 1.5 * 0.5
        slab = 3.0 / (pi * CHARACTERISTIC + resistance) * log(pi * CHARACTERISTIC / resistance + 1)
        assert loss(floor("slab", **alone))[0] == pytest.approx(slab, abs=1e-4)

    def test_a_declared_value_says_what_it_is_of(self):
        for fields, words in (({}, "ground counted in"), ({"declared_for": "alone"}, "the floor alone")):
            result = assessed(floor("void", known_by="declared", u_value_w_m2k=0.66, **fields))
            step = next(item for item in result.constructions if item.id == "slab").steps[0]
            assert words in f"{step.formula} {step.numbers}"

    def test_a_floor_alone_cannot_be_worse_than_its_surfaces(self):
        result = assessed(floor("void", known_by="declared", u_value_w_m2k=6.0, declared_for="alone"))
        assert "higher than any floor" in only(result, "no_u_value", Severity.CHECK).message
        assert room(result, "living").total_w is None

    def test_layers_over_a_cellar(self):
        cellar = floor("cellar", known_by="layers", layers=BOARDS, depth_m=2.0)
        assert loss(cellar) == loss(floor(known_by="look", look="floor_cellar", insulation_mm=0, depth_m=2.0))

    def test_more_air_leaks_in_over_a_void(self):
        def built_up(below):
            document = changed(
                floor(below, known_by="layers", layers=BOARDS), "survey", "s", ventilation_method="air_permeability"
            )
            return room(assessed(document), "living").ventilation.loss_w

        assert built_up("void") > built_up("slab")


class TestNotSaid:
    @pytest.mark.parametrize(
        "known", [{"known_by": "layers", "layers": BOARDS}, {"known_by": "declared", "u_value_w_m2k": 0.6}]
    )
    def test_the_figure_stays_a_slab_and_is_said_to_be_one(self, known):
        assert loss(floor(None, **known)) == loss(floor("slab", **known))
        assert "slab" in only(assessed(floor(None, **known)), "floor_below_not_said", Severity.CHECK).message
        assert findings(assessed(floor("slab", **known)), "floor_below_not_said") == []

    def test_it_is_a_gap_where_no_look_tells(self):
        def asked(document):
            return [gap.record for gap in find_gaps(read_document(document)) if gap.field == "below"]

        assert asked(floor(known_by="layers", layers=BOARDS)) == ["floor"]
        assert asked(floor("void", known_by="layers", layers=BOARDS)) == []
        assert asked(floor(known_by="look", look="floor_suspended")) == []
        assert asked(changed(floor(known_by="layers", layers=BOARDS), "surface", "floor", element="wall")) == []

    def test_the_footprint_is_asked_once_by_a_floor_declared_alone(self):
        def asked(document):
            document = changed(document, "survey", "s", ground_floor_area_m2=None)
            return [gap.field for gap in find_gaps(read_document(document))].count("ground_floor_area_m2")

        assert asked(floor("void", known_by="declared", u_value_w_m2k=0.6)) == 0
        assert asked(floor("void", known_by="declared", u_value_w_m2k=0.6, declared_for="alone")) == 1

    def test_a_look_that_tells_of_something_else_is_refused(self):
        result = assessed(floor("slab", known_by="look", look="floor_suspended", insulation_mm=0))
        assert "the ground itself" in only(result, "construction_does_not_fit", Severity.CHECK).message
        assert room(result, "living").total_w is None
