"""Files that come inside JSON, in base64."""

from __future__ import annotations

import base64

from ..survey.errors import Problem
from .errors import Refusal


def file_bytes(text: str, field: str) -> bytes:
    """Return a file's bytes.

    Raises
    ------
    Refusal
        ``not_base64`` (422) when the text is no whole base64.
    """
    try:
        return base64.b64decode(text, validate=True)
    except ValueError as error:
        raise Refusal(422, Problem("not_base64", "The file did not come whole. Send it again.", field)) from error
