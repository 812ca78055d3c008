"""A small drawing board over Pillow: everything in one unit grid, drawn large and scaled down so that edges are soft."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from random import Random

from PIL import Image, ImageDraw, ImageFilter, ImageFont

Colour = tuple[int, int, int]
Point = tuple[float, float]
WIDTH, HEIGHT, SCALE = 1200, 900, 2

INK: Colour = (46, 42, 38)
PAPER: Colour = (246, 241, 231)


def mixed(one: Colour, other: Colour, share: float) -> Colour:
    """Return a colour between two: ``share`` 0 gives the first, 1 the second."""
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(one, other, strict=True))
    return red, green, blue


class Canvas:
    """A picture of 1200 × 900 in which every measure is a pixel of the finished picture."""

    def __init__(self, top: Colour, bottom: Colour, seed: int):
        self.random = Random(seed)
        self._image = Image.new("RGB", (WIDTH * SCALE, HEIGHT * SCALE), top)
        self._draw = ImageDraw.Draw(self._image)
        for row in range(HEIGHT * SCALE):
            self._draw.line([(0, row), (WIDTH * SCALE, row)], fill=mixed(top, bottom, row / (HEIGHT * SCALE)))

    def _scaled(self, points: Sequence[Point]) -> list[tuple[float, float]]:
        return [(x * SCALE, y * SCALE) for x, y in points]

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        fill: Colour | None,
        *,
        line: Colour | None = INK,
        radius: float = 0,
        weight: float = 3,
    ) -> None:
        """Draw a rectangle, with round corners when asked."""
        corners = [x * SCALE, y * SCALE, (x + width) * SCALE, (y + height) * SCALE]
        self._draw.rounded_rectangle(
            corners, radius * SCALE, fill=fill, outline=line, width=round(weight * SCALE) if line else 0
        )

    def shadow(self, x: float, y: float, width: float, height: float, depth: float = 18) -> None:
        """Lay a soft shadow under a thing that will be drawn over it."""
        mask = Image.new("L", self._image.size, 0)
        ImageDraw.Draw(mask).rounded_rectangle(
            [(x + depth) * SCALE, (y + depth) * SCALE, (x + width + depth) * SCALE, (y + height + depth) * SCALE],
            8 * SCALE,
            fill=110,
        )
        mask = mask.filter(ImageFilter.GaussianBlur(depth * SCALE / 2))
        self._image.paste(Image.new("RGB", self._image.size, (40, 34, 28)), (0, 0), mask)
        self._draw = ImageDraw.Draw(self._image)

    def shape(self, points: Sequence[Point], fill: Colour, *, line: Colour | None = INK, weight: float = 3) -> None:
        """Draw a filled shape through points."""
        self._draw.polygon(self._scaled(points), fill=fill)
        if line:
            self.path([*points, points[0]], line, weight)

    def path(self, points: Sequence[Point], colour: Colour = INK, weight: float = 3) -> None:
        """Draw a line through points."""
        self._draw.line(self._scaled(points), fill=colour, width=round(weight * SCALE), joint="curve")

    def ring(
        self, x: float, y: float, radius: float, fill: Colour | None, *, line: Colour | None = INK, weight: float = 3
    ) -> None:
        """Draw a circle about a point."""
        corners = [(x - radius) * SCALE, (y - radius) * SCALE, (x + radius) * SCALE, (y + radius) * SCALE]
        self._draw.ellipse(corners, fill=fill, outline=line, width=round(weight * SCALE) if line else 0)

    def words(self, x: float, y: float, text: str, size: float = 28, colour: Colour = INK, anchor: str = "mm") -> None:
        """Write a few words about a point."""
        self._draw.text(
            (x * SCALE, y * SCALE), text, fill=colour, font=ImageFont.load_default(size * SCALE), anchor=anchor
        )

    def label(self, x: float, y: float, text: str, size: float = 30, anchor: str = "mm") -> None:
        """Write a few words on a dark plate, readable over anything."""
        left, top, right, bottom = self._draw.textbbox(
            (x * SCALE, y * SCALE), text, font=ImageFont.load_default(size * SCALE), anchor=anchor
        )
        edge = 12 * SCALE
        self._draw.rounded_rectangle([left - edge, top - edge, right + edge, bottom + edge], edge, fill=INK)
        self.words(x, y, text, size, PAPER, anchor)

    def speckle(
        self, x: float, y: float, width: float, height: float, colours: tuple[Colour, ...], count: int, size: float = 3
    ) -> None:
        """Scatter specks over a rectangle: stone, gravel, mould."""
        for _ in range(count):
            at_x, at_y, radius = (
                x + self.random.random() * width,
                y + self.random.random() * height,
                size * (0.4 + self.random.random()),
            )
            self.ring(at_x, at_y, radius, colours[self.random.randrange(len(colours))], line=None)

    def bricks(self, x: float, y: float, width: float, height: float, tone: Colour, course: float = 34) -> None:
        """Lay a brick wall over a rectangle."""
        joint = mixed(tone, PAPER, 0.55)
        self.box(x, y, width, height, joint, line=None)
        row = 0
        while row * course < height:
            top, high = y + row * course, min(course - 4, y + height - (y + row * course))
            left = x - (course * 1.3 if row % 2 else 0)
            while left < x + width:
                start, end = max(left, x), min(left + course * 2.6 - 4, x + width)
                if end - start > 2 and high > 2:
                    self.box(
                        start,
                        top,
                        end - start,
                        high,
                        mixed(tone, (self.random.randrange(90, 190),) * 3, 0.12 + 0.12 * self.random.random()),
                        line=None,
                    )
                left += course * 2.6
            row += 1

    def jpeg(self) -> bytes:
        """Return the finished picture as a JPEG."""
        small = self._image.resize((WIDTH, HEIGHT), Image.Resampling.LANCZOS)
        out = BytesIO()
        small.save(out, "JPEG", quality=84, optimize=True)
        return out.getvalue()
