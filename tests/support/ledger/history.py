"""One history: steps that a seed draws or a kept file lists, then the account.

A step is a list of plain values, so that a history can be kept as JSON and played again.
"""

from __future__ import annotations

import random
import shutil
from collections import Counter
from pathlib import Path as File
from typing import Any

from tests.support.cast import ADA, BEN, Office
from tests.support.ledger.phone import Path, Phone, path_of
from tests.support.ledger.wire import HttpWire, InnerWire
from wattwalk import accounts
from wattwalk.database import db, reading
from wattwalk.models import StoredSurvey
from wattwalk.sync.verify import verify_survey

FIELDS = {"name": ["Kitchen", "Larder", "Wash-house é"], "length_m": [2.4, 3.1, 4.75], "width_m": [1.8, 3.3], "notes": ["damp", "", "loft hatch here"]}
#: Values that cannot stand, a field and a kind that only a newer phone knows: each is refused and kept.
UNFIT = [("room", "length_m", -4), ("room", "length_m", "long"), ("room", "moon_phase", "full"), ("gadget", "size_m", 1)]
CLOCKS = ["2026-03-31T14:05:00Z", "1970-01-01T00:00:00Z", "2027-05-01T09:00:00Z"]
FAULTS = ["lost request", "lost answer", "cut request", "half answer", "twice"]
Step = list[Any]


def draw(seed: int) -> list[Step]:
    """Return the steps of the history that a seed stands for."""
    chance = random.Random(seed)
    has_backup = chance.random() < 0.12
    steps: list[Step] = [["pages of", chance.choice([2, 50])]]
    for _ in range(chance.randint(6, 14)):
        who = chance.randrange(3)
        kind = chance.choices(["edit", "unfit", "delete", "bring back", "exchange", "push", "pull", "pick", "clock", "backup", "restore"],
                              [40, 4, 4, 3, 14, 16, 8, 5, 2, 3 * has_backup, 3 * has_backup])[0]
        record = f"room-{chance.randrange(3)}"
        if kind == "edit":
            for _ in range(chance.randint(1, 3)):
                name = chance.choice(list(FIELDS))
                steps.append(["edit", who, record, name, chance.choice([*FIELDS[name], None])])
        elif kind == "unfit":
            steps.append(["unfit", who, chance.randrange(len(UNFIT))])
        elif kind in ("delete", "bring back"):
            steps.append(["edit", who, record, "deleted", kind == "delete"])
        elif kind == "push":
            steps.append(["push", who, chance.choice(FAULTS), chance.randint(0, 100)])
        elif kind == "pull":
            steps.append(["pull", who, chance.randint(1, 2)])
        elif kind == "clock":
            steps.append(["clock", who, chance.choice(CLOCKS)])
        elif kind in ("backup", "restore"):
            steps.append([kind])
        else:
            steps.append([kind, who])
    return steps


class Broken(AssertionError):
    """The account of a history does not add up."""


