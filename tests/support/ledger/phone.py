"""The protocol's client as the phone keeps it: an outbox, what was seen, photos, a cursor, an epoch.  Screens and storage are tested where they are.

The rules are those of ``pwa/src/domain/changes.ts``, ``pwa/src/store/exchange.ts`` and ``pwa/src/sync/cycle.ts``: unsent edits of one field are
replaced under a new id, which names those that may have been sent; an entry leaves the outbox only when an answer names it; own waiting
values stand over pulled ones; in a new epoch everything sent is offered again, and after the first whole pull everything that the office
does not know; a photo is refused only by an answer that names its hash.
"""

from __future__ import annotations

import hashlib
import itertools
from dataclasses import dataclass, field
from typing import Any

from tests.support.cast import MODEL
from tests.support.ledger.wire import Wire
from tests.support.soak import Broken
from wattwalk.api import surveys as api
from wattwalk.survey.box import EDGES, said_again, size_of
from wattwalk.survey.model import shape_of

Path = tuple[str, str, str]
COUNTER = itertools.count(1)
BATCH = 500


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
    #: Ids of changes that were in a batch on its way to the office.
    offered: set[str] = field(default_factory=set)
    sent: dict[Path, dict[str, Any]] = field(default_factory=dict)
    refused: dict[str, dict[str, Any]] = field(default_factory=dict)
    #: Those of them that still stand beside their field on the screen.
    refused_here: dict[str, dict[str, Any]] = field(default_factory=dict)
    values: dict[Path, Any] = field(default_factory=dict)
    seen: dict[Path, int] = field(default_factory=dict)
    #: Bytes of own photos by their hash; those that wait, and those that the office refused.
    pictures: dict[str, bytes] = field(default_factory=dict)
    waiting: dict[str, None] = field(default_factory=dict)
    refused_photos: set[str] = field(default_factory=set)
    cursor: int = 0
    #: Changes in a page of what is pulled.
    page: int = 50
    epoch: str | None = None
    reoffers: bool = False
    #: Fields that the role of whoever holds it may not see, in the firm's book; with any, it only reads the book.
    blind_to: frozenset[str] = frozenset()
    #: The ledger: every edit that was called saved, and those that a later edit replaced before they were answered.
    saved: list[dict[str, Any]] = field(default_factory=list)
    replaced: set[str] = field(default_factory=set)
    acknowledged: set[str] = field(default_factory=set)
    #: Changes whose value stood on this screen, by what they are about; and which of them had when an edit was begun.
    shown: dict[Path, set[str]] = field(default_factory=dict)
    made_over: dict[str, frozenset[str]] = field(default_factory=dict)

    def edit(self, path: Path, value: Any, *, resolves: bool = False) -> None:
        """Save an edit on the phone."""
        earlier = [change for change in self.outbox if path_of(change) == path]
        is_later = bool(earlier) and not resolves
        change = self._change(path, value, earlier[0]["seen"] if is_later else self.seen.get(path, 0))
        if resolves or any(item.get("resolves") for item in earlier):
            change["resolves"] = True
        if is_later and "epoch" in earlier[0]:
            change["epoch"] = earlier[0]["epoch"]
        replaces = [id for item in earlier for id in (*item.get("replaces", ()), *({item["id"]} & self.offered))]
        if replaces:
            change["replaces"] = replaces[-100:]
        self.outbox = [item for item in self.outbox if item not in earlier] + [change]
        # As on the phone, a new answer takes the place of one that the office refused.
        self.refused_here = {id: item for id, item in self.refused_here.items() if path_of(item) != path}
        self.replaced |= {item["id"] for item in earlier}
        self.values[path] = value
        self.saved.append(change)
        self.made_over[change["id"]] = (
            self.made_over[earlier[0]["id"]] if is_later else frozenset(self.shown.get(path, ()))
        )
        self.shown.setdefault(path, set()).add(change["id"])

    def _change(self, path: Path, value: Any, seen: int) -> dict[str, Any]:
        kind, record, name = path
        return {
            "id": new_id(),
            "kind": kind,
            "record": record,
            "field": name,
            "value": value,
            "seen": seen,
            "made_at": self.clock,
        }

    def record(self, kind: str, record: str) -> dict[str, Any]:
        """Return what this phone holds of a record."""
        return {
            path[2]: value for path, value in self.values.items() if path[:2] == (kind, record) and value is not None
        }

    def resize(self, room: str, name: str, value: float | None) -> None:
        """Give a room another size. The app of old gave it to every side that had it before, too."""
        before = self.record("room", room)
        self.edit(("room", room, name), value)
        if shape_of(self.wire.model) > 1:
            return
        after = self.record("room", room)
        for side in [
            path[1] for path, of in self.values.items() if path[0] == "surface" and path[2] == "room" and of == room
        ]:
            values = self.record("surface", side)
            own = {name: values.get(name) for name in EDGES}
            was, now = (size_of({"side": values.get("side")}, box) for box in (before, after))
            for edge in EDGES:
                if own[edge] in (None, was.get(edge)) and own[edge] != now.get(edge):
                    self.edit(("surface", side, edge), now.get(edge))

    def say_side(self, side: str, room: str, which: str, width_m: float | None) -> None:
        """Say what is beyond a side of a room, and how wide it is where that is not the whole of it. The app of old wrote its size down in any case."""
        told: dict[str, Any] = {"room": room, "side": which, "element": "wall", "other_side": "outside"}
        if shape_of(self.wire.model) == 1:
            told |= size_of({"side": which}, self.record("room", room))
        if width_m is not None and (
            shape_of(self.wire.model) == 1
            or size_of({"side": which}, self.record("room", room)).get("width_m") != width_m
        ):
            told["width_m"] = width_m
        for name, value in told.items():
            self.edit(("surface", side, name), value)

    def update(self) -> None:
        """Take the new version of the app: sizes that say no more than the room's box fall away, and the log is pulled once more."""
        self.wire.model = MODEL
        waiting = {path_of(change) for change in self.outbox}
        for side in {path[1] for path in self.values if path[0] == "surface"}:
            values = self.record("surface", side)
            room = self.record("room", values.get("room", ""))
            for name in said_again(values, room) if values.get("deleted") or not room.get("deleted") else ():
                path = ("surface", side, name)
                if path in waiting:
                    self.edit(path, None)
                else:
                    self.values[path] = None
        self.cursor = 0

    def take_photo(self, record: str, data: bytes) -> None:
        """Save a photo on the phone; taken anew, the one before goes unless it is wanted elsewhere."""
        path = ("photo", record, "sha256")
        before, sha256 = self.values.get(path), hashlib.sha256(data).hexdigest()
        self.edit(path, sha256)
        if sha256 not in self.pictures:
            self.pictures[sha256] = data
            self.waiting[sha256] = None
        if before in self.waiting and before not in self.wanted():
            del self.waiting[before], self.pictures[before]

    def wanted(self) -> set[str]:
        """Return the hashes that a photo of this phone shows."""
        return {
            value
            for (kind, record, name), value in self.values.items()
            if name == "sha256" and self.values.get((kind, record, "deleted")) is not True
        }

    def meet(self, epoch: str) -> bool:
        """Compare the office's epoch with the one known; True when it was another."""
        if self.epoch == epoch:
            return False
        known, self.epoch = self.epoch, epoch
        if known is None:
            return False
        self.offered |= {change["id"] for change in self.sent.values()}
        self.outbox += self.sent.values()
        self.outbox = [
            {**change, "epoch": change.get("epoch", known)}
            for change in sorted(self.outbox, key=lambda change: change["id"])
        ]
        self.waiting |= dict.fromkeys(hash for hash in self.pictures if hash not in self.refused_photos)
        self.sent, self.seen, self.cursor, self.reoffers = {}, {}, 0, True
        return True

    def batch(self) -> list[dict[str, Any]]:
        """Return what is offered next; from here on the office may have it."""
        batch = self.outbox[:BATCH]
        self.offered |= {change["id"] for change in batch}
        return batch

    def hear(self, answer: dict[str, Any], share: int = 100) -> int:
        """Take in what an answer to a batch says, so many hundredths of it, and no more than it says; return how many changes it named."""
        waiting = {change["id"]: change for change in self.outbox}
        for result in answer["results"][: len(answer["results"]) * share // 100]:
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
                self.refused[change["id"]] = self.refused_here[change["id"]] = change
                self._look_again(path, change)
        named, self.outbox = len(self.outbox) - len(waiting), list(waiting.values())
        return named

    def _look_again(self, path: Path, refused: dict[str, Any]) -> None:
        """What came while a refused change waited was kept off the screen: nobody has seen it, and it is to be shown now."""
        known = 0 if "epoch" in refused else refused["seen"]
        if self.seen.get(path, 0) > known:
            self.seen[path] = known
            self.cursor = min(self.cursor, known)

    def take(self, page: dict[str, Any]) -> None:
        """Take in one page of pulled changes and the cursor, together."""
        own, refused = (
            {path_of(change) for change in self.outbox},
            {path_of(change) for change in self.refused_here.values()},
        )
        for change in page["changes"]:
            if change["field"] in self.blind_to:
                raise Broken(f"{change['field']} came to {self.wire.name}, which may not see it")
            path = path_of(change)
            seen = self.seen.get(path, 0)
            if seen > change["revision"] or (seen == change["revision"] and path in refused):
                continue
            self.seen[path] = change["revision"]
            if path not in own:
                self.values[path] = change["value"]
                self.shown.setdefault(path, set()).add(change["id"])
        last = page["changes"][-1]["revision"] if page["changes"] else self.cursor
        self.cursor = last if page["more"] else max(page["revision"], last)

    def offer_unknown(self) -> None:
        """After a whole pull in a new epoch: offer what the office turns out not to know."""
        waiting = {path_of(change) for change in self.outbox}
        for path, value in list(self.values.items()):
            if value is not None and self.seen.get(path, 0) == 0 and path not in waiting:
                if self.blind_to:
                    # Whoever wrote it offers it again; here it was only read.
                    self.values[path] = None
                    continue
                change = self._change(path, value, 0)
                self.outbox.append(change)
                self.made_over[change["id"]] = frozenset(self.shown[path])
                self.shown[path].add(change["id"])
        self.reoffers = False

    @property
    def is_too_old(self) -> bool:
        """Whether the office takes nothing of this phone's app, and gives it nothing, until it has been updated."""
        return shape_of(self.wire.model) < api.SHAPE

    def push(self) -> None:
        """Send all that waits and hear the answer."""
        while self.outbox:
            status, answer = self.wire.push(self.batch(), self.epoch)
            if self.is_too_old:
                assert (status, answer["code"]) == (409, "app_too_old"), answer
                return
            assert status == 200, answer
            if not self.meet(answer["epoch"]):
                assert self.hear(answer) > 0, "the answer named nothing that waits"

    def push_photos(self, most: int = 1_000) -> None:
        """Send the photos that wait, one by one; the phone dies after so many."""
        for sha256 in list(self.waiting)[:most]:
            self.hear_of_photo(sha256, *self.wire.photo(sha256, self.pictures[sha256]))

    def hear_of_photo(self, sha256: str, status: int, answer: Any) -> None:
        """Take in what came back for a photo: only the office's own words, which name its hash, count."""
        if status in (200, 201) and answer.get("sha256") == sha256:
            self.waiting.pop(sha256, None)
        elif (
            status == 422
            and answer["code"] in ("not_a_picture", "picture_too_large")
            and answer["record"] == f"photo/{sha256}"
        ):
            self.waiting.pop(sha256, None)
            self.refused_photos.add(sha256)

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
        """One undisturbed exchange; of a survey that has not moved nothing is fetched."""
        self.meet(self.wire.stands()[0])
        self.push()
        if self.is_too_old and self.outbox:
            return
        self.push_photos()
        epoch, revision = self.wire.stands()
        self.meet(epoch)
        if revision > 0 and (self.cursor < revision or self.reoffers):
            self.pull()


def path_of(change: dict[str, Any]) -> Path:
    """Return what a change is about."""
    return change["kind"], change["record"], change["field"]
