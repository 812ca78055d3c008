"""'At the office' is true of a photo's bytes: lost or spoilt, the word goes, nobody is shown wrong bytes, and the right ones make it good."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.api.test_photos import put, sha256
from tests.support.cast import ADA, Device, Office, change, picture
from wattwalk.database import reading
from wattwalk.models import StoredPhoto
from wattwalk.photo_store import DiskPhotos


@pytest.fixture
def ada(office: Office) -> Device:
    return office.device(ADA)


@pytest.fixture
def data(office: Office) -> bytes:
    """A picture of this test's own: bytes are kept once for the house."""
    number = int(office.survey.rsplit("-", 1)[1])
    return picture(60 + number, 40)


def taken(ada: Device, data: bytes) -> str:
    """Let Ada take the photo and send it; return the photo's address."""
    ada.push(change("photo-1", "sha256", sha256(data), kind="photo"))
    assert put(ada, data).status_code == 201
    assert says(ada) == (True, False, 0)
    return f"{ada.path}/photos/{sha256(data)}"


def says(ada: Device) -> tuple[bool, bool, int]:
    """Return what the survey says of its photo, arrived and lost, and what the list counts as missing."""
    [photo] = ada.view()["photos"]
    return photo["arrived"], photo["lost"], ada.listed()["photos_missing"]


def file_of(office: Office, data: bytes) -> Path:
    name = sha256(data)
    return office.settings.home / "photos" / name[:2] / name


def remove(path: Path) -> None:
    path.unlink()


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-20])


def empty(path: Path) -> None:
    path.write_bytes(b"")


def zero(path: Path) -> None:
    path.write_bytes(bytes(path.stat().st_size))


def put_another_there(path: Path) -> None:
    other = picture(99, 99)
    path.write_bytes(other + bytes(max(0, path.stat().st_size - len(other))))


SEEN_AT_ONCE = [remove, cut_short, empty]
SEEN_WHEN_READ = [zero, put_another_there]


@pytest.mark.parametrize("damage", [*SEEN_AT_ONCE, *SEEN_WHEN_READ])
@pytest.mark.parametrize("address", ["", "/preview"])
def test_lost_bytes_are_refused_in_words_and_the_survey_says_so_until_they_come_again(
    ada: Device, office: Office, data: bytes, damage: Callable[[Path], None], address: str
) -> None:
    path = taken(ada, data)
    damage(file_of(office, data))
    if damage in SEEN_AT_ONCE:
        assert says(ada) == (False, True, 1)
    got = ada.client.get(path + address)
    assert (got.status_code, got.json["code"]) == (404, "photo_lost")
    assert "sends it again" in got.json["message"]
    assert says(ada) == (False, True, 1)
    assert ada.client.head(path).status_code == 404
    assert put(ada, data).status_code == 200
    assert says(ada) == (True, False, 0)
    assert ada.client.get(path, buffered=True).data == data
    assert ada.client.get(f"{path}/preview").status_code == 200


@pytest.mark.parametrize("damage", [*SEEN_AT_ONCE, *SEEN_WHEN_READ])
def test_the_right_bytes_make_it_good_though_nobody_has_looked_since(
    ada: Device, office: Office, data: bytes, damage: Callable[[Path], None]
) -> None:
    path = taken(ada, data)
    damage(file_of(office, data))
    assert put(ada, data).status_code == 200
    assert ada.client.get(path, buffered=True).data == data


def test_what_is_spoilt_is_kept_aside_until_it_is_made_good(ada: Device, office: Office, data: bytes) -> None:
    path, aside = taken(ada, data), office.settings.home / "photos" / "spoilt" / sha256(data)
    cut_short(file_of(office, data))
    assert ada.client.get(path).status_code == 404
    assert not aside.exists()
    zero(file_of(office, data))
    office.settings.photos.get(sha256(data))
    assert aside.stat().st_size == len(data) - 20
    put(ada, data)
    assert not aside.exists()


def test_a_spoilt_preview_is_made_again_and_one_of_a_lost_photo_is_not_shown(
    ada: Device, office: Office, data: bytes
) -> None:
    path = taken(ada, data)
    small = ada.client.get(f"{path}/preview").data
    kept = office.settings.home / "photos" / "previews" / sha256(data)[:2] / f"{sha256(data)}.jpg"
    for damage in (zero, cut_short, empty, remove):
        damage(kept)
        assert ada.client.get(f"{path}/preview").data == small
    file_of(office, data).unlink()
    assert kept.is_file()
    assert ada.client.get(f"{path}/preview").json["code"] == "photo_lost"


