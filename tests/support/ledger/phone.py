"""A phone as the protocol knows it: outbox, sent, seen, cursor, epoch.  The rules are those of `pwa/src/store/exchange.ts` and `sync/cycle.ts`."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any

from tests.support.ledger.line import Line, Reply

#: Small on purpose: histories are short, and the seams between batches and pages are where things go wrong.
BATCH = 4
PAGE = 5
RIGHT_CLOCK = datetime(2026, 3, 31, 14, tzinfo=UTC)

Path = tuple[str, str, str]
Change = dict[str, Any]


class HaltError(Exception):
    """The exchange ends early: no answer, or a sign-in is needed."""


class Phone:
    """One device with one survey on it.  Every attribute but the exchange under way is on its storage and survives a kill.

    Parameters
    ----------
    name : str
        The device's name in the log.
    line : Line
        Its way to the office.
    survey : str
        The survey's id.
    number : Callable
        Hands out numbers that no other phone gets, for ids.
    """

    def __init__(self, name: str, line: Line, survey: str, number: Callable[[], int]) -> None:
        self.name, self.line, self.survey, self._number = name, line, survey, number
        self.clock = RIGHT_CLOCK
        self.values: dict[Path, Any] = {}
        self.seen: dict[Path, int] = {}
        self.outbox: dict[str, Change] = {}
        self.sent: dict[Path, Change] = {}
        self.refused: dict[str, Change] = {}
        self.photos: dict[str, dict[str, Any]] = {}
        self.contested: list[dict[str, Any]] = []
        self.cursor, self.epoch, self.reoffer = 0, "", False
        #: The revision of the results that were fetched last, which come after the contested values.
        self.looked = 0
        # What the ledger wants to know, and no phone keeps: each saved edit, what was acknowledged, whose values a change was made over.
        self.saved: dict[str, Change] = {}
        self.replaced: dict[str, str] = {}
        self.acknowledged: set[str] = set()
        self.known: dict[Path, set[str]] = {}
        self.made_over: dict[str, tuple[str, frozenset[str]]] = {}

    def new_id(self) -> str:
        """Return an id that sorts by this phone's clock, right or wrong."""
        number = self._number()
        moment = f"{max(0, int(self.clock.timestamp() * 1000) + number):012x}"
        return f"{moment[:8]}-{moment[8:]}-7000-8000-{number:012x}"

    def edit(self, kind: str, record: str, values: dict[str, Any], *, resolves: bool = False) -> None:
        """Save an edit: values and changes in one transaction; a waiting change of the same field is replaced under a new id."""
        for field, value in values.items():
            path = (kind, record, field)
            _set(self.values, path, value)
            earlier = [change for change in self.outbox.values() if _path(change) == path]
            seen = self.seen.get(path, 0)
            change = {
                "id": self.new_id(), "kind": kind, "record": record, "field": field, "value": value,
                "seen": seen if resolves or not earlier else earlier[0]["seen"], "made_at": self.clock.strftime("%Y-%m-%dT%H:%M:%SZ"),
            }
            if resolves or any(item.get("resolves") for item in earlier):
                change["resolves"] = True
            over = self.made_over[earlier[0]["id"]] if earlier and not resolves else (self.epoch, frozenset(self.known.get(path, ())))
            self._keep(change, over)
            for item in earlier:
                del self.outbox[item["id"]]
                self.replaced[item["id"]] = change["id"]
            self.refused = {id: item for id, item in self.refused.items() if _path(item) != path}
            if resolves:
                self.contested = [item for item in self.contested if (item["kind"], item["record"], item["field"]) != path]

    def _keep(self, change: Change, over: tuple[str, frozenset[str]]) -> None:
        self.outbox[change["id"]] = change
        self.saved[change["id"]] = change
        self.made_over[change["id"]] = over

    def take_photo(self, record: str, data: bytes) -> None:
        """Keep a picture's bytes and the record that names them."""
        sha256 = hashlib.sha256(data).hexdigest()
        self.photos[sha256] = {"data": data, "arrived": False, "refused": False}
        self.edit("photo", record, {"sha256": sha256})

    def exchange(self) -> Iterator[None]:
        """Run one exchange with the office; each pause is a moment at which the app may be killed or another phone may act."""
        try:
            yield from self._exchange()
        except HaltError:
            return

    def _exchange(self) -> Iterator[None]:
        health = self._need(self.line.ask("GET", "/api/health"), "epoch")
        yield
        self.meet_epoch(health["epoch"])
        yield
        if self.outbox:
            yield from self._push()
        yield from self._push_photos()
        listed = self._need(self.line.ask("GET", "/api/surveys"), "epoch", "surveys")
        self.meet_epoch(listed["epoch"])
        yield
        there = next((line for line in listed["surveys"] if line["id"] == self.survey), None)
        if there is None:
            return
        if self.cursor < there["revision"] or self.reoffer:
            yield from self._pull()
            yield from self._look()
        elif self.looked < self.cursor or len(self.contested) != there["contested"]:
            yield from self._look()

    def _push(self) -> Iterator[None]:
        limit = BATCH
        while batch := [self.outbox[id] for id in sorted(self.outbox)][:limit]:
            reply = self.line.ask("POST", f"/api/surveys/{self.survey}/changes", {"device": self.name, "app": "0.1.0", "changes": batch})
            yield
            if reply.kind == "refused":
                if reply.status == 413 and limit > 1:
                    limit = -(-limit // 4)
                    continue
                return
            answer = self._need(reply, "epoch", "revision", "results")
            self.meet_epoch(answer["epoch"])
            yield
            self._apply_push(answer["results"])
            yield
            if not {change["id"] for change in batch} & {result["id"] for result in answer["results"]}:
                raise HaltError

    def _apply_push(self, results: list[dict[str, Any]]) -> None:
        for result in results:
            change = self.outbox.pop(result["id"], None)
            if change is None:
                continue
            path = _path(change)
            if result["status"] == "accepted":
                self.sent[path] = change
                self.seen[path] = max(self.seen.get(path, 0), result["revision"])
                self.acknowledged.add(change["id"])
            else:
                self.refused[change["id"]] = change

    def _push_photos(self) -> Iterator[None]:
        for sha256, photo in list(self.photos.items()):
            if photo["arrived"] or photo["refused"]:
                continue
            reply = self.line.ask("PUT", f"/api/surveys/{self.survey}/photos/{sha256}", photo["data"])
            yield
            if reply.kind == "refused" and reply.status == 404:
                continue
            if reply.kind == "refused" and reply.status in {413, 415, 422}:
                photo["refused"] = True
            else:
                self._need(reply)
                photo["arrived"] = True

    def _pull(self) -> Iterator[None]:
        while True:
            answer = self._need(
                self.line.ask("GET", f"/api/surveys/{self.survey}/changes?since={self.cursor}&limit={PAGE}"), "epoch", "revision", "more", "changes"
            )
            yield
            if self.meet_epoch(answer["epoch"]):
                continue
            last = answer["changes"][-1]["revision"] if answer["changes"] else None
            self._apply_pull(answer["changes"], (last or self.cursor) if answer["more"] else max(answer["revision"], last or 0))
            yield
            if not answer["more"] or last is None:
                break
        if self.reoffer and self._offer_unknown():
            yield from self._push()

    def _apply_pull(self, changes: list[dict[str, Any]], cursor: int) -> None:
        own = {_path(change) for change in self.outbox.values()}
        for change in changes:
            path = _path(change)
            self.known.setdefault(path, set()).add(change["id"])
            if self.seen.get(path, 0) >= change["revision"]:
                continue
            self.seen[path] = change["revision"]
            if path not in own:
                _set(self.values, path, change["value"])
        self.cursor = cursor

    def meet_epoch(self, epoch: str) -> bool:
        """Offer everything again when the office's database has begun another life."""
        if self.epoch == epoch:
            return False
        is_first, self.epoch = not self.epoch, epoch
        if is_first:
            return False
        waiting = {_path(change) for change in self.outbox.values()}
        self.outbox |= {change["id"]: change for path, change in self.sent.items() if path not in waiting}
        self.sent, self.seen, self.cursor, self.reoffer = {}, {}, 0, True
        for photo in self.photos.values():
            photo["arrived"] = False
        return True

    def _offer_unknown(self) -> int:
        waiting = {_path(change) for change in self.outbox.values()}
        offered = [path for path in self.values if not self.seen.get(path) and path not in waiting]
        for path in offered:
            kind, record, field = path
            change = {
                "id": self.new_id(), "kind": kind, "record": record, "field": field, "value": self.values[path], "seen": 0,
                "made_at": self.clock.strftime("%Y-%m-%dT%H:%M:%SZ"),
            }
            self._keep(change, (self.epoch, frozenset()))
        self.reoffer, self.looked = False, 0
        return len(offered)

    def _look(self) -> Iterator[None]:
        view = self._need(self.line.ask("GET", f"/api/surveys/{self.survey}"), "revision", "contested", "refused", "photos")
        yield
        self.contested = view["contested"]
        for photo in view["photos"]:
            if not photo["arrived"] and photo["sha256"] in self.photos:
                self.photos[photo["sha256"]]["arrived"] = False
        yield
        self.looked = view["revision"]

    @staticmethod
    def _need(reply: Reply, *parts: str) -> Any:
        if reply.kind != "ok" or (parts and not (isinstance(reply.body, dict) and all(part in reply.body for part in parts))):
            raise HaltError
        return reply.body


def _path(change: dict[str, Any]) -> Path:
    return change["kind"], change["record"], change["field"]


def _set(values: dict[Path, Any], path: Path, value: Any) -> None:
    if value is None:
        values.pop(path, None)
    else:
        values[path] = value
