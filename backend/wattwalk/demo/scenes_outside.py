"""What the surveyor photographed outdoors, drawn plainly."""

from __future__ import annotations

from .canvas import INK, PAPER, Canvas, mixed

SKY, SKY_LOW = (176, 204, 224), (226, 234, 232)
BRICK, ROOF, GRASS, STONE = (168, 92, 68), (128, 84, 70), (134, 158, 98), (186, 182, 172)
WHITE, GLASS = (248, 246, 240), (150, 176, 190)


def _window(canvas: Canvas, x: float, y: float, width: float, height: float, panes: int = 2) -> None:
    canvas.box(x - 8, y + height + 4, width + 16, 12, STONE, weight=2)
    canvas.box(x, y, width, height, GLASS, line=WHITE, weight=9)
    canvas.shape(
        [(x + 14, y + height - 14), (x + 14, y + height * 0.5), (x + width * 0.4, y + 14), (x + width * 0.62, y + 14)],
        mixed(GLASS, WHITE, 0.35),
        line=None,
    )
    for pane in range(1, panes):
        canvas.path([(x + width * pane / panes, y), (x + width * pane / panes, y + height)], WHITE, 7)
    canvas.box(x, y, width, height, None, weight=2)


def house_from_lane() -> Canvas:
    """The semi-detached house from the lane, its neighbour cut off on the left."""
    canvas = Canvas(SKY, SKY_LOW, 11)
    for x, y, size in ((180, 110, 40), (240, 95, 55), (310, 115, 42), (880, 80, 36), (940, 70, 50), (1000, 88, 36)):
        canvas.ring(x, y, size, (244, 246, 246), line=None)
    canvas.box(0, 690, 1200, 210, GRASS, line=None)
    canvas.bricks(0, 330, 960, 390, BRICK, 26)
    canvas.shape([(-60, 335), (120, 150), (860, 150), (1010, 335)], ROOF)
    for row in range(1, 8):
        y = 150 + row * 23
        canvas.path([(120 - row * 22, y), (860 + row * 19, y)], mixed(ROOF, INK, 0.25), 2)
    canvas.bricks(300, 70, 90, 120, mixed(BRICK, INK, 0.1), 20)
    canvas.box(290, 58, 110, 18, STONE, weight=2)
    for x in (318, 352):
        canvas.box(x, 30, 24, 30, (176, 110, 80), weight=2)
    canvas.path([(330, 335), (330, 720)], mixed(BRICK, INK, 0.5), 3)
    _window(canvas, 60, 380, 200, 120)
    _window(canvas, 50, 550, 220, 130, 3)
    _window(canvas, 420, 380, 190, 120)
    _window(canvas, 400, 550, 240, 130, 3)
    _window(canvas, 740, 390, 120, 110, 1)
    canvas.box(720, 530, 110, 190, (62, 92, 84))
    canvas.box(738, 550, 74, 60, GLASS, weight=2)
    canvas.ring(818, 640, 6, (214, 186, 110), weight=2)
    canvas.words(876, 580, "7", 44, WHITE)
    _window(canvas, 856, 610, 60, 80, 1)
    canvas.shape([(690, 720), (880, 720), (1040, 900), (560, 900)], (198, 190, 176), line=None)
    for x in range(-10, 520, 34):
        canvas.box(x, 770, 18, 90, (236, 228, 210), radius=4, weight=2)
    canvas.path([(0, 800), (520, 800)], (236, 228, 210), 10)
    canvas.ring(1110, 560, 110, (96, 132, 78), line=None)
    canvas.ring(1060, 500, 70, (112, 148, 88), line=None)
    canvas.ring(1150, 480, 76, (104, 140, 82), line=None)
    canvas.path([(1100, 640), (1100, 760)], (104, 76, 56), 22)
    return canvas


