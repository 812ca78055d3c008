"""What the surveyor photographed indoors, drawn plainly."""

from __future__ import annotations

from .canvas import INK, PAPER, Canvas, mixed

WALL, FLOOR = (232, 224, 208), (176, 138, 98)
METAL, WHITE, DARK = (206, 208, 206), (250, 249, 245), (70, 72, 74)
COPPER = (196, 118, 72)


def meter() -> Canvas:
    """Meter, cut-out and tails on a board in a cupboard."""
    canvas = Canvas((150, 128, 104), (118, 98, 78), 1)
    canvas.box(90, 50, 1020, 800, (196, 166, 126), radius=6)
    for plank in range(1, 6):
        canvas.path([(90 + plank * 170, 50), (90 + plank * 170, 850)], (176, 146, 106), 2)
    canvas.shadow(420, 130, 360, 330)
    canvas.box(420, 130, 360, 330, WHITE, radius=18)
    canvas.box(470, 180, 260, 90, (206, 218, 200), radius=6)
    canvas.words(600, 226, "04217.6", 52, DARK)
    canvas.words(700, 292, "kWh", 24, DARK)
    canvas.ring(500, 360, 16, (200, 60, 50))
    for bar in range(18):
        canvas.path([(560 + bar * 9, 330), (560 + bar * 9, 390)], INK, 2 + bar % 3)
    canvas.words(600, 425, "single phase 230 V", 22, DARK)
    canvas.shadow(430, 560, 200, 210)
    canvas.box(430, 560, 200, 210, (62, 60, 58), radius=10)
    canvas.box(470, 600, 120, 90, (84, 82, 80), radius=8)
    canvas.words(530, 645, "80 A", 38, PAPER)
    canvas.words(530, 735, "main fuse", 24, PAPER)
    canvas.box(720, 590, 150, 130, METAL, radius=8)
    canvas.words(795, 655, "earth", 26, DARK)
    for x, colour in ((480, (150, 96, 60)), (560, (86, 110, 150))):
        canvas.path([(x, 560), (x, 500), (x + 20, 460)], colour, 14)
    canvas.path([(720, 655), (660, 655), (630, 655)], (120, 160, 80), 10)
    canvas.path([(530, 770), (530, 850)], (40, 38, 36), 26)
    canvas.path([(760, 400), (900, 400), (900, 200), (1010, 200)], (210, 210, 206), 14)
    canvas.box(960, 150, 100, 100, WHITE, radius=8)
    canvas.words(1010, 200, "off", 26, DARK)
    return canvas


def consumer_unit() -> Canvas:
    """A metal board with its door open and three blanks."""
    canvas = Canvas(WALL, mixed(WALL, FLOOR, 0.25), 2)
    canvas.shadow(130, 270, 940, 340)
    canvas.box(130, 270, 940, 340, METAL, radius=12)
    canvas.box(130, 190, 940, 80, mixed(METAL, WHITE, 0.5), radius=10)
    canvas.words(600, 230, "Check the trip button every three months", 26, DARK)
    canvas.box(170, 330, 860, 200, (236, 236, 232), radius=6)
    for place in range(12):
        x = 190 + place * 70
        if place >= 9:
            canvas.box(x, 350, 60, 160, (206, 206, 202), radius=4, weight=2)
            canvas.words(x + 30, 430, "spare", 18, DARK)
            continue
        wide = place == 0
        canvas.box(x, 350, 60, 160, (250, 250, 248), radius=4, weight=2)
        canvas.box(x + 14, 400, 32, 56, (198, 52, 44) if wide else (58, 60, 64), radius=4, weight=2)
        canvas.words(x + 30, 374, ("100", "32", "32", "32", "20", "16", "6", "6", "40")[place], 20, DARK)
        canvas.ring(x + 30, 486, 8, (240, 200, 60) if place else None, weight=2)
    canvas.words(600, 570, "main switch     cooker     sockets     sockets     lights", 24, DARK)
    for place in range(5):
        canvas.path([(300 + place * 150, 190), (300 + place * 150, 0)], (214, 212, 206), 18)
    canvas.box(0, 820, 1200, 80, FLOOR, line=None)
    canvas.box(0, 790, 1200, 34, WHITE, line=None)
    return canvas


