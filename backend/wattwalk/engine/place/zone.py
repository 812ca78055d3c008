"""The protective zone as a polygon: usual shapes by how the unit stands, or the maker's own corners."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from wattwalk.catalogue import table
from wattwalk.survey.site import OutdoorPosition

from ..answers.citing import DECLARED, cite_row

SHAPES = "protective_zones_generic_2026"
EDGE_TOLERANCE_M = 1e-9
#: A polygon smaller than this is a line, m².
SMALLEST_M2 = 1e-6

Corner = tuple[float, float]


def area_m2(corners: Sequence[Corner]) -> float:
    """Return the area inside a polygon, m²."""
    return abs(fsum(corners[place - 1][0] * y - x * corners[place - 1][1] for place, (x, y) in enumerate(corners))) / 2


def holds(corners: Sequence[Corner], along_m: float, out_m: float) -> bool:
    """Say whether a point lies in a polygon; its edges belong to it."""
    inside = False
    for place, (x2, y2) in enumerate(corners):
        x1, y1 = corners[place - 1]
        across = (x2 - x1) * (out_m - y1) - (y2 - y1) * (along_m - x1)
        length = max(abs(x2 - x1), abs(y2 - y1), EDGE_TOLERANCE_M)
        within = min(x1, x2) - EDGE_TOLERANCE_M <= along_m <= max(x1, x2) + EDGE_TOLERANCE_M and min(y1, y2) - EDGE_TOLERANCE_M <= out_m <= max(y1, y2) + EDGE_TOLERANCE_M
        if within and abs(across) <= EDGE_TOLERANCE_M * length:
            return True
        if (y1 > out_m) != (y2 > out_m) and along_m < x1 + (out_m - y1) * (x2 - x1) / (y2 - y1):
            inside = not inside
    return inside


def cut_at(corners: Sequence[Corner], along_m: float, keep_right: bool) -> list[Corner]:
    """Return the part of a polygon on one side of a wall that stands out from the house at ``along_m``."""
    sign = 1.0 if keep_right else -1.0
    kept: list[Corner] = []
    for place, (x, y) in enumerate(corners):
        x0, y0 = corners[place - 1]
        before, here = sign * (x0 - along_m), sign * (x - along_m)
        if (before >= 0) != (here >= 0):
            share = before / (before - here)
            kept.append((along_m, y0 + share * (y - y0)))
        if here >= 0:
            kept.append((x, y))
    return kept


def shape_of(position: OutdoorPosition) -> tuple[tuple[Corner, ...] | None, str, list[str]]:
    """Return the corners of a zone that is no plain rectangle, with their source and what is missing.

    Returns
    -------
    corners : tuple or None
        Metres along and out; None for the plain rectangle, and empty when the shape cannot be told.
    source : str
        Where the shape comes from.
    missing : list of str
        What is wanted for it.
    """
    shape = position.effective("zone_shape")
    if shape == "sides":
        return None, "", []
    if shape == "corners":
        rows = position.zone_corners or []
        corners = tuple((row.get("along_m"), row.get("out_m")) for row in rows)
        if len(corners) < 3 or any(None in corner for corner in corners) or area_m2(corners) < SMALLEST_M2:
            return (), DECLARED, ["at least three corners of the maker's zone that do not lie on one line, each with both distances"]
        return corners, DECLARED, []
    half, back = (position.unit_width_mm or 0.0) / 2000, (position.clear_back_mm or 0.0) / 1000
    along = {"left": -half, "right": half}
    out = {"wall": 0.0, "back": back, "front": back + (position.unit_depth_mm or 0.0) / 1000}
    rows = table(SHAPES).where("shape", shape)
    corners = [(along[row.word("along_from")] + row.number("along_m"), out[row.word("out_from")] + row.number("out_m")) for row in rows]
    missing = []
    for side, name, keep_right in (("corner_left", "clear_left_mm", True), ("corner_right", "clear_right_mm", False)):
        if shape != side:
            continue
        clear = getattr(position, name)
        if clear is None:
            missing.append(position.kind.field(name).label.lower())
        else:
            corners = cut_at(corners, (-half - clear / 1000) if keep_right else (half + clear / 1000), keep_right)
    return tuple(corners), cite_row(rows[0]), missing
