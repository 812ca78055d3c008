"""The test's own arithmetic for its small house: plain formulas, nothing of Wattwalk's.

Fabric and ventilation after EN 12831-1:2017 6.3 with the UK's 0.33 Wh/m³K; ground at the annual mean outside
temperature of the Midlands (SAP 10.2, table U1); Birmingham's design cold of -5.4 °C at 96 m, lowered by 0.6 K for each
100 m of height (CIBSE Guide A, from memory; UK practice); radiator output after EN 442-2 with the arithmetic mean.
"""

from __future__ import annotations

OUTSIDE_C = -5.4 - 0.6 * (146 - 96) / 100
GROUND_C = (
    sum(
        t * d
        for t, d in zip(
            (4.3, 4.8, 6.6, 9.0, 11.8, 14.8, 16.6, 16.5, 14.0, 10.5, 7.1, 4.2),
            (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31),
            strict=True,
        )
    )
    / 365
)
BRIDGES = 0.10

WALL, WINDOW, DOOR, INSIDE, FLOOR = 0.50, 1.60, 1.80, 1.70, 0.60
LIVING_C, KITCHEN_C = 21.0, 18.0
#: Air changes for a house from before 2000: living room 1.5, kitchen 2.0 per hour (UK domestic design guidance, from memory).
LIVING_AIR, KITCHEN_AIR = 1.5, 2.0

LIVING = {"length": 4.2, "width": 3.6, "height": 2.4, "window": 1.8 * 1.2}
KITCHEN = {"length": 4.2, "width": 2.9, "height": 2.4, "door": 0.9 * 2.0}
RADIATOR_W, EXPONENT = 2400.0, 1.3


def _outside(net_wall: float, opening: float, opening_u: float, inside: float) -> float:
    return (net_wall * (WALL + BRIDGES) + opening * (opening_u + BRIDGES)) * (inside - OUTSIDE_C)


def living_w() -> float:
    """Heat loss of the living room, W: two outside walls, a window, the floor, the partition, the air."""
    gross = (LIVING["length"] + LIVING["width"]) * LIVING["height"]
    fabric = _outside(gross - LIVING["window"], LIVING["window"], WINDOW, LIVING_C)
    floor = LIVING["length"] * LIVING["width"] * FLOOR * (LIVING_C - GROUND_C)
    partition = LIVING["length"] * LIVING["height"] * INSIDE * (LIVING_C - KITCHEN_C)
    air = 0.33 * LIVING_AIR * LIVING["length"] * LIVING["width"] * LIVING["height"] * (LIVING_C - OUTSIDE_C)
    return fabric + floor + partition + air


def kitchen_w() -> float:
    """Heat loss of the kitchen, W: two outside walls, a door, the floor, less what comes through the partition, the air."""
    gross = (KITCHEN["length"] + KITCHEN["width"]) * KITCHEN["height"]
    fabric = _outside(gross - KITCHEN["door"], KITCHEN["door"], DOOR, KITCHEN_C)
    floor = KITCHEN["length"] * KITCHEN["width"] * FLOOR * (KITCHEN_C - GROUND_C)
    partition = LIVING["length"] * LIVING["height"] * INSIDE * (KITCHEN_C - LIVING_C)
    air = 0.33 * KITCHEN_AIR * KITCHEN["length"] * KITCHEN["width"] * KITCHEN["height"] * (KITCHEN_C - OUTSIDE_C)
    return fabric + floor + partition + air


def radiator_w(inside: float, flow: float = 45.0, difference: float = 5.0) -> float:
    """Output of the test's radiator, W, at a flow temperature in °C and a flow to return difference in K."""
    return RADIATOR_W * ((flow - difference / 2 - inside) / 50) ** EXPONENT


def lowest_flow_c(loss: float, inside: float, difference: float = 5.0) -> float:
    """The flow temperature, °C, at which that radiator gives just `loss` W."""
    return 50 * (loss / RADIATOR_W) ** (1 / EXPONENT) + inside + difference / 2


#: Three readings with the rule up to a level line: corners of a slab of 1000 by 800 mm, so the plane is exact.
READINGS_MM = {(0, 0): 100.0, (1000, 0): 104.0, (0, 800): 106.0}


def fall_mm_m() -> float:
    """Fall of the base in its steepest direction, mm per metre."""
    along = (READINGS_MM[1000, 0] - READINGS_MM[0, 0]) / 1.0
    out = (READINGS_MM[0, 800] - READINGS_MM[0, 0]) / 0.8
    return (along**2 + out**2) ** 0.5
