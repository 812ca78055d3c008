"""One history: steps that a seed draws or a kept file lists, played by three devices, then settled and accounted for.

A step is a list of plain values, so that a history can be kept as JSON and played again.
"""

from __future__ import annotations

import random
import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from pathlib import Path as File
from typing import Any
from unittest.mock import patch

from flask import has_app_context
from sqlalchemy import select, update

from tests.support.cast import ADA, BEN, Office, picture
from tests.support.ledger.account import account, agree, check
from tests.support.ledger.phone import Phone
from tests.support.ledger.wire import HttpWire, InnerWire, Wire, forget_accounts, troubled
from tests.support.soak import Broken
from wattwalk import accounts
from wattwalk.api import surveys as api
from wattwalk.database import db, reading, writing
from wattwalk.models import StoredSurvey, User
from wattwalk.survey.box import SIZES
from wattwalk.survey.building import Surface
from wattwalk.survey.holders import FIRM, OFFICE, SURVEYOR
from wattwalk.survey.model import shape_of
from wattwalk.sync.logs import book_of
from wattwalk.sync.old_sizes import take_over
from wattwalk.sync.sight import OF_SURVEY, Sight
from wattwalk.sync.state import SurveyState
from wattwalk.sync.surveys import load_survey
from wattwalk.sync.verify import verify_survey

FIELDS = {
    "name": ["Kitchen", "Larder", "Wash-house é"],
    "length_m": [2.4, 3.1, 4.75],
    "width_m": [1.8, 3.3],
    "notes": ["damp", "", "loft hatch here"],
}
#: What is said in the firm's book; nobody but the office sees or writes a cost price.
BOOK_FIELDS = {
    "words": ["Clip", "Pipe 22 mm", "Ventil é"],
    "selling_price": ["1.50", "2.00"],
    "cost_price": ["77321.01", "77321.02"],
}
BLIND = frozenset({"cost_price"})
#: Values that cannot stand, a field and a kind that only a newer phone knows: each is refused and kept.
UNFIT = [
    ("room", "length_m", -4),
    ("room", "length_m", "long"),
    ("room", "moon_phase", "full"),
    ("gadget", "size_m", 1),
]
CLOCKS = ["2026-03-31T14:05:00Z", "1970-01-01T00:00:00Z", "2027-05-01T09:00:00Z"]
#: What goes wrong with a batch of changes …
FAULTS = [
    "lost request",
    "late",
    "lost answer",
    "cut request",
    "half answer",
    "twice",
    "trouble before",
    "trouble after",
    "signed out",
    "too large",
    "portal",
]
#: … and with a photo.
PHOTO_FAULTS = ["lost request", "cut request", "lost answer", "twice", "wrong bytes", "only some", "proxy", "portal"]
PICTURES = [picture(16 + 8 * size, 16) for size in range(4)]
#: It is stored and sent like a picture, and is none.
UNFIT_PICTURE = b"a note that somebody called a picture"
Step = list[Any]


