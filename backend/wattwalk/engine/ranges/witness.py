"""A year of the present fuel as a witness: does it bear out the year that was worked out, and what would bring the two together?

It never tunes anything: the designer reads it and changes what was seen to be wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, sqrt

from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.wording import with_unit

from ..answers import Assessment
from ..answers.citing import COMMON_PRACTICE
from ..answers.ranges import Agreement, Bring, Span, Witness
from ..answers.rounding import figure, rounded
from ..cost.running_cost import HEAT_TOO_HIGH, efficiencies_of
from .facts import Fact

#: Common practice, no source: half of the 90 % range of one year's weather against the mean year, and of a household's hot water, as shares.
WEATHER, HOT_WATER = 0.10, 0.30
#: Below this share apart nothing has to be brought together.
WORTH_SAYING = 0.05
#: Facts named that would bring the two together, and those that cannot: nothing falls by more than all of it.
MOST_NAMED = 3
_NOT_ASKED = ("sizes", "output", "hot_water")


def witness_of(record: SurveyRecord, assessed: Assessment, half_share: float, facts: Sequence[Fact]) -> Witness | None:
    """Return what a year of the present fuel says of the year worked out, or None where there is no such year or nothing to hold it against.

    Parameters
    ----------
    record : SurveyRecord
        With the fuel and its use in a year.
    assessed : Assessment
        The house as worked out.
    half_share : float
        Half of the range of the house's load, as a share of it.
    facts : sequence of Fact
        What the load hangs on.

    Notes
    -----
    ``bill = (use · η − hot water) · steadiness``. A house that is heated for some hours of the day takes less than one that is kept warm, as it is
    worked out: up to a quarter less, the middle of that is added. The efficiency, the hot water, the weather of one year and that habit have ranges that
    know nothing of each other. The load by the bill is the load worked out times the bill over the year worked out.
    """
    energy, load = assessed.energy, assessed.building.unit_size_w
    use = record.present_use_kwh
    if use is None or energy is None or energy.heat_kwh <= 0 or not load or record.present_fuel in (None, "none"):
        return None
    share = efficiencies_of(record)
    water = assessed.plant.hot_water
    hot_kwh = 0.0 if water is None or water.heat_kwh is None else water.heat_kwh
    middle_share = (share.low + share.high) / 2
    room_kwh = use * middle_share - hot_kwh
    steady = HEAT_TOO_HIGH / 2
    bill = room_kwh * (1 + steady)
    half = sqrt(
        fsum(
            part * part
            for part in (
                use * (share.high - share.low) / 2 * (1 + steady),
                HOT_WATER * hot_kwh * (1 + steady),
                WEATHER * bill,
                steady * room_kwh,
            )
        )
    )
    worked = energy.heat_kwh
    worked_half = worked * half_share
    agreement: Agreement = "agree"
    if bill + half < worked - worked_half:
        agreement = "bill_lower"
    elif bill - half > worked + worked_half:
        agreement = "bill_higher"
    ratio = bill / worked
    return Witness(
        use_kwh=rounded(use, 0),
        bill_kwh=_span(bill, half),
        worked_kwh=_span(worked, worked_half),
        load_by_bill_w=_span(load * ratio, load * half / worked),
        agreement=agreement,
        brings=_brings(bill - worked, worked, load, facts),
        words=(
            f"{with_unit(figure(use, 0), 'kWh')} of fuel a year at {share.words}, less {with_unit(figure(hot_kwh, 0), 'kWh')} of hot water, and up to a quarter more if the house were kept warm all day as it is worked out.",
            f"Weather of one year within {with_unit(figure(100 * WEATHER, 0), '%')}, hot water within {with_unit(figure(100 * HOT_WATER, 0), '%')}. Cooking and fires are in it if they burn the same fuel.",
        ),
        source=COMMON_PRACTICE,
    )


def _span(middle: float, half: float) -> Span:
    return Span(rounded(middle - half, 0), rounded(middle, 0), rounded(middle + half, 0))


def _brings(apart_kwh: float, worked_kwh: float, load_w: float, facts: Sequence[Fact]) -> tuple[Bring, ...]:
    """Return the facts by which alone the two years would meet, the likeliest first; none while they are close."""
    if abs(apart_kwh) < WORTH_SAYING * worked_kwh:
        return ()
    found = []
    for fact in facts:
        if fact.code in _NOT_ASKED or fact.load <= 0:
            continue
        needed = apart_kwh / (worked_kwh * fact.load / load_w)
        if needed <= -1 or fact.code == "neighbour_k":
            continue
        found.append((abs(needed) / fact.spread.half, fact, needed))
    found.sort(key=lambda item: (item[0], item[1].code, item[1].record))
    return tuple(
        Bring(
            fact.code,
            fact.record,
            fact.title,
            rounded(100 * needed, 0),
            far <= 1,
            f"{fact.title}: {figure(abs(100 * needed), 0)} % {'less' if needed < 0 else 'more'} than counted, {'within' if far <= 1 else 'beyond'} what is likely ({figure(100 * fact.spread.half, 0)} %)",
        )
        for far, fact, needed in found[:MOST_NAMED]
    )
