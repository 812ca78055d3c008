"""What the working pages print of described spaces, bridges by length, cold faces and the neighbour's share."""

from __future__ import annotations

import re

from tests.engine.support import assessed
from tests.engine.test_adjacent import ROWS, beside_garage
from tests.engine.test_extensions import two_ages
from tests.office.conftest import file_html
from tests.support.houses import Document, changed, small_house

from .conftest import inputs_of, words_of_page


def house() -> Document:
    document = changed(
        changed(beside_garage(), "survey", "s", thermal_bridges="lengths", separate_neighbour="cold"),
        "room",
        "living",
        bridges=list(ROWS),
        damp_seen=True,
    )
    document = changed(document, "construction", "wall", u_value_w_m2k=2.1)
    document["records"]["surface"].append(
        {
            "id": "party",
            "room": "living",
            "element": "wall",
            "construction": "inner",
            "width_m": 4,
            "height_m": 2.4,
            "other_side": "neighbour",
        }
    )
    return document


def page(document: Document) -> str:
    found = file_html(inputs_of(document, assessed(document), photos={}))
    return words_of_page(found if isinstance(found, str) else found[0])


def test_the_working_pages_print_what_the_sums_hold():
    words = page(house())
    assert re.search(r"Edge of the floor: 5\.00 m × Ψ 0\.320 W/mK × 24\.0 K \[\d+\] 38 ", words)
    assert "Unheated spaces Garage : " in words
    assert "Garage door 5 m² at U 5.5; face 20 m² at U 2; air 0.33 × 3 × 30 m³" in words
    assert "Inside faces of rooms that are damp or kept cool" in words
    assert "A caution, not a verdict" in words


def test_the_neighbours_share_stands_beside_the_units_load():
    result = assessed(house())
    assert result.building.neighbour_w == round(9.6 * 2.03 * 11, 1)
    assert result.building.unit_size_w == result.building.total_w
    words = page(house())
    assert "To neighbours who do not heat Counted: taken as not heating, they take it from this house" in words
    assert "Pipes outside heated rooms Not known: no pipe run is written down; the sum is without it" in words
    without = changed(house(), "survey", "s", load_neighbours="left_out")
    assert assessed(without).building.unit_size_w == round(result.building.total_w - 214.4, 1)
    assert "214 W, left out" in page(without)


def test_a_plain_house_prints_none_of_it():
    document = changed(house(), "survey", "s", separate_neighbour="same_temperature")
    assert "Nothing: neighbours are taken to be as warm as the house" in page(document)
    plain = page(small_house())
    assert "Unheated spaces" not in plain
    assert "Inside faces" not in plain


def test_a_house_of_two_ages_says_which_part_is_which():
    words = page(two_ages())
    assert "The parts of the house Main house Living room built 1930 to 1949" in words
    assert "Rear extension Hall built 2012 to 2022" in words
    assert "(Main house, heat level, outside beyond)" in words
    assert "(Rear extension, heat level, outside beyond)" in words
    assert "Part of the house Rear extension" in words
    assert "The parts of the house" not in page(small_house())


def test_a_construction_is_printed_with_the_value_that_its_surfaces_count_with():
    document = house()
    words = page(document)
    assert "Inner wall : U = 2.03 W/m²K ." in words
    # Brick of 0.286 m²K/W: outside air beyond it when nothing uses it, still air at a neighbour's.
    spare = {"id": "spare", "name": "Spare", "element": "wall", "known_by": "layers"}
    spare["layers"] = [{"material": "Brick", "thickness_mm": 220, "conductivity_w_mk": 0.77}]
    document["records"]["construction"].append(spare)
    assert "Spare : U = 2.19 W/m²K, used by no surface ." in page(document)
    party = next(item for item in document["records"]["surface"] if item.get("other_side") == "neighbour")
    party["construction"] = "spare"
    assert "Spare : U = 1.83 W/m²K ." in page(document)
