"""The firm's book over the API: the rules of a survey's log, what a role sees and writes, lists that come in."""

from __future__ import annotations

import base64
import json
from typing import Any

import pytest
from uuid_utils import uuid7

from tests.engine.test_units import HEADER, ROWS
from tests.support.cast import ADA, BEN, CORA, MODEL, Device, Office, change
from wattwalk.list_file import FORMS, MEDIA_TYPES, XLSX, read_list, write_list
from wattwalk.survey.holders import FIRM, OFFICE, SURVEYOR
from wattwalk.survey.kinds import KINDS

LIST = HEADER + "\n".join(ROWS)
#: A cost price that stands nowhere else.
SECRET = "77321.45"


def article(field: str, value: Any, record: str = "pipe", **more: Any) -> dict[str, Any]:
    return change(record, field, value, kind="article", **more)


def fresh() -> str:
    return f"record-{uuid7()}"


def results(answer: dict[str, Any]) -> list[tuple[str, str | None]]:
    return [(item["status"], item["problem"] and item["problem"]["code"]) for item in answer["results"]]


def in_book(device: Device, kind: str, record: str) -> dict[str, Any] | None:
    return next((item for item in device.book()["records"].get(kind, []) if item["id"] == record), None)


def test_what_the_office_writes_every_phone_of_the_firm_pulls(office: Office, ada: Device, ben: Device) -> None:
    record = fresh()
    answer = ada.book_push(article("code", "P-22", record), article("selling_price", "14.20", record))
    assert results(answer) == [("accepted", None)] * 2
    lines = [(line["field"], line["value"]) for line in ben.book_pull()["changes"] if line["record"] == record]
    assert lines == [("code", "P-22"), ("selling_price", "14.20")]
    assert in_book(office.device(CORA), "article", record) is None, "another firm reads it"


def test_values_are_contested_as_in_a_survey_and_a_pick_settles_them(office: Office, ada: Device) -> None:
    record, other = fresh(), office.device(ADA, f"another {uuid7()}")
    seen = ada.book_push(article("selling_price", "10.00", record))["revision"]
    ada.book_push(article("selling_price", "11.00", record, seen=seen))
    answer = other.book_push(article("selling_price", "12.00", record, seen=seen))
    assert answer["results"][0]["contested"] is True
    (contest,) = [item for item in ada.book()["contested"] if item["record"] == record]
    assert {value["value"] for value in contest["values"]} == {"11.00", "12.00"}
    ada.book_push(article("selling_price", "11.00", record, seen=answer["revision"], resolves=True))
    assert [item for item in ada.book()["contested"] if item["record"] == record] == []
    assert in_book(ada, "article", record)["selling_price"] == "11.00"


def test_a_record_that_was_taken_away_comes_back_and_a_repeat_changes_nothing(ada: Device) -> None:
    record, away = fresh(), None
    ada.book_push(article("code", "P-1", record))
    away = article("deleted", True, record)
    first, again = ada.book_push(away), ada.book_push(away)
    assert (in_book(ada, "article", record), again) == (None, first)
    ada.book_push(article("deleted", False, record, seen=first["revision"]))
    assert in_book(ada, "article", record) == {"id": record, "code": "P-1"}


def test_each_log_holds_its_own_kinds(ada: Device) -> None:
    answer = ada.book_push(change(fresh(), "name", "Kitchen"), change(fresh(), "name", "Unit", kind="unit"))
    assert results(answer) == [("refused", "other_holder"), ("accepted", None)]
    answer = ada.push(article("code", "P-1", fresh()), change(fresh(), "name", "Unit", kind="unit"))
    assert results(answer) == [("refused", "other_holder"), ("accepted", None)]
    assert "article" not in ada.view()["records"]


def test_surveys_stand_at_the_last_change_of_what_they_lean_on(ada: Device) -> None:
    def stands() -> tuple[int, int]:
        listed, assessed = ada.client.get("/api/surveys?since=0"), ada.client.get(f"{ada.path}/assessment")
        return listed.json["book"]["leant_on"], assessed.json["book"]

    ada.push(change())
    unit, other = fresh(), fresh()
    made = ada.book_push(change(unit, "name", "Unit", kind="unit"))["revision"]
    assert stands() == (made, made)
    # Their price lines are drawn from articles; what one costs the firm is none of theirs.
    told = ada.book_push(article("code", "P-8", other))["revision"]
    assert stands() == (told, told)
    assert ada.book_push(article("cost_price", "12.50", other))["revision"] > told
    assert stands() == (told, told)
    taken = ada.book_push(article("deleted", True, other, seen=told))["revision"]
    assert stands() == (taken, taken)
    gone = ada.book_push(change(unit, "deleted", True, kind="unit", seen=made))["revision"]
    assert gone > made
    assert stands() == (gone, gone)


