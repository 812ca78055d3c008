"""What a unit's refrigerant asks of its place, by its safety class: A3 burns easily, A2L burns but is hard to light, A1 does not burn."""

from __future__ import annotations

from wattwalk.catalogue import Row, table
from wattwalk.survey.unit import A1, A2L, A3, OTHER, Unit

from ..answers.citing import COMMON_PRACTICE, cite_row
from ..answers.rounding import figure

REFRIGERANTS = "refrigerants_en_378_1_2016"

#: What is said of a refrigerant of its class where no figures of its own are held.
_OF_CLASS = {
    A3: "The refrigerant is taken as heavier than air and easy to light, as propane is, until its safety class is known.",
    A2L: "A refrigerant of class A2L is heavier than air, sinks and gathers in hollows; it burns, though it is harder to light than propane.",
}


def _row_of(unit: Unit) -> Row | None:
    return table(REFRIGERANTS).find(refrigerant=unit.effective("refrigerant"))


def classes() -> dict[str, str]:
    """Return the safety class of every refrigerant that has one of its own."""
    return {row.word("refrigerant"): row.word("safety_class") for row in table(REFRIGERANTS).rows}


def safety_class(unit: Unit) -> str:
    """Return the safety class by which a unit's place is judged: ``a3``, ``a2l`` or ``a1``; the strictest while it is not known."""
    row = _row_of(unit)
    return (unit.safety_class or A3) if row is None else row.word("safety_class")


def is_class_known(unit: Unit) -> bool:
    """Say whether the safety class is known, rather than taken at its strictest."""
    return unit.effective("refrigerant") != OTHER or unit.safety_class is not None


def burns(unit: Unit) -> bool:
    """Say whether a unit's refrigerant can burn, so that a zone is kept around it."""
    return safety_class(unit) != A1


def short_name(unit: Unit) -> str:
    """Return what a message calls the refrigerant."""
    row = _row_of(unit)
    return "its refrigerant" if row is None else row.word("short")


def hazard_words(unit: Unit) -> str:
    """Return how the refrigerant spreads and burns, for a finding."""
    row = _row_of(unit)
    limit, times = (
        (None, None) if row is None else (row.number_if_any("lower_limit_pct"), row.number_if_any("times_air"))
    )
    if row is None or limit is None or times is None:
        return _OF_CLASS[safety_class(unit)]
    name = row.word("short")
    heavier = "one and a half" if times == 1.5 else figure(times, 1)
    lit = "" if safety_class(unit) == A3 else ", and is harder to light than propane"
    return f"{name[:1].upper()}{name[1:]} is about {heavier} times as heavy as air, sinks and spreads, and burns from {figure(limit, 1)} % by volume{lit}."


def hazard_source(unit: Unit) -> str:
    """Return where these words come from."""
    row = _row_of(unit)
    return COMMON_PRACTICE if row is None else cite_row(row)
