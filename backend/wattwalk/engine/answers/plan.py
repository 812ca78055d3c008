"""The plans of the storeys, as they follow from what was said of the rooms."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from .said import Finding


class PlanState(StrEnum):
    """What is known of the layout of a storey."""

    ONE = "one"
    SEVERAL = "several"
    NONE = "none"
    NOT_ENOUGH = "not_enough"
    NOT_SOLVED = "not_solved"


@dataclass(frozen=True)
class PlanLine:
    """A straight piece of a room's outline on the page, m, with what is beyond it: as a wall says it, or ``not_said``."""

    from_x_m: float
    from_y_m: float
    to_x_m: float
    to_y_m: float
    beyond: str


@dataclass(frozen=True)
class PlanOpening:
    """A window or door, drawn in the middle of what is left of its wall, m; where along it the opening lies is not said."""

    id: str
    element: str
    from_x_m: float
    from_y_m: float
    to_x_m: float
    to_y_m: float


@dataclass(frozen=True)
class PlanRoom:
    """A room on the page: the left top corner of its box, how far that goes right and down, m, and its outline.

    ``faces`` says where its front side looks on the page: ``front`` is up.  ``group`` counts the groups of rooms that are joined by walls;
    how two groups lie to each other is not known.
    """

    id: str
    name: str
    faces: str
    group: int
    x_m: float
    y_m: float
    width_m: float
    height_m: float
    outline: tuple[tuple[float, float], ...]
    lines: tuple[PlanLine, ...]
    openings: tuple[PlanOpening, ...]


@dataclass(frozen=True)
class PlanAsk:
    """What to answer so that the plan is settled: a field of a record, in words; ``beside`` is a room whose turn, as drawn, is stored with it."""

    record: str
    field: str | None
    words: str
    beside: str | None = None


@dataclass(frozen=True)
class StoreyPlan:
    """One storey: what is known of its layout, the rooms as they are drawn, and those that cannot be."""

    storey: str
    label: str
    state: PlanState
    words: str
    rooms: tuple[PlanRoom, ...]
    #: Rooms without length and width.
    unmeasured: tuple[str, ...]
    asks: tuple[PlanAsk, ...]
    #: Where north lies on the page, degrees clockwise from up, or None where that is not known.
    north_deg: float | None


@dataclass(frozen=True)
class Plans:
    """Every storey from the lowest up, and what was found of all of them."""

    storeys: tuple[StoreyPlan, ...]
    findings: tuple[Finding, ...]
