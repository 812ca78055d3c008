"""Draw the app's icons again: `python pwa/tools/make_icons.py` (needs Pillow). The drawing is that of icons/icon.svg."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from PIL import Image, ImageDraw

FOLDER = Path(__file__).resolve().parents[1] / "public" / "icons"
PAPER, SHEET, INK, ACCENT = "#f6f1e6", "#fffdf8", "#211c15", "#86350b"
HOUSE = [(104, 400), (104, 216), (256, 100), (408, 216), (408, 400)]
WALK = [(104, 400), (200, 400), (200, 318), (312, 318), (312, 252), (364, 252)]


def draw(size: int, scale: float, corner: int) -> Image.Image:
    """Return the icon at ``size`` pixels; ``scale`` shrinks the drawing for icons whose edge may be cut off."""
    work = size * 4
    factor = work / 512
    image = Image.new("RGBA", (work, work), (0, 0, 0, 0))
    pen = ImageDraw.Draw(image)
    pen.rounded_rectangle((0, 0, work - 1, work - 1), radius=corner * factor, fill=PAPER)

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return tuple((256 + (value - 256) * scale) * factor for value in point)

    def dot(point: tuple[float, float], radius: float, fill: str) -> None:
        x, y = at(point)
        reach = radius * scale * factor
        pen.ellipse((x - reach, y - reach, x + reach, y + reach), fill=fill)

    pen.polygon([at(point) for point in HOUSE], fill=SHEET)
    pen.line(
        [at(point) for point in [*HOUSE, HOUSE[0], HOUSE[1]]], fill=INK, width=round(22 * scale * factor), joint="curve"
    )
    for (x1, y1), (x2, y2) in pairwise(WALK):
        steps = max(1, round((abs(x2 - x1) + abs(y2 - y1)) / 44))
        for step in range(steps + 1):
            dot((x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps), 13, ACCENT)
    for stop in (WALK[2], WALK[4]):
        dot(stop, 26, ACCENT)
    return image.resize((size, size), Image.Resampling.LANCZOS)


def main() -> None:
    """Write the three icons."""
    draw(192, 1, 84).save(FOLDER / "icon-192.png", optimize=True)
    draw(512, 1, 84).save(FOLDER / "icon-512.png", optimize=True)
    draw(512, 0.72, 0).save(FOLDER / "icon-maskable-512.png", optimize=True)


if __name__ == "__main__":
    main()
