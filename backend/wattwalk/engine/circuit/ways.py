"""The ways of the water behind the plant and behind each mixing valve, and the valves that stand in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wattwalk.survey.circuit import Circuit, PresetValve
from wattwalk.survey.document import Survey
from wattwalk.survey.runs import run_title

from ..answers import RoomAssessment
from ..answers.rounding import listed, rounded
from ..emitters.work import EmitterWork
from ..rooms import HeatedRoom
from .flow import RunWork


def circuit_of(work: EmitterWork) -> str:
    """Return the id of the mixed circuit that feeds an emitter, nothing where it gets the unit's water."""
    return "" if work.mixed is None else work.emitter.mixed_circuit or ""


@dataclass(frozen=True)
class Valve:
    """A valve by its maker's table: its name, and each Kv in m³/h with its setting, the smallest first."""

    name: str
    settings: tuple[tuple[float, str], ...]

    def setting_for(self, kv_m3_h: float) -> str | None:
        """Return the lowest setting that lets through at least this Kv in m³/h; None when none does."""
        return next((setting for kv, setting in self.settings if kv >= kv_m3_h - 1e-9), None)


@dataclass(frozen=True)
class Ways:
    """The ways behind the plant and behind each mixing valve: the drop of the hardest of each circuit, kPa, and by each emitter's id that of its own without its valve.

    The circuit of the unit's own water has no name; ``missing`` says what its ways still need.
    """

    hardest_kpa: dict[str, float]
    own_kpa: dict[str, float]
    missing: tuple[str, ...]

    def left_kpa(self, emitter: str, circuit: str) -> float | None:
        """Return the pressure that the hardest way of its circuit leaves to this emitter's valve, kPa."""
        own, hardest = self.own_kpa.get(emitter), self.hardest_kpa.get(circuit)
        return None if own is None or hardest is None else rounded(max(0.0, hardest - own), 2)


def find_ways(works: Sequence[RunWork], rooms: Sequence[tuple[HeatedRoom, RoomAssessment]]) -> Ways:
    """Return the ways behind the plant and the mixing valves; a cylinder is charged at other times and is none of them."""
    branches = [item for item in works if item.run.purpose == "heating"]
    missing = [f"the drop of {run_title(item.run)}" for item in branches if item.flow.drop_kpa is None]
    drops: dict[str, list[float]] = {"": [item.flow.drop_kpa for item in branches if item.flow.drop_kpa is not None]}
    own: dict[str, float] = {}
    unknown = {""} if missing else set()
    for room, result in rooms:
        feeding = [item for item in branches if item.run.serves in ("house", result.storey)]
        for work, output in zip(room.emitters, result.emitters, strict=True):
            if not work.counts:
                continue
            circuit = circuit_of(work)
            if output.floor is not None:
                own[output.id] = output.floor.pressure_kpa
                drops.setdefault(circuit, []).append(output.floor.pressure_kpa)
            elif circuit:
                unknown.add(circuit)
            elif work.emitter.type != "underfloor":
                if len(feeding) == 1:
                    run = feeding[0]
                    own[output.id] = (run.flow.drop_kpa or 0.0) - (run.run.end_drop_kpa or 0.0)
                else:
                    unknown.add("")
                    missing.append(
                        f"which of {listed([run_title(item.run) for item in feeding])} feeds {result.name}"
                        if feeding
                        else f"the heating run that feeds {result.name}"
                    )
    hardest = {circuit: max(found) for circuit, found in drops.items() if found and circuit not in unknown}
    return Ways(hardest, own, tuple(dict.fromkeys(missing)))


def valves_of(survey: Survey, circuit: Circuit, rooms: Sequence[tuple[HeatedRoom, RoomAssessment]]) -> dict[str, Valve]:
    """Return each emitter's valve by its id, where one with a table is named: the emitter's own, else the circuit's for what is no floor."""
    tables = {item.id: _valve(item) for item in survey.of_kind(PresetValve)}
    if not tables:
        return {}
    found = {}
    for room, _ in rooms:
        for work in room.emitters:
            named = work.emitter.preset_valve or (None if work.is_floor else circuit.preset_valve)
            valve = tables.get(named or "")
            if valve is not None and valve.settings:
                found[work.emitter.id] = valve
    return found


def _valve(record: PresetValve) -> Valve:
    rows = [(row.get("kv_m3_h"), row.get("setting")) for row in record.settings or []]
    return Valve(record.title, tuple(sorted((kv, setting) for kv, setting in rows if kv is not None and setting)))
