"""A firm's settings, and what was changed of them: what each was before, who changed it and when; put back like any other change."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session
from uuid_utils import uuid7

from wattwalk.database import now
from wattwalk.models import Firm, FirmChange, User
from wattwalk.survey.wording import clean

#: What a person calls each setting.
LABELS = {
    "name": "Name",
    "address": "Address",
    "telephone": "Telephone",
    "email": "Email",
    "terms": "Terms",
    "prints_checks": "Checks on the last page",
    "valid_days": "A quotation holds for",
    "lead_weeks": "Work usually begins after",
    "stages": "Payments",
    "exclusions": "Never in the price",
    "assumptions": "Taken as given",
    "logo": "Logo",
}
_UNITS = {"valid_days": "days", "lead_weeks": "weeks"}
_NOTHING = "Nothing"


def change_settings(session: Session, firm: Firm, given: Mapping[str, Any], user_id: str | None) -> None:
    """Give settings these values, and keep what each that differs was before, in the same transaction."""
    for name, value in given.items():
        before = getattr(firm, name)
        if before == value:
            continue
        session.add(
            FirmChange(
                id=str(uuid7()),
                firm_id=firm.id,
                user_id=user_id,
                field=name,
                before_json=json.dumps(before, ensure_ascii=False),
                value_json=json.dumps(value, ensure_ascii=False),
                made_at=now(),
            )
        )
        setattr(firm, name, value)


def settings_history(session: Session, firm: Firm, before: str, limit: int) -> dict[str, Any]:
    """Return a page of what was changed of a firm's settings, newest first.

    Parameters
    ----------
    before : str
        The id of the change that the page begins after, empty for the newest.
    limit : int
        The most changes of a page.

    Returns
    -------
    dict
        How many were ``found`` in all, ``next`` to ask ``before`` with or None at the end, and ``changes`` in words; ``stands`` says of one that what it
        took the place of holds today.
    """
    of_firm = FirmChange.firm_id == firm.id
    query = select(FirmChange, User.name).outerjoin(User, User.id == FirmChange.user_id).where(of_firm)
    if before:
        query = query.where(FirmChange.id < before)
    rows = session.execute(query.order_by(FirmChange.id.desc()).limit(limit + 1)).all()
    found = session.scalars(select(func.count()).select_from(FirmChange).where(of_firm)).one()
    changes = [
        {
            "id": change.id,
            "field": change.field,
            "label": LABELS.get(change.field, change.field),
            "words": _words(change.field, json.loads(change.value_json)),
            "before": _words(change.field, json.loads(change.before_json)),
            "user": user,
            "made_at": change.made_at,
            "stands": json.loads(change.before_json) == getattr(firm, change.field, None),
        }
        for change, user in rows[:limit]
    ]
    return {"found": found, "next": changes[-1]["id"] if len(rows) > limit else None, "changes": changes}


def what_it_was(session: Session, firm_id: str, change_id: str) -> dict[str, Any] | None:
    """Return the setting that a change was of with the value before it, or None where the firm has no such change."""
    change = session.scalars(
        select(FirmChange).where(FirmChange.id == change_id, FirmChange.firm_id == firm_id)
    ).first()
    return None if change is None or change.field not in LABELS else {change.field: json.loads(change.before_json)}


def _words(field: str, value: Any) -> str:
    """Write a setting for a person to read."""
    if isinstance(value, bool):
        return "Yes" if value else "No"
    if value in (None, "", []):
        return _NOTHING
    if field == "logo":
        return "A picture"
    if field == "stages":
        return "; ".join(f"{row['percent']} % {clean(row['words'])}" for row in value)
    return f"{value} {_UNITS[field]}" if field in _UNITS else clean(value)
