"""The flat lines that stand for old surveys: what is added moves none, and what they are to prove moves one."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.golden import flat, write_old_sizes, write_old_units
from tests.golden.flat import lines_of
from tests.support.houses import small_house
from wattwalk.survey.document import read_document
from wattwalk.survey.moved import MOVED, SECOND

PATHS = ("building.total_w", "rooms.*.surfaces.*.net_area_m2", "plant.hot_water.charges.*.minutes")


def changed(monkeypatch: pytest.MonkeyPatch, change: Any) -> list[str]:
    """Return the lines of the small house while its answer is changed so."""

    def to_plain(assessment: Any) -> Any:
        answer = plain(assessment)
        change(answer)
        return answer

    plain = flat.to_plain
    with monkeypatch.context() as patched:
        patched.setattr(flat, "to_plain", to_plain)
        return lines_of(read_document(small_house()), PATHS)


def test_what_an_answer_gains_moves_no_line_and_what_it_says_otherwise_one(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = lines_of(read_document(small_house()), PATHS)
    assert "rooms.living.surfaces.front.net_area_m2 10.2" in lines

    def gain(answer: Any) -> None:
        answer["new"] = 3.0
        answer["building"]["new_w"] = 4.0
        answer["rooms"][0]["surfaces"][0]["new"] = [1]
        answer["findings"][0]["message"] += " In other words."

    assert changed(monkeypatch, gain) == lines
    for change, gone in (
        (lambda answer: answer["building"].update(total_w=1.0), "building.total_w 1305.8"),
        (lambda answer: answer["building"].update(total_w=None), "building.total_w 1305.8"),
        (lambda answer: answer["rooms"][0]["surfaces"].pop(0), "rooms.living.surfaces.front.net_area_m2 10.2"),
        (lambda answer: answer["findings"].pop(0), "finding room_short room/living - check"),
    ):
        assert set(lines) - set(changed(monkeypatch, change)) == {gone}
    severe = changed(monkeypatch, lambda answer: answer["findings"][0].update(severity="stop"))
    assert len(set(severe) - set(lines)) == 1


def test_a_figure_that_the_answer_no_longer_has_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(KeyError, match="total_w"):
        changed(monkeypatch, lambda answer: answer["building"].pop("total_w"))


@pytest.mark.parametrize("kept", [write_old_sizes, write_old_units])
def test_every_figure_that_is_asked_for_is_kept_of_some_survey(kept: Any) -> None:
    known = [line.split(" ", 1)[0].split(".") for name in kept.old_documents() for line in kept.kept_figures(name)]
    for path in kept.FIGURES:
        steps = path.split(".")
        assert any(_is_of(steps, found) for found in known), path


def _is_of(steps: list[str], found: list[str]) -> bool:
    first, last = steps[: steps.index("*")] if "*" in steps else steps, steps[-1]
    return found[: len(first)] == first and found[-1] == last


def _lines(document: dict[str, Any]) -> list[str]:
    return write_old_units.figures_of(read_document(document))


@pytest.mark.parametrize("field", sorted({*MOVED, SECOND}))
def test_each_field_of_a_unit_that_moved_moves_a_line(field: str) -> None:
    """Without what the place said of its unit, some old survey is worked out otherwise: so a field lost on its way is seen."""
    for name, document in write_old_units.old_documents().items():
        poorer = copy.deepcopy(document)
        said = [place.pop(field, None) for place in poorer["records"].get("outdoor_position", [])]
        if any(value is not None for value in said) and _lines(poorer) != write_old_units.kept_figures(name):
            return
    pytest.fail(f"no old survey tells whether {field} is still counted")


@pytest.mark.parametrize("name", ["walked_house", "demo_house"])
def test_the_size_of_each_side_moves_a_line(name: str) -> None:
    document = write_old_sizes.old_documents()[name]
    kept = write_old_sizes.kept_figures(name)
    walls = [
        item["id"]
        for item in document["records"]["surface"]
        if item.get("element") == "wall" and "width_m" in item and item.get("other_side") == "outside"
    ]
    assert walls
    for wall in walls[:3]:
        larger = copy.deepcopy(document)
        for item in larger["records"]["surface"]:
            if item["id"] == wall:
                item["width_m"] += 1
        assert write_old_sizes.figures_of(read_document(larger)) != kept
