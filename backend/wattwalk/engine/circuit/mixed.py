"""Mixed circuits: what the unit's water gives to them, the mixing valve that rules it, and the pump behind it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum, sqrt

from wattwalk.survey.circuit import MixedCircuit
from wattwalk.survey.known import known

from ..answers import Finding, MixedWater, Severity, Step
from ..answers.citing import COMMON_PRACTICE, DECLARED, cite, finding
from ..answers.rounding import TEMPERATURE, WATTS, figure, rounded, rounded_if_any
from ..fluids.pipe_flow import kv_drop
from ..season import HeatCurve, points_to_set, to_set
from .flow import Plant

#: Ordinary sizes of mixing valves, Kvs in m³/h: preferred numbers R5 of ISO 3, from memory.
KVS_M3_H = (0.4, 0.63, 1.0, 1.6, 2.5, 4.0, 6.3, 10.0, 16.0, 25.0)
#: A mixing valve takes at least this, kPa, and at least as much as the pipes up to it, so that it rules half of what it is to rule:
#: common practice, no source.
LEAST_VALVE_KPA = 3.0
#: Below this authority a valve hardly rules until it is nearly shut: common practice, no source.
LEAST_AUTHORITY = 0.3

KV_OF_MIXING = cite("vdi_vde_2173_2007", "Kvs and authority of a control valve", "from memory")


def mixed_return(returns: Iterable[tuple[float, float | None]]) -> float | None:
    """Return what returns mix to, °C; None where nothing flows.

    Parameters
    ----------
    returns : iterable of (float, float or None)
        Each flow in l/min with its temperature in °C; one that does not flow has none.

    References
    ----------
    Heat kept in mixing, ``θ = Σ q θ / Σ q``.

    Examples
    --------
    >>> mixed_return([(6, 40), (2, 32), (0, None)])
    38.0
    """
    flowing = [(flow, temperature) for flow, temperature in returns if flow > 0 and temperature is not None]
    whole = fsum(flow for flow, _ in flowing)
    return fsum(flow * temperature for flow, temperature in flowing) / whole if whole > 0 else None


def primary_flow(flow: float, mixed_c: float, return_c: float, unit_c: float) -> float:
    """Return the unit's water in l/min that a mixed circuit takes.

    Parameters
    ----------
    flow : float
        Water of the circuit, l/min.
    mixed_c, return_c, unit_c : float
        Flow and return of the circuit, and flow of the unit, °C; the unit's is the highest.

    References
    ----------
    Heat kept in mixing, ``q_p = q (θm − θr)/(θu − θr)``.

    Examples
    --------
    >>> primary_flow(12, 35, 30, 50)
    3.0
    """
    return flow if unit_c <= mixed_c else flow * (mixed_c - return_c) / (unit_c - return_c)


def largest_kv(flow: float, pipes_kpa: float) -> float:
    """Return the largest Kv in m³/h at which a mixing valve still takes as much as the pipes up to it, and 3 kPa at least.

    Parameters
    ----------
    flow : float
        Water through the valve when it is fully open, l/min.
    pipes_kpa : float
        Resistance of the pipes whose flow it rules, kPa.

    References
    ----------
    ``Kv = q/√Δp``, q in m³/h and Δp in bar (VDI/VDE 2173, from memory); authority ``a = Δp_v/(Δp_v + Δp_pipes)`` of a half.

    Examples
    --------
    >>> round(largest_kv(10, 4), 2)
    3.0
    """
    return flow * 0.06 / sqrt(max(LEAST_VALVE_KPA, pipes_kpa) / 100)


def ordinary_kvs(largest_m3_h: float) -> float:
    """Return the largest ordinary Kvs in m³/h that is no larger than this; the smallest of all where none is.

    Parameters
    ----------
    largest_m3_h : float
        m³/h.

    Examples
    --------
    >>> ordinary_kvs(3.0)
    2.5
    """
    return max((size for size in KVS_M3_H if size <= largest_m3_h + 1e-9), default=KVS_M3_H[0])


def mixed_water(
    record: MixedCircuit,
    plant: Plant,
    drawn: Sequence[tuple[float | None, float | None, float | None]],
    hardest_kpa: float | None,
    line: HeatCurve | None,
) -> tuple[MixedWater, list[Finding]]:
    """Return what is worked out of a mixed circuit, and the findings.

    Parameters
    ----------
    record : MixedCircuit
        The circuit as it is written down.
    plant : Plant
        What the unit's side is worked out from.
    drawn : sequence of (float or None, float or None, float or None)
        Heat in W, flow in l/min and return in °C of each of its emitters.
    hardest_kpa : float or None
        The hardest of its own ways behind its pipes, kPa.
    line : HeatCurve or None
        Its compensation line, by the emitters that it feeds.
    """
    missing = [] if drawn else ["the emitters that it feeds"]
    if record.flow_temperature_c is None:
        missing.append("its flow temperature")
    flows = [(known(flow), back) for _, flow, back in drawn if flow is not None]
    if len(flows) < len(drawn):
        missing.append("the water of each of its emitters")
    asked_c = record.flow_temperature_c
    own_c = None if asked_c is None else min(asked_c, plant.flow_c)
    findings = _too_hot(record, plant)
    flow = fsum([item for item, _ in flows]) if drawn and not missing else None
    return_c = mixed_return(flows) if flow else None
    primary = valve_kpa = authority = pump = kv_most = kvs = None
    steps: list[Step] = []
    if flow and return_c is not None and own_c is not None:
        primary = primary_flow(flow, own_c, return_c, plant.flow_c)
        if record.primary_drop_kpa is None and record.valve_kvs_m3_h is None:
            missing.append("the resistance of the pipes up to its mixing valve")
        pipes = record.primary_drop_kpa
        kv_most = largest_kv(flow, pipes or 0.0)
        kvs = record.valve_kvs_m3_h or ordinary_kvs(kv_most)
        valve_kpa = kv_drop(flow, kvs, plant.density)
        if pipes is not None:
            authority = valve_kpa / (valve_kpa + pipes)
        if hardest_kpa is None:
            missing.append("the resistance of its emitters")
        else:
            pump = valve_kpa + hardest_kpa + (record.pipes_drop_kpa or 0.0)
            if record.pipes_drop_kpa is None:
                missing.append("the resistance of its own pipes")
        steps = _steps(record, plant, (flow, own_c, return_c, primary), (kv_most, kvs, valve_kpa, authority))
        findings += _valve_and_pump(record, authority, kvs, pump, flow)
    result = MixedWater(
        id=record.id,
        name=record.title,
        flow_c=rounded_if_any(own_c, TEMPERATURE),
        return_c=rounded_if_any(return_c, TEMPERATURE),
        heat_w=rounded(fsum([known(heat) for heat, _, _ in drawn]), WATTS) if flow is not None else None,
        flow_l_min=rounded_if_any(flow, 2),
        primary_l_min=0.0 if flow == 0 else rounded_if_any(primary, 2),
        emitters=len(drawn),
        kv_most_m3_h=rounded_if_any(kv_most, 2),
        kvs_m3_h=rounded_if_any(kvs, 2),
        valve_kpa=rounded_if_any(valve_kpa, 2),
        authority=rounded_if_any(authority, 2),
        pump_kpa=rounded_if_any(pump, 1),
        words=_words(record, plant, own_c, return_c, primary) + (f" {to_set(line)}" if line is not None else ""),
        line=points_to_set(line) if line is not None else None,
        missing=tuple(missing),
        steps=tuple(steps),
    )
    return result, findings


def _words(
    record: MixedCircuit, plant: Plant, own_c: float | None, return_c: float | None, primary: float | None
) -> str:
    if own_c is None or return_c is None or primary is None:
        return "Not known yet."
    if plant.flow_c <= own_c:
        return f"As warm as the unit’s {figure(plant.flow_c, 1)} °C: its valve stays fully open."
    return f"Mixed down from {figure(plant.flow_c, 1)} to {figure(own_c, 1)} °C with its own return of {figure(return_c, 1)} °C; {figure(primary, 1)} l/min come from the unit."


def _too_hot(record: MixedCircuit, plant: Plant) -> list[Finding]:
    asked = record.flow_temperature_c
    if asked is None or asked <= plant.flow_c + 1e-9:
        return []
    return [
        finding(
            Severity.STOP,
            "mixed_hotter_than_unit",
            record.key(),
            "flow_temperature_c",
            f"{record.title} is to get {figure(asked, 1)} °C; the unit gives {figure(plant.flow_c, 1)} °C at the design cold, and mixing only cools.",
            "Take the unit's flow temperature as the highest of all circuits, or lower this one.",
            COMMON_PRACTICE,
        )
    ]


def _valve_and_pump(
    record: MixedCircuit, authority: float | None, kvs: float, pump: float | None, flow: float
) -> list[Finding]:
    found = []
    if authority is not None and authority < LEAST_AUTHORITY - 1e-9:
        found.append(
            finding(
                Severity.CHECK,
                "mixing_valve_authority",
                record.key(),
                "valve_kvs_m3_h",
                f"The mixing valve of {record.title}, Kvs {figure(kvs)}, takes {figure(authority * 100, 0)} % of the pressure that it is to rule; below {figure(LEAST_AUTHORITY * 100, 0)} % it hardly rules until it is nearly shut.",
                "A valve with a smaller Kvs, or wider pipes up to it.",
                COMMON_PRACTICE,
            )
        )
    if pump is not None and record.pump_kpa is not None and record.pump_kpa < pump - 1e-9:
        found.append(
            finding(
                Severity.CHECK,
                "mixing_pump_weak",
                record.key(),
                "pump_kpa",
                f"The pump of {record.title} has {figure(record.pump_kpa, 1)} kPa at {figure(flow, 1)} l/min; {figure(pump, 1)} kPa are needed.",
                "A stronger pump, a larger mixing valve, or more and shorter loops.",
                DECLARED,
            )
        )
    return found


def _steps(
    record: MixedCircuit,
    plant: Plant,
    water: tuple[float, float, float, float],
    valve: tuple[float, float, float, float | None],
) -> list[Step]:
    flow, own_c, return_c, primary = water
    kv_most, kvs, valve_kpa, authority = valve
    steps = [
        Step(
            f"{record.title}: the unit's water",
            "q (θm − θr)/(θu − θr)",
            f"{figure(flow, 2)} × ({figure(own_c, 1)} − {figure(return_c, 1)})/({figure(plant.flow_c, 1)} − {figure(return_c, 1)})",
            rounded(primary, 2),
            "l/min",
            COMMON_PRACTICE,
        ),
        Step(
            f"{record.title}: largest Kv of its valve",
            "q/√Δp",
            f"{figure(flow, 2)} l/min, {figure(max(LEAST_VALVE_KPA, record.primary_drop_kpa or 0.0), 1)} kPa",
            rounded(kv_most, 2),
            "m³/h",
            KV_OF_MIXING,
        ),
        Step(
            f"{record.title}: what its valve takes",
            "(q/Kvs)² · ρ",
            f"{figure(flow, 2)} l/min, Kvs {figure(kvs)}",
            rounded(valve_kpa, 2),
            "kPa",
            KV_OF_MIXING,
        ),
    ]
    if authority is not None:
        steps.append(
            Step(
                f"{record.title}: authority of its valve",
                "Δp_v/(Δp_v + Δp_pipes)",
                f"{figure(valve_kpa, 2)}/({figure(valve_kpa, 2)} + {figure(record.primary_drop_kpa or 0.0, 2)})",
                rounded(authority, 2),
                "",
                KV_OF_MIXING,
            )
        )
    return steps
