"""The shapes of the water balance: what flows through each emitter, how cold it returns, and what its valve is set to.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .said import Step

WaterState = Literal["as_designed", "throttled", "short", "idle", "not_known"]


@dataclass(frozen=True)
class EmitterWater:
    """The water of one emitter at the design cold.

    ``heat_w`` is what the water carries, of a heated floor downward too.  ``mean_c`` is the mean temperature that the balance
    says, ``verdict_mean_c`` the one at which the verdict counts its output.  ``loops`` is 1 for what is no heated floor;
    ``kv_m3_h`` and ``setting`` are those of one loop's valve.
    """

    id: str
    room: str
    words: str
    state: WaterState
    heat_w: float | None
    flow_l_min: float | None
    loops: int
    return_c: float | None
    mean_c: float | None
    verdict_mean_c: float | None
    left_kpa: float | None
    kv_m3_h: float | None
    valve: str
    setting: str
    says: str
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    circuit: str = ""


@dataclass(frozen=True)
class ControlPoint:
    """The flow to set on a controller at one outside temperature; °C."""

    outside_c: float
    flow_c: float


@dataclass(frozen=True)
class MixedWater:
    """A mixed circuit at the design cold: its own flow, what the unit's water gives to it, its mixing valve and its pump.

    ``kv_most_m3_h`` is the largest Kv with which the valve still takes its share of the pressure, ``kvs_m3_h`` the one written down
    or else the next ordinary size below; ``authority`` is the valve's share of what it rules. ``line`` are the two
    points to set on its controller, None while they are not known.
    """

    id: str
    name: str
    flow_c: float | None
    return_c: float | None
    heat_w: float | None
    flow_l_min: float | None
    primary_l_min: float | None
    emitters: int
    kv_most_m3_h: float | None
    kvs_m3_h: float | None
    valve_kpa: float | None
    authority: float | None
    pump_kpa: float | None
    words: str
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    line: tuple[ControlPoint, ControlPoint] | None = None


@dataclass(frozen=True)
class WaterBalance:
    """Every emitter that stays or comes; ``flow_l_min`` is the unit's water through them and their mixing valves together and ``return_c`` what the returns mix to, None while one is not known."""

    rows: tuple[EmitterWater, ...]
    flow_c: float
    flow_l_min: float | None
    return_c: float | None
    heat_w: float | None
    words: str
    mixed: tuple[MixedWater, ...] = ()
