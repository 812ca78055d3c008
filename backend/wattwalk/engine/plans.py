"""The plans of a survey's storeys: asked for by themselves, after the figures, since no figure hangs on them."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike
from typing import Any

from wattwalk.survey.document import Survey, open_document

from .answers.plan import Plans
from .codes import declared
from .layout import lay_out


def draw_up(document: Survey | Mapping[str, Any] | bytes | str | PathLike[str]) -> Plans:
    """Lay out every storey of a survey.

    Parameters
    ----------
    document : Survey, dict, bytes, str or path
        As for ``assess``.

    Returns
    -------
    Plans
        The storeys from the lowest up, and what cannot be right of them.

    Raises
    ------
    SurveyError, OSError
        When what was given is no survey document, or its file cannot be read.
    """
    storeys, found = lay_out(open_document(document))
    return Plans(storeys, declared(found))
