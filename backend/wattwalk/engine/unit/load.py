"""What the unit has to serve: the house's load and its line through the year."""

from __future__ import annotations

from collections.abc import Sequence

from ..answers import BuildingLoss, Climate
from ..rooms import HeatedRoom
from ..season.compensation import heat_curve
from .year import House


def house_load(
    climate: Climate | None, building: BuildingLoss, rooms: Sequence[HeatedRoom], flow_c: float, difference_k: float
) -> House | None:
    """Return the house as a unit sees it at the design flow in °C, with flow less return in K; None while its load or its line is not known."""
    if climate is None or building.unit_size_w is None or building.coefficient_w_k is None:
        return None
    curve = heat_curve(rooms, flow_c, difference_k, climate.outside_c)
    if curve is None or building.unit_size_w <= 0:
        return None
    return House(building.unit_size_w, climate.outside_c, building.coefficient_w_k, curve, float(climate.region))
