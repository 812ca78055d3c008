"""A history: a list of steps, each a list of plain words and numbers, so that it can be drawn, shrunk, kept in a file and played again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime
from functools import cache
from itertools import count
from typing import Any

from hypothesis import strategies as st

from tests.support.cast import ADA, BEN, Person, picture
from tests.support.ledger.house import SURVEY, LedgerHouse, Logged
from tests.support.ledger.line import AFTER, BEFORE, Deliver, Line
from tests.support.ledger.phone import RIGHT_CLOCK, Path, Phone
from wattwalk.sync.state import SurveyState

#: Two phones in the house, and the client that the office works with; the office's is the same program on a laptop.
WHO = ("ada", "ben", "office")
ROOMS = ("kitchen", "hall", "loft")
FIELDS: dict[str, tuple[Any, ...]] = {
    "length_m": (4.2, 4.5, 3.0, None, 999),
    "name": ("Kitchen", "Küche 厨房", None),
    "notes": ("damp", "dry", "a\tb", None),
    # What an app of tomorrow might send, which the office of today does not know.
    "mood": ("cheerful",),
}
CLOCKS = {"right": RIGHT_CLOCK, "long_ago": datetime(1970, 1, 1, tzinfo=UTC), "ahead": datetime(2027, 3, 31, 14, tzinfo=UTC)}
#: Rounds without a fault after which everybody must have met everybody.
ROUNDS = 6

History = list[list[Any]]


def histories(max_steps: int = 32) -> st.SearchStrategy[History]:
    """Return the strategy that draws histories."""
    who, room = st.sampled_from(WHO), st.sampled_from(ROOMS)
    field = st.sampled_from([(field, place) for field, values in FIELDS.items() for place in range(len(values)) for _ in range(1 if field == "mood" else 3)])
    fault = st.tuples(st.integers(1, 7), st.sampled_from((*BEFORE, *AFTER)), st.sampled_from((0.0, 0.1, 0.5, 0.9, 0.99))).map(list)
    edit = st.builds(lambda who, room, field: ["edit", who, room, *field], who, room, field)
    sync = st.builds(lambda who, faults, killed: ["exchange", who, faults, killed], who, st.lists(fault, max_size=2), st.sampled_from((0, 0, 0, *range(1, 12))))
    together = st.builds(lambda faults, turns: ["together", faults, turns], st.lists(fault, max_size=1), st.lists(st.integers(0, 2), min_size=4, max_size=12))
    step = st.one_of(
        edit, edit, edit, edit, sync, sync, sync, together,
        st.builds(lambda who, room, is_deleted: ["delete" if is_deleted else "bring_back", who, room], who, room, st.booleans()),
        st.builds(lambda who, place: ["pick", who, place], who, st.integers(0, 3)),
        st.builds(lambda who, place: ["photo", who, place], who, st.integers(0, 2)),
        st.builds(lambda who, clock: ["clock", who, clock], who, st.sampled_from(tuple(CLOCKS))),
        st.sampled_from((["back_up"], ["restore"])),
    )
    return st.lists(step, min_size=12, max_size=max_steps)


@cache
def _photo(place: int) -> bytes:
    return picture(8 + place, 8, "PNG")


class Ledger:
    """What happened in all histories so far, counted."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self.faults: Counter[str] = Counter()

    def line(self) -> str:
        """Return the sums in one line."""
        named = ("histories", "steps", "saved", "acknowledged", "taken by a backup", "contested", "lost", "doubled")
        return f"faults made: {self.faults.total():,}; " + "; ".join(f"{name}: {self.counts[name]:,}" for name in named)