def place_of_unit() -> Canvas:
    """The back wall: window, air brick, slab and door, with the unit's outline chalked on."""
    canvas = Canvas((206, 216, 220), SKY_LOW, 12)
    canvas.bricks(0, 0, 1200, 640, BRICK, 30)
    canvas.box(0, 640, 1200, 260, (176, 170, 158), line=None)
    for x in range(0, 1200, 150):
        canvas.path([(x, 640), (x - 120 + x * 0.12, 900)], (150, 144, 132), 3)
    for y in (700, 780):
        canvas.path([(0, y), (1200, y)], (150, 144, 132), 3)
    _window(canvas, 90, 110, 300, 270)
    canvas.box(940, 110, 210, 530, (84, 106, 122))
    canvas.box(975, 150, 140, 190, GLASS, weight=2)
    canvas.ring(962, 400, 9, (214, 186, 110), weight=2)
    canvas.shape([(410, 690), (830, 690), (880, 780), (360, 780)], (206, 202, 192))
    canvas.shape([(360, 780), (880, 780), (880, 808), (360, 808)], (160, 156, 146))
    canvas.speckle(400, 694, 420, 80, ((188, 184, 174), (216, 212, 204)), 120, 3)
    for start, end in (
        ((460, 430), (790, 430)),
        ((790, 430), (790, 700)),
        ((790, 700), (460, 700)),
        ((460, 700), (460, 430)),
    ):
        steps = 14
        for dash in range(0, steps, 2):
            a, b = dash / steps, (dash + 1) / steps
            canvas.path(
                [(start[0] + (end[0] - start[0]) * s, start[1] + (end[1] - start[1]) * s) for s in (a, b)], PAPER, 6
            )
    canvas.ring(600, 565, 96, None, line=PAPER, weight=5)
    canvas.label(625, 392, "unit", 32)
    canvas.box(232, 566, 118, 58, (120, 66, 50))
    for hole in range(5):
        for row in range(2):
            canvas.box(244 + hole * 20, 576 + row * 22, 12, 14, (44, 34, 30), line=None)
    canvas.ring(291, 595, 92, None, line=(236, 196, 60), weight=7)
    canvas.label(291, 460, "air brick", 32)
    canvas.path([(900, 0), (900, 640)], (70, 72, 74), 20)
    canvas.box(872, 640, 60, 40, (70, 72, 74))
    return canvas


def slab() -> Canvas:
    """The slab from above with its nine points, the rule held on one of them and the laser line on the wall."""
    canvas = Canvas((140, 158, 104), (118, 138, 88), 13)
    canvas.speckle(0, 0, 1200, 900, ((124, 148, 92), (154, 172, 116), (108, 128, 80)), 900, 5)
    canvas.bricks(0, 0, 1200, 150, BRICK, 30)
    canvas.path([(0, 108), (1200, 108)], (220, 40, 40), 4)
    canvas.shadow(190, 180, 820, 560, 14)
    canvas.box(190, 180, 820, 560, (200, 197, 188), radius=4)
    canvas.speckle(200, 190, 800, 540, ((184, 180, 172), (214, 211, 204), (170, 166, 158)), 800, 4)
    readings = (("412", "413.5", "414"), ("413.5", "415", "416"), ("415", "416", "418"))
    for row, line in enumerate(readings):
        for place, reading in enumerate(line):
            x, y = 280 + place * 320, 260 + row * 200
            canvas.ring(x, y, 15, None, line=(52, 90, 160), weight=4)
            canvas.path([(x - 24, y), (x + 24, y)], (52, 90, 160), 3)
            canvas.path([(x, y - 24), (x, y + 24)], (52, 90, 160), 3)
            canvas.words(x + 26, y + 34, reading, 30, (40, 60, 110), "lm")
    canvas.shape([(905, 660), (935, 660), (960, 20), (936, 20)], (236, 204, 90))
    for mark in range(26):
        y = 640 - mark * 24
        canvas.path([(908 + mark * 0.9, y), (920 + mark * 0.9, y)], INK, 2)
    canvas.path([(190, 790), (1010, 790)], PAPER, 4)
    canvas.words(600, 826, "1200 mm", 34, PAPER)
    canvas.path([(1040, 180), (1040, 740)], PAPER, 4)
    canvas.words(1052, 460, "800 mm", 34, PAPER, "lm")
    return canvas


def pipe_route() -> Canvas:
    """The back wall with the pipes' way drawn over it."""
    canvas = Canvas(SKY, SKY_LOW, 14)
    canvas.bricks(60, 60, 1080, 740, BRICK, 24)
    canvas.box(0, 800, 1200, 100, (150, 160, 118), line=None)
    canvas.shape([(20, 66), (1180, 66), (1180, 30), (20, 30)], (236, 232, 222))
    _window(canvas, 150, 150, 240, 170)
    _window(canvas, 760, 150, 130, 130, 1)
    _window(canvas, 150, 500, 260, 230)
    canvas.box(900, 520, 150, 280, (84, 106, 122))
    canvas.box(925, 550, 100, 110, GLASS, weight=2)
    canvas.box(500, 690, 240, 110, (226, 226, 222), radius=8)
    canvas.ring(590, 745, 42, (196, 198, 196))
    for spoke in ((-34, 0, 34, 0), (0, -34, 0, 34), (-24, -24, 24, 24), (-24, 24, 24, -24)):
        canvas.path([(590 + spoke[0], 745 + spoke[1]), (590 + spoke[2], 745 + spoke[3])], (150, 152, 150), 3)
    route = [(700, 690), (700, 330), (835, 330), (835, 300)]
    canvas.path(route, (46, 46, 48), 40)
    canvas.path(route, (224, 120, 52), 9)
    canvas.ring(835, 300, 24, (224, 120, 52))
    canvas.label(650, 420, "up 3.5 m", 32, "rm")
    canvas.label(825, 380, "in above the bathroom", 28, "mm")
    return canvas
