"""How far each kind of fact may lie from what was written down, by how it is known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from wattwalk.catalogue import CatalogueError, Row, table
from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.constructions import DECLARED, LAYERS, PARTS, Construction

from ..answers.citing import cite_row
from ..answers.ranges import FactCode, How
from ..fabric.by_look import LAYERED_LOOKS

#: The walls whose spread was measured, and everything else.
WALLS, SPREADS = "spreads_bre_walls_2014", "spreads_2026"

#: Half of a range that holds 90 of 100 cases of a normal distribution is so many standard deviations wide.
HALF_OF_90 = 1.6448536269514722

#: What an element counts as in the table of spreads.
_AS = {"partition": "wall", "rooflight": "window", "ceiling": "roof"}


@dataclass(frozen=True)
class Spread:
    """Half of a fact's 90 % range as a share (in K for a temperature), what is left of it once it is known as well as it can be on site, and the source."""

    half: float
    better: float
    source: str


@cache
def spread_of(fact: FactCode, about: str, how: How, element: str = "") -> Spread:
    """Return how far a fact may lie from what was written down.

    Parameters
    ----------
    fact : str
        What it is about: ``u_value``, ``air``, ``output``, …
    about : str
        The look, or what else tells two of them apart; where the table has no row for it, that of its ``element`` holds.
    how : str
        How it is known.

    Raises
    ------
    CatalogueError
        When the table has no row for it: nothing is taken as sure because nobody wrote down how sure it is.

    Examples
    --------
    >>> spread_of("output", "table", "look").half
    0.08
    """
    row = _row(fact, about, how) or _row(fact, _AS.get(element, element), how)
    if row is None:
        raise CatalogueError(f"{SPREADS} has no row for {fact!r} of {about!r} known by {how!r}")
    unit = "_k" if fact == "neighbour_k" else ""
    return Spread(row.number(f"spread{unit}"), row.number(f"better{unit}"), cite_row(row))


def _row(fact: str, about: str, how: str) -> Row | None:
    wanted = {"fact": fact, "about": about, "how": how}
    return table(WALLS).find(**wanted) or table(SPREADS).find(**wanted)


def how_built(item: Construction) -> How:
    """Return how the U-value of a construction is known: a look that hangs on the house's age is known by age until something of it was measured."""
    if item.known_by == DECLARED:
        return "maker"
    if item.known_by in (LAYERS, PARTS):
        return "layers"
    hangs_on_age = item.known_by == "look" and item.element not in ("window", "rooflight", "door")
    is_measured = item.insulation_mm is not None or item.thickness_mm is not None
    if hangs_on_age and item.look not in LAYERED_LOOKS and not is_measured:
        return "age"
    return "look"


def how_given(item: Emitter) -> tuple[str, How]:
    """Return what the table of spreads calls an emitter's output, and how it is known."""
    if item.type == "underfloor":
        if item.declared_w_m2k is not None:
            return "papers", "maker"
        is_known = item.pipe_spacing_mm is not None and item.covering is not None
        return "floor", "measured" if is_known else "look"
    return ("papers", "maker") if item.rated_output_w is not None else ("table", "look")


def is_own_air(room: Room) -> bool:
    """Say whether the air changes of a room were written down for it alone."""
    return room.air_changes_h is not None
