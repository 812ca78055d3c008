"""The firm's logo: a picture made ready for the head of a paper when it is chosen, kept as text with the rest of what a paper says of the firm."""

from __future__ import annotations

import base64
import io

from PIL import Image, ImageOps

from wattwalk.survey.errors import Problem, SurveyError
from wattwalk.sync.photos import check_picture

#: What is taken: a picture of so much, and of a shape that a letterhead has room for.
MOST_BYTES, MOST_PIXELS = 1_000_000, 12_000_000
LEAST_PX = 200
WIDEST_SHAPE, TALLEST_SHAPE = 8, 2
#: Printed at most 60 × 20 mm, at about 300 dots per inch.
ACROSS_PX, DOWN_PX = 709, 236
#: A drawing kept without loss is smaller than this; a photograph is not, and is kept as one.
_MOST_KEPT = 120_000
#: On paper, lighter than this does not show (0 to 255).
_LIGHT = 235


def as_logo(data: bytes) -> str:
    """Return a picture as a ``data:`` address of a PNG or JPEG: upright, on white, no larger than it is printed, without what its maker noted in it.

    Parameters
    ----------
    data : bytes
        A whole JPEG, PNG or WebP picture.

    Raises
    ------
    SurveyError
        ``picture_too_large``, ``not_a_picture``, ``logo_too_small``, ``logo_shape`` or ``logo_not_seen``, one sentence each.
    """
    try:
        check_picture(data, most_bytes=MOST_BYTES, most_pixels=MOST_PIXELS)
    except SurveyError as error:
        (problem,) = error.problems
        words = problem.message
        if problem.code == "not_a_picture":
            words = "The logo is not a whole PNG, JPEG or WebP picture: save it as one of these and choose it again."
        raise _refusal(problem.code, words) from error
    with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as opened:
        upright = ImageOps.exif_transpose(opened).convert("RGBA")
    _check_shape(*upright.size)
    # What lets the paper through lies on white, as it would be printed; a fresh picture carries no note of anybody's.
    flat = Image.new("RGB", upright.size, "white")
    flat.paste(upright, mask=upright.getchannel("A"))
    if not any(flat.convert("L").histogram()[: _LIGHT + 1]):
        raise _refusal("logo_not_seen", "Nothing of the logo would show on white paper: choose its dark form.")
    flat.thumbnail((ACROSS_PX, DOWN_PX), Image.Resampling.LANCZOS)
    kind, kept = "png", _written(flat, "PNG", optimize=True)
    if len(kept) > _MOST_KEPT:
        kind, kept = "jpeg", _written(flat, "JPEG", quality=88, optimize=True)
    return f"data:image/{kind};base64,{base64.b64encode(kept).decode()}"


def logo_file(address: str) -> tuple[bytes, str]:
    """Return the picture and the media type that a logo is kept as."""
    head, _, text = address.partition(",")
    return base64.b64decode(text), head.removeprefix("data:").removesuffix(";base64")


def _check_shape(width: int, height: int) -> None:
    if max(width, height) < LEAST_PX:
        words = f"The logo has {width} × {height} pixels and would print blurred: expected at least {LEAST_PX} along one side."
        raise _refusal("logo_too_small", words)
    if width > WIDEST_SHAPE * height or height > TALLEST_SHAPE * width:
        words = (
            f"The logo has {width} × {height} pixels: expected at most {WIDEST_SHAPE} times as wide as high, "
            f"or {TALLEST_SHAPE} times as high as wide."
        )
        raise _refusal("logo_shape", words)


def _written(picture: Image.Image, kind: str, **how: int) -> bytes:
    written = io.BytesIO()
    picture.save(written, kind, **how)
    return written.getvalue()


def _refusal(code: str, message: str) -> SurveyError:
    return SurveyError([Problem(code, message, "logo")])