def boiler() -> Canvas:
    """The boiler on the kitchen wall with a grey board behind its flue."""
    canvas = Canvas((226, 226, 214), (206, 204, 190), 3)
    for row in range(4):
        for column in range(13):
            canvas.box(
                column * 96,
                520 + row * 70,
                92,
                66,
                mixed((204, 218, 214), WHITE, canvas.random.random() * 0.5),
                line=None,
            )
    canvas.box(440, 40, 330, 150, (150, 152, 150), weight=2)
    canvas.label(880, 90, "grey board", 28)
    canvas.path([(770, 90), (796, 90)], INK, 4)
    canvas.box(550, 0, 110, 150, (228, 228, 226))
    canvas.shadow(430, 150, 340, 470)
    canvas.box(430, 150, 340, 470, WHITE, radius=20)
    canvas.box(430, 500, 340, 120, (232, 232, 228), radius=16)
    canvas.box(490, 530, 130, 56, (50, 62, 58), radius=8)
    canvas.words(555, 558, "1.4 bar", 26, (170, 230, 170))
    canvas.ring(680, 558, 26, METAL)
    canvas.path([(680, 558), (694, 542)], INK, 5)
    for place, colour in enumerate((COPPER, COPPER, (176, 180, 178), COPPER, COPPER)):
        x = 470 + place * 64
        canvas.path([(x, 620), (x, 790)], colour, 16)
        canvas.ring(x, 668, 13, mixed(colour, INK, 0.3), weight=2)
    canvas.box(0, 790, 1200, 110, (216, 210, 198))
    canvas.box(90, 700, 150, 90, (188, 90, 66), radius=10)
    canvas.path([(120, 700), (106, 600), (88, 560)], (76, 122, 70), 10)
    canvas.path([(165, 700), (165, 560)], (76, 122, 70), 10)
    canvas.path([(206, 700), (224, 610), (250, 575)], (96, 142, 80), 10)
    return canvas


def small_radiator() -> Canvas:
    """The radiator under the study's window, rust along its lower seam."""
    canvas = Canvas(WALL, mixed(WALL, (210, 196, 170), 0.6), 4)
    canvas.box(330, 20, 540, 360, (196, 216, 226))
    canvas.box(330, 20, 540, 360, (196, 216, 226), line=WHITE, weight=22)
    canvas.path([(600, 20), (600, 380)], WHITE, 18)
    canvas.shape([(352, 360), (450, 250), (560, 330), (588, 300), (588, 360)], (126, 160, 110), line=None)
    canvas.shape([(612, 360), (700, 270), (850, 340), (850, 360)], (116, 150, 104), line=None)
    canvas.box(290, 380, 620, 36, WHITE)
    canvas.shadow(360, 480, 470, 250)
    canvas.box(360, 480, 470, 250, (244, 242, 234), radius=10)
    for rib in range(11):
        canvas.path([(398 + rib * 40, 500), (398 + rib * 40, 712)], (212, 208, 198), 8)
    canvas.speckle(380, 704, 430, 24, ((156, 90, 48), (180, 112, 60), (130, 70, 40)), 150, 4)
    canvas.path([(620, 728), (620, 760), (628, 786)], (156, 90, 48), 5)
    canvas.box(826, 660, 46, 60, (250, 250, 250), radius=10)
    canvas.path([(850, 720), (850, 800)], COPPER, 10)
    canvas.path([(342, 700), (342, 800)], COPPER, 10)
    canvas.path([(342, 700), (362, 700)], COPPER, 10)
    canvas.box(0, 790, 1200, 30, WHITE, line=None)
    canvas.box(0, 820, 1200, 80, (150, 122, 104), line=None)
    canvas.path([(360, 452), (830, 452)], (190, 70, 40), 4)
    canvas.words(595, 440, "800", 28, (190, 70, 40), "mb")
    canvas.path([(930, 480), (930, 730)], (190, 70, 40), 4)
    canvas.words(945, 605, "450", 28, (190, 70, 40), "lm")
    return canvas


