"""Which unit stands at a place: the one rule that every check, drawing and line asks.

At the first place written down stands the unit that the design has chosen; while it has chosen none, the one that the place names.
At any other place stands the one that the place names, or else the chosen one. Its twin on the phone is ``pwa/src/domain/standing.ts``.
"""

from __future__ import annotations

from .document import Survey
from .site import Base, OutdoorPosition
from .unit import Unit
from .works import Design

#: Stands for the unit while none is chosen: nothing is known of it, so what has a default counts by that one.
NO_UNIT = Unit(id="no-unit")
NOT_CHOSEN = "no unit chosen yet"


def chosen_unit(survey: Survey) -> Unit | None:
    """Return the unit that the design has chosen, or None while it names none that is in the survey."""
    design = survey.single(Design)
    return None if design is None else survey.find(Unit, design.unit)


def unit_words(survey: Survey) -> str | None:
    """Return what the unit of this survey is called: the chosen one, else what the design says of it in words, else the first place's own."""
    chosen, design = chosen_unit(survey), survey.single(Design)
    if chosen is not None:
        return chosen.name
    words = None if design is None else design.unit_name
    return words or unit_at(survey, first_place(survey)).name


def unit_at(survey: Survey, position: OutdoorPosition | None) -> Unit:
    """Return the unit that stands at a place, or ``NO_UNIT``; without a place, the chosen one."""
    chosen = chosen_unit(survey)
    own = None if position is None else survey.find(Unit, position.unit)
    is_first = position is None or position.id == survey.of_kind(OutdoorPosition)[0].id
    return (chosen or own if is_first else own or chosen) or NO_UNIT


def unit_on(survey: Survey, base: Base) -> Unit:
    """Return the unit that a base is for, or ``NO_UNIT`` while it belongs to no place."""
    position = survey.find(OutdoorPosition, base.position)
    return NO_UNIT if position is None else unit_at(survey, position)


def first_place(survey: Survey) -> OutdoorPosition | None:
    """Return the place that heating water and electricity are worked out for: the first one written down."""
    places = survey.of_kind(OutdoorPosition)
    return places[0] if places else None


def missing_of(unit: Unit, *names: str) -> list[str]:
    """Return the labels of what is not known of a unit, or that none is chosen yet."""
    if unit is NO_UNIT:
        return [NOT_CHOSEN]
    return [f"the unit's {unit.kind.field(name).label.lower()}" for name in names if getattr(unit, name) is None]
