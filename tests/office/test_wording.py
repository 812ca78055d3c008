"""The report's words for recorded values, derived from declarations."""

from __future__ import annotations

import pytest

from tests.support import invented_house as house
from wattwalk.office.recorded import recorded
from wattwalk.survey.document import read_document
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.wording import clean, field_line, long_date, moment_words, number_words, pounds, record_titles

NBSP = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("kind", "field", "value", "label", "words"),
    [
        ("room", "length_m", 4.2, "Length", f"4.20{NBSP}m"),
        ("room", "length_m", 4.235, "Length", f"4.235{NBSP}m"),
        ("room", "name", "Kitchen", "Name", "Kitchen"),
        ("room", "use", "kitchen_dining", "Used as", "Kitchen with dining"),
        ("room", "damp_seen", False, "Damp or mould seen", "no"),
        ("survey", "visit_date", "2026-03-31", "Date of the visit", "31 March 2026"),
        ("survey", "present_use_kwh", 14250, "Use in a year", f"14,250{NBSP}kWh"),
        ("price_line", "unit_price", "3150.5", "Price of one, without VAT", "£3,150.50"),
        ("nearby_object", "along_m", -0.6, "Along the wall from the unit's centre", f"−0.60{NBSP}m"),
        ("photo", "taken_at", "2026-03-31T14:05:00Z", "Taken at", "31 March 2026, 14:05 UTC"),
        ("emitter", "room", "r1", "Room", "Kitchen"),
        ("emitter", "room", "gone", "Room", "a record that is not here"),
        (
            "pipe_run",
            "stretches",
            [{"place": "outdoors", "length_m": 5}, {"place": "void", "length_m": 9.5}],
            "Stretches",
            f"Outdoors 5.0{NBSP}m; Under a floor or in a void 9.5{NBSP}m",
        ),
        (
            "unit",
            "points",
            [{"outside_c": -7, "flow_c": 35, "capacity_kw": 4.6, "cop": 3.08, "least_kw": 1.4}],
            "Table",
            f"Outside −7.0{NBSP}°C, Flow 35.0{NBSP}°C, Output 4.60{NBSP}kW, Coefficient of performance 3.08, Least output 1.40{NBSP}kW",
        ),
        (
            "construction",
            "layers",
            [{"material": "Brick", "thickness_mm": 102.5, "conductivity_w_mk": 0.77}],
            "Layers, inside first",
            f"Brick 102.5{NBSP}mm 0.770{NBSP}W/mK",
        ),
        (
            "price_line",
            "drawn_basis",
            [{"record": "article/a1", "field": "vat", "value": '"standard"', "words": "Standard rate"}],
            "What it hung on when it was drawn",
            "Standard rate",
        ),
        (
            "scope_item",
            "asked_by",
            [{"code": "no_route", "record": "cable_run/c1"}],
            "What asked for it",
            "Noted by Wattwalk",
        ),
    ],
)
def test_a_value_is_written_from_its_declaration(kind, field, value, label, words):
    assert field_line(KINDS[kind].field(field), value, {"r1": "Kitchen"}) == (label, words)


def test_every_declared_field_has_words_for_a_value():
    samples = {
        "text": "words",
        "long_text": "more words",
        "yes_no": True,
        "date": "2026-01-02",
        "moment": "2026-01-02T03:04:05Z",
        "money": "1.00",
        "reference": "x",
    }
    for kind in KINDS.values():
        for spec in kind.fields:
            if spec.type == "rows":
                value = [
                    {
                        row.name: samples.get(row.type, row.choices[0].value if row.choices else row.low)
                        for row in spec.rows
                    }
                ]
            else:
                value = samples.get(spec.type, spec.choices[0].value if spec.choices else spec.low)
            label, words = field_line(spec, value, {"x": "Somewhere"})
            assert label == spec.label
            assert words.strip(), f"{kind.name}.{spec.name}"


def test_dates_and_moments():
    assert long_date("2024-02-29") == "29 February 2024"
    assert moment_words("2026-12-01T00:00:09.123Z") == "1 December 2026, 00:00 UTC"
    with pytest.raises(ValueError, match="day is out of range"):
        long_date("2026-02-30")


