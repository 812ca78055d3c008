"""What arrives out of its turn: a request after its replacement, and a `seen` from the life before a restored backup."""

from __future__ import annotations

import pytest

from tests.support.cast import Device, Office, change
from tests.sync.test_push import assert_log_holds, results
from wattwalk import accounts


def begin_anew(office: Office) -> tuple[str, str]:
    """Begin a new epoch, as after a restored backup; return the one before and the new one."""
    with office.app.app_context():
        before = accounts.epoch()
        return before, accounts.renew_epoch()


def test_a_request_that_comes_after_its_replacement_takes_nothing_back(office: Office, ada: Device) -> None:
    lost = change(value=4.2)
    newer = change(value=4.5, replaces=[lost["id"]])
    ada.push(newer)
    (late,) = ada.push(lost)["results"]
    assert (late["status"], late["problem"]["code"]) == ("refused", "replaced")
    assert ada.view()["records"]["room"][0]["length_m"] == 4.5
    # Nobody is asked to see to it: the person has said it better since.
    assert ada.view()["refused"] == []
    assert ada.listed()["refused"] == 0
    assert ada.push(lost)["results"] == [late]
    assert_log_holds(office)


def test_a_request_that_came_before_its_replacement_stays_in_the_log(office: Office, ada: Device) -> None:
    unheard = change(value=4.2)
    first = ada.push(unheard)
    newer = change(value=4.5, replaces=[unheard["id"]])
    assert results(ada.push(newer)) == [("accepted", 2)]
    assert ada.push(unheard)["results"] == first["results"]
    assert ada.view()["records"]["room"][0]["length_m"] == 4.5
    assert [line["id"] for line in ada.pull()] == [unheard["id"], newer["id"]]
    assert_log_holds(office)


def test_a_refused_replacement_spends_what_it_replaced_too(office: Office, ada: Device) -> None:
    lost = change(value=4.2)
    ada.push(change(value=999, replaces=[lost["id"]]))
    assert results(ada.push(lost)) == [("refused", None)]
    assert [refused["value"] for refused in ada.view()["refused"]] == [999]


def test_what_stands_beside_a_late_request_in_its_batch_is_taken(office: Office, ada: Device) -> None:
    lost, beside = change(value=4.2), change(field="width_m", value=3)
    ada.push(change(value=4.5, replaces=[lost["id"]]))
    assert results(ada.push(lost, beside)) == [("refused", None), ("accepted", 2)]
    assert ada.view()["records"]["room"] == [{"id": "kitchen", "length_m": 4.5, "width_m": 3}]


@pytest.mark.parametrize("replaces", ["all", 7, ["kitchen"], [7], {"id": 1}, [change()["id"]] * 101])
def test_what_cannot_be_replaced_is_refused_in_words(ada: Device, replaces: object) -> None:
    (result,) = ada.push(change(replaces=replaces))["results"]
    assert (result["status"], result["problem"]["code"], result["problem"]["field"]) == (
        "refused",
        "not_ids",
        "replaces",
    )


def test_a_revision_of_the_life_before_is_no_revision_of_this_one(office: Office, ada: Device, ben: Device) -> None:
    """Ada had seen revision 4 of a life that the backup does not hold; Ben's revision 2 of this life she has not seen."""
    ada.push(change(value=4.2))
    before, after = begin_anew(office)
    ben.push(change(field="width_m", value=3), change(value=4.4, seen=1, epoch=after))
    (result,) = ada.push(change(value=4.5, seen=4, epoch=before))["results"]
    assert result["contested"] is True
    assert [value["value"] for value in ada.view()["contested"][0]["values"]] == [4.4, 4.5]
    assert_log_holds(office)


def test_what_both_lives_share_was_seen(office: Office, ada: Device, ben: Device) -> None:
    ben.push(change(value=4.2))
    before, _ = begin_anew(office)
    (result,) = ada.push(change(value=4.5, seen=1, epoch=before))["results"]
    assert result["contested"] is False
    assert_log_holds(office)


def test_of_a_life_further_back_nothing_was_seen(office: Office, ada: Device, ben: Device) -> None:
    ben.push(change(value=4.2))
    first, _ = begin_anew(office)
    begin_anew(office)
    (result,) = ada.push(change(value=4.5, seen=1, epoch=first))["results"]
    assert result["contested"] is True
    assert_log_holds(office)


@pytest.mark.parametrize("is_known", [True, False], ids=["known survey", "new survey"])
def test_a_batch_of_the_life_before_is_not_taken_and_learns_of_this_one(
    office: Office, ada: Device, is_known: bool
) -> None:
    if is_known:
        ada.push(change(value=4.2))
    before, after = begin_anew(office)
    batch = {"device": ada.name, "changes": [change(value=4.5)]}
    answer = ada.client.post(f"{ada.path}/changes", json={**batch, "epoch": before}).json
    assert (answer["epoch"], answer["results"]) == (after, [])
    assert ada.client.get(ada.path).status_code == (200 if is_known else 404)
    answer = ada.client.post(f"{ada.path}/changes", json={**batch, "epoch": after}).json
    assert results(answer) == [("accepted", 1 + is_known)]
    assert ada.view()["records"]["room"][0]["length_m"] == 4.5
    assert_log_holds(office)


def test_a_revision_that_the_survey_has_not_reached_was_not_seen(office: Office, ada: Device, ben: Device) -> None:
    ben.push(change(value=4.2))
    (result,) = ada.push(change(value=4.5, seen=9))["results"]
    assert result["contested"] is True
    assert_log_holds(office)


@pytest.mark.parametrize("epoch", [7, ["x"], "x" * 65])
def test_an_epoch_that_is_none_is_refused_in_words(ada: Device, epoch: object) -> None:
    (result,) = ada.push(change(epoch=epoch))["results"]
    assert (result["status"], result["problem"]["code"], result["problem"]["field"]) == (
        "refused",
        "not_an_epoch",
        "epoch",
    )


def test_an_own_word_of_the_life_before_hides_nothing_that_stood_under_it(
    office: Office, ada: Device, ben: Device
) -> None:
    ben.push(change(value=4.5))
    before, _ = begin_anew(office)
    # What Ada's phone had seen was its own word, said in the life that is over without having seen Ben's; the contest went with that life.
    (result,) = ada.push(change(value=4.2, seen=7, epoch=before))["results"]
    assert result["contested"] is True
    assert [side["value"] for side in ada.view()["contested"][0]["values"]] == [4.5, 4.2]
    assert_log_holds(office)


def test_a_pick_of_the_life_before_settles_what_both_lives_share(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ben.push(change(value=4.5), change(field="width_m", value=3))
    before, _ = begin_anew(office)
    (result,) = ada.push(change(value=4.2, seen=7, resolves=True, epoch=before))["results"]
    assert result["contested"] is False
    assert ada.view()["contested"] == []
    assert_log_holds(office)
