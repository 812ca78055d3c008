"""The shapes of what is said of rooms: their loss, their emitters, the house as their sum.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.
"""

from __future__ import annotations

from dataclasses import dataclass

from .losses import BridgeLoss, SurfaceLoss, VentilationLoss
from .said import Step, Verdict


@dataclass(frozen=True)
class FloorHeating:
    """A heated floor at the design flow: its surface, what it loses downward, its loops.

    ``downward_w_m2`` only sizes the water: the room's own floor surface already counts the loss.  The flow and the
    pressure are those of one loop, for the ``needed_w_m2`` of its output that the room asks for; ``heat_w`` is what the water
    of all loops carries for it, downward too, and ``return_c`` what it comes back at.
    """

    coefficient_w_m2k: float
    output_w_m2: float
    needed_w_m2: float
    surface_c: float
    limit_c: float
    limit_w_m2: float
    is_limited: bool
    downward_w_m2: float
    loops: int
    loop_m: float
    flow_l_min: float
    pressure_kpa: float
    is_laminar: bool
    words: str
    heat_w: float = 0.0
    return_c: float | None = None


@dataclass(frozen=True)
class EmitterOutput:
    """What one emitter gives at the design flow temperature, and how that was worked out.

    ``counts`` is False for an emitter that is to be taken out.
    """

    id: str
    type: str
    words: str
    counts: bool
    rated_w: float | None
    exponent: float | None
    driving_k: float | None
    output_w: float | None
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str
    floor: FloorHeating | None = None


@dataclass(frozen=True)
class Replacement:
    """A panel radiator that would make a short room warm at the design flow, in the place of one of its emitters."""

    emitter: str
    type: str
    words: str
    height_mm: float
    length_mm: float
    rated_w: float
    output_w: float
    place: str
    source: str


@dataclass(frozen=True)
class RoomHole:
    """One thing that keeps a room from closing, by its code (``survey/sides.py``).

    ``side`` is None for the walls of a room that is no box, ``surface`` names one that is there and cannot be worked out; ``left`` is what
    is not said: m² of a side, m of such walls.
    """

    code: str
    side: str | None
    surface: str | None
    left: float | None
    words: str


@dataclass(frozen=True)
class RoomAssessment:
    """One room: what it loses, what its emitters give, the lowest flow temperature that serves it.

    While it does not close, ``holes`` say where, ``so_far`` stands beside every figure, and there is no verdict.
    ``size_steps`` are the sums behind the floor, the sides and the volume of a room that is no plain box.
    """

    id: str
    name: str
    storey: str
    inside_c: float | None
    inside_words: str
    floor_area_m2: float | None
    volume_m3: float | None
    surfaces: tuple[SurfaceLoss, ...]
    ventilation: VentilationLoss | None
    fabric_w: float | None
    total_w: float | None
    emitters: tuple[EmitterOutput, ...]
    output_w: float | None
    margin_w: float | None
    verdict: Verdict
    lowest_flow_c: float | None
    missing: tuple[str, ...]
    replacements: tuple[Replacement, ...] = ()
    bridges: tuple[BridgeLoss, ...] = ()
    holes: tuple[RoomHole, ...] = ()
    so_far: str = ""
    size_steps: tuple[Step, ...] = ()


@dataclass(frozen=True)
class BuildingLoss:
    """The house as a whole.  Inter-room flows cancel: ``between_rooms_w`` shows that they do.

    ``total_w`` is None while any room cannot be worked out; ``known_so_far_w`` then adds up the rest.
    ``unit_size_w`` is the load the unit is sized for, the sum of its terms. ``so_far`` stands beside all of them while a room does not close.
    """

    total_w: float | None
    known_so_far_w: float
    outside_w: float
    ground_w: float
    unheated_w: float
    neighbour_w: float
    between_rooms_w: float
    ventilation_w: float
    unit_size_w: float | None
    floor_area_m2: float
    loss_w_m2: float | None
    coefficient_w_k: float | None
    rooms_missing: tuple[str, ...]
    so_far: str = ""
