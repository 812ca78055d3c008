"""Photos as the report prints them: scaled to paper, turned upright, marks drawn in, position stripped."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw, ImageFont, ImageOps, UnidentifiedImageError

from wattwalk.paths import fonts_folder

from . import marks

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


def _draw_marks(picture: Image.Image, strokes: Iterable[Mapping[str, Any]]) -> None:
    """Draw marks in, each over a wider light one so that it shows on any picture."""
    draw = ImageDraw.Draw(picture)
    width = marks.widths(*picture.size)
    line, outline = max(2, round(width.line)), max(4, round(width.outline))
    rim = (outline - line) / 2
    for stroke in strokes:
        mark = marks.placed(stroke, *picture.size)
        if isinstance(mark, marks.Arrow):
            draw.line([mark.tail, mark.neck], fill="white", width=outline)
            draw.polygon(mark.head, fill="white", outline="white", width=round(2 * rim))
            draw.line([mark.tail, mark.neck], fill=_MARK, width=line)
            draw.polygon(mark.head, fill=_MARK)
        elif isinstance(mark, marks.Ring):
            for colour, thick in (("white", outline), (_MARK, line)):
                # Pillow lays the whole width inside the box; the middle of the line is what is placed.
                across, down = mark.across + thick / 2, mark.down + thick / 2
                draw.ellipse(
                    [mark.middle[0] - across, mark.middle[1] - down, mark.middle[0] + across, mark.middle[1] + down],
                    outline=colour,
                    width=thick,
                )
        elif isinstance(mark, marks.Words):
            font = ImageFont.truetype(str(fonts_folder() / "SourceSans3-Semibold.ttf"), max(8, round(mark.size)))
            anchor = {"start": "la", "middle": "ma", "end": "ra"}[mark.anchor]
            for number, words in enumerate(mark.lines):
                at = (mark.x, mark.top + number * marks.LINE_HEIGHT * mark.size)
                draw.text(
                    at,
                    words,
                    fill=_MARK,
                    font=font,
                    anchor=anchor,
                    stroke_width=max(2, round(0.14 * mark.size)),
                    stroke_fill="white",
                )


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
                raise UnreadablePhotoError(
                    f"The picture unpacks to {opened.width} × {opened.height} pixels, more than can be printed."
                )
            # Let the JPEG decoder skip what the paper cannot show; it never goes below the size asked for.
            opened.draft("RGB", (WIDEST_PX, WIDEST_PX))
            upright = ImageOps.exif_transpose(opened)
            if "A" in upright.getbands() or "transparency" in upright.info:
                with_paper = Image.new("RGBA", upright.size, "white")
                with_paper.alpha_composite(upright.convert("RGBA"))
                upright = with_paper
            picture = upright.convert("RGB").resize(
                print_size(*upright.size), Image.Resampling.HAMMING, reducing_gap=2.0
            )
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        if isinstance(error, UnreadablePhotoError):
            raise
        raise UnreadablePhotoError("The bytes are not a picture that can be read.") from error
    _draw_marks(picture, strokes)
    written = io.BytesIO()
    # A fresh picture carries no EXIF; quality 82 is more than a printed half page shows.
    picture.save(written, "JPEG", quality=82, optimize=True, subsampling="4:2:0")
    return written.getvalue()