def draw(seed: int) -> list[Step]:
    """Return the steps of the history that a seed stands for."""
    chance = random.Random(seed)
    has_old = random.Random(f"{seed} of old").random() < 0.2
    has_backup = chance.random() < 0.12
    has_photos = chance.random() < 0.3
    steps: list[Step] = [["pages of", chance.choice([2, 50])]]
    weights = {
        "edit": 40,
        "unfit": 4,
        "delete": 4,
        "bring back": 3,
        "exchange": 14,
        "push": 22,
        "arrive": 5,
        "pull": 8,
        "pick": 5,
        "clock": 2,
        "backup": 3 * has_backup,
        "restore": 3 * has_backup,
        "photo": 10 * has_photos,
        "photos": 14 * has_photos,
    }
    if has_old:
        steps += [
            ["of old"],
            ["resize", 0, "room-0", "length_m", 4.75],
            ["side", 0, "side-0", "room-0", "front", None],
            ["exchange", 0],
            ["pull", 1, 9],
            ["pull", 2, 9],
        ]
        weights |= {"resize": 24, "side": 10, "office updates": 6, "update": 14}
    for _ in range(chance.randint(6, 12)):
        who = chance.randrange(3)
        kind = chance.choices([*weights], [*weights.values()])[0]
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
            # With nothing to send there would be nothing to go wrong.
            steps.append(["edit", who, record, "notes", chance.choice(FIELDS["notes"])])
            steps.append(["push", who, chance.choice(FAULTS), chance.randint(0, 100)])
        elif kind == "photo":
            steps.append(["photo", who, f"photo-{chance.randrange(3)}", chance.choice([*range(len(PICTURES)), -1])])
        elif kind == "photos":
            steps.append(["photo", who, f"photo-{chance.randrange(3)}", chance.randrange(len(PICTURES))])
            steps.append(["photos", who, chance.choice(PHOTO_FAULTS), chance.randint(0, 100)])
        elif kind == "pull":
            steps.append(["pull", who, chance.randint(1, 2)])
        elif kind == "resize":
            steps.append(
                [
                    "resize",
                    who,
                    record,
                    chance.choice(["length_m", "width_m", "height_m"]),
                    chance.choice([2.4, 3.1, 4.75, None]),
                ]
            )
        elif kind == "side":
            side = chance.choice(["front", "left", "floor"])
            steps.append(["side", who, f"side-{chance.randrange(3)}", record, side, chance.choice([None, 2.4, 3.1])])
        elif kind == "update":
            # A phone gets the new version from the office that has it.
            steps += [["office updates"], ["update", who]]
        elif kind == "clock":
            steps.append(["clock", who, chance.choice(CLOCKS)])
        elif kind in ("backup", "restore", "arrive", "office updates"):
            steps.append([kind])
        else:
            steps.append([kind, who])
    of_book = random.Random(f"{seed} of the book")
    for _ in range(of_book.randint(4, 9) if of_book.random() < 0.25 else 0):
        place = of_book.randint(1, len(steps))
        steps[place:place] = _draw_of_book(of_book)
    return steps


def _draw_of_book(chance: random.Random) -> list[Step]:
    """Return what somebody does in the firm's book: the second of the three is a surveyor."""
    who, record = chance.randrange(3), f"article-{chance.randrange(2)}"
    name = chance.choice(list(BOOK_FIELDS))
    edit = ["book", "edit", who, record, name, chance.choice([*BOOK_FIELDS[name], None])]
    kind = chance.choices(["edit", "push", "exchange", "pull", "delete", "pick"], [6, 6, 6, 3, 2, 2])[0]
    if kind == "push":
        return [edit, ["book", "push", who, chance.choice(FAULTS), chance.randint(0, 100)]]
    if kind == "delete":
        return [["book", "edit", who, record, "deleted", chance.random() < 0.7]]
    return [edit] if kind == "edit" else [["book", kind, who, *([1] if kind == "pull" else [])]]


