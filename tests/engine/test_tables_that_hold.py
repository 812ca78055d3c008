"""What a table must never say: money for a day or a house it does not know, a lining lost, a conduit that cools its cable."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.catalogue import table
from wattwalk.engine.cost.by_day import GRANTS
from wattwalk.engine.fabric.by_look import by_look

from .support import assessed, findings


class TestGrants:
    @staticmethod
    def asked(fuel: str, day: str, nation: str = "england"):
        return assessed(changed(small_house(), "survey", "s", present_fuel=fuel, visit_date=day, nation=nation))

    @pytest.mark.parametrize("nation", ["england", "wales"])
    def test_no_money_is_promised_beyond_the_last_day_held(self, nation):
        assert findings(self.asked("gas", "2026-12-31", nation), "grant_by_table")
        for day in ("2027-01-01", "2030-06-01"):
            assert findings(self.asked("gas", day, nation), "grant_by_table") == []

    @pytest.mark.parametrize("fuel", ["wood", "none"])
    @pytest.mark.parametrize("day", ["2026-03-12", "2026-09-01"])
    def test_none_for_wood_or_no_heating(self, fuel, day):
        assert findings(self.asked(fuel, day), "grant_by_table") == []

    def test_every_row_has_a_last_day(self):
        assert all(row.word("last_day") for row in table(GRANTS).rows)


@pytest.mark.parametrize("nation", ["scotland", "wales", "northern_ireland", "england"])
@pytest.mark.parametrize("look", ["wall_solid_brick", "wall_stone_granite", "wall_system"])
def test_a_little_insulation_never_undoes_a_lining(nation, look):
    def u_value(insulation_mm):
        return by_look(look, "wall", "B", insulation_mm, None, nation=nation, lined=True).u_value

    values = [u_value(mm) for mm in (None, 1, 5, 10, 25, 50, 100)]
    assert values == sorted(values, reverse=True)


def test_the_order_of_walls_does_not_set_the_floors_edge():
    other = {
        "id": "thin",
        "name": "Thin",
        "element": "wall",
        "known_by": "declared",
        "u_value_w_m2k": 1,
        "thickness_mm": 100,
    }
    document = with_records(small_house(), "construction", other)
    turned = {**document, "records": {**document["records"], "construction": document["records"]["construction"][::-1]}}
    assert (
        assessed(document).building.ground_w
        == assessed(turned).building.ground_w
        == assessed(small_house()).building.ground_w
    )


def test_no_cable_carries_more_in_conduit_than_clipped():
    rows = [row for row in table("cable_ratings_bs_7671_2018").rows if row.cells["conduit_a"] is not None]
    assert rows
    assert all(row.number("conduit_a") <= row.number("clipped_a") for row in rows)