class History:
    """Two phones, an office, one survey; `play` its steps, then `settle` them."""

    def __init__(self, office: Office, folder: File, *, over_http: bool) -> None:
        office.take_up_survey()
        self.office = office
        cast = ((ADA, "Ada's phone"), (BEN, "Ben's phone"), (ADA, "The office"))
        self.phones = [Phone(HttpWire(office.device(*who)) if over_http else InnerWire(office, *who)) for who in cast]
        self.counts: Counter[str] = Counter()
        self._steps = {
            "edit": self._edit, "unfit": self._unfit, "clock": self._clock, "exchange": self._exchange, "push": self._push,
            "pages of": self._pages_of, "pull": self._pull, "pick": self._pick, "backup": self._take_backup, "restore": self._restore,
        }
        self._file = File(office.app.config["SQLALCHEMY_DATABASE_URI"].removeprefix("sqlite:///"))
        self._backup = folder / "backup.sqlite"
        self._has_backup = False
        #: Whether a backup took acknowledged edits back out of the office.
        self._was_restored = False

    def play(self, steps: list[Step]) -> None:
        """Play the steps one after the other."""
        for kind, *given in steps:
            self._steps[kind](*given)

    def _pages_of(self, changes: int) -> None:
        for phone in self.phones:
            phone.page = changes

    def _edit(self, who: int, record: str, name: str, value: Any) -> None:
        self.phones[who].edit(("room", record, name), value)

    def _unfit(self, who: int, which: int) -> None:
        kind, name, value = UNFIT[which]
        self.phones[who].edit((kind, "room-0" if kind == "room" else "gadget-0", name), value)

    def _clock(self, who: int, clock: str) -> None:
        self.phones[who].clock = clock

    def _exchange(self, who: int) -> None:
        self.phones[who].exchange()

    def _pull(self, who: int, pages: int) -> None:
        # The phone dies after so many pages: what they brought is there, the rest is not.
        self.phones[who].pull(pages)

    def _pick(self, who: int) -> None:
        phone = self.phones[who]
        phone.exchange()
        for contest in (phone.wire.view() or {"contested": []})["contested"][:1]:
            phone.edit((contest["kind"], contest["record"], contest["field"]), contest["values"][0]["value"], resolves=True)

    def _push(self, who: int, fault: str, share: int) -> None:
        phone = self.phones[who]
        batch = list(phone.outbox)
        if not batch:
            return
        self.counts["faults"] += 1
        if fault == "lost request":
            return
        if fault == "cut request":
            status = phone.wire.cut(batch, share)
            self._expect(status in (None, 400), f"a request that was cut off was answered with {status}")
            return
        answer = phone.wire.push(batch)
        if fault == "twice":
            again = phone.wire.push(batch)
            self._expect(again["results"] == answer["results"], "a repeated batch was answered otherwise")
        if fault in ("half answer", "twice"):
            phone.meet(answer["epoch"])
            phone.offer({"results": answer["results"][: len(answer["results"]) * (100 if fault == "twice" else share) // 100]})

    def _take_backup(self) -> None:
        with self.office.app.app_context():
            db.session.remove()
            db.engine.dispose()
        shutil.copyfile(self._file, self._backup)
        self._has_backup = True

    def _restore(self) -> None:
        if not self._has_backup:
            return
        self.counts["faults"] += 1
        with self.office.app.app_context():
            db.session.remove()
            db.engine.dispose()
            for tail in ("-wal", "-shm"):
                self._file.with_name(self._file.name + tail).unlink(missing_ok=True)
            shutil.copyfile(self._backup, self._file)
            accounts.renew_epoch()
        self._was_restored = True

    def settle(self) -> None:
        """Let everybody reach the office, and hold the ledger against what is there."""
        self._meet_all()
        for phone in self.phones:
            self._expect(not phone.outbox, "something still waits after everybody has reached the office")
        if self.phones[2].wire.view() is None:
            self._expect(not any(phone.acknowledged for phone in self.phones), "the office does not know the survey")
            return
        self._account()
        self._agree()
        # A pick within a record that was taken away raises the question of the record itself once more, so there may be a second round.
        for _ in range(2):
            if self._pick_all():
                break
        self._expect(self.phones[2].wire.view()["contested"] == [], "picks did not settle their contests")
        self._agree()

    def _pick_all(self) -> bool:
        office = self.phones[2]
        for contest in office.wire.view()["contested"]:
            self._expect(len(contest["values"]) >= 2, "a contest names one side only")
            office.edit((contest["kind"], contest["record"], contest["field"]), contest["values"][-1]["value"], resolves=True)
        self._meet_all()
        return office.wire.view()["contested"] == []

    def _meet_all(self) -> None:
        """Let each exchange until nobody has anything to say or to hear; whoever has reached the last revision is not asked again."""
        for _ in range(4):
            reached = self._reached()
            behind = [phone for phone in self.phones if phone.outbox or phone.reoffers or (phone.epoch, phone.cursor) != reached]
            if not behind or (reached[1] == 0 and not any(phone.outbox for phone in behind)):
                return
            for phone in behind:
                phone.exchange()

    def _reached(self) -> tuple[str, int]:
        with self.office.app.app_context(), reading() as session:
            stored = session.get(StoredSurvey, self.office.survey)
            return accounts.epoch(), stored.revision if stored else 0

    def _account(self) -> None:
        log = _whole_log(self.phones[0])
        ids = Counter(change["id"] for change in log)
        doubled = [id for id, times in ids.items() if times > 1]
        self.counts["doubled"] += len(doubled)
        self._expect(not doubled, "an edit stands twice in the log")
        self._expect([change["revision"] for change in log] == list(range(1, len(log) + 1)), "the revisions have gaps")
        for phone in self.phones:
            last = {path_of(change): change["id"] for change in phone.saved}
            for change in phone.saved:
                id, path = change["id"], path_of(change)
                self.counts["saved"] += 1
                self.counts["acknowledged"] += id in phone.acknowledged
                # A backup may have taken out what the same phone has said better since; its last word on a field never.
                is_outdated = self._was_restored and last[path] != id
                if ids[id] == 0 and id not in phone.refused and id not in phone.replaced and not is_outdated:
                    self.counts["lost"] += 1
                    raise Broken(f"the edit of {'/'.join(path)} to {change['value']!r} is nowhere")
        with self.office.app.app_context(), reading() as session:
            faults = verify_survey(session, self.office.survey)
        self._expect(faults == [], f"the state is not what the log adds up to: {faults}")

    def _agree(self) -> None:
        stored = _values(self.phones[2].wire.view()["records"])
        refused = {path_of(change) for phone in self.phones for change in phone.refused.values()}
        for phone in self.phones:
            gone = {path[:2] for path, value in phone.values.items() if path[2] == "deleted" and value is True}
            mine = {path: value for path, value in phone.values.items() if value is not None and path[2] != "deleted" and path[:2] not in gone and path not in refused}
            theirs = {path: value for path, value in stored.items() if path not in refused}
            self._expect(mine == theirs, f"{phone.wire.name} holds {mine}, the office {theirs}")

    def _expect(self, is_so: bool, words: str) -> None:
        if not is_so:
            raise Broken(words)


def _whole_log(phone: Phone) -> list[dict[str, Any]]:
    log: list[dict[str, Any]] = []
    while True:
        page = phone.wire.page(len(log), 2_000)
        log += page["changes"]
        if not page["more"]:
            return log


def _values(records: dict[str, list[dict[str, Any]]]) -> dict[Path, Any]:
    return {(kind, item["id"], name): value for kind, items in records.items() for item in items for name, value in item.items() if name != "id"}


def play(office: Office, folder: File, steps: list[Step], *, over_http: bool = False) -> Counter[str]:
    """Play a history and settle it; return what was counted.

    Raises
    ------
    Broken
        When an edit was lost or doubled, or the sides do not end equal.
    """
    history = History(office, folder, over_http=over_http)
    history.play(steps)
    history.settle()
    return history.counts


def shorten(office: Office, folder: File, steps: list[Step], *, over_http: bool = False) -> list[Step]:
    """Return a shorter history that still does not add up: step after step is left out while it fails without it."""
    place = 0
    while place < len(steps):
        without = steps[:place] + steps[place + 1 :]
        try:
            play(office, folder, without, over_http=over_http)
            place += 1
        except Broken:
            steps = without
    return steps
