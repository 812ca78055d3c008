"""Pictures of the demo house: plain drawings in place of photos, drawn the same at every call."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from . import scenes_inside, scenes_outside
from .canvas import HEIGHT, WIDTH, Canvas

#: Which scene stands for which photo record of the demo house.
SCENES: dict[str, Callable[[], Canvas]] = {
    "photo-outside": scenes_outside.house_from_lane,
    "photo-meter": scenes_inside.meter,
    "photo-board": scenes_inside.consumer_unit,
    "photo-boiler": scenes_inside.boiler,
    "photo-study": scenes_inside.small_radiator,
    "photo-damp": scenes_inside.damp_corner,
    "photo-cupboard": scenes_inside.cupboard,
    "photo-place": scenes_outside.place_of_unit,
    "photo-slab": scenes_outside.slab,
    "photo-route": scenes_outside.pipe_route,
}


@dataclass(frozen=True)
class Picture:
    """One drawn picture: the bytes of a JPEG and its size."""

    data: bytes
    width_px: int = WIDTH
    height_px: int = HEIGHT


@cache
def draw_photos() -> dict[str, Picture]:
    """Return every picture of the demo house by the id of its photo record."""
    return {name: Picture(scene().jpeg()) for name, scene in SCENES.items()}
