"""No hole passes: of any sound house, each surface that is taken away is named by a gap, and its rooms read 'so far'."""

from __future__ import annotations

from hypothesis import given

from tests.support.houses import without
from wattwalk.engine import assess
from wattwalk.engine.answers import Verdict
from wattwalk.engine.gaps import every_gap
from wattwalk.survey.box import OPENINGS
from wattwalk.survey.document import read_document

from .houses import Document, houses, houses_each


def taken_away(house: Document, surface: str) -> Document:
    """Return a house without a surface and the windows and doors in it."""
    inside = [item["id"] for item in house["records"]["surface"] if item.get("opening_in") == surface]
    for record in (surface, *inside):
        house = without(house, "surface", record)
    return house


@houses_each(12)
@given(houses())
def test_every_surface_that_is_taken_away_leaves_a_hole_that_is_named(house: Document) -> None:
    whole = assess(read_document(house))
    assert not whole.building.so_far
    assert not any(room.holes for room in whole.rooms)
    for surface in house["records"]["surface"]:
        if surface["element"] in OPENINGS:
            continue
        survey = read_document(taken_away(house, surface["id"]))
        answer = assess(survey)
        rooms = {surface["room"]} | ({surface["other_room"]} if surface["other_side"] == "room" else set())
        still_open = {room.id for room in answer.rooms if room.so_far}
        assert rooms <= still_open
        assert answer.building.so_far
        assert {room.verdict for room in answer.rooms if room.id in rooms} == {Verdict.NOT_KNOWN}
        named = {gap.record for gap in every_gap(survey, answer) if gap.code in ("side_not_said", "side_left")}
        assert rooms <= named
