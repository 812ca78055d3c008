"""The size of a side: as its room's box until somebody says otherwise, and old surveys that said it all the same."""

from __future__ import annotations

import copy
import json

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.golden import write_sizes
from tests.golden.write_old_sizes import figures_of, kept_figures, old_documents
from tests.support.houses import changed, without
from wattwalk.engine import assess, to_plain
from wattwalk.survey.box import BOX, EDGES, FOLLOWS, SIZES, followed, said_again, size_of
from wattwalk.survey.building import SIDES, Surface
from wattwalk.survey.document import make_survey, read_document, write_document
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.json_schema import document_schema
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.moved import taken_over
from wattwalk.survey.stored import make_record

BOXED = {"length_m": 4.2, "width_m": 3.6, "height_m": 2.4}


def walked():
    return copy.deepcopy(old_documents()["walked_house"])


def stored(document):
    """The sizes that a document's surfaces store once it is read."""
    found = {
        item.id: {name: value for name, value in item.values().items() if name in SIZES}
        for item in read_document(document).of_kind(Surface)
    }
    return {name: sizes for name, sizes in found.items() if sizes}


def areas(document):
    losses = {loss.id: loss.gross_area_m2 for room in assess(read_document(document)).rooms for loss in room.surfaces}
    assert losses
    return losses


def test_golden_file():
    assert write_sizes.PATH.read_text(encoding="utf-8") == write_sizes.text()


def test_every_side_and_field_is_one_that_the_kinds_have():
    assert list(FOLLOWS) == [name for name, _label in SIDES]
    for sources in FOLLOWS.values():
        assert all(KINDS["surface"].has(name) and KINDS["room"].has(source) for name, source in sources.items())
    assert all(KINDS["room"].has(name) for name in BOX)
    assert all(KINDS["surface"].has(name) for name in SIZES)


@pytest.mark.parametrize(
    ("side", "size"),
    [
        ("front", {"width_m": 4.2, "height_m": 2.4}),
        ("left", {"width_m": 3.6, "height_m": 2.4}),
        ("floor", {"width_m": 3.6, "height_m": 4.2}),
    ],
)
def test_a_side_is_as_large_as_the_box(side, size):
    assert size_of({"side": side, "element": "wall"}, BOXED) == size


def test_what_is_said_comes_before_the_box_and_each_edge_by_itself():
    assert size_of({"side": "front", "element": "wall", "width_m": 3.1}, BOXED) == {"width_m": 3.1, "height_m": 2.4}
    assert size_of({"side": "front", "element": "wall", "area_m2": 7}, BOXED) == {"area_m2": 7}


def test_an_opening_and_a_surface_without_side_follow_nothing():
    for element in ("window", "door", "rooflight"):
        assert followed({"side": "front", "element": element}, BOXED) == {}
    assert followed({"element": "wall"}, BOXED) == {}


def test_in_a_room_by_its_area_floors_follow_that_and_walls_ask_for_their_width():
    room = {"floor_area_m2": 13.5, "height_m": 2.4}
    assert size_of({"side": "ceiling", "element": "ceiling"}, room) == {"area_m2": 13.5}
    assert size_of({"side": "front", "element": "wall"}, room) == {"height_m": 2.4}
    assert size_of({"side": "floor", "element": "floor", "width_m": 2, "height_m": 3}, room) == {
        "width_m": 2,
        "height_m": 3,
    }


def test_walls_keep_length_and_height_when_the_floor_has_an_area_of_its_own():
    room = {**BOXED, "floor_area_m2": 13.5}
    assert size_of({"side": "front", "element": "wall"}, room) == {"width_m": 4.2, "height_m": 2.4}
    assert size_of({"side": "left", "element": "wall"}, room) == {"width_m": 3.6, "height_m": 2.4}
    assert size_of({"side": "floor", "element": "floor"}, room) == {"area_m2": 13.5}
    # The same house, its first bedroom given an area: walls lose what they lost, floor and ceiling go by the area.
    document = walked_as_written()
    before, after = areas(document), areas(changed(document, "room", "living", floor_area_m2=20.0))
    assert {name for name in before if before[name] != after[name]} == {"lfl"}
    assert after["lfl"] == 20.0


@pytest.mark.parametrize("name", sorted(old_documents()))
def test_old_surveys_keep_every_figure_and_finding(name):
    assert figures_of(read_document(old_documents()[name])) == kept_figures(name)


@pytest.mark.parametrize("name", sorted(old_documents()))
def test_stored_sizes_and_followed_ones_are_worked_out_alike(name):
    """The same house with every size left in, as the engine would meet it without any taking over."""
    document = old_documents()[name]
    read = read_document(document)
    records = (
        make_record(kind, item["id"], {key: value for key, value in item.items() if key != "id"})
        for kind, items in taken_over(document["records"]).items()
        for item in items
    )
    as_it_was = make_survey(document["id"], records)
    assert to_plain(assess(as_it_was)) == to_plain(assess(read))
    if name in ("demo_house", "walked_house", "large_house"):
        assert as_it_was != read


