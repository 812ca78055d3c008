"""Sizes that say no more than the room's box: what they count as when they arrive, in old logs, and what of them an old app is told."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import create_engine, select, text

from tests.golden.write_old_sizes import old_documents
from tests.support.cast import ADA, MODEL, Device, Office, change, open_office
from tests.support.old_database import take_back
from tests.sync.test_push import assert_log_holds
from wattwalk.database import migrate, reading, writing
from wattwalk.engine import assess, to_plain
from wattwalk.models import Change
from wattwalk.survey.box import SIZES
from wattwalk.survey.building import Surface
from wattwalk.survey.document import read_document
from wattwalk.survey.model import SHAPE, shape_of, survey_model
from wattwalk.sync.documents import import_document
from wattwalk.sync.old_sizes import take_over
from wattwalk.sync.state import SurveyState
from wattwalk.sync.surveys import load_survey
from wattwalk.sync.verify import verify_survey

OLD_MODEL = "0123456789abcdef"
SIDES = {
    "front": ("length_m", "height_m"),
    "back": ("length_m", "height_m"),
    "left": ("width_m", "height_m"),
    "floor": ("width_m", "length_m"),
}


def new_room(record: str = "kitchen", **sizes: float) -> list[dict[str, Any]]:
    sizes = sizes or {"length_m": 4.2, "width_m": 3.6, "height_m": 2.4}
    return [change(record, name, value) for name, value in sizes.items()]


def side(
    name: str, which: str = "front", room: str = "kitchen", element: str = "wall", **more: Any
) -> list[dict[str, Any]]:
    values = {"room": room, "side": which, "element": element, "other_side": "outside", **more}
    return [change(name, field, value, kind="surface") for field, value in values.items()]


def size(name: str, field: str, value: float | None, **more: Any) -> dict[str, Any]:
    return change(name, field, value, kind="surface", **more)


def stored(device: Device) -> dict[str, dict[str, Any]]:
    """The sizes that the surfaces store."""
    return {
        item["id"]: {name: item[name] for name in SIZES if name in item}
        for item in device.view()["records"].get("surface", [])
    }


def areas(office: Office) -> dict[str, float]:
    with office.app.app_context(), reading() as session:
        firm = session.execute(text("SELECT firm_id FROM survey WHERE id = :id"), {"id": office.survey}).scalar_one()
        survey = load_survey(session, firm, office.survey).survey.measured()
    return {
        item.id: round(item.width_m * item.height_m, 4)
        for item in survey.of_kind(Surface)
        if item.width_m and item.height_m
    }


def test_a_size_that_equals_the_rooms_shape_counts_as_following_it(office: Office, ada: Device) -> None:
    """A bay of 2.4 m that narrows to 1.6 at 0.3 m makes a front of 5 m as long as 5.2; told so, it follows when the bay goes."""
    bay = {"what": "bay", "where": "front", "along_m": 2.4, "depth_m": 0.3, "outer_m": 1.6}
    ada.push(
        *new_room(length_m=5.0, width_m=4.0, height_m=2.5),
        change("kitchen", "floor_parts", [bay]),
        *side("f", width_m=5.2, height_m=2.5),
        *side("b", "back", width_m=5.2),
        *side("fl", "floor", element="floor", area_m2=20.6),
    )
    assert stored(ada) == {"f": {}, "b": {"width_m": 5.2}, "fl": {}}
    ada.push(change("kitchen", "floor_parts", None, seen=4))
    assert areas(office)["f"] == 12.5
    assert_log_holds(office)


def test_a_size_that_equals_the_box_counts_as_following_it(office: Office, ada: Device) -> None:
    ada.push(
        *new_room(),
        *side("f", width_m=4.2, height_m=2.4),
        *side("l", "left", width_m=3.6, height_m=2.1),
        *side("fl", "floor", width_m=3.6, height_m=4.2),
    )
    assert stored(ada) == {"f": {}, "l": {"height_m": 2.1}, "fl": {}}
    ada.push(change(value=5.0, seen=1))
    assert areas(office) == {"f": 12.0, "l": 7.56, "fl": 18.0}
    assert_log_holds(office)


def test_the_log_keeps_what_was_said_beside_what_it_counts_as(office: Office, ada: Device) -> None:
    said = size("f", "width_m", 4.2)
    ada.push(*new_room(), *side("f"), said)
    line = ada.pull()[-1]
    assert (line["id"], line["value"]) == (said["id"], None)
    with office.app.app_context(), reading() as session:
        assert session.execute(select(Change.value_json, Change.said_json).where(Change.id == said["id"])).one() == (
            "null",
            "4.2",
        )
    # Sent once more it is the same change, and answered as before.
    assert ada.push(said)["results"][0]["status"] == "accepted"
    assert ada.push({**said, "value": 4.3})["results"][0]["problem"]["code"] == "id_used_twice"


def test_a_size_that_differs_is_kept_as_said(office: Office, ada: Device) -> None:
    ada.push(
        *new_room(),
        *side("f", width_m=4.3, height_m=2.4),
        *side("o", element="window", opening_in="f", width_m=4.2, height_m=2.4),
    )
    assert stored(ada) == {"f": {"width_m": 4.3}, "o": {"width_m": 4.2, "height_m": 2.4}}
    ada.push(change(value=4.3, seen=1))
    # The room came to be as long as the wall was said to be; the wall stays as it was said.
    assert stored(ada)["f"] == {"width_m": 4.3}
    assert_log_holds(office)


def test_whole_numbers_and_a_room_by_its_area(office: Office, ada: Device) -> None:
    ada.push(*new_room(length_m=4, height_m=2.5), *side("f", width_m=4.0))
    ada.push(
        *new_room("bay", floor_area_m2=11.5, height_m=2.5),
        *side("bf", "floor", "bay", "ground_floor", area_m2=11.5),
        *side("bw", "front", "bay", width_m=3, height_m=2.5),
    )
    assert stored(ada) == {"f": {}, "bf": {}, "bw": {"width_m": 3}}
    assert_log_holds(office)


@pytest.mark.parametrize("apart", [True, False], ids=["in batches of one", "in one batch"])
def test_an_old_phone_that_resizes_a_room_moves_its_sides(office: Office, ada: Device, apart: bool) -> None:
    """It sends the room's length first, then each side's, as it stored them."""
    ada.push(
        *new_room(), *(item for name, (along, up) in SIDES.items() for item in side(name, name, **_sizes(along, up)))
    )
    resized = [
        change(value=5.5),
        *(size(name, field, 5.5) for name, field in (("front", "width_m"), ("back", "width_m"), ("floor", "height_m"))),
    ]
    for batch in ([item] for item in resized) if apart else [resized]:
        ada.push(*batch)
    assert all(not sizes for sizes in stored(ada).values())
    assert areas(office)["floor"] == 19.8
    assert_log_holds(office)


def _sizes(along: str, up: str) -> dict[str, float]:
    box = {"length_m": 4.2, "width_m": 3.6, "height_m": 2.4}
    return {"width_m": box[along], "height_m": box[up]}


def test_two_old_phones_that_resize_one_room_contest_its_length_alone(office: Office, ada: Device, ben: Device) -> None:
    ada.push(*new_room(), *side("f", width_m=4.2, height_m=2.4), *side("b", "back", width_m=4.2, height_m=2.4))
    seen = {(line["record"], line["field"]): line["revision"] for line in ada.pull()}

    def resize(length: float) -> list[dict[str, Any]]:
        return [
            change(value=length, seen=seen["kitchen", "length_m"]),
            *(size(wall, "width_m", length, seen=seen[wall, "width_m"]) for wall in ("f", "b")),
        ]

    one, other = resize(4.5), resize(5.0)
    # Ben's length comes between Ada's and her walls.
    ada.push(one[0])
    ben.push(other[0])
    ada.push(*one[1:])
    ben.push(*other[1:])
    assert [(contest["record"], contest["field"]) for contest in ada.view()["contested"]] == [("kitchen", "length_m")]
    assert areas(office) == {"f": 12.0, "b": 12.0}
    ada.push(change(value=4.5, seen=ada.pull()[-1]["revision"], resolves=True))
    assert ada.view()["contested"] == []
    assert areas(office) == {"f": 10.8, "b": 10.8}
    assert_log_holds(office)


def test_a_size_of_its_own_is_contested_with_following(office: Office, ada: Device, ben: Device) -> None:
    ada.push(*new_room(), *side("f"), size("f", "width_m", 3.0))
    ben.push(size("f", "width_m", 4.2))
    (contest,) = ada.view()["contested"]
    assert [value["value"] for value in contest["values"]] == [3.0, None]
    assert_log_holds(office)


def test_one_length_by_the_api_or_an_import_moves_the_walls(office: Office, ada: Device) -> None:
    document = {**old_documents()["walked_house"], "id": office.survey}
    with office.app.app_context(), reading() as session:
        firm, user = session.execute(
            text("SELECT firm_id, id FROM user_account WHERE email = :email"), {"email": ADA.email}
        ).one()
    with office.app.app_context():
        assert import_document(read_document(document), firm_id=firm, user_id=user, photos=office.settings.photos)
        # The same document again is nothing new, in either version.
        assert not import_document(read_document(document), firm_id=firm, user_id=user, photos=office.settings.photos)
    before = areas(office)
    assert before["lf"] == round(5.2 * 2.43, 4)
    ada.push(change("living", "length_m", 6.0, seen=ada.pull()[-1]["revision"]))
    after = areas(office)
    assert {name for name in before if before[name] != after[name]} == {"lf", "lfl"}
    assert after["lf"] == round(6.0 * 2.43, 4)
    assert_log_holds(office)


def test_a_rule_that_did_not_fire_is_found_by_verify(
    office: Office, ada: Device, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(SurveyState, "taken", _as_before)
        ada.push(*new_room(), *side("f", width_m=4.2))
    with office.app.app_context(), reading() as session:
        (fault,) = verify_survey(session, office.survey)
    assert "says no more than the room's box" in fault


def _as_before(_state: SurveyState, *, value: Any, **_what: Any) -> Any:
    """What a change counted as while every side stored its size."""
    return value


def old_log(ada: Device, ben: Device) -> None:
    """Write what an old office took: sides that follow, one that was resized without its walls, a contest over both, a floor the other way round."""
    ada.push(
        *new_room(), *(item for name, (along, up) in SIDES.items() for item in side(name, name, **_sizes(along, up)))
    )
    ada.push(
        *new_room("hall"),
        *side("h", room="hall", width_m=4.2, height_m=2.4),
        *side("hp", "back", "hall", width_m=3.0, height_m=2.4),
        *side("hf", "floor", "hall", width_m=4.2, height_m=3.6),
    )
    # By the API, without its walls: they were 4.2 m in every figure, and stay so.
    ada.push(*new_room("store"), *side("s", room="store", width_m=4.2, height_m=2.4), change("store", "length_m", 6.0))
    seen = {(line["record"], line["field"]): line["revision"] for line in ada.pull()}
    for device, length in ((ada, 4.5), (ben, 5.0)):
        device.push(
            change(value=length, seen=seen["kitchen", "length_m"]),
            *(
                size(name, field, length, seen=seen[name, field])
                for name, field in (("front", "width_m"), ("back", "width_m"), ("floor", "height_m"))
            ),
        )
    # Somebody said of one wall that it is another length, unseen by the other.
    ben.push(size("h", "width_m", 2.0, seen=0))


def test_an_old_log_goes_over_with_every_figure(
    office: Office, ada: Device, ben: Device, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(SurveyState, "taken", _as_before)
        old_log(ada, ben)
    before = areas(office)
    assert {contest["field"] for contest in ada.view()["contested"]} == {"length_m", "width_m", "height_m"}
    cursor = ada.client.get("/api/surveys?since=0").json["cursor"]
    with office.app.app_context(), writing() as session:
        assert take_over(session.connection()) >= 1
    assert areas(office) == before
    assert stored(ada) == {
        "front": {},
        "back": {},
        "left": {},
        "floor": {},
        "h": {"width_m": 2.0},
        "hp": {"width_m": 3.0},
        "hf": {},
        "s": {"width_m": 4.2},
    }
    assert sorted((contest["record"], contest["field"]) for contest in ada.view()["contested"]) == [
        ("h", "width_m"),
        ("kitchen", "length_m"),
    ]
    # A phone that asks the list for what is new hears that less is contested.
    (line,) = (
        line for line in ada.client.get(f"/api/surveys?since={cursor}").json["surveys"] if line["id"] == office.survey
    )
    assert line["contested"] == 2
    assert_log_holds(office)
    ada.push(
        change(value=7.0, seen=ada.pull()[-1]["revision"], resolves=True),
        change("hall", "length_m", 5.0, seen=ada.pull()[-1]["revision"]),
    )
    assert areas(office) == {**before, "front": 16.8, "back": 16.8, "floor": 25.2, "hf": 18.0}
    assert_log_holds(office)


def test_a_database_of_an_old_program_is_brought_over_when_it_is_migrated(
    database_url: str, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_office(database_url, tmp_path) as office:
        ada = office.device(ADA)
        with monkeypatch.context() as patch:
            patch.setattr(SurveyState, "taken", _as_before)
            old_log(ada, office.device(ADA, "the other"))
        before = areas(office)
    engine = create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(text("ALTER TABLE change DROP COLUMN said_json"))
        take_back(connection, _before_it())
    engine.dispose()
    migrate(database_url)
    with office.app.app_context():
        assert areas(office) == before
        assert stored(ada)["front"] == {}
        assert_log_holds(office)
    office.close()


def _before_it() -> str:
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    from wattwalk.paths import migrations_folder

    config = Config()
    config.set_main_option("script_location", str(migrations_folder()))
    config.set_main_option("path_separator", "os")
    return ScriptDirectory.from_config(config).get_revision("0008").down_revision


@pytest.mark.parametrize("name", sorted(set(old_documents()) - {"large_house"}))
def test_a_stored_house_of_old_keeps_its_figures(
    office: Office, ada: Device, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    document = old_documents()[name]
    with monkeypatch.context() as patch:
        patch.setattr(SurveyState, "taken", _as_before)
        for kind, items in document["records"].items():
            for item in items:
                ada.push(
                    *(change(item["id"], field, value, kind=kind) for field, value in item.items() if field != "id")
                )
    before = figures(office)
    with office.app.app_context(), writing() as session:
        take_over(session.connection())
    assert figures(office) == before
    assert before["building"] == to_plain(assess(read_document(document)))["building"]
    assert_log_holds(office)


def figures(office: Office) -> dict[str, Any]:
    with office.app.app_context(), reading() as session:
        firm = session.execute(text("SELECT firm_id FROM survey WHERE id = :id"), {"id": office.survey}).scalar_one()
        return to_plain(assess(load_survey(session, firm, office.survey).survey))


def test_an_app_of_an_older_shape_is_told_to_update_and_keeps_what_it_has(office: Office, ada: Device) -> None:
    ada.push(*new_room())
    sent = ada.client.post(
        f"{ada.path}/changes",
        json={"device": "old", "app": "0.1.0", "model": OLD_MODEL, "changes": [change(value=9.0)]},
    )
    for refused in (
        sent,
        ada.client.get(f"{ada.path}/changes?since=0"),
        ada.client.get(f"{ada.path}/changes?since=0&model={OLD_MODEL}"),
    ):
        assert (refused.status_code, refused.json["code"]) == (409, "app_too_old")
        assert "stays there" in refused.json["message"]
    assert len(ada.pull()) == 3
    # After the update the very same change is taken.
    assert (
        ada.client.post(
            f"{ada.path}/changes",
            json={"device": "old", "app": "0.1.0", "model": MODEL, "changes": [change(value=9.0)]},
        ).json["results"][0]["status"]
        == "accepted"
    )
    # Whoever edits by hand names no model.
    assert (
        ada.client.post(f"{ada.path}/changes", json={"device": "by hand", "changes": [change(value=8.0)]}).status_code
        == 200
    )


def test_the_shape_stands_before_the_point() -> None:
    assert shape_of(survey_model()["version"]) == SHAPE == survey_model()["shape"]
    assert [
        shape_of(version) for version in (None, "", OLD_MODEL, "2.abc", "10.abc", "x.1", ".", "²2.a", "2222222.a")
    ] == [1, 1, 1, 2, 10, 1, 1, 1, 1]
