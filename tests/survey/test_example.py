"""The example document that lies in the package: the demo house on one day, and the ways of giving a document to the engine."""

from __future__ import annotations

import doctest
import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.golden.write_example import written
from wattwalk.cli import EXAMPLE
from wattwalk.demo.house import EXAMPLE_DAY, house
from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import open_document, read_document
from wattwalk.survey.errors import SurveyError

#: A day for each day of the week, over the end of a year and of a February.
DAYS = [date(2026, 12, 20) + timedelta(days=10 * each) for each in range(8)]


def days_told(item: Any) -> list[date]:
    """Return every day that a document tells, wherever it stands."""
    if isinstance(item, dict):
        return [day for inner in item.values() for day in days_told(inner)]
    if isinstance(item, list):
        return [day for inner in item for day in days_told(inner)]
    try:
        return [date.fromisoformat(item[:10])] if isinstance(item, str) and item[:2] == "20" else []
    except ValueError:
        return []


def test_it_is_what_the_demo_makes() -> None:
    assert EXAMPLE.read_bytes() == written(), "run `python -m tests.golden.write_example`"
    assert json.loads(EXAMPLE.read_bytes()) == house(EXAMPLE_DAY)


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_the_demo_house_tells_its_dates_from_the_day_it_is_filled_in(day: date) -> None:
    records = house(day)["records"]
    visited = date.fromisoformat(records["survey"][0]["visit_date"])
    assert timedelta(days=1) <= day - visited <= timedelta(days=3)
    assert visited.weekday() < 5
    works = [date.fromisoformat(work["needed_by"]) for work in records["scope_item"]]
    assert works
    assert all(day + timedelta(weeks=4) <= work < day + timedelta(weeks=7) and work.weekday() == 4 for work in works)
    # No other day is told: nothing in the house lies before its visit.
    assert set(days_told(records)) == {visited, *works}
    assert {photo["taken_at"][:10] for photo in records["photo"]} == {visited.isoformat()}


def test_the_house_is_the_same_on_every_day_but_for_its_dates() -> None:
    shapes = []
    for day in DAYS:
        text = json.dumps(house(day))
        for told in sorted(set(days_told(house(day))), reverse=True):
            text = text.replace(told.isoformat(), "a day")
        shapes.append(text)
    assert len(set(shapes)) == 1


def test_the_engine_takes_a_path_a_document_its_bytes_or_a_survey() -> None:
    expected = to_plain(assess(read_document(EXAMPLE.read_bytes())))
    for given in (EXAMPLE, str(EXAMPLE), EXAMPLE.read_bytes(), house(), read_document(house())):
        assert to_plain(assess(given)) == expected


def test_a_survey_comes_back_as_it_is() -> None:
    survey = read_document(house())
    assert open_document(survey) is survey


def test_what_is_no_document_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        assess(tmp_path / "nothing.json")
    (tmp_path / "other.json").write_text("[]")
    for given in (tmp_path / "other.json", b"{", {}, {"format": "another"}):
        with pytest.raises(SurveyError):
            assess(given)


def test_the_readme_shows_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(EXAMPLE.parent)
    readme = Path(__file__).resolve().parents[2] / "README.md"
    done = doctest.testfile(str(readme), module_relative=False)
    assert (done.failed, done.attempted) == (0, 2)
