"""The unit's load carried through the year: the same terms by the same switches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ..answers import BuildingLoss, LoadTerm, VentilationMethod
from ..answers.rounding import figure
from ..answers.unit import LoadCode
from ..fabric.room_loss import mean_difference_k
from ..rooms import RoomLosses
from ..season.compensation import HeatCurve
from ..season.year_load import WarmPipe, YearLoad, YearPart
from .load import UnitLoad

#: The way of counting the air that is made for a year, and the difference below which nothing is said of it, %.
LEAKAGE, WORTH_SAYING_PERCENT = "air_permeability", 2.0
#: How each term goes through the year.
_HOW: Mapping[LoadCode, str] = {
    "rooms": "down to nothing at 15.5 °C outside, from where sun and people keep the house warm, from October to May",
    "cold_rooms": "falls with the rooms' own loss",
    "neighbours": "falls with the rooms' own loss, as what goes into the ground does",
    "neighbour_gain": "falls with the rooms' own loss",
    "pipes": "by the water in them at each outside temperature, as long as it is below 15.5 °C",
    "floors": "by how far the water is above the rooms at each outside temperature",
}


def year_parts(
    load: UnitLoad,
    building: BuildingLoss,
    losses: RoomLosses,
    curve: HeatCurve | None,
    pipes: Sequence[WarmPipe],
) -> tuple[YearPart, ...]:
    """Return the terms of a year's heating; none while the house's own line is not known.

    Parameters
    ----------
    load : UnitLoad
        The unit's load at the design cold as its terms.
    building : BuildingLoss
        The rooms added up.
    losses : RoomLosses
        The rooms, all of them worked out, and what each way of counting the air gives: the year goes on with the one of the design cold,
        and says what the house's leakage would.
    curve : HeatCurve or None
        The water at the design flow, by which the load was worked out, and the design cold.
    pipes : sequence of WarmPipe
        The pipes outside heated rooms that are warm all day.
    """
    if curve is None or building.coefficient_w_k is None:
        return ()
    mean_k = mean_difference_k(losses.rooms, curve.outside_c)
    if mean_k is None or mean_k <= 0:
        return ()
    above_k = curve.mean_at(curve.outside_c) - curve.inside_c
    found = []
    for term in load.terms:
        if term.code in ("hot_water", "heating_up"):
            continue
        part = _part(term, building.coefficient_w_k, mean_k, above_k, pipes)
        found.append(replace(part, words=part.words + _air_words(term, losses.air)) if term.code == "rooms" else part)
    found += [_heating_up(term) for term in load.terms if term.code == "heating_up"]
    return tuple(found)


def _part(term: LoadTerm, coefficient_w_k: float, mean_k: float, above_k: float, pipes: Sequence[WarmPipe]) -> YearPart:
    made: YearLoad | None
    if term.code == "rooms":
        made = YearLoad(coefficient_w_k)
    elif term.watts is None:
        made = None
    elif term.code == "pipes":
        made = YearLoad(pipes=tuple(pipes))
    elif term.code == "floors":
        made = YearLoad(floors_w_k=term.watts / above_k)
    else:
        made = YearLoad(term.watts / mean_k)
    words = f"{term.words}; {_HOW[term.code]}" if term.watts else term.words
    return YearPart(term.code, term.label, made, term.counts, words, term.source)


def _air_words(term: LoadTerm, air: Sequence[VentilationMethod]) -> str:
    """Say by how much the rooms' heat of a year would differ, were the air counted as the house leaks and not as for the design cold."""
    used = next((item.house_w for item in air if item.is_used), None)
    leaking = next((item.house_w for item in air if item.method == LEAKAGE), None)
    if used is None or leaking is None or not term.watts:
        return ""
    more = 100 * (leaking - used) / term.watts
    if abs(more) < WORTH_SAYING_PERCENT:
        return ""
    return f"; the air as at the design cold: by the leakage of the house these rooms would take {figure(abs(more), 0)} % {'more' if more > 0 else 'less'} in a year"


def _heating_up(term: LoadTerm) -> YearPart:
    words = term.words
    if term.counts and term.watts:
        words = f"left out: {figure(term.watts, 0)} W for some hours, which bring back what the house has cooled down; the cooler hours before have saved it"
    return YearPart(term.code, term.label, YearLoad(), False, words, term.source)