@pytest.mark.parametrize(("amount", "words"), [("0", "£0.00"), ("-12.5", "−£12.50"), ("1234567.891", "£1,234,567.89")])
def test_pounds(amount, words):
    assert pounds(amount) == words


@pytest.mark.parametrize(
    ("value", "decimals", "words"), [(-0.0, 1, "0.0"), (2, 0, "2"), (2.5, 0, "2.5"), (1200.5, None, "1,200.5")]
)
def test_numbers_never_hide_what_was_recorded(value, decimals, words):
    assert number_words(value, decimals) == words


def test_marks_that_reorder_or_break_text_are_left_out():
    assert clean("a\u202e1\u2066b\x00\x1bc\r\nd") == "a1bc\nd"
    assert clean("مطبخ 厨房 😀 £") == "مطبخ 厨房 😀 £"


def test_a_child_is_called_with_its_parent():
    assert record_titles(house.survey())["window"] == "Back wall by the kitchen: Window that opens"


def test_everything_recorded_is_printed_but_the_offices_own_notes():
    survey = house.survey()
    kinds = recorded(survey)
    printed = " ".join(
        [cell for kind in kinds for row in kind.rows for cell in row]
        + [kind.note for kind in kinds]
        + [
            part
            for kind in kinds
            for title, lines in kind.records
            for part in (title, *(words for _label, words in lines))
        ]
    )
    assert "The side gate is 780 mm wide." in printed
    assert "Quote before Easter." not in printed
    for record in survey:
        if record.id == "n2":
            continue
        for spec in record.kind.fields:
            value = getattr(record, spec.name)
            if not spec.in_report or value is None or spec.name == record.kind.parent:
                continue
            _label, words = field_line(spec, value, {item.id: item.kind.title_of(item.values()) for item in survey})
            assert words in printed, f"{record.key()}.{spec.name}"


def test_many_alike_become_a_table_that_says_once_what_is_the_same():
    readings = next(kind for kind in recorded(house.survey()) if kind.label == "Level readings")
    assert readings.columns == ("Along from the right end", "Out from the wall edge", "Reading")
    assert readings.note == "All of them, Base: Slab by the kitchen wall"
    assert readings.rows[1] == (f"1,150{NBSP}mm", f"50{NBSP}mm", f"208.5{NBSP}mm")
    assert 98 <= sum(readings.widths) <= 102


def test_an_empty_survey_has_nothing_recorded():
    assert recorded(read_document({"format": "wattwalk-survey", "version": 1, "id": "s", "records": {}})) == ()


def test_a_side_that_is_as_large_as_its_room_is_printed_so_and_says_whose_size_it_has():
    (surface,) = (kind for kind in recorded(house.survey()) if kind.label == "Surface")
    ((_title, lines),) = surface.records
    assert dict(lines)["Width"] == f"4.20{NBSP}m (as the room)"
    assert dict(lines)["Height"] == f"2.40{NBSP}m (as the room)"
    longer = house.document()
    longer["records"]["surface"][0]["width_m"] = 4.5
    (surface,) = (kind for kind in recorded(read_document(longer)) if kind.label == "Surface")
    assert dict(surface.records[0][1])["Width"] == f"4.50{NBSP}m"


def test_a_size_that_a_shape_gives_is_printed_to_the_millimetre():
    bay = {"what": "bay", "where": "front", "along_m": 2.2, "depth_m": 0.65, "outer_m": 1.3}
    room = {"id": "r", "length_m": 5.2, "width_m": 3.9, "height_m": 2.4, "floor_parts": [bay]}
    wall = {"id": "w", "room": "r", "side": "front", "element": "wall", "other_side": "outside"}
    document = {"format": "wattwalk-survey", "version": 3, "id": "s", "records": {"room": [room], "surface": [wall]}}
    (surface,) = (kind for kind in recorded(read_document(document)) if kind.label == "Surface")
    ((_title, lines),) = surface.records
    # 5.2 − 2.2 + 1.3 + 2 × √(0.65² + 0.45²)
    assert dict(lines)["Width"] == f"5.881{NBSP}m (as the room)"
