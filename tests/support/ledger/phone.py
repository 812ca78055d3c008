"""The protocol's client as the phone keeps it: an outbox, what was seen, a cursor, an epoch.  Screens and storage are tested where they are.

The rules are those of ``pwa/src/domain/changes.ts`` and ``pwa/src/store/exchange.ts``: unsent edits of one field are replaced under a
new id; an entry leaves the outbox only when an answer names it; own waiting values stand over pulled ones; in a new epoch
everything sent is offered again, and after the first whole pull everything that the office does not know.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from typing import Any

from tests.support.ledger.wire import Wire

Path = tuple[str, str, str]
COUNTER = itertools.count(1)


def new_id() -> str:
    """Return an id as a phone makes it: in the order of making, and never twice in a test run."""
    number = next(COUNTER)
    return f"01930000-{number >> 16 & 0xFFFF:04x}-7000-8000-{number & 0xFFFFFFFFFFFF:012x}"


@dataclass
class Phone:
    """One device; `wire` reaches the office, the rest is what outlives a flat battery."""

    wire: Wire
    clock: str = "2026-03-31T14:05:00Z"
    outbox: list[dict[str, Any]] = field(default_factory=list)
    sent: dict[Path, dict[str, Any]] = field(default_factory=dict)
    refused: dict[str, dict[str, Any]] = field(default_factory=dict)
    values: dict[Path, Any] = field(default_factory=dict)
    seen: dict[Path, int] = field(default_factory=dict)
    cursor: int = 0
    #: Changes in a page of what is pulled.
    page: int = 50
    epoch: str | None = None
    reoffers: bool = False
    #: The ledger: every edit that was called saved, and those that a later edit replaced before they were sent.
    saved: list[dict[str, Any]] = field(default_factory=list)
    replaced: set[str] = field(default_factory=set)
    acknowledged: set[str] = field(default_factory=set)

    def edit(self, path: Path, value: Any, *, resolves: bool = False) -> None:
        """Save an edit on the phone."""
        earlier = [change for change in self.outbox if path_of(change) == path]
        seen = self.seen.get(path, 0) if resolves or not earlier else earlier[0]["seen"]
        kind, record, name = path
        change = {"id": new_id(), "kind": kind, "record": record, "field": name, "value": value, "seen": seen, "made_at": self.clock}
        if resolves or any(item.get("resolves") for item in earlier):
            change["resolves"] = True
        self.outbox = [item for item in self.outbox if item not in earlier] + [change]
        self.replaced |= {item["id"] for item in earlier}
        self.values[path] = value
        self.saved.append(change)

    def offer(self, answer: dict[str, Any]) -> None:
        """Take in what an answer to a batch says, and no more than it says."""
        waiting = {change["id"]: change for change in self.outbox}
        for result in answer["results"]:
            change = waiting.pop(result["id"], None)
            if change is None:
                continue
            path = path_of(change)
            if result["status"] == "accepted":
                self.sent[path] = change
                # A late answer: a newer value was pulled and kept off the screen while this one waited; pull again from there.
                if result["revision"] < self.seen.get(path, 0):
                    self.cursor = min(self.cursor, result["revision"])
                self.seen[path] = result["revision"]
                self.acknowledged.add(change["id"])
            else:
                self.refused[change["id"]] = change
        self.outbox = list(waiting.values())

    def meet(self, epoch: str) -> bool:
        """Compare the office's epoch with the one known; True when it was another."""
        if self.epoch == epoch:
            return False
        known, self.epoch = self.epoch, epoch
        if known is None:
            return False
        self.outbox += self.sent.values()
        self.outbox.sort(key=lambda change: change["id"])
        self.sent, self.seen, self.cursor, self.reoffers = {}, {}, 0, True
        return True

    def take(self, page: dict[str, Any]) -> None:
        """Take in one page of pulled changes and the cursor, together."""
        own = {path_of(change) for change in self.outbox}
        for change in page["changes"]:
            path = path_of(change)
            if self.seen.get(path, 0) >= change["revision"]:
                continue
            self.seen[path] = change["revision"]
            if path not in own:
                self.values[path] = change["value"]
        last = page["changes"][-1]["revision"] if page["changes"] else self.cursor
        self.cursor = last if page["more"] else max(page["revision"], last)

    def offer_unknown(self) -> None:
        """After a whole pull in a new epoch: offer what the office turns out not to know."""
        waiting = {path_of(change) for change in self.outbox}
        for path, value in list(self.values.items()):
            if value is not None and self.seen.get(path, 0) == 0 and path not in waiting:
                kind, record, name = path
                self.outbox.append({"id": new_id(), "kind": kind, "record": record, "field": name, "value": value, "seen": 0, "made_at": self.clock})
        self.reoffers = False

    def push(self) -> None:
        """Send all that waits and hear the answer."""
        while self.outbox:
            answer = self.wire.push(self.outbox[:500])
            self.meet(answer["epoch"])
            before = len(self.outbox)
            self.offer(answer)
            assert len(self.outbox) < before, "the answer named nothing that waits"

    def pull(self, pages: int = 1_000) -> None:
        """Fetch at most so many pages of what others did."""
        for _ in range(pages):
            page = self.wire.page(self.cursor, self.page)
            if page is None:
                return
            if self.meet(page["epoch"]):
                continue
            self.take(page)
            if not page["more"]:
                break
        else:
            return
        if self.reoffers:
            self.offer_unknown()
            self.push()

    def exchange(self) -> None:
        """One undisturbed exchange."""
        self.push()
        self.pull()


def path_of(change: dict[str, Any]) -> Path:
    """Return what a change is about."""
    return change["kind"], change["record"], change["field"]
