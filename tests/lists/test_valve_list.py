"""A firm's list of valves with settings: a row for each setting, refused by row and column."""

from __future__ import annotations

from typing import Any

import pytest

from wattwalk.list_file import ListError, read_text_list
from wattwalk.office.firm_lists import changes_by_list
from wattwalk.survey.circuit import PresetValve
from wattwalk.sync.book import BookRecord
from wattwalk.valve_list import MOST, valve_records, valve_rows

LIST = "name,table_from,setting,kv_m3_h\nAngle 15,An invented paper,1,0.05\nAngle 15,,2,0.12\nStraight 15,,N,0.9\n"


def records(text: str) -> list[dict[str, Any]]:
    return valve_records("ours.csv", read_text_list("ours.csv", text))


def test_the_rows_of_one_name_are_its_settings_in_their_order() -> None:
    angle, straight = records(LIST)
    assert (angle["name"], angle["table_from"]) == ("Angle 15", "An invented paper")
    assert angle["settings"] == [{"setting": "1", "kv_m3_h": 0.05}, {"setting": "2", "kv_m3_h": 0.12}]
    assert straight["settings"] == [{"setting": "N", "kv_m3_h": 0.9}]
    assert "settings" not in records("name\nAngle 15\n")[0]
    assert len({angle["id"], straight["id"]}) == 2
    assert PresetValve(**angle).settings == angle["settings"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,setting,kv_m3_h\nA,1,\n", "ours.csv, row 2, column kv_m3_h: the cell is empty."),
        ("name,setting,kv_m3_h\nA,,0.1\n", "ours.csv, row 2, column setting: the cell is empty."),
        ("name,setting,kv_m3_h\n,1,0.1\n", "ours.csv, row 2, column name: the cell is empty."),
        (
            "name,setting,kv_m3_h\nA,1,0.1\nA,1,0.2\n",
            "row 3, column setting: setting '1' of 'A' stands in row 2 already.",
        ),
        ("name,table_from\nA,x\nA,x\n", "row 3, column name: 'A' stands in row 2 already."),
        ('name,setting,kv_m3_h\nA,1,"0,25"\n', "row 2, column kv_m3_h: '0,25' has a decimal comma. Write 0.25."),
        ('name,setting,kv_m3_h\nA,1,"1,250"\n', "'1,250' has a comma that can mean two things. Write 1.250 or 1250."),
        ("name,setting,kv_m3_h\nA,1,60\n", "row 2, column kv_m3_h: Kv: found 60, expected 0.001 to 50 m³/h."),
        ("name,kv\nA,1\n", "row 1: there is no column 'kv'; it takes name, table_from, setting, kv_m3_h."),
        ("setting\n1\n", "row 1: there is no column 'name'."),
        ("name;setting\nA;1\n", "row 1: the cells are not parted by commas."),
        ("name\n", "ours.csv: it has no valve."),
        ("name\n" + "\n".join(f"V{n}" for n in range(MOST + 1)), f"it has {MOST + 1} valves, expected at most {MOST}."),
        (
            "name,setting,kv_m3_h\n" + "\n".join(f"A,{n},0.1" for n in range(41)),
            "column setting: A has 41 settings, expected at most 40.",
        ),
    ],
)
def test_what_cannot_be_right_is_said_by_row_and_column(text: str, words: str) -> None:
    with pytest.raises(ListError) as refused:
        records(text)
    assert words in refused.value.problems[0]
    assert len(refused.value.problems) == 1


def test_a_valve_is_known_by_its_name_and_gets_the_table_of_the_list() -> None:
    half = [{"setting": "1", "kv_m3_h": 0.05}, {"setting": "2"}]
    book = [BookRecord("v", {"name": "Angle 15", "settings": half}, {"settings": 3}, False)]
    same = "name,setting,kv_m3_h\nAngle 15,1,0.05\n"
    assert changes_by_list("preset_valve", records(same), book)[0] == []
    (change,), counts = changes_by_list("preset_valve", records(same.replace("0.05", "0.06")), book)
    assert (change.record, change.field, change.seen, counts.changed) == ("v", "settings", 3, 1)


def test_a_setting_that_is_there_twice_is_not_written() -> None:
    twice = [{"setting": "1", "kv_m3_h": 0.1}, {"setting": "1 ", "kv_m3_h": 0.2}]
    with pytest.raises(ListError, match="Valve 'A' has a setting twice"):
        valve_rows([{"id": "a", "name": "A", "settings": twice}], ())