def test_a_document_that_is_read_stores_only_what_differs():
    assert stored(walked()) == {
        "lf-window": {"width_m": 1.8, "height_m": 1.2},
        "lr-door": {"width_m": 0.8, "height_m": 2.0},
        "lb-1": {"width_m": 3.4},
        "lb-2": {"width_m": 1.8},
        "lc-1": {"height_m": 2.0},
        "lc-2": {"height_m": 3.2},
        "hf": {"width_m": 3.95},
        "bf": {"width_m": 4.6},
        "bc": {"area_m2": 9.8},
        "adrift": {"width_m": 2.1, "height_m": 2.5},
        "tc-pane": {"width_m": 0.78, "height_m": 1.18},
    }


def test_documents_are_written_in_the_third_version_and_read_in_all():
    written = write_document(read_document(walked()))
    assert written["version"] == 3
    assert write_document(read_document(written)) == written
    assert document_schema()["properties"]["version"] == {"enum": [1, 2, 3]}


def test_one_length_moves_every_side_that_follows_it():
    before = areas(walked())
    after = areas(changed(walked_as_written(), "room", "living", length_m=6.0))
    moved = {name for name in before if before[name] != after[name]}
    # The right side is as wide as the room, the parts and the other rooms are as they were said.
    assert moved == {"lf", "lfl"}
    assert after["lf"] == round(6.0 * 2.43, 3)
    assert after["lfl"] == round(6.0 * 4.1, 3)


def walked_as_written():
    return write_document(read_document(walked()))


def test_a_wall_between_two_rooms_follows_the_one_it_was_told_from():
    document = walked_as_written()
    assert areas(changed(document, "room", "hall", width_m=2.5))["lr"] == areas(document)["lr"]
    assert areas(changed(document, "room", "living", width_m=4.5))["lr"] == round(4.5 * 2.43, 3)


def test_a_floor_follows_whichever_way_round_it_was_written_down():
    document = changed(walked(), "surface", "lfl", width_m=5.2, height_m=4.1)
    assert "lfl" not in stored(document)
    # A part of it that happens to be as wide as the room is long is no whole floor.
    assert stored(changed(walked(), "surface", "lfl", width_m=5.2, height_m=2.0))["lfl"] == {
        "width_m": 5.2,
        "height_m": 2.0,
    }


def gaps(document):
    return [
        (gap.record, gap.field)
        for gap in find_gaps(read_document(document))
        if gap.kind in ("room", "surface") and gap.field in (*BOX, *SIZES)
    ]


def test_what_follows_the_box_is_no_gap_and_a_missing_length_is_one():
    document = walked_as_written()
    assert gaps(document) == []
    assert gaps(changed(document, "room", "living", length_m=None)) == [("living", "length_m")]


def test_a_size_that_nothing_gives_is_a_gap():
    document = walked_as_written()
    assert gaps(changed(document, "surface", "bf", width_m=None)) == [("bf", "width_m")]
    assert gaps(changed(document, "surface", "adrift", width_m=None)) == [("adrift", "width_m")]
    assert gaps(changed(document, "surface", "lf-window", width_m=None)) == [("lf-window", "width_m")]
    room_gone = changed(document, "surface", "lf", room=None)
    assert ("lf", "width_m") in gaps(room_gone)


def test_without_the_length_the_room_lacks_it_and_its_walls_say_so():
    document = changed(walked_as_written(), "room", "living", length_m=None)
    room = next(room for room in assess(read_document(document)).rooms if room.id == "living")
    assert room.total_w is None
    assert any("length and width" in words for words in room.missing)


def test_a_surface_whose_room_is_gone_is_borne():
    document = walked()
    lost = make_survey("lost", [make_record("surface", "w", {"room": "nowhere", "side": "front", "element": "wall"})])
    assert lost.measured() == lost
    assert without(document, "surface", "adrift")["records"]["room"]


SIZE = st.sampled_from([2.4, 3.6, 4.2, 13.5, 5])
SHAPES = {
    "floor_parts": st.sampled_from([[], [{"what": "rectangle", "where": "left", "along_m": 2.4, "depth_m": 1.2}]]),
    "slopes": st.sampled_from([[], [{"side": "left", "low_m": 1.0, "run_m": 1.5}]]),
}


@given(
    st.fixed_dictionaries(
        {},
        optional=dict.fromkeys(SIZES, SIZE)
        | {"side": st.sampled_from([*FOLLOWS]), "element": st.sampled_from(["wall", "floor", "window"])},
    ),
    st.fixed_dictionaries({}, optional=dict.fromkeys(BOX, SIZE) | SHAPES),
)
@example(
    {"width_m": 2.4, "height_m": 3.6, "element": "floor", "side": "floor"},
    {"width_m": 2.4, "length_m": 3.6, "floor_area_m2": 5},
)
def test_leaving_out_what_is_said_again_changes_no_size(surface, room):
    less = {name: value for name, value in surface.items() if name not in said_again(surface, room)}
    one, other = size_of(surface, room), size_of(less, room)
    # A floor's two edges may change places.
    assert sorted(one.values()) == sorted(other.values())
    assert one == other or (set(said_again(surface, room)) == set(EDGES) and surface["side"] in ("floor", "ceiling"))
    assert said_again(less, room) == ()


def test_the_engine_is_given_whole_surfaces_and_the_survey_keeps_what_was_said():
    survey = read_document(walked())
    whole = survey.measured().find(Surface, "lf")
    assert isinstance(whole, Surface)
    assert (whole.width_m, whole.height_m) == (5.2, 2.43)
    assert survey.find(Surface, "lf").width_m is None
    assert json.dumps(write_document(survey))