def test_a_book_is_no_survey(office: Office, ada: Device) -> None:
    before = len(ada.client.get("/api/surveys").json["surveys"])
    revision = ada.book_push(article("code", "P-2", fresh()))["revision"]
    listed = ada.client.get("/api/surveys?since=0").json
    assert (listed["count"], listed["book"]["revision"]) == (before, revision)
    with office.app.app_context():
        book = f"book:{_firm(office)}"
    assert book not in json.dumps(
        [listed, ada.client.get("/api/survey-states").json, ada.client.get("/api/surveys").json]
    )
    for rest in ("", "/changes", "/assessment", "/document", "/reports", "/quote"):
        assert ada.client.get(f"/api/surveys/{book}{rest}").status_code == 404
    sent = {"device": "a phone", "changes": [change()]}
    assert ada.client.post(f"/api/surveys/{book}/changes", json=sent).status_code == 404


def _firm(office: Office) -> str:
    from sqlalchemy import select

    from wattwalk.database import reading
    from wattwalk.models import User

    with reading() as session:
        return session.scalars(select(User.firm_id).where(User.email == ADA.email)).one()


def test_a_surveyor_writes_nothing_and_what_was_said_stays_with_its_reason(ada: Device, ben: Device) -> None:
    record = fresh()
    ada.book_push(article("code", "P-3", record))
    said = [
        article("selling_price", "1.00", record),
        article("deleted", True, record),
        change(fresh(), "name", "Own", kind="unit"),
    ]
    assert results(ben.book_push(*said)) == [("refused", "not_allowed")] * 3
    assert in_book(ada, "article", record) == {"id": record, "code": "P-3"}
    kept = [item for item in ada.book()["refused"] if item["record"] == record]
    assert [(item["field"], item["value"], item["problem"]["code"]) for item in kept] == [
        ("selling_price", "1.00", "not_allowed"),
        ("deleted", True, "not_allowed"),
    ]
    assert results(ben.book_push(said[0])) == [("refused", "not_allowed")], "a repeat is answered as before"


def everything(device: Device) -> str:
    """Return all that a person is told of the firm's book, page by page and by every other answer that may lean on it."""
    told = [json.dumps(device.book_pull(0, 1)), json.dumps(device.book())]
    since = 0
    while True:
        page = device.book_pull(since, 2)
        told.append(json.dumps(page))
        if not page["more"]:
            break
        since = page["changes"][-1]["revision"] if page["changes"] else page["revision"]
    for address in (
        "/api/surveys?since=0",
        "/api/surveys",
        "/api/firm",
        "/api/session",
        f"{device.path}",
        f"{device.path}/document",
        f"{device.path}/assessment",
        f"{device.path}/quote",
    ):
        answer = device.client.get(address)
        assert answer.status_code == 200, address
        told.append(answer.get_data(as_text=True))
    return "\n".join(told)


def test_a_cost_price_never_reaches_a_surveyor(office: Office, ada: Device, ben: Device) -> None:
    record, other = fresh(), office.device(ADA, f"another {uuid7()}")
    ada.push(change())
    ben.push(change(seen=1))
    seen = ada.book_push(article("code", "P-4", record), article("cost_price", SECRET, record))["revision"]
    # A contest about it, a refusal that names it, a deletion that is contested with an edit of it, and one of the surveyor's own.
    ada.book_push(article("cost_price", "77321.46", record, seen=seen))
    other.book_push(article("cost_price", "77321.47", record, seen=seen))
    gone = ada.book_push(article("deleted", True, record, seen=0))["revision"]
    other.book_push(article("cost_price", "77321.48", record, seen=gone - 1))
    ada.book_push(article("cost_price", "77321.4x", record))
    ada.book_push(article("code", "P-7", kept := fresh()), article("cost_price", "77321.49", kept))
    assert results(ben.book_push(article("cost_price", "5.00", record))) == [("refused", "not_allowed")]
    told = everything(ben)
    # With its point: the digits alone may stand in an id that was drawn.
    assert "77321.4" not in told, "a cost price is on the wire"
    assert record in told
    assert in_book(ben, "article", kept) == {"id": kept, "code": "P-7"}
    (contest,) = [item for item in ben.book()["contested"] if item["record"] == record]
    assert (contest["field"], [value["edited"] for value in contest["values"]]) == ("deleted", [None, None])
    assert [item["field"] for item in ben.book()["refused"] if item["record"] == record] == []
    told = everything(ada)
    assert all(price in told for price in (SECRET, "77321.47", "77321.4x", "77321.48")), (
        "the office is told less than it may see"
    )