def test_a_survey_with_a_lost_photo_is_not_written_out_as_if_it_were_whole(
    ada: Device, office: Office, data: bytes
) -> None:
    taken(ada, data)
    zero(file_of(office, data))
    answer = ada.client.get(f"{ada.path}/document")
    assert (answer.status_code, answer.json["code"]) == (409, "photo_lost")
    assert "photo/photo-1" in answer.json["message"]
    assert says(ada) == (False, True, 1)


def test_the_row_that_says_arrived_comes_after_the_bytes(
    ada: Device, office: Office, data: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk, as a kill between the two steps, leaves no row that speaks of bytes which never came."""
    ada.push(change("photo-1", "sha256", sha256(data), kind="photo"))

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(DiskPhotos, "put", full)
    answer = put(ada, data)
    assert (answer.status_code, answer.json["code"]) == (503, "store_unavailable")
    assert "No space left" in answer.json["message"]
    with office.app.app_context(), reading() as session:
        assert session.scalars(select(StoredPhoto).where(StoredPhoto.survey_id == office.survey)).all() == []
    assert says(ada) == (False, False, 1)
    assert ada.client.get(f"{ada.path}/photos/{sha256(data)}").json["code"] == "not_arrived"
    monkeypatch.undo()
    assert put(ada, data).status_code == 201


def test_a_store_that_is_out_of_reach_is_told_from_a_photo_that_is_lost(
    ada: Device, data: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = taken(ada, data)

    def too_many(*_: object) -> bytes:
        raise OSError(errno.EMFILE, os.strerror(errno.EMFILE))

    monkeypatch.setattr(Path, "read_bytes", too_many)
    assert ada.client.get(path).json["code"] == "store_unavailable"
    monkeypatch.undo()
    assert ada.client.get(path, buffered=True).data == data


def test_bytes_are_on_the_disk_before_they_have_their_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was not synced before the renaming may be an empty file after a power cut; a name that was not synced may be none."""
    steps: list[tuple[str, int]] = []
    sync, replace = os.fsync, Path.replace

    def note_sync(opened: int) -> None:
        steps.append(("synced", os.fstat(opened).st_ino))
        sync(opened)

    def note_naming(path: Path, target: Path) -> Path:
        steps.append(("named", path.stat().st_ino))
        return replace(path, target)

    monkeypatch.setattr(os, "fsync", note_sync)
    monkeypatch.setattr(Path, "replace", note_naming)
    store, data = DiskPhotos(tmp_path / "photos"), picture()
    store.put(sha256(data), data)
    file = tmp_path / "photos" / sha256(data)[:2] / sha256(data)
    bytes_at, named_at = steps.index(("synced", file.stat().st_ino)), steps.index(("named", file.stat().st_ino))
    assert bytes_at < named_at < len(steps) - 1 - steps[::-1].index(("synced", file.parent.stat().st_ino))
    # The folders are new, so their own names have to be on the disk as well.
    assert ("synced", file.parent.parent.stat().st_ino) in steps[:named_at]
    assert ("synced", tmp_path.stat().st_ino) in steps[:named_at]


def test_nobody_sets_aside_what_was_made_good_meanwhile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store, data = DiskPhotos(tmp_path), picture()
    name = sha256(data)
    store.put(name, data)
    file = tmp_path / name[:2] / name
    zero(file)
    set_aside = DiskPhotos._set_aside

    def later(self: DiskPhotos, sha256: str) -> None:
        # Between the look and the turn another process puts the right bytes there.
        file.write_bytes(data)
        set_aside(self, sha256)

    monkeypatch.setattr(DiskPhotos, "_set_aside", later)
    assert store.get(name) == data
    assert file.read_bytes() == data


def test_a_store_lists_and_deletes_what_it_holds(tmp_path: Path) -> None:
    store, first, second = DiskPhotos(tmp_path / "photos"), picture(10, 10), picture(11, 11)
    assert list(store.names()) == []
    for data in (first, second):
        store.put(sha256(data), data)
    store.put_preview(sha256(first), b"small")
    assert list(store.names()) == sorted([sha256(first), sha256(second)])
    store.delete(sha256(first))
    assert (list(store.names()), store.get(sha256(first)), store.get_preview(sha256(first))) == (
        [sha256(second)],
        None,
        None,
    )
    store.delete(sha256(first))
    with pytest.raises(ValueError, match="the hash"):
        store.put(sha256(first), second)
