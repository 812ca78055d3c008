"""The weather-compensation line: how warm the water must be at each outside temperature, and what to set on a controller."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wattwalk.survey.known import known

from ..answers import Climate, Compensation, CompensationPoint, ControlPoint, Finding, Severity, Step
from ..answers.citing import COMMON_PRACTICE, cite
from ..answers.rounding import TEMPERATURE, figure, rounded, serving
from ..emitters.work import EmitterWork
from ..rooms.heated import HeatedRoom

#: The two outside temperatures that a controller's straight line goes through, °C.
COLD_C, MILD_C = -3.0, 7.0
#: Outside temperatures shown, besides the design cold, °C.
SHOWN_C = (-3.0, 0.0, 2.0, 5.0, 7.0, 10.0, 12.0, 15.0)
#: A floor that would do with so much less than the design flow does not belong on the same line, K.
FAR_COOLER_K = 8.0

PART_LOAD = cite("part_load", "emitters at a constant water flow")


@dataclass(frozen=True)
class HeatCurve:
    """The flow temperature over the outside temperature, for the warmest room and the most curved emitter of a house.

    Every other room and emitter is served as well: the flow needed rises with the room's temperature and with the exponent.
    """

    inside_c: float
    exponent: float
    outside_c: float
    flow_c: float
    difference_k: float

    def flow_at(self, outside_c: float) -> float:
        """Return the flow temperature in °C at an outside temperature in °C.

        References
        ----------
        Emitters at a constant water flow: ``θf = θi + ΔTm φ^(1/n) + (Δθ/2) φ`` with ``φ = (θi − θo)/(θi − θe)``.
        """
        share = (self.inside_c - outside_c) / (self.inside_c - self.outside_c)
        return self.mean_at(outside_c) + self.difference_k / 2 * max(0.0, share)

    def mean_at(self, outside_c: float) -> float:
        """Return the mean temperature of flow and return in °C at an outside temperature in °C."""
        share = (self.inside_c - outside_c) / (self.inside_c - self.outside_c)
        if share <= 0:
            return self.inside_c
        mean_k = self.flow_c - self.difference_k / 2 - self.inside_c
        power: float = share ** (1 / self.exponent)
        return self.inside_c + mean_k * power


def heat_curve(rooms: Sequence[HeatedRoom], flow_c: float, difference_k: float, outside_c: float) -> HeatCurve | None:
    """Return the curve of a house at a design flow, or None while no room has a known emitter or the flow is too low for one.

    Parameters
    ----------
    rooms : sequence of HeatedRoom
        Rooms with their emitters.
    flow_c, difference_k : float
        Flow temperature at the design cold, °C, and flow less return, K.
    outside_c : float
        Design outside temperature, °C.
    """
    heated = [room for room in rooms if room.needs_heat and room.has_emitter and room.output_w(flow_c) is not None]
    if not heated:
        return None
    inside = max(known(room.work.inside_c) for room in heated)
    # A heated floor is worked out in proportion to its driving difference; every other emitter has its exponent.
    exponent = max(item.exponent or 1.0 for room in heated for item in room.emitters if item.counts)
    return _curve(inside, exponent, flow_c, difference_k, outside_c)


def circuit_curve(
    emitters: Sequence[EmitterWork], flow_c: float, difference_k: float, outside_c: float
) -> HeatCurve | None:
    """Return the curve of one circuit by its own emitters, or None when the flow is too low for them.

    Parameters
    ----------
    emitters : sequence of EmitterWork
        What the circuit feeds, at least one, all of them known.
    flow_c, difference_k : float
        Its own flow temperature at the design cold, °C, and its flow less return, K.
    outside_c : float
        Design outside temperature, °C.
    """
    inside = max(known(item.inside_c) for item in emitters)
    return _curve(inside, max(item.exponent or 1.0 for item in emitters), flow_c, difference_k, outside_c)


def _curve(inside: float, exponent: float, flow_c: float, difference_k: float, outside_c: float) -> HeatCurve | None:
    if flow_c - difference_k <= inside or inside <= outside_c:
        return None
    return HeatCurve(inside, exponent, outside_c, flow_c, difference_k)


def compensation(curve: HeatCurve, climate: Climate) -> Compensation:
    """Return the curve at the outside temperatures shown, beside the straight line through the two points to set."""
    cold, mild = curve.flow_at(COLD_C), curve.flow_at(MILD_C)
    slope = (mild - cold) / (MILD_C - COLD_C)
    shown = sorted({rounded(climate.outside_c, 1), *(value for value in SHOWN_C if value > climate.outside_c)})
    points = tuple(
        CompensationPoint(
            outside,
            rounded(curve.flow_at(outside), TEMPERATURE),
            rounded(cold + slope * (outside - COLD_C), TEMPERATURE),
        )
        for outside in shown
    )
    at_twelve = cold + slope * (12 - COLD_C) - curve.flow_at(12)
    between = cold + slope * (2 - COLD_C) - curve.flow_at(2)
    words = (
        f"{to_set(curve)} "
        f"The straight line between them then gives {_apart(between)} at 2 °C and {_apart(at_twelve)} at 12 °C."
    )
    numbers = f"θi {figure(curve.inside_c, 1)} °C (warmest room), n {figure(curve.exponent, 3)} (most curved emitter), {figure(curve.flow_c, 1)}/{figure(curve.flow_c - curve.difference_k, 1)} °C at {figure(climate.outside_c, 1)} °C"
    formula = "θf = θi + ΔTm φ^(1/n) + (Δθ/2) φ"
    steps = (
        Step(f"Flow at {figure(COLD_C, 0)} °C outside", formula, numbers, rounded(cold, TEMPERATURE), "°C", PART_LOAD),
        Step(f"Flow at {figure(MILD_C, 0)} °C outside", formula, numbers, rounded(mild, TEMPERATURE), "°C", PART_LOAD),
        Step(
            "Slope of the straight line",
            "(θf,7 − θf,−3) / 10",
            f"({figure(mild)} − {figure(cold)}) / 10",
            rounded(slope, 3),
            "K/K",
            PART_LOAD,
        ),
    )
    return Compensation(
        inside_c=rounded(curve.inside_c, TEMPERATURE),
        exponent=rounded(curve.exponent, 3),
        cold_outside_c=COLD_C,
        cold_flow_c=rounded(cold, 1),
        mild_outside_c=MILD_C,
        mild_flow_c=rounded(mild, 1),
        slope=rounded(slope, 3),
        points=points,
        words=words,
        steps=steps,
        source=PART_LOAD,
    )


def points_to_set(curve: HeatCurve) -> tuple[ControlPoint, ControlPoint]:
    """Return the two points that a controller's straight line goes through, the colder one first."""
    cold, mild = curve.flow_at(COLD_C), curve.flow_at(MILD_C)
    return ControlPoint(COLD_C, rounded(cold, TEMPERATURE)), ControlPoint(MILD_C, rounded(mild, TEMPERATURE))


