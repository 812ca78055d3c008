"""The shapes of what makes up a loss: climate, constructions, surfaces, spaces, air.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.
"""

from __future__ import annotations

from dataclasses import dataclass

from .said import Step


@dataclass(frozen=True)
class Month:
    """One month outside: its mean, and its degree days to a base of 15.5 °C."""

    name: str
    mean_c: float
    degree_days_kd: float


@dataclass(frozen=True)
class Climate:
    """The design outside temperature and the annual mean, and where they come from.

    ``percentiles_c`` has the station's design cold at 99 % and 99.6 %, carried up to the house, when a station rules.
    ``warmer_k`` is by how much the year outside is warmer than the region's table, K: the yearly mean and every month are moved by it.
    ``degree_days_kd`` are those of these monthly means, ``long_term_degree_days_kd`` an older mean of 20 years.
    """

    outside_c: float
    annual_mean_c: float
    words: str
    steps: tuple[Step, ...]
    region: int = 0
    region_name: str = ""
    percentiles_c: tuple[float, float] | None = None
    months: tuple[Month, ...] = ()
    degree_days_kd: float | None = None
    long_term_degree_days_kd: float | None = None
    warmer_k: float = 0.0


@dataclass(frozen=True)
class PartOfHouse:
    """One part of a house that has several: its name, its age band and what hangs on it in words, and the ids of its rooms.

    The main house has an empty id.
    """

    id: str
    name: str
    age_band: str | None
    words: str
    rooms: tuple[str, ...]


@dataclass(frozen=True)
class ConstructionUse:
    """One way that surfaces use a construction, in words, and the U-value that they count with."""

    words: str
    u_value_w_m2k: float


@dataclass(frozen=True)
class ConstructionValue:
    """The U-value of one construction and how it is known.

    ``uses`` are the ways that surfaces use it, and the highest of their values stands first; without one nothing of the
    house is made of it, and the value is that of its most usual use.
    """

    id: str
    name: str
    element: str
    u_value_w_m2k: float | None
    words: str
    source: str
    steps: tuple[Step, ...]
    uses: tuple[ConstructionUse, ...] = ()


@dataclass(frozen=True)
class SurfaceLoss:
    """Heat that one surface carries out of a room (negative: into it) at design.

    ``loss_w = net_area_m2 × (u_value_w_m2k + bridge_w_m2k) × factor × temperature_difference_k``.
    """

    id: str
    room: str
    words: str
    element: str
    other_side: str
    construction: str
    gross_area_m2: float
    openings_m2: float
    net_area_m2: float
    u_value_w_m2k: float
    bridge_w_m2k: float
    factor: float
    temperature_difference_k: float
    loss_w: float
    source: str


@dataclass(frozen=True)
class BridgeLoss:
    """Heat in W along a line: ``loss_w = length_m × psi_w_mk × temperature_difference_k``."""

    words: str
    length_m: float
    psi_w_mk: float
    temperature_difference_k: float
    loss_w: float
    source: str


@dataclass(frozen=True)
class SpaceBalance:
    """An unheated space: its temperature at design, and its conductances to the rooms and to outside in W/K."""

    id: str
    name: str
    temperature_c: float | None
    inside_w_k: float
    outside_w_k: float | None
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class ColdFace:
    """The inside face of a surface in a room that is damp or kept cool: a caution, not a verdict.

    The two limits are the room's relative humidity in % at which mould can grow on it and water settles on it.
    """

    room: str
    surface: str
    words: str
    factor: float
    face_c: float
    mould_limit_pct: float
    condensation_limit_pct: float
    step: Step


@dataclass(frozen=True)
class VentilationLoss:
    """Heat carried out of a room by air: ``loss_w = heat_wh_m3k × air_changes_h × volume_m3 × difference``."""

    air_changes_h: float
    volume_m3: float
    heat_wh_m3k: float
    temperature_difference_k: float
    loss_w: float
    words: str
    source: str


@dataclass(frozen=True)
class VentilationMethod:
    """What one way of counting the air gives for the whole house, so that the choice between them is seen.

    ``house_w`` adds up the rooms; ``at_once_w`` is what they lose at the same time, where the method tells it apart.
    Both are None while something is missing. ``so_far`` stands beside them while a room does not close: its envelope is not whole.
    """

    method: str
    label: str
    is_used: bool
    house_w: float | None
    at_once_w: float | None
    air_changes_h: float | None
    words: str
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str
    so_far: str = ""