class History:
    """Two phones, an office, one survey; `play` its steps, then `settle` them."""

    def __init__(self, office: Office, folder: File, phones: list[Phone], books: list[Phone]) -> None:
        self.office = office
        #: What the same three hold of the firm's book; none where the history says nothing of it.
        self.books = books
        #: The last one is the office's own screen, which picks in the end.
        self.phones = phones
        self.counts: Counter[str] = Counter()
        self._steps: dict[str, Callable[..., None]] = {
            "edit": self._edit,
            "unfit": self._unfit,
            "clock": self._clock,
            "exchange": self._exchange,
            "push": self._push,
            "arrive": self._arrive,
            "photo": self._photo,
            "photos": self._photos,
            "pages of": self._pages_of,
            "pull": self._pull,
            "pick": self._pick,
            "backup": self._take_backup,
            "restore": self._restore,
            "of old": self._be_of_old,
            "office updates": self._update_office,
            "update": self._update,
            "resize": self._resize,
            "side": self._side,
            "book": self._in_book,
        }
        #: Takes the office back to before a side could follow its room, until it is updated.
        self._of_old = ExitStack()
        self._is_backup_of_old = False
        self._file = File(office.app.config["SQLALCHEMY_DATABASE_URI"].removeprefix("sqlite:///"))
        self._backup = folder / "backup.sqlite"
        self._has_backup = False
        #: Whether a backup took acknowledged edits back out of the office.
        self._was_restored = False
        #: Requests that are still under way when their phone has given them up.
        self._late: list[tuple[Phone, list[dict[str, Any]], str | None, str]] = []

    def play(self, steps: list[Step]) -> None:
        """Play the steps one after the other."""
        for kind, *given in steps:
            self._steps[kind](*given)

    def _pages_of(self, changes: int) -> None:
        for phone in self.phones:
            phone.page = changes

    def _edit(self, who: int, record: str, name: str, value: Any) -> None:
        self.phones[who].edit(("room", record, name), value)

    def _in_book(self, kind: str, who: int, *given: Any) -> None:
        """Do something in the firm's book, as it is done in a survey."""
        if kind == "edit":
            record, name, value = given
            self.books[who].edit(("article", record, name), value)
            return
        with self._at(self.books):
            self._steps[kind](who, *given)

    @contextmanager
    def _at(self, phones: list[Phone]) -> Iterator[None]:
        before, self.phones = self.phones, phones
        try:
            yield
        finally:
            self.phones = before

    def _unfit(self, who: int, which: int) -> None:
        kind, name, value = UNFIT[which]
        self.phones[who].edit((kind, "room-0" if kind == "room" else "gadget-0", name), value)

    def _be_of_old(self) -> None:
        """Begin before a side could follow its room: the office takes every size as it is said, and so do the phones."""
        for phone in self.phones:
            phone.wire.model = "0123456789abcdef"
        self._of_old.enter_context(patch.object(api, "SHAPE", 1))
        self._of_old.enter_context(patch.object(SurveyState, "taken", lambda _state, *, value, **_what: value))

    def _update_office(self) -> None:
        """Let the new program take the office's database over."""
        if api.SHAPE > 1:
            return
        self._of_old.close()
        self._take_over()

    def _take_over(self) -> None:
        with nullcontext() if has_app_context() else self.office.app.app_context():
            before = self._sizes()
            with writing() as session:
                take_over(session.connection())
            check(self._sizes() == before, "a size moved when the office's log went over")
            with reading() as session:
                faults = verify_survey(session, self.office.survey) if before is not None else []
        check(faults == [], f"the log that went over does not add up: {faults}")
        self.counts["taken over"] += 1

    def _sizes(self) -> dict[str, list[float]] | None:
        """Return the sizes that every surface has, whoever says them."""
        with reading() as session:
            firm = session.execute(
                select(StoredSurvey.firm_id).where(StoredSurvey.id == self.office.survey)
            ).scalar_one_or_none()
            if firm is None:
                return None
            survey = load_survey(session, firm, self.office.survey).survey.measured()
        return {item.id: [getattr(item, name) for name in SIZES] for item in survey.of_kind(Surface)}

    def _update(self, who: int) -> None:
        if shape_of(self.phones[who].wire.model) == 1:
            self.phones[who].update()

    def _resize(self, who: int, room: str, name: str, value: float | None) -> None:
        self.phones[who].resize(room, name, value)

    def _side(self, who: int, side: str, room: str, which: str, width_m: float | None) -> None:
        self.phones[who].say_side(side, room, which, width_m)

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
            phone.edit(
                (contest["kind"], contest["record"], contest["field"]), contest["values"][0]["value"], resolves=True
            )

    def _push(self, who: int, fault: str, share: int) -> None:
        phone = self.phones[who]
        if not phone.outbox:
            return
        if phone.is_too_old:
            before = list(phone.outbox)
            phone.push()
            check(phone.outbox == before, "an app that is too old does not keep its queue")
            self.counts["too old"] += 1
            return
        # Every exchange begins with the question for the epoch.
        phone.meet(phone.wire.stands()[0])
        self.counts["faults"] += 1
        batch, epoch = phone.batch(), phone.epoch
        if fault in ("lost request", "portal"):
            # Nothing reached the office; a page of somebody else's may have come back, which is no answer.
            return
        if fault == "late":
            self._late.append((phone, batch, epoch, phone.wire.model))
            return
        if fault == "cut request":
            status = phone.wire.cut(batch, epoch, share)
            check(status in (None, 400), f"a request that was cut off was answered with {status}")
            return
        if fault == "signed out":
            status = phone.wire.stranger(batch, epoch)
            check(status == 401, f"a stranger was answered with {status}")
            return
        if fault in ("trouble before", "trouble after"):
            with troubled(after_commit=fault == "trouble after"):
                status, _ = phone.wire.push(batch, epoch)
            check(status == 500, f"{fault} was answered with {status}")
            return
        if fault == "too large":
            # Something in between turned the whole away; the phone goes on with a quarter, and dies before it sends the rest.
            batch = batch[: (len(batch) + 3) // 4]
        status, answer = phone.wire.push(batch, epoch)
        check(status == 200, f"a batch was answered with {status}")
        if fault == "twice":
            check(
                phone.wire.push(batch, epoch)[1]["results"] == answer["results"],
                "a repeated batch was answered otherwise",
            )
        if fault != "lost answer":
            phone.meet(answer["epoch"])
            phone.hear(answer, share if fault == "half answer" else 100)

    def _arrive(self) -> None:
        """Let what was under way arrive now; nobody hears the answers."""
        for phone, batch, epoch, model in self._late:
            present, phone.wire.model = phone.wire.model, model
            status, _ = phone.wire.push(batch, epoch)
            expected, phone.wire.model = 409 if phone.is_too_old else 200, present
            check(status == expected, f"a late batch was answered with {status}")
        self._late.clear()

    def _photo(self, who: int, record: str, which: int) -> None:
        self.phones[who].take_photo(record, UNFIT_PICTURE if which < 0 else PICTURES[which])

    def _photos(self, who: int, fault: str, share: int) -> None:
        phone = self.phones[who]
        phone.meet(phone.wire.stands()[0])
        phone.push()
        for sha256 in list(phone.waiting)[:1]:
            self.counts["faults"] += 1
            data = phone.pictures[sha256]
            if fault in ("proxy", "portal"):
                foreign = (
                    (413, {"code": "too_large", "message": "Too large.", "field": None, "record": None})
                    if fault == "proxy"
                    else (200, {"welcome": True})
                )
                phone.hear_of_photo(sha256, *foreign)
                check(
                    sha256 in phone.waiting,
                    "a photo does not wait any more for what somebody else than the office said",
                )
            elif fault in ("cut request", "wrong bytes"):
                answer = phone.wire.photo(
                    sha256, data[: len(data) * share // 101] if fault == "cut request" else data + b"\0"
                )
                check(
                    answer[0] == 422 and answer[1]["code"] == "hash_differs",
                    f"{fault} of a photo was answered with {answer}",
                )
                phone.hear_of_photo(sha256, *answer)
                check(sha256 in phone.waiting, "a photo that changed on the way does not wait any more")
            elif fault == "only some":
                # The line goes after one photo; the others wait and are sent later.
                phone.push_photos(1)
            elif fault in ("lost answer", "twice"):
                status, answer = phone.wire.photo(sha256, data)
                if fault == "twice":
                    again, answer = phone.wire.photo(sha256, data)
                    check(
                        again == (200 if status in (200, 201) else status),
                        f"a photo sent twice was answered with {status}, then {again}",
                    )
                    phone.hear_of_photo(sha256, again, answer)

    def let_be(self) -> None:
        """Leave the program as it was found."""
        self._of_old.close()

    def _let_go(self) -> None:
        with self.office.app.app_context():
            # The session of whoever plays this, too.
            db.session.remove()
            db.engine.dispose()

    def _take_backup(self) -> None:
        self._let_go()
        shutil.copyfile(self._file, self._backup)
        self._has_backup, self._is_backup_of_old = True, api.SHAPE == 1

    def _restore(self) -> None:
        if not self._has_backup:
            return
        self.counts["faults"] += 1
        self._let_go()
        for tail in ("-wal", "-shm"):
            self._file.with_name(self._file.name + tail).unlink(missing_ok=True)
        shutil.copyfile(self._backup, self._file)
        with self.office.app.app_context():
            accounts.renew_epoch()
        self._was_restored = True
        if self._is_backup_of_old and api.SHAPE > 1:
            self._take_over()
            self._is_backup_of_old = False

    def settle(self) -> None:
        """Let everybody reach the office, and hold the ledger against what is there."""
        self._update_office()
        for who in range(len(self.phones)):
            self._update(who)
        self._settle(self.office.survey)
        if self.books:
            with nullcontext() if has_app_context() else self.office.app.app_context(), reading() as session:
                firm = session.scalars(select(User.firm_id).where(User.email == ADA.email)).one()
            with self._at(self.books):
                self._settle(book_of(firm))
            self.counts["of the book"] += 1

    def _settle(self, log_id: str) -> None:
        self._meet_all()
        # What was under way all the time comes last of all.
        self._arrive()
        self._meet_all()
        for phone in self.phones:
            check(
                not phone.outbox and not phone.waiting, "something still waits after everybody has reached the office"
            )
        if self.phones[2].wire.stands()[1] == 0:
            check(not any(phone.acknowledged for phone in self.phones), "the office does not know the survey")
            return
        account(self.office, self.phones, self.counts, log_id, was_restored=self._was_restored)
        contested = agree(self.phones)
        # A pick within a record that was taken away raises the question of the record itself once more, so there may be a second round.
        for _ in range(2):
            if not contested:
                return
            self._pick_all(contested)
            contested = agree(self.phones)
        check(not contested, "picks did not settle their contests")

    def _pick_all(self, contested: list[dict[str, Any]]) -> None:
        office = self.phones[2]
        for contest in contested:
            check(len({str(value["value"]) for value in contest["values"]}) >= 2, "a contest names one value only")
            office.edit(
                (contest["kind"], contest["record"], contest["field"]), contest["values"][-1]["value"], resolves=True
            )
        self._meet_all()

    def _meet_all(self) -> None:
        """Let each exchange until nobody has anything to say or to hear; whoever has reached the last revision is not asked again."""
        for _ in range(5):
            epoch, revision = self.phones[2].wire.stands()
            behind = [
                phone
                for phone in self.phones
                if phone.outbox or phone.waiting or phone.reoffers or (phone.epoch, phone.cursor) != (epoch, revision)
            ]
            if not behind or (revision == 0 and not any(phone.outbox for phone in behind)):
                return
            for phone in behind:
                phone.exchange()


def play(office: Office, folder: File, steps: list[Step], *, over_http: bool = False) -> Counter[str]:
    """Play a history and settle it; return what was counted.

    Raises
    ------
    Broken
        When an edit was lost or doubled, a value went unseen, or the sides do not end equal.
    """
    office.take_up_survey()
    cast = ((ADA, "Ada's phone"), (BEN, "Ben's phone"), (ADA, "The office"))

    def wire(who: int, sight: Sight = OF_SURVEY) -> Wire:
        person, name = cast[who]
        return HttpWire(office.device(person, name), sight) if over_http else InnerWire(office, person, name, sight)

    with _firm_with_a_book(office) if any(step[0] == "book" for step in steps) else nullcontext(()) as roles:
        phones = [Phone(wire(who)) for who in range(len(cast))]
        books = [
            Phone(wire(who, Sight(FIRM, role)), blind_to=BLIND if role == SURVEYOR else frozenset())
            for who, role in enumerate(roles)
        ]
        history = History(office, folder, phones, books)
        # A request brings a context of its own.
        with nullcontext() if over_http else office.app.app_context():
            try:
                history.play(steps)
                history.settle()
            finally:
                history.let_be()
    return history.counts


@contextmanager
def _firm_with_a_book(office: Office) -> Iterator[tuple[str, ...]]:
    """Let the cast work for a firm of its own, whose book is empty, for one history; return what each of the three is to it."""
    with office.app.app_context():
        firm = accounts.find_or_add_firm(f"Firm of {office.survey}")
        with reading() as session:
            before = session.scalars(select(User.firm_id).where(User.email == ADA.email)).one()
    try:
        _move_cast(office, firm.id)
        with office.as_role(BEN, SURVEYOR):
            yield OFFICE, SURVEYOR, OFFICE
    finally:
        _move_cast(office, before)


def _move_cast(office: Office, firm_id: str) -> None:
    with office.app.app_context(), writing() as session:
        session.execute(update(User).where(User.email.in_([ADA.email, BEN.email])).values(firm_id=firm_id))
    forget_accounts(office)


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