class Play:
    """One history being played against a fresh office."""

    def __init__(self, house: LedgerHouse, ledger: Ledger, way: Callable[[Person], Deliver]) -> None:
        house.start_afresh()
        self._house, self._ledger = house, ledger
        numbers = count(1)
        self.phones = {
            who: Phone(who, Line(way(BEN if who == "ben" else ADA), self._note_fault), SURVEY, lambda: next(numbers)) for who in WHO
        }
        self._backup: bytes | None = None
        self._backed_up_log: set[str] = set()
        self.log_taken: set[str] = set()

    def _note_fault(self, fault: str) -> None:
        self._ledger.faults[fault] += 1

    def play(self, history: History) -> None:
        """Play the steps, let everybody meet, and hold what is there against the ledger."""
        for name, *given in history:
            getattr(self, f"_{name}")(*given)
        self._ledger.counts["histories"] += 1
        self._ledger.counts["steps"] += len(history)
        self._meet()
        state = self._house.look()
        self._check_entries(state)
        self._check_equal(state)
        if state.contests:
            self._settle()

    def _edit(self, who: str, room: str, field: str, place: int) -> None:
        self.phones[who].edit("room", room, {field: FIELDS[field][place]})

    def _delete(self, who: str, room: str) -> None:
        self.phones[who].edit("room", room, {"deleted": True})

    def _bring_back(self, who: str, room: str) -> None:
        self.phones[who].edit("room", room, {"deleted": False})

    def _photo(self, who: str, place: int) -> None:
        self.phones[who].take_photo(f"photo-{who}-{place}", _photo(place))

    def _pick(self, who: str, place: int) -> None:
        phone = self.phones[who]
        if phone.contested:
            contest = phone.contested[place % len(phone.contested)]
            phone.edit(contest["kind"], contest["record"], {contest["field"]: contest["values"][place % len(contest["values"])]["value"]}, resolves=True)

    def _clock(self, who: str, clock: str) -> None:
        self.phones[who].clock = CLOCKS[clock]

    def _back_up(self) -> None:
        self._backup = self._house.back_up()
        self._backed_up_log = {line.id for line in self._house.log()}

    def _restore(self) -> None:
        if self._backup is not None:
            self._note_fault("backup restored")
            self.log_taken |= {line.id for line in self._house.log()} - self._backed_up_log
            self._house.restore(self._backup)

    def _exchange(self, who: str, faults: list[list[Any]], killed: int) -> None:
        phone = self.phones[who]
        phone.line.begin({number: (fault, share) for number, fault, share in faults})
        for moment, _ in enumerate(phone.exchange(), 1):
            if moment == killed:
                # What the app had in hand is gone; what it had stored is all that the next start finds.
                self._note_fault("killed")
                return

    def _together(self, faults: list[list[Any]], turns: list[int]) -> None:
        running = []
        for phone in self.phones.values():
            phone.line.begin({number: (fault, share) for number, fault, share in faults})
            running.append(phone.exchange())
        for turn in turns:
            next(running[turn], None)
        for exchange in running:
            for _ in exchange:
                pass

    def _meet(self) -> None:
        for _ in range(ROUNDS):
            for who in WHO:
                self._exchange(who, [], 0)
            if not any(phone.outbox or phone.reoffer for phone in self.phones.values()) and len({phone.cursor for phone in self.phones.values()}) == 1:
                break
        else:
            raise AssertionError("the phones and the office do not come to rest")
        # The answer to a phone's own changes may have come before a contest that another brought: one more look.
        for who in WHO:
            self._exchange(who, [], 0)

    def _check_entries(self, state: SurveyState) -> None:
        log = self._house.log()
        accepted = [change for change in log if change.revision is not None]
        assert [change.revision for change in accepted] == list(range(1, len(accepted) + 1)), "revisions have gaps"
        in_log = Counter(change.id for change in log)
        doubled = [id for id, times in in_log.items() if times > 1]
        counts = self._ledger.counts
        counts["doubled"] += len(doubled)
        assert not doubled, f"doubled: {doubled}"
        counts["contested"] += len(state.contests)
        for who, phone in self.phones.items():
            assert not phone.outbox, f"{who} still has {list(phone.outbox.values())} waiting"
            last = {id for id in phone.saved if id not in phone.replaced}
            lost = [phone.saved[id] for id in last if id not in in_log and id not in phone.refused and not self._was_taken(phone, id)]
            lost += [phone.saved[id] for id in phone.acknowledged if id not in in_log and not self._was_taken(phone, id)]
            counts["saved"] += len(phone.saved)
            counts["acknowledged"] += len(phone.acknowledged)
            counts["lost"] += len(lost)
            assert not lost, f"{who} has lost {lost}"
            for sha256, photo in phone.photos.items():
                # A proxy's 'too large' is told to the person, who has the picture still.
                assert photo["refused"] or sha256 in self._house.arrived(), f"{who}'s photo {sha256[:8]} is neither at the office nor refused"
        self._check_seen(accepted)

    def _was_taken(self, phone: Phone, id: str) -> bool:
        """Say whether a restored backup took an edit whose field the same phone has set again since, which is all that it offers again."""
        if id not in self.log_taken:
            return False
        path = self._path(phone.saved[id])
        is_followed = any(self._path(change) == path for change in list(phone.saved.values())[list(phone.saved).index(id) + 1 :])
        self._ledger.counts["taken by a backup"] += is_followed
        return is_followed

    @staticmethod
    def _path(change: dict[str, Any]) -> Path:
        return change["kind"], change["record"], change["field"]

    def _check_seen(self, accepted: list[Logged]) -> None:
        """Hold every value that took another's place without a contest against what its maker had seen."""
        shown: dict[Path, Any] = {}
        epoch = self.phones["ada"].epoch
        for change in accepted:
            path = (change.kind, change.record, change.field)
            before, shown[path] = shown.get(path), change
            phone = self.phones[change.device]
            made_in, known = phone.made_over[change.id]
            if before is None or change.is_contested or before.device == change.device or before.value_json == change.value_json:
                continue
            if made_in not in {"", epoch}:
                self._ledger.counts["made in an earlier epoch"] += 1
                continue
            assert before.id in known, f"{change.device} overwrote {path} = {before.value_json} of {before.device} unseen, and nobody was asked"

    def _check_equal(self, state: SurveyState) -> None:
        there: dict[Path, Any] = {}
        for id, record in state.records.items():
            there |= {(record.kind, id, field): value for field, value in record.values.items()}
            if "deleted" in record.marks:
                there[record.kind, id, "deleted"] = record.is_deleted
        for who, phone in self.phones.items():
            refused = {self._path(item) for item in phone.refused.values()}
            paths = {*there, *phone.values} - refused
            differing = {path: (phone.values.get(path), there.get(path)) for path in paths if phone.values.get(path) != there.get(path)}
            assert not differing, f"{who} shows another value than the office: {differing}"
            contested = {(item["record"], item["field"]) for item in phone.contested}
            assert contested == set(state.contests), f"{who} is not told of every contest: {contested} of {set(state.contests)}"
            for item in phone.contested:
                assert len({(value["device"], str(value["value"])) for value in item["values"]}) > 1, f"a contest names one value only: {item}"

    def _settle(self) -> None:
        """Pick every contested value, each on one phone, until none is left."""
        for _ in range(2):
            if not self.phones["ada"].contested:
                break
            while self.phones["ada"].contested:
                self._pick("ada", 1)
            self._meet()
        state = self._house.look()
        assert not state.contests, f"picks have not settled {state.contests}"
        self._check_equal(state)


def play(house: LedgerHouse, ledger: Ledger, history: History, *, by_api: bool = False) -> None:
    """Play one history; raises AssertionError when the promise is broken."""
    Play(house, ledger, house.by_api if by_api else house.by_functions).play(history)