def test_a_page_of_what_may_not_be_seen_goes_on_behind_it(ada: Device, ben: Device) -> None:
    record, start = fresh(), ben.book_pull()["revision"]
    ada.book_push(*(article("cost_price", f"{price}.00", record) for price in range(5)), article("code", "P-5", record))
    page = ben.book_pull(start, 1)
    assert [(line["field"], line["value"]) for line in page["changes"]] == [("code", "P-5")]
    last = ada.book_push(article("cost_price", "9.00", record))["revision"]
    page = ben.book_pull(page["changes"][-1]["revision"])
    assert (page["changes"], page["revision"], page["more"]) == ([], last, False)


def test_every_answer_names_the_role_so_that_a_phone_forgets_what_it_may_not_see_any_more(office: Office) -> None:
    phone = office.device(BEN)
    for role in (OFFICE, SURVEYOR):
        with office.as_role(BEN, role):
            told = {
                phone.book()["role"],
                phone.book_pull()["role"],
                phone.client.get("/api/surveys?since=0").json["book"]["role"],
            }
            assert (told, phone.client.get("/api/session").json["user"]["role"]) == ({role}, role)


def test_an_app_that_is_too_old_leaves_the_book_alone(ada: Device) -> None:
    sent = {"device": "old", "model": "0.old", "changes": [article("code", "P-6", fresh())]}
    answer = ada.client.post("/api/book/changes", json=sent)
    assert (answer.status_code, answer.json["code"]) == (409, "app_too_old")
    assert ada.client.get("/api/book/changes?model=old").json["code"] == "app_too_old"


def test_no_declared_field_of_the_book_is_shown_by_oversight() -> None:
    hidden = {
        f"{kind.name}.{spec.name}"
        for kind in KINDS.values()
        if FIRM in kind.held_by
        for spec in kind.fields
        if spec.name not in kind.names_seen_by(SURVEYOR)
    }
    assert hidden == {f"article.{name}" for name in ("cost_price", "cost_prices", "supplier", "supplier_number")}


def bring(device: Device, kind: str, text: str, name: str = "ours.csv") -> Any:
    return device.client.post("/api/book/lists", json={"kind": kind, "name": name, "text": text})


def test_a_list_of_units_comes_into_the_book_and_again_only_with_what_changed(ada: Device) -> None:
    first = bring(ada, "unit", LIST)
    assert (first.status_code, first.json) == (200, {"added": 1, "changed": 0, "same": 0}), first.json
    unit = in_book(ada, "unit", "unit-a")
    assert (unit["name"], unit["table_from"], len(unit["points"])) == ("Unit A", "ours.csv", 4)
    revision = ada.book()["revision"]
    assert bring(ada, "unit", LIST).json == {"added": 0, "changed": 0, "same": 1}
    assert ada.book()["revision"] == revision, "a list that says nothing new changed something"
    assert bring(ada, "unit", LIST.replace("7,55,7.4", "7,55,7.5")).json == {"added": 0, "changed": 1, "same": 0}
    (line,) = ada.book_pull(revision)["changes"]
    assert (line["field"], line["contested"]) == ("points", False)
    ada.book_push(change("unit-a", "deleted", True, kind="unit", seen=0))
    assert bring(ada, "unit", LIST).json["changed"] == 1
    assert in_book(ada, "unit", "unit-a") is not None, "a unit that was taken away does not come back with its list"


@pytest.mark.parametrize(("name", "order"), [("twin", 1), ("pair", -1)])
def test_two_units_of_one_name_stay_two(ada: Device, name: str, order: int) -> None:
    def rows(unit: str) -> str:
        return "\n".join(row.replace("a,Unit A", f"{unit},{name}") for row in ROWS)

    bring(ada, "unit", HEADER + rows(f"{name}-a"))
    both = HEADER + "\n".join([rows(f"{name}-a"), rows(f"{name}-b").replace("7,55,7.4", "7,55,7.5")][::order])
    assert bring(ada, "unit", both).json == {"added": 1, "changed": 0, "same": 1}
    first, second = in_book(ada, "unit", f"unit-{name}-a"), in_book(ada, "unit", f"unit-{name}-b")
    assert first is not None
    assert second is not None
    assert first["points"] != second["points"]
    assert bring(ada, "unit", both).json == {"added": 0, "changed": 0, "same": 2}


