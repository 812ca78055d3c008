"""The ledger of a walk: what the screen called saved, what was begun and may stand or not, and what was seen since."""

from __future__ import annotations

import colorsys
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from tests.support.soak import Broken

#: Kind, record and field.
Place = tuple[str, str, str]
Colour = tuple[int, int, int]


@dataclass
class TriedPhoto:
    """A photo that was taken, and has not been seen with a name of its own yet."""

    room: str
    colour: Colour
    is_said: bool = False


@dataclass
class Ledger:
    """What one phone said of one survey."""

    #: What a field showed before anybody had answered it.
    first: dict[Place, str | None] = field(default_factory=dict)
    saved: dict[Place, str] = field(default_factory=dict)
    tried: dict[Place, set[str]] = field(default_factory=dict)
    rooms: list[str] = field(default_factory=list)
    gone: set[str] = field(default_factory=set)
    tried_room: bool = False
    tried_away: str | None = None
    photos: dict[str, Colour] = field(default_factory=dict)
    room_of: dict[str, str] = field(default_factory=dict)
    tried_photo: TriedPhoto | None = None
    counts: Counter[str] = field(default_factory=lambda: Counter(saved=0, lost=0, doubled=0))
    #: All that was called saved, in its order: answers, and rooms and photos by their ids.
    said: list[tuple[Place, str]] = field(default_factory=list)

    def tries(self, place: Place, words: str) -> None:
        """Something is being typed."""
        self.tried.setdefault(place, set()).add(words)

    def saves(self, place: Place, words: str) -> None:
        """The screen has called it saved."""
        self.saved[place] = words
        self.tried.pop(place, None)
        self.said.append((place, words))

    def sees(self, place: Place, words: str | None) -> None:
        """Hold what a screen shows against what was said."""
        tried = self.tried.pop(place, set())
        if place not in self.saved and not tried:
            words_before = self.first.setdefault(place, words)
        else:
            words_before = self.saved.get(place, self.first.get(place))
        if words not in {words_before, *tried}:
            raise Broken(f"{place} shows {words!r}; called saved was {words_before!r}, tried {sorted(tried)}")
        if words is not None and words in tried:
            self.saved[place] = words

    def makes_room(self, room: str) -> None:
        """The screen of a new room stands."""
        self.rooms.append(room)
        self.tried_room = False
        self.said.append((("room", room, ""), ""))

    def takes_away(self, room: str) -> None:
        """The screen has gone on from a room that was taken away."""
        self._forget(room)
        self.tried_away = None
        self.said.append((("room", room, "deleted"), "True"))

    def _forget(self, room: str) -> None:
        self.rooms.remove(room)
        self.gone.add(room)
        for places in (self.saved, self.tried):
            for place in [place for place in places if place[1] == room]:
                del places[place]
        # Its photos stay, as what was seen in the house.
        for photo in self.photos_of(room):
            del self.room_of[photo]

    def sees_rooms(self, listed: Iterable[str]) -> None:
        """Hold the list of rooms against what was said."""
        shown = set(listed)
        if self.tried_away and self.tried_away not in shown:
            self._forget(self.tried_away)
        lost, new = set(self.rooms) - shown, shown - set(self.rooms)
        if lost:
            raise Broken(f"rooms are lost: {lost}")
        if new & self.gone or len(new) > int(self.tried_room):
            raise Broken(f"rooms are there that nobody made: {new}")
        self.rooms += new
        self.tried_room, self.tried_away = False, None

    def tries_photo(self, room: str) -> Colour:
        """A photo is being taken. Return the colour that it shall have, which no other has."""
        self.counts["pictures"] += 1
        red, green, blue = colorsys.hsv_to_rgb((self.counts["pictures"] * 0.381966) % 1, 0.55, 0.85)
        self.tried_photo = TriedPhoto(room, (round(red * 255), round(green * 255), round(blue * 255)))
        return self.tried_photo.colour

    def photo_is_said(self) -> None:
        """The screen has called the photo saved."""
        assert self.tried_photo
        self.tried_photo.is_said = True

    def photos_of(self, room: str) -> list[str]:
        """Return the photos of a room."""
        return [photo for photo, of in self.room_of.items() if of == room]

    def sees_photos(self, room: str, listed: Iterable[str]) -> None:
        """Hold the photos that a room shows against what was said."""
        shown, known = set(listed), set(self.photos_of(room))
        new = shown - known
        tried = self.tried_photo if self.tried_photo and self.tried_photo.room == room else None
        if known - shown or (tried and tried.is_said and not new):
            raise Broken(f"photos of room {room} are lost: {known - shown or 'the last one'}")
        if len(new) > int(tried is not None):
            raise Broken(f"room {room} has photos that nobody took: {new}")
        if tried:
            for photo in new:
                self.photos[photo], self.room_of[photo] = tried.colour, room
                if tried.is_said:
                    self.said.append((("photo", photo, ""), ""))
            self.tried_photo = None

    def held_against(self, view: dict[str, Any], log: list[dict[str, Any]]) -> None:
        """Hold the office's records and its log against what was said, count, and raise Broken when it does not add up."""
        records = {(kind, item["id"]): item for kind, items in view["records"].items() for item in items}
        # Every answer of a walk is another one, so that none can rightly be in the log twice.
        times = Counter((change["kind"], change["record"], change["field"], _typed(change["value"])) for change in log)
        sent = {(kind, record, "") for kind, record, _, _ in times}
        lost = []
        for number, (place, words) in enumerate(self.said):
            if (*place, words) in times or place in sent:
                self.counts["at the office"] += 1
            elif self._is_replaced(place, words, self.said[number + 1 :]):
                self.counts["replaced"] += 1
            else:
                lost.append(f"{place} = {words!r}")
        lost += [
            f"{place} is not {words!r} now"
            for place, words in self.saved.items()
            if _typed(records.get(place[:2], {}).get(place[2])) != words
        ]
        lost += [
            f"{kind} {item} is not there now"
            for kind, items in (("room", self.rooms), ("photo", self.photos))
            for item in items
            if (kind, item) not in records
        ]
        doubled = [f"{what} {many} times" for what, many in times.items() if many > 1]
        doubled += [
            f"change {name} {many} times" for name, many in Counter(change["id"] for change in log).items() if many > 1
        ]
        doubled += [
            f"{kind} {item}, which nobody made"
            for kind, item in records
            if kind in {"room", "photo"} and item not in {*self.rooms, *self.photos}
        ]
        self.counts.update({"saved": len(self.said), "lost": len(lost), "doubled": len(doubled)})
        if lost or doubled:
            raise Broken(f"lost: {lost}; doubled: {doubled}")

    def _is_replaced(self, place: Place, words: str, later: list[tuple[Place, str]]) -> bool:
        """Whether a later answer of the same field, or the room's end, has taken the place of one that was not sent by then."""
        if self.saved.get(place, words) != words or any(other == place for other, _ in later):
            return True
        return place[0] == "room" and place[1] in self.gone


def _typed(value: Any) -> str:
    return "" if value is None else str(value)
