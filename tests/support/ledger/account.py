"""The account of a history: every edit and photo that a phone called saved, held against what the office has and what everybody shows."""

from __future__ import annotations

import json
from collections import Counter
from contextlib import nullcontext
from typing import Any

from flask import has_app_context
from sqlalchemy import select

from tests.support.cast import Office
from tests.support.ledger.phone import Path, Phone, path_of
from tests.support.soak import Broken
from wattwalk.database import reading
from wattwalk.models import StoredPhoto
from wattwalk.sync.changes import as_json
from wattwalk.sync.verify import verify_survey


def check(is_so: bool, words: str) -> None:
    """Raise Broken with these words unless it is so."""
    if not is_so:
        raise Broken(words)


def account(office: Office, phones: list[Phone], counts: Counter[str], log_id: str, *, was_restored: bool) -> None:
    """Hold every saved edit and photo against the office's log, state and folder.

    Raises
    ------
    Broken
        When something is lost or doubled, a value took another's place that its maker had not seen, or an own newer one's.
    """
    log = _whole_log(phones[0])
    ids = Counter(change["id"] for change in log)
    doubled = [id for id, times in ids.items() if times > 1]
    counts["doubled"] += len(doubled)
    check(not doubled, "an edit stands twice in the log")
    check([change["revision"] for change in log] == list(range(1, len(log) + 1)), "the revisions have gaps")
    for phone in phones:
        last = {path_of(change): change["id"] for change in phone.saved}
        for change in phone.saved:
            id, path = change["id"], path_of(change)
            counts["saved"] += 1
            counts["acknowledged"] += id in phone.acknowledged
            # A backup may have taken out what the same phone has said better since; its last word on a field never.
            is_outdated = was_restored and last[path] != id
            if ids[id] == 0 and id not in phone.refused and id not in phone.replaced and not is_outdated:
                counts["lost"] += 1
                raise Broken(f"the edit of {'/'.join(path)} to {change['value']!r} is nowhere")
    readers = {phone.wire.name for phone in phones if phone.blind_to}
    check(
        not any(change["device"] in readers for change in log), "somebody wrote in the firm's book who may only read it"
    )
    _check_order(phones, log)
    _check_unseen(phones, log)
    with nullcontext() if has_app_context() else office.app.app_context(), reading() as session:
        faults = verify_survey(session, log_id)
        arrived = set(session.scalars(select(StoredPhoto.sha256).where(StoredPhoto.survey_id == office.survey)))
    check(faults == [], f"the state is not what the log adds up to: {faults}")
    _account_photos(office, phones, counts, arrived)


def _check_order(phones: list[Phone], log: list[dict[str, Any]]) -> None:
    """What a phone said of a field stands in the log in the order in which it was said, so that its last word is the last."""
    said = {change["id"]: place for phone in phones for place, change in enumerate(phone.saved)}
    latest: dict[tuple[str, Path], int] = {}
    for change in log:
        key = (change["device"], path_of(change))
        place = said.get(change["id"], -1)
        check(
            place < 0 or place > latest.get(key, -1),
            f"an older value of {'/'.join(key[1])} came after a newer one of {key[0]}",
        )
        latest[key] = max(place, latest.get(key, -1))


def _check_unseen(phones: list[Phone], log: list[dict[str, Any]]) -> None:
    """No value takes another device's place uncontested unless it stood on the screen when the edit was begun."""
    had_seen = {id: seen for phone in phones for id, seen in phone.made_over.items()}
    present: dict[Path, dict[str, Any]] = {}
    for change in log:
        path = path_of(change)
        before = present.get(path)
        present[path] = change
        if (
            before is None
            or before["device"] == change["device"]
            or as_json(before["value"]) == as_json(change["value"])
        ):
            continue
        is_known = change["contested"] or before["id"] in had_seen[change["id"]]
        check(
            is_known,
            f"{change['value']!r} of {change['device']} took the place of {before['value']!r} of {before['device']} unseen, and nobody is asked",
        )


def _account_photos(office: Office, phones: list[Phone], counts: Counter[str], arrived: set[str]) -> None:
    for phone in phones:
        for sha256 in phone.wanted() & phone.pictures.keys():
            counts["photos"] += 1
            if sha256 in phone.refused_photos:
                check(sha256 not in arrived, "a refused photo is called arrived")
                continue
            if sha256 not in arrived or office.settings.photos.get(sha256) != phone.pictures[sha256]:
                counts["lost"] += 1
                raise Broken(f"the photo {sha256[:8]} of {phone.wire.name} is not at the office as it was taken")


def agree(phones: list[Phone]) -> list[dict[str, Any]]:
    """Hold what each phone shows against what the office has; return what is contested there.

    Raises
    ------
    Broken
        When they differ.
    """
    view = phones[2].wire.view()
    stored = _values(view["records"])
    refused = {path_of(change) for phone in phones for change in phone.refused.values()}
    # Whoever's taking away was refused has the refusal on the screen, and not the record.
    kept_away = {path[:2] for path in refused if path[2] == "deleted"}
    for phone in phones:
        if phone.blind_to:
            shown = json.dumps(phone.wire.view())
            for path, value in stored.items():
                if path[2] in phone.blind_to:
                    check(json.dumps(value) not in shown, f"{phone.wire.name} is shown {path[2]}, which it may not see")
        gone = {path[:2] for path, value in phone.values.items() if path[2] == "deleted" and value is True}
        mine = {
            path: value
            for path, value in phone.values.items()
            if value is not None and path[2] != "deleted" and path[:2] not in gone | kept_away and path not in refused
        }
        theirs = {
            path: value
            for path, value in stored.items()
            if path not in refused and path[:2] not in kept_away and path[2] not in phone.blind_to
        }
        check(mine == theirs, f"{phone.wire.name} holds {mine}, the office {theirs}")
    return view["contested"]


def _whole_log(phone: Phone) -> list[dict[str, Any]]:
    log: list[dict[str, Any]] = []
    while True:
        page = phone.wire.page(len(log), 2_000)
        log += page["changes"]
        if not page["more"]:
            return log


def _values(records: dict[str, list[dict[str, Any]]]) -> dict[Path, Any]:
    return {
        (kind, item["id"], name): value
        for kind, items in records.items()
        for item in items
        for name, value in item.items()
        if name != "id"
    }
