"""Storeys of a dozen shapes, as plans to be told room by room."""

from __future__ import annotations

from tests.support.told_rooms import Rect, Storey

L_SHAPE = Storey(
    {"living": Rect(0, 0, 5.0, 4.0), "hall": Rect(5.0, 0, 2.2, 4.0), "kitchen": Rect(0, 4.0, 3.6, 3.4)},
)
T_SHAPE = Storey(
    {
        "left": Rect(0, 0, 3.6, 4.2),
        "middle": Rect(3.6, 0, 3.0, 4.2),
        "right": Rect(6.6, 0, 3.9, 4.2),
        "stem": Rect(3.6, 4.2, 3.0, 5.1),
    }
)
U_SHAPE = Storey(
    {
        "back": Rect(0, 0, 9.0, 3.2),
        "left": Rect(0, 3.2, 2.9, 4.4),
        "right": Rect(6.2, 3.2, 2.8, 3.7),
    }
)
SQUARE = Storey(
    {
        "living": Rect(0, 0, 4.4, 3.9),
        "dining": Rect(4.4, 0, 3.3, 3.9),
        "kitchen": Rect(0, 3.9, 3.1, 3.6),
        "hall": Rect(3.1, 3.9, 1.8, 3.6),
        "utility": Rect(4.9, 3.9, 2.8, 3.6),
    }
)
CORRIDOR = Storey(
    {
        "bedroom-1": Rect(0, 0, 3.9, 3.4),
        "bedroom-2": Rect(3.9, 0, 3.1, 3.4),
        "bedroom-3": Rect(7.0, 0, 2.6, 3.4),
        "corridor": Rect(0, 3.4, 9.6, 1.1),
        "bathroom": Rect(0, 4.5, 2.4, 2.3),
        "living": Rect(2.4, 4.5, 4.6, 2.3),
        "study": Rect(7.0, 4.5, 2.6, 2.3),
    },
)
SEMI = Storey(
    {
        "living": Rect(0, 0, 3.9, 4.2),
        "hall": Rect(3.9, 0, 1.9, 4.2),
        "dining": Rect(0, 4.2, 2.7, 3.6),
        "kitchen": Rect(2.7, 4.2, 3.1, 3.6),
    },
    beyond={3: "neighbour"},
)
MID_TERRACE = Storey(
    {"front": Rect(0, 0, 4.6, 3.7), "middle": Rect(0, 3.7, 4.6, 3.3), "back": Rect(0, 7.0, 4.6, 2.8)},
    beyond={1: "neighbour", 3: "neighbour"},
)
FLAT = Storey(
    {
        "living": Rect(0, 0, 4.8, 5.0),
        "bedroom": Rect(4.8, 0, 3.4, 3.2),
        "hall": Rect(4.8, 3.2, 1.6, 1.8),
        "bathroom": Rect(6.4, 3.2, 1.8, 1.8),
    },
    beyond={1: "neighbour", 2: "neighbour"},
    name="second",
)
ROOM_IN_ROOF = Storey({"attic": Rect(0, 0, 4.3, 4.6), "store": Rect(4.3, 0, 1.7, 4.6)}, name="loft")
BUNGALOW = Storey(
    {
        "living": Rect(0, 0, 5.2, 4.0),
        "hall": Rect(5.2, 0, 1.3, 8.0),
        "bedroom-1": Rect(6.5, 0, 4.0, 3.6),
        "bedroom-2": Rect(6.5, 3.6, 4.0, 2.4),
        "bathroom": Rect(6.5, 6.0, 4.0, 2.0),
        "kitchen": Rect(0, 4.0, 3.2, 4.0),
        "dining": Rect(3.2, 4.0, 2.0, 4.0),
    }
)
COTTAGE = Storey({"parlour": Rect(0, 0, 4.1, 3.8), "kitchen": Rect(4.1, 0, 3.3, 3.8)})
PINWHEEL = Storey(
    {
        "north": Rect(0, 0, 5.0, 2.4),
        "east": Rect(5.0, 0, 2.2, 5.2),
        "south": Rect(2.6, 5.2, 4.6, 2.1),
        "west": Rect(0, 2.4, 2.6, 4.9),
        "middle": Rect(2.6, 2.4, 2.4, 2.8),
    }
)

SHAPES = {name.lower().replace("_", "-"): shape for name, shape in dict(globals()).items() if isinstance(shape, Storey)}


def long_terrace(rooms: int) -> Storey:
    """Return so many rooms in a row on a corridor, of different widths, half of them on each side."""
    found: dict[str, Rect] = {}
    at = [0.0, 0.0]
    count = rooms - 1
    for number in range(count):
        side = number % 2
        wide = 3.0 + 0.1 * (number * 7 % 11)
        found[f"room-{number}"] = Rect(round(at[side], 2), 5.2 * side, wide, 4.0)
        at[side] += wide
    length = round(max(at), 2)
    for side in (0, 1):
        last = max(number for number in range(count) if number % 2 == side)
        rect = found[f"room-{last}"]
        found[f"room-{last}"] = Rect(rect.x, rect.y, round(length - rect.x, 2), rect.h)
    found["corridor"] = Rect(0.0, 4.0, length, 1.2)
    return Storey(found)