def to_set(curve: HeatCurve) -> str:
    """Say what to set on a controller: the flow at the two outside temperatures that its straight line goes through."""
    cold, mild = curve.flow_at(COLD_C), curve.flow_at(MILD_C)
    return f"Set {figure(cold, 1)} °C at {figure(COLD_C, 0)} °C outside and {figure(mild, 1)} °C at {figure(MILD_C, 0)} °C."


def _apart(difference_k: float) -> str:
    if abs(difference_k) < 0.05:
        return "the same"
    return f"{figure(abs(difference_k), 1)} K too {'much' if difference_k > 0 else 'little'}"


def floor_findings(room: HeatedRoom, flow_c: float) -> list[Finding]:
    """Return a warning for a heated floor that would be warm enough with far cooler water than the rest."""
    lowest = room.lowest_flow_c
    floors = [
        item
        for item in room.emitters
        if item.counts and item.is_floor and item.mixed is None and item.emitter.declared_w_m2k is None
    ]
    if (
        lowest is None
        or not floors
        or len(floors) != len([item for item in room.emitters if item.counts])
        or flow_c - lowest < FAR_COOLER_K
    ):
        return []
    return [
        Finding(
            Severity.CHECK,
            "floor_far_cooler",
            floors[0].emitter.key(),
            "type",
            f"The heated floor in {room.work.name} would be warm at {serving(lowest)} °C; at the common flow of {figure(flow_c, 1)} °C it gives "
            f"{figure(known(room.output_w(flow_c)), 0)} W where {figure(known(room.total_w), 0)} W are lost, and would overheat the room or return very cool water.",
            "Lower the flow for the rest of the house, or give the floor a mixing valve of its own, a slower flow, or wider spacing.",
            COMMON_PRACTICE,
        )
    ]