def test_an_article_is_known_again_by_its_code(ada: Device) -> None:
    record, code = fresh(), f"C-{uuid7()}"
    ada.book_push(article("code", code, record), article("cost_price", "1.00", record))
    assert bring(ada, "article", f"code,words,cost_price\n{code},Clip,\n").json == {"added": 0, "changed": 1, "same": 0}
    assert in_book(ada, "article", record) == {"id": record, "code": code, "words": "Clip", "cost_price": "1.00"}


@pytest.mark.parametrize(
    ("kind", "text", "words"),
    [
        ("unit", LIST.replace("7,55,7.4", "7,55,x"), "ours.csv, row 6, column capacity_kw: 'x' is not a number in kW."),
        ("unit", "", "ours.csv"),
        ("unit", LIST.replace("7,55,7.4", '7,"55,7.4'), "ours.csv: it is no CSV: "),
        ("unit", f'{LIST}\n"{"x" * 140_000}",', "ours.csv: it is no CSV: field larger than field limit"),
        ("article", 'code,words\nA,"Clip\nB,Pipe\n', "ours.csv: it is no CSV: "),
        ("article", "", "ours.csv, row 1: there is no column 'code'."),
        (
            "article",
            "code;words\nA;B\n",
            "ours.csv, row 1: the cells are not parted by commas. Save it as CSV with commas.",
        ),
        ("article", "code,colour\nA,red\n", "ours.csv, row 1: there is no column 'colour'; it takes"),
        ("article", "code,code\nA,B\n", "ours.csv, row 1: the column 'code' is there twice."),
        (
            "article",
            'code,selling_price\nA,1.00\nB,"2,50"\n',
            "ours.csv, row 3, column selling_price: '2,50' has a decimal comma. Write 2.50.",
        ),
        ("article", "code,selling_price\nA,-1\n", "ours.csv, row 2, column selling_price: Selling price"),
        ("article", "code,vat\nA,22\n", "ours.csv, row 2, column vat: VAT: found the text '22', expected one of"),
        ("article", "code,words\n,Clip\n", "ours.csv, row 2, column code: the cell is empty."),
        ("article", "code,words\nA,x\nA,y\n", "ours.csv, row 3, column code: 'A' stands in row 2 already."),
        ("article", "code,words\nA\n", "ours.csv, row 2: it has 1 cells, expected 2."),
        ("article", "code,words\n", "ours.csv: it has no article."),
    ],
)
def test_a_list_that_cannot_be_right_is_refused_by_row_and_column_and_nothing_of_it_is_kept(
    ada: Device, kind: str, text: str, words: str
) -> None:
    before = ada.book()
    answer = bring(ada, kind, text)
    assert (answer.status_code, answer.json["code"]) == (422, "list_wrong"), answer.json
    assert words in answer.json["message"]
    assert ada.book() == before


@pytest.mark.parametrize(("kind", "text"), [("unit", LIST), ("article", "code,words\nE-1,Clip\n")])
def test_a_list_may_end_its_lines_in_any_way(ada: Device, kind: str, text: str) -> None:
    bring(ada, kind, text)
    for end in ("\r\n", "\r"):
        answer = bring(ada, kind, text.replace("\n", end))
        assert (answer.status_code, answer.json) == (200, {"added": 0, "changed": 0, "same": 1}), answer.json


def test_a_surveyor_brings_no_list_in(ada: Device, ben: Device) -> None:
    before = ada.book()
    answer = bring(ben, "article", "code\nZ-1\n")
    assert (answer.status_code, answer.json["code"]) == (403, "not_allowed")
    assert ada.book() == before


def test_a_list_and_somebody_who_had_not_seen_it_are_contested(office: Office, ada: Device) -> None:
    code = f"D-{uuid7()}"
    bring(ada, "article", f"code,selling_price\n{code},1.00\n")
    (record,) = [item["id"] for item in ada.book()["records"]["article"] if item.get("code") == code]
    answer = ada.book_push(article("selling_price", "2.00", record, seen=0))
    assert answer["results"][0]["contested"] is True


def test_the_model_tells_phones_whose_a_kind_is(office: Office) -> None:
    model = office.app.test_client().get("/api/model").json
    assert model["version"] == MODEL
    assert (model["kinds"]["article"]["held_by"], model["kinds"]["room"]["held_by"]) == (["firm"], ["survey"])
    (cost,) = [field for field in model["kinds"]["article"]["fields"] if field["name"] == "cost_price"]
    assert cost["seen_by"] == ["office"]