def damp_corner() -> Canvas:
    """A cold corner behind a door with black spots."""
    canvas = Canvas((222, 228, 224), (204, 210, 206), 5)
    canvas.shape([(0, 0), (520, 90), (520, 770), (0, 900)], (212, 220, 216), line=None)
    canvas.shape([(520, 90), (1200, 0), (1200, 900), (520, 770)], (230, 234, 230), line=None)
    canvas.shape([(0, 0), (1200, 0), (520, 90)], (244, 246, 244), line=None)
    canvas.shape([(0, 900), (520, 770), (1200, 900)], (150, 158, 162), line=None)
    canvas.path([(520, 90), (520, 770)], (180, 188, 184), 4)
    for spread, count in ((60, 240), (140, 220), (240, 120)):
        for _ in range(count):
            x = 520 + canvas.random.gauss(0, spread * 0.5)
            y = 120 + abs(canvas.random.gauss(0, spread * 0.9))
            canvas.ring(
                x,
                y,
                1.5 + 4.5 * canvas.random.random(),
                mixed((58, 64, 58), (150, 158, 150), canvas.random.random() * 0.6),
                line=None,
            )
    canvas.shape([(930, 60), (1200, 20), (1200, 900), (930, 820)], (250, 249, 244))
    canvas.shape([(975, 140), (1170, 118), (1170, 400), (975, 400)], (238, 236, 230), weight=2)
    canvas.shape([(975, 460), (1170, 460), (1170, 800), (975, 760)], (238, 236, 230), weight=2)
    canvas.ring(955, 450, 14, (206, 180, 110))
    return canvas


def cupboard() -> Canvas:
    """An open cupboard on the landing with a tape across it."""
    canvas = Canvas((228, 214, 190), (214, 198, 172), 6)
    canvas.box(360, 40, 480, 780, (120, 104, 86))
    canvas.shape([(360, 40), (430, 90), (430, 770), (360, 820)], (168, 150, 126))
    canvas.shape([(840, 40), (770, 90), (770, 770), (840, 820)], (156, 138, 114))
    canvas.box(430, 90, 340, 680, (196, 180, 154))
    canvas.shape([(360, 820), (430, 770), (770, 770), (840, 820)], (150, 112, 76))
    for shelf in (250, 390):
        canvas.shape([(430, shelf), (770, shelf), (800, shelf + 26), (400, shelf + 26)], (206, 176, 132))
    for place, colour in enumerate(((206, 120, 96), (126, 150, 172), (224, 206, 160), (150, 170, 130))):
        canvas.box(446 + place * 78, 190 if place % 2 else 206, 70, 60 if place % 2 else 44, colour, radius=8, weight=2)
        canvas.box(450 + place * 78, 340, 66, 50, mixed(colour, WHITE, 0.4), radius=8, weight=2)
    canvas.shape([(840, 40), (1060, 0), (1060, 890), (840, 820)], (248, 246, 240))
    canvas.ring(1030, 440, 14, (200, 176, 110))
    canvas.path([(432, 600), (768, 600)], (240, 196, 40), 14)
    for mark in range(17):
        canvas.path([(440 + mark * 20, 594), (440 + mark * 20, 600)], INK, 2)
    canvas.box(744, 574, 52, 52, (60, 62, 66), radius=10)
    canvas.words(600, 640, "780 mm", 36, INK)
    canvas.box(0, 820, 1200, 80, (140, 108, 80), line=None)
    return canvas
