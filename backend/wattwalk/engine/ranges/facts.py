"""What the figures of a house hang on: each fact once, with what it does to rooms, outputs and load.

Everything is linear in the facts, so an assessment's own terms say what each of them does: a surface's loss goes with the U-value of its
construction, a room's air with the air rate of the house, an output with what is known of the emitter. A fact is counted once however often it
is used: eleven surfaces of one wall move together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import fsum

from wattwalk.survey.building import Emitter, Room, Surface
from wattwalk.survey.constructions import Construction, UnheatedSpace
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HousePart, HouseParts

from ..answers import Assessment, LoadTerm, RoomAssessment, SurfaceLoss
from ..answers.ranges import FactCode, How
from ..answers.unit import LoadCode
from ..fabric.bridges import BY_AGE
from .spreads import Spread, how_built, how_given, is_own_air, spread_of

#: How sizes are known that one drawing, or one pace, gives: all of them are too large or too small together.
ONE_SCALE: Mapping[str, How] = {"plan": "plan", "paced": "paced"}

#: Ways of counting the air that a pressure test moves, and the one that goes by a system's flows.
_BY_TEST, _BY_FLOWS = ("en_12831_2017", "air_permeability"), "mechanical"


@dataclass
class Fact:
    """One fact, and what the whole of it (1 K of a temperature) does: W to each room's loss and output by the room's place, and to the load."""

    code: FactCode
    record: str
    about: str
    title: str
    how: How
    spread: Spread
    element: str = ""
    losses: dict[int, float] = field(default_factory=dict)
    outputs: dict[int, float] = field(default_factory=dict)
    load: float = 0.0

    def add(self, place: int, watts: float, *, in_load: bool = True) -> None:
        """Count what a term in W of a room hangs on this fact."""
        self.losses[place] = self.losses.get(place, 0.0) + watts
        if in_load:
            self.load += watts

    @property
    def counts(self) -> bool:
        """Say whether it moves any figure at all."""
        return abs(self.load) > 1e-6 or any(
            abs(watts) > 1e-6 for watts in (*self.losses.values(), *self.outputs.values())
        )


@dataclass(frozen=True)
class House:
    """What facts are read from: a survey, its record and parts, and what was worked out of it."""

    survey: Survey
    record: SurveyRecord
    parts: HouseParts
    assessed: Assessment


class Facts:
    """The facts of one house, each once, in the order in which they are met."""

    def __init__(self, house: House):
        self._house = house
        self._found: dict[tuple[str, str], Fact] = {}
        self._surfaces: Mapping[str, Surface] = {item.id: item for item in house.survey.of_kind(Surface)}
        self._built: Mapping[str, Construction] = {item.id: item for item in house.survey.of_kind(Construction)}
        self._rooms: Mapping[str, Room] = {item.id: item for item in house.survey.of_kind(Room)}
        self._emitters: Mapping[str, Emitter] = {item.id: item for item in house.survey.of_kind(Emitter)}
        terms = {term.code: term for term in house.assessed.plant.load_terms}
        self._with_neighbours = bool((term := terms.get("neighbours")) and term.counts)
        for place, room in enumerate(house.assessed.rooms):
            self._read(place, room)
        self._of_terms(terms)

    def all(self) -> list[Fact]:
        """Return every fact that moves a figure."""
        return [fact for fact in self._found.values() if fact.counts]

    def _fact(self, code: FactCode, record: str, about: str, title: str, how: How, element: str = "") -> Fact:
        # A construction is one fact whichever way its surfaces use it; of other records the same may say several.
        key = (code, record if code == "u_value" else f"{record}|{about}")
        if key not in self._found:
            self._found[key] = Fact(code, record, about, title, how, spread_of(code, about, how, element), element)
        return self._found[key]

    def _read(self, place: int, room: RoomAssessment) -> None:
        own = self._rooms[room.id]
        part = self._house.parts.of_room(room.id)
        for loss in room.surfaces:
            self._surface(place, loss, part)
        if room.bridges:
            fact = self._fact("bridges", own.key(), "lengths", f"Thermal bridges of {room.name}", "layers")
            fact.add(place, fsum(item.loss_w for item in room.bridges))
        if room.ventilation is not None:
            self._air(own, room.name, part).add(place, room.ventilation.loss_w)
        sized = fsum(loss.loss_w for loss in room.surfaces if loss.other_side not in ("room", "neighbour"))
        air = 0.0 if room.ventilation is None else room.ventilation.loss_w
        self._sizes(own, room.name).add(place, sized + air)
        for output in room.emitters:
            if output.counts and output.output_w is not None:
                self._output(place, self._emitters[output.id], output.words, output.output_w, room.name)

    def _sizes(self, room: Room, name: str) -> Fact:
        """Return the fact that a room's sizes are: its own where it was measured, that of all rooms where one scale or one pace gave them."""
        known_by, house = self._house.record.sizes_known_by, self._house.record
        if known_by is not None and known_by in ONE_SCALE:
            return self._fact("sizes", house.key(), "house", "Sizes of the rooms", ONE_SCALE[known_by])
        return self._fact("sizes", room.key(), known_by or "room", f"Sizes of {name}", "measured")

    def _surface(self, place: int, loss: SurfaceLoss, part: HousePart | None) -> None:
        per_u = loss.net_area_m2 * loss.factor * loss.temperature_difference_k
        in_load = loss.other_side != "neighbour" or self._with_neighbours
        built = self._built[loss.construction]
        look = built.look if built.known_by == "look" else None
        element = "between" if loss.other_side == "room" else loss.element
        about = "between" if loss.other_side == "room" else look or loss.element
        fact = self._fact("u_value", built.key(), about, built.title, how_built(built), element)
        fact.add(place, per_u * loss.u_value_w_m2k, in_load=in_load)
        if loss.bridge_w_m2k and part is not None:
            how: How = "age" if part.thermal_bridges == BY_AGE else "assumed"
            words = "Allowance for thermal bridges"
            fact = self._fact("bridges", part.key, "allowance", words, how)
            fact.add(place, per_u * loss.bridge_w_m2k, in_load=in_load)
        watts = per_u * (loss.u_value_w_m2k + loss.bridge_w_m2k)
        if loss.other_side == "unheated":
            self._space(loss).add(place, watts)
        elif loss.other_side == "neighbour":
            fact = self._fact(
                "neighbour_k", self._house.record.key(), "temperature", "How warm neighbours keep it", "assumed"
            )
            # One kelvin of the neighbours' rooms; where they are as warm as this house they take nothing until they are colder.
            per_k = loss.net_area_m2 * (loss.u_value_w_m2k + loss.bridge_w_m2k) * loss.factor
            fact.add(place, per_k, in_load=in_load)

    def _space(self, loss: SurfaceLoss) -> Fact:
        surface = self._surfaces[loss.id]
        host = self._surfaces.get(surface.opening_in or "", surface)
        described = self._house.survey.find(UnheatedSpace, host.space)
        if described is not None:
            return self._fact("space", described.key(), "balance", described.title, "layers")
        kind = (
            host.kind.field("unheated_space").choice_label(host.unheated_space)
            if host.unheated_space
            else "Unheated space"
        )
        fact = self._found.get(("space", f"{host.unheated_space}|factor"))
        if fact is None:
            fact = Fact("space", host.key(), "factor", kind, "assumed", spread_of("space", "factor", "assumed"))
            self._found["space", f"{host.unheated_space}|factor"] = fact
        return fact

    def _air(self, room: Room, name: str, part: HousePart | None) -> Fact:
        if is_own_air(room):
            return self._fact("air", room.key(), "room", f"Air changes of {name}", "assumed")
        method = self._house.record.effective("ventilation_method")
        main = self._house.parts.main
        # A part that nobody tested by itself has the house's own test, and its air moves with the house's.
        part = part if part is not None and part.is_tested_alone else main
        how: How = "age"
        if method == _BY_FLOWS:
            how = "maker"
        elif method in _BY_TEST and part.tested_m3_hm2 is not None:
            how = "measured"
        return self._fact(
            "air", part.key, "house", "Air changes of the house" if part is main else f"Air changes of {part.name}", how
        )

    def _output(self, place: int, emitter: Emitter, words: str, output_w: float, room: str) -> None:
        about, how = how_given(emitter)
        if about == "table":
            # Radiators of one type are of one make more often than not, so they move together.
            key = ("output", f"{emitter.type}|table")
            if key not in self._found:
                label = emitter.kind.field("type").choice_label(emitter.type) if emitter.type else words
                self._found[key] = Fact("output", emitter.key(), "table", label, how, spread_of("output", about, how))
            fact = self._found[key]
        else:
            fact = self._fact("output", emitter.key(), about, f"{words} in {room}", how)
        fact.outputs[place] = fact.outputs.get(place, 0.0) + output_w

    def _of_terms(self, terms: Mapping[LoadCode, LoadTerm]) -> None:
        """Count the terms of the unit's load that no room has."""
        asked: Iterable[tuple[LoadCode, FactCode, str]] = (
            ("pipes", "pipes", "runs"),
            ("floors", "heat_floors", "down"),
            ("hot_water", "hot_water", "need"),
        )
        for term_code, code, about in asked:
            term = terms.get(term_code)
            if term is not None and term.counts and term.watts:
                self._fact(code, self._house.record.key(), about, term.label, "assumed").load += term.watts
