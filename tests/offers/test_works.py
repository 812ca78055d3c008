"""Works that a survey asks for: who asked is a code and a record, so no word of a message decides anything."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wattwalk.engine.answers import Finding, Severity
from wattwalk.offers import Asked, SuggestedWork, suggest_works
from wattwalk.offers.works import CABLE_TO_RUN, clipped
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.services import CableRun
from wattwalk.survey.site import Base
from wattwalk.survey.works import Design, Note, ScopeItem

LEVEL = Finding(Severity.STOP, "base_out_of_level", "base/b1", None, "Slab falls by 14 mm.", "Level it.", "")
YOUNG = Finding(Severity.STOP, "base_too_young", "base/b1", None, "Slab is 9 days old.", "Wait, or test it.", "")
SMALL = Finding(
    Severity.CHECK, "unit_short", "design/d", None, "The unit covers 92 % of the house.", "Choose a larger unit.", ""
)


def survey(*works: ScopeItem, cables: tuple[CableRun, ...] = ()) -> Survey:
    return Survey(
        "s",
        {
            "base": (Base(id="b1", name="Slab"),),
            "survey": (SurveyRecord(id="s"),),
            "design": (Design(id="d"),),
            "note": (Note(id="n"),),
            "scope_item": works,
            "cable_run": cables,
        },
    )


def taken(work: SuggestedWork, id: str = "w1") -> ScopeItem:
    """Return the work that a person makes by taking what is offered."""
    row = {
        "code": work.asked.code,
        "record": work.asked.record,
        **({"about": work.asked.about} if work.asked.about else {}),
    }
    return ScopeItem(id=id, what=work.what, why=clipped(work.why, 300), drawn_from=work.drawn_from, asked_by=[row])


def codes(held: Survey, *findings: Finding) -> list[str]:
    return [work.asked.code for work in suggest_works(held, findings)]


def test_each_finding_that_presses_asks_for_a_work():
    note, dumb, gone = (
        replace(LEVEL, severity=Severity.NOTE),
        replace(LEVEL, remedy=""),
        replace(LEVEL, record="base/gone"),
    )
    assert codes(survey(), LEVEL, YOUNG, SMALL) == ["base_out_of_level", "base_too_young", "unit_short"]
    assert codes(survey(), note, dumb, gone) == []


def test_of_two_works_on_a_base_the_second_is_still_offered_when_a_figure_in_the_first_moves():
    first, _second = suggest_works(survey(), (LEVEL, YOUNG))
    moved = replace(LEVEL, message="Slab falls by 15 mm.")
    assert codes(survey(taken(first)), moved, YOUNG) == ["base_too_young"]


def test_a_work_that_is_drawn_from_no_record_is_not_offered_again_when_its_message_changes():
    of_no_record = replace(SMALL, record="note/n")
    (work,) = suggest_works(survey(), (of_no_record,))
    assert work.drawn_from is None
    assert codes(survey(taken(work)), replace(of_no_record, message="The unit covers 91 % of the house.")) == []


def test_what_tells_two_of_one_code_apart_is_kept_apart():
    wide, deep = replace(LEVEL, about="wide"), replace(LEVEL, about="deep")
    (first, _second) = suggest_works(survey(), (wide, deep))
    assert [work.asked.about for work in suggest_works(survey(taken(first)), (wide, deep))] == ["deep"]


def test_the_same_code_of_another_record_is_another_work():
    (work,) = suggest_works(survey(), (LEVEL,))
    other = replace(LEVEL, record="survey/s")
    assert codes(survey(taken(work)), other) == ["base_out_of_level"]


def test_one_work_may_be_asked_for_by_several():
    first, second = suggest_works(survey(), (LEVEL, YOUNG))
    both = replace(taken(first), asked_by=[*taken(first).asked_by, *taken(second).asked_by])
    assert codes(survey(both), LEVEL, YOUNG) == []


def test_a_work_written_by_hand_hides_nothing_and_is_named():
    by_hand = ScopeItem(id="w9", what="New slab", drawn_from="b1", why="Slab falls by 14 mm.")
    assert [(work.asked.code, work.written) for work in suggest_works(survey(by_hand), (LEVEL, YOUNG))] == [
        ("base_out_of_level", ("w9",)),
        ("base_too_young", ("w9",)),
    ]


@pytest.mark.parametrize(
    ("run_by", "is_there", "trade"),
    [
        ("electrician", None, "electrician"),
        ("household", None, "household"),
        ("us", None, None),
        (None, None, None),
        ("electrician", True, None),
    ],
)
def test_a_cable_that_somebody_else_runs_is_work(run_by, is_there, trade):
    cable = CableRun(id="c1", purpose="bus", cores=2, run_by=run_by, is_there=is_there)
    found = suggest_works(survey(cables=(cable,)), ())
    assert [(work.trade, work.drawn_from, work.asked) for work in found] == (
        [] if trade is None else [(trade, "c1", Asked(CABLE_TO_RUN, "cable_run/c1", ""))]
    )
    if found:
        assert "Cores: 2" in found[0].specification
        assert suggest_works(survey(taken(found[0]), cables=(replace(cable, cores=4),)), ()) == ()


def test_a_remedy_longer_than_its_field_is_cut_between_words():
    (work,) = suggest_works(survey(), (replace(LEVEL, remedy="Lift the slab and " * 20),))
    assert len(work.what) <= 200
    assert work.what.endswith(("…",))
    assert not work.what[:-1].endswith(" ")
    assert work.specification == "Lift the slab and " * 20
