"""What a version of a report is made from, written down when it is asked for, so that what it stands on can be told ever after.

The text is canonical JSON: the same inputs are the same text.  A version's number and its day are columns beside it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from wattwalk.survey.document import Survey, make_survey, parse_json
from wattwalk.survey.firm import PriceBook
from wattwalk.survey.moved import taken_over_records
from wattwalk.survey.stored import make_record
from wattwalk.survey.works import Photo, PriceLine

from .report_inputs import ReportError, ReportInputs, gather

#: In the first form a place said what its unit is.
_FORM, _UNITS_AT_PLACES = 2, 1


def freeze(
    survey: Survey,
    *,
    revision: int,
    firm: Mapping[str, Any],
    photos: Iterable[str],
    with_checks: bool,
    before: Mapping[str, Any] | None = None,
) -> str:
    """Return everything that a report is worked out from, but for its number and its day, as canonical JSON.

    Parameters
    ----------
    survey : Survey
        The survey as it stands.
    revision : int
        The revision at which it stands so.
    firm : mapping
        What the report says of the firm.
    photos : iterable of str
        The SHA-256 of each photo whose bytes are here.
    with_checks : bool
        Whether the last page sums up the check book.
    before : mapping, optional
        The facts of the version before (``office/changes.py``), which this one opens with; None for the first.

    Returns
    -------
    str
        ASCII only: no database refuses it, whatever was typed.
    """
    wanted = {item.sha256 for item in survey.of_kind(Photo) if item.sha256}
    records = [[item.kind.name, item.id, item.values()] for item in survey]
    frozen: dict[str, Any] = {
        "form": _FORM,
        "survey": survey.id,
        "revision": revision,
        "records": records,
        "firm": dict(firm),
        "photos": sorted(wanted.intersection(photos)),
        "with_checks": with_checks,
    }
    # What prices it drew from; a survey that knows of none is written as those were before there was a price book.
    if survey.prices is not None and (survey.prices.asked_for or _hangs_on_articles(survey)):
        used = [item for name in sorted(survey.prices.asked_for) if (item := survey.prices.find(name)) is not None]
        frozen["articles"] = [
            [item.id, {name: value for name, value in item.values().items() if not item.kind.field(name).seen_by}]
            for item in used
        ]
    # A first version has none, and is written as those were that knew of none.
    if before is not None:
        frozen["before"] = dict(before)
    return json.dumps(frozen, sort_keys=True, separators=(",", ":"), allow_nan=False)


def _hangs_on_articles(survey: Survey) -> bool:
    return any(
        row["record"].startswith("article/") for line in survey.of_kind(PriceLine) for row in line.drawn_basis or []
    )


def photo_hashes(inputs_json: str) -> list[str]:
    """Return the SHA-256 of each photo that was here when the inputs were frozen."""
    return json.loads(inputs_json)["photos"]


@dataclass(frozen=True)
class RenderRequest:
    """All that a process of its own needs to set one version: what was frozen, its number and day, where the photos lie by their SHA-256."""

    inputs_json: str
    number: int
    made_on: str
    photos: Mapping[str, str]


def thaw(request: RenderRequest) -> ReportInputs:
    """Work out again what a report says from what was frozen.

    Raises
    ------
    ReportError
        When the text was frozen in a form that this program does not know.
    """
    frozen = parse_json(request.inputs_json)
    if frozen.get("form") not in (_UNITS_AT_PLACES, _FORM):
        words = f"What the version was made from was kept in form {frozen.get('form')!r}, expected {_UNITS_AT_PLACES} or {_FORM}."
        raise ReportError(words)
    records = frozen["records"]
    if frozen["form"] == _UNITS_AT_PLACES:
        records = taken_over_records(records)
    survey = make_survey(frozen["survey"], (make_record(*record) for record in records))
    if "articles" in frozen:
        survey = replace(survey, prices=PriceBook(stored=frozen["articles"]))
    photos = {sha256: Path(request.photos[sha256]) for sha256 in frozen["photos"] if sha256 in request.photos}
    return gather(
        survey,
        firm=frozen["firm"],
        version=request.number,
        made_on=request.made_on,
        photos=photos,
        with_checks=frozen["with_checks"],
        before=frozen.get("before"),
    )