def take_all_away(device: Device, kind: str) -> None:
    """Take every record of a kind away that other tests have left in the book."""
    book = device.book()
    for item in book["records"].get(kind, []):
        device.book_push(change(item["id"], "deleted", True, kind=kind, seen=book["revision"]))


def bring_file(device: Device, kind: str, name: str, data: bytes) -> Any:
    sent = {"kind": kind, "name": name, "file": base64.b64encode(data).decode()}
    return device.client.post("/api/book/lists", json=sent)


@pytest.mark.parametrize("form", FORMS)
def test_the_book_goes_out_as_a_file_and_comes_in_again_unchanged(ada: Device, form: str) -> None:
    take_all_away(ada, "article")
    code = f"=X-{str(uuid7())[:30]}"
    bring(ada, "article", f"code,holds_from,selling_price,cost_price\n'{code},,1,2\n'{code},2027-04-01,3,4\n")
    bring(ada, "preset_valve", "name,setting,kv_m3_h\nAngle,1,0.05\nAngle,2,0.12\n")
    before = ada.book()
    assert [item["settings"] for item in before["records"]["preset_valve"] if item.get("name") == "Angle"] == [
        [{"setting": "1", "kv_m3_h": 0.05}, {"setting": "2", "kv_m3_h": 0.12}]
    ]
    for kind in ("article", "preset_valve"):
        out = ada.client.get(f"/api/book/lists/{kind}.{form}")
        assert (out.status_code, out.mimetype) == (200, MEDIA_TYPES[form])
        assert f"{kind}-list.{form}" in out.headers["Content-Disposition"]
        revision = ada.book()["revision"]
        answer = bring_file(ada, kind, f"ours.{form}", out.get_data())
        assert (answer.status_code, answer.json["added"], answer.json["changed"]) == (200, 0, 0), answer.json
        assert ada.book()["revision"] == revision


def test_units_come_as_xlsx_by_the_same_way(ada: Device) -> None:
    take_all_away(ada, "unit")
    rows = [line.split(",") for line in LIST.splitlines()]
    assert bring_file(ada, "unit", "ours.xlsx", write_list(XLSX, "Units", rows)).status_code == 200
    assert bring(ada, "unit", LIST, "ours.xlsx").json == {"added": 0, "changed": 0, "same": 1}


def test_no_file_that_goes_out_to_a_surveyor_has_a_cost(ada: Device, ben: Device) -> None:
    take_all_away(ada, "article")
    bring(
        ada, "article", f"code,holds_from,cost_price,selling_price\nS-1,,{SECRET},5.00\nS-1,2027-05-06,{SECRET},6.00\n"
    )
    for form in FORMS:
        name = f"out.{form}"
        told = str(read_list(name, ben.client.get(f"/api/book/lists/article.{form}").get_data()))
        assert "S-1" in told
        assert "2027-05-06" in told
        assert not any(word in told for word in (SECRET, "cost_price", "supplier"))
        assert SECRET in str(read_list(name, ada.client.get(f"/api/book/lists/article.{form}").get_data()))


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("ours.xlsx", b"code\nA\n", "ours.xlsx: it is called XLSX and is none."),
        ("ours.csv", "code\nRöhre\n".encode("cp1252"), "ours.csv, row 2: it is not text in UTF-8."),
        ("ours.csv", b"code;words\nA;B\n", "ours.csv, row 1: the cells are not parted by commas."),
    ],
)
def test_a_file_that_cannot_be_read_leaves_the_book_as_it_was(ada: Device, name: str, data: bytes, words: str) -> None:
    before = ada.book()
    answer = bring_file(ada, "article", name, data)
    assert (answer.status_code, answer.json["code"]) == (422, "list_wrong"), answer.json
    assert words in answer.json["message"]
    assert ada.book() == before


def test_a_list_comes_either_as_text_or_as_a_file(ada: Device) -> None:
    for more in ({}, {"text": "code\nA\n", "file": "Y29kZQ=="}, {"file": "no base64!"}):
        answer = ada.client.post("/api/book/lists", json={"kind": "article", "name": "ours.csv", **more})
        assert answer.status_code == 422, answer.json


def test_a_book_that_no_list_could_name_is_not_written(ada: Device) -> None:
    ada.book_push(article("words", "Nameless clip", fresh()))
    answer = ada.client.get("/api/book/lists/article.csv")
    assert (answer.status_code, answer.json["code"]) == (422, "list_wrong")
    assert "'Nameless clip' has no code" in str(answer.json)
