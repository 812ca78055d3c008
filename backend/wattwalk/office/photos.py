"""Photos as the report prints them: scaled to paper, turned upright, marks drawn in, position stripped."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw, ImageFont, ImageOps, UnidentifiedImageError

from wattwalk.paths import fonts_folder

#: Printed size at most 82 × 66 mm at about 170 dots per inch.
WIDEST_PX, TALLEST_PX = 550, 440
_MOST_PIXELS = 80_000_000
_MARK = "#c8391f"


class UnreadablePhotoError(ValueError):
    """The bytes are not a picture that can be printed."""


def print_size(width_px: int, height_px: int) -> tuple[int, int]:
    """Return the size a picture is scaled to: never larger than it is, its shape kept."""
    share = min(WIDEST_PX / width_px, TALLEST_PX / height_px, 1.0)
    return max(1, round(width_px * share)), max(1, round(height_px * share))


def _arrow(draw: ImageDraw.ImageDraw, start: tuple[float, float], end: tuple[float, float]) -> None:
    reach = math.hypot(end[0] - start[0], end[1] - start[1])
    draw.line([start, end], fill="white", width=8)
    draw.line([start, end], fill=_MARK, width=4)
    if reach < 1:
        return
    dx, dy = (end[0] - start[0]) / reach, (end[1] - start[1]) / reach
    wings = [(end[0] - 16 * dx - side * 8 * dy, end[1] - 16 * dy + side * 8 * dx) for side in (1, -1)]
    draw.polygon([(end[0] + 3 * dx, end[1] + 3 * dy), *wings], fill=_MARK, outline="white")


def _draw_marks(picture: Image.Image, strokes: Iterable[Mapping[str, Any]]) -> None:
    draw = ImageDraw.Draw(picture)
    font = ImageFont.truetype(str(fonts_folder() / "SourceSans3-Semibold.ttf"), 20)
    wide, tall = picture.size
    for stroke in strokes:
        x1, y1 = (stroke.get("x1") or 0.0) * wide, (stroke.get("y1") or 0.0) * tall
        x2 = stroke["x2"] * wide if stroke.get("x2") is not None else x1
        y2 = stroke["y2"] * tall if stroke.get("y2") is not None else y1
        if stroke.get("shape") == "arrow":
            _arrow(draw, (x1, y1), (x2, y2))
        elif stroke.get("shape") == "ring":
            box = [min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)]
            draw.ellipse([box[0] - 2, box[1] - 2, box[2] + 2, box[3] + 2], outline="white", width=8)
            draw.ellipse(box, outline=_MARK, width=4)
        if stroke.get("words"):
            draw.text((x1, y1), stroke["words"], fill=_MARK, font=font, stroke_width=3, stroke_fill="white")


def prepare(content: bytes | Path, strokes: Iterable[Mapping[str, Any]] = ()) -> bytes:
    """Return a photo as a JPEG of the size it is printed at.

    Parameters
    ----------
    content : bytes or Path
        JPEG, PNG or WebP.
    strokes : iterable of mapping
        Marks to draw in; positions are shares of the upright picture's width and height.

    Returns
    -------
    bytes
        JPEG without any metadata, so without the place it was taken at.

    Raises
    ------
    UnreadablePhotoError
        When the bytes are no such picture, are cut short, or unpack to more than 80 million pixels.
    """
    source = io.BytesIO(content) if isinstance(content, bytes) else content
    try:
        with Image.open(source, formats=("JPEG", "PNG", "WEBP")) as opened:
            if opened.width * opened.height > _MOST_PIXELS:
                raise UnreadablePhotoError(f"The picture unpacks to {opened.width} × {opened.height} pixels, more than can be printed.")
            # Let the JPEG decoder skip what the paper cannot show; it never goes below the size asked for.
            opened.draft("RGB", (WIDEST_PX, WIDEST_PX))
            upright = ImageOps.exif_transpose(opened)
            if "A" in upright.getbands() or "transparency" in upright.info:
                with_paper = Image.new("RGBA", upright.size, "white")
                with_paper.alpha_composite(upright.convert("RGBA"))
                upright = with_paper
            picture = upright.convert("RGB").resize(print_size(*upright.size), Image.Resampling.HAMMING, reducing_gap=2.0)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        if isinstance(error, UnreadablePhotoError):
            raise
        raise UnreadablePhotoError("The bytes are not a picture that can be read.") from error
    marks = list(strokes)
    if marks:
        _draw_marks(picture, marks)
    written = io.BytesIO()
    # A fresh picture carries no EXIF; quality 82 is more than a printed half page shows.
    picture.save(written, "JPEG", quality=82, optimize=True, subsampling="4:2:0")
    return written.getvalue()
