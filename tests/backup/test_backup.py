"""A backup holds all of the office and nothing of the moment; put back anywhere, it is what it was, or nothing has changed."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import create_engine, select, text

from tests.backup.conftest import MAKES, Place, files_of, put_photo, rows_of, use
from tests.cli.conftest import wattwalk  # noqa: F401  (a fixture)
from tests.support.cast import ADA, CAST, Office, open_office, picture
from wattwalk.api.access import PLAIN_COOKIE
from wattwalk.backup import archive as archives
from wattwalk.backup.archive import BackupError
from wattwalk.backup.making import make_backup
from wattwalk.backup.restoring import restore_backup
from wattwalk.config import Settings
from wattwalk.database import migrate, newest_revision, reading
from wattwalk.models import DeviceSession, Email, LoginFailure
from wattwalk.sync.verify import verify_all, verify_photos


@pytest.fixture
def office(place: Place, opened: Callable[[Settings], Office]) -> Office:
    """An office on SQLite that people have worked in."""
    office = opened(place("sqlite"))
    use(office)
    return office


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A backup of such an office, which is only read."""
    folder = tmp_path_factory.mktemp("kept")
    with open_office(f"sqlite:///{folder / 'wattwalk.sqlite3'}", folder) as office:
        use(office)
        make_backup(office.settings, folder / "kept.zip")
    return folder / "kept.zip"


def without_life(rows: dict[str, list[bytes]]) -> dict[str, list]:
    """Return the rows without what a restoration changes on purpose: the epoch, where it began, messages that are set aside."""
    kept = {
        name: [json.loads(line) for line in lines]
        for name, lines in rows.items()
        if name not in ("instance", "email", "survey")
    }
    return kept | {
        "messages": [json.loads(line)[0] for line in rows["email"]],
        "surveys": [json.loads(line)[:3] for line in rows["survey"]],
    }


@pytest.mark.parametrize("to", MAKES)
@pytest.mark.parametrize("of", MAKES)
def test_all_of_an_office_comes_back_on_either_make_of_database(
    place: Place,
    opened: Callable[[Settings], Office],
    program: Callable[[Settings], Office],
    tmp_path: Path,
    of: str,
    to: str,
) -> None:
    there, here = place(of), place(to)
    office = opened(there)
    use(office)
    made = make_backup(there, tmp_path / "kept.zip")
    assert (made.manifest.missing, made.manifest.revision, len(made.manifest.names("photos"))) == (
        [],
        newest_revision(),
        3,
    )
    restored = restore_backup(here, tmp_path / "kept.zip")
    assert (restored.before, restored.set_aside) == (None, 2)
    assert without_life(rows_of(here)) == without_life(rows_of(there))
    assert files_of(here) == files_of(there)
    assert len(files_of(here)) == 5
    copy = program(here)
    with copy.app.app_context(), reading() as session:
        assert {email.message_id: email.state for email in session.scalars(select(Email))} == {
            "<waiting@x>": "uncertain",
            "<sending@x>": "uncertain",
            "<sent@x>": "sent",
            "<held_as_file@x>": "held_as_file",
        }
        assert [found for found in verify_all(session).values() if found] == []
    with copy.app.app_context():
        assert verify_photos(here.photos).faults == {}
    health = copy.app.test_client().get("/api/health")
    assert (health.status_code, health.json["epoch"]) == (200, restored.epoch)
    assert restored.epoch != made.manifest.epoch
    # Numbers go on after those that came with the backup, and everybody can sign in.
    copy.survey = office.survey
    assert copy.device(ADA).view() == office.device(ADA).view()
    again = copy.app.test_client().post("/api/session", json={"email": ADA.email, "password": "wrong"})
    assert again.status_code == 401


def test_nobody_who_was_signed_out_is_let_in_again(
    office: Office, place: Place, program: Callable[[Settings], Office], tmp_path: Path
) -> None:
    device, here = office.device(ADA), place("sqlite")
    token = device.client.get_cookie(PLAIN_COOKIE).value
    make_backup(office.settings, tmp_path / "kept.zip")
    assert device.client.delete("/api/session").json == {"ended": True}
    restore_backup(here, tmp_path / "kept.zip")
    app = program(here).app
    client = app.test_client()
    client.set_cookie(PLAIN_COOKIE, token)
    assert client.get("/api/session").json["code"] == "sign_in_needed"
    with app.app_context(), reading() as session:
        assert session.scalars(select(DeviceSession)).all() == session.scalars(select(LoginFailure)).all() == []
    with zipfile.ZipFile(tmp_path / "kept.zip") as kept:
        assert not {"tables/device_session.jsonl", "tables/login_failure.jsonl"} & set(kept.namelist())


def test_a_backup_says_what_was_missing_already(office: Office, tmp_path: Path) -> None:
    lost, spoilt, _ = sorted(office.settings.photos.names())
    office.settings.photos.delete(lost)
    file = office.settings.home / "photos" / spoilt[:2] / spoilt
    file.write_bytes(bytes(file.stat().st_size))
    (office.settings.home / "reports" / office.survey / "1-ab.pdf").unlink()
    made = make_backup(office.settings, tmp_path / "kept.zip")
    assert made.manifest.missing == [f"photos/{lost}", f"photos/{spoilt}", f"reports/{office.survey}/1-ab.pdf"]


def test_a_backup_never_writes_over_a_file(office: Office, tmp_path: Path) -> None:
    (tmp_path / "kept.zip").write_bytes(b"another one")
    with pytest.raises(BackupError, match="never writes over"):
        make_backup(office.settings, tmp_path / "kept.zip")
    assert (tmp_path / "kept.zip").read_bytes() == b"another one"


def test_a_file_that_came_meanwhile_is_not_written_over_either(
    office: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    finish = archives.ArchiveWriter.finish

    def meanwhile(writer: archives.ArchiveWriter, manifest: archives.Manifest) -> None:
        finish(writer, manifest)
        (tmp_path / "kept.zip").write_bytes(b"another one")

    monkeypatch.setattr(archives.ArchiveWriter, "finish", meanwhile)
    with pytest.raises(BackupError, match="never writes over"):
        make_backup(office.settings, tmp_path / "kept.zip")
    assert (tmp_path / "kept.zip").read_bytes() == b"another one"
    assert [path.name for path in tmp_path.glob("*kept*")] == ["kept.zip"]


def damaged_copies(whole: bytes) -> list[bytes]:
    """Return the backup damaged at many places: cut short, and a bit turned in every stretch of it."""
    turned = []
    for place in range(0, len(whole), max(1, len(whole) // 120)):
        copy = bytearray(whole)
        copy[place] ^= 0x10
        turned.append(bytes(copy))
    # The end says that the list begins further on than it does, and so every part before the file.
    offset = whole.rindex(b"PK\5\6") + 16
    moved = bytearray(whole)
    moved[offset : offset + 4] = (int.from_bytes(moved[offset : offset + 4], "little") + len(whole)).to_bytes(
        4, "little"
    )
    return [whole[: len(whole) * share // 10] for share in range(10)] + turned + [bytes(moved)]


def test_a_damaged_backup_is_refused_before_anything_is_touched(kept: Path, place: Place, tmp_path: Path) -> None:
    whole, here, refused = kept.read_bytes(), place("sqlite"), 0
    read = json.loads(zipfile.ZipFile(kept).read("manifest.json"))
    for damaged in damaged_copies(whole):
        (tmp_path / "damaged.zip").write_bytes(damaged)
        try:
            with archives.open_archive(tmp_path / "damaged.zip") as found:
                # A turned bit that changes nothing, such as a file's time, is no damage.
                assert json.loads(json.dumps(found.manifest.parts, default=vars)) == read["parts"]
                continue
        except BackupError:
            refused += 1
        with pytest.raises(BackupError, match="not a whole backup"):
            restore_backup(here, tmp_path / "damaged.zip")
        assert list(here.home.iterdir()) == []
    assert refused > 100


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda said: said | {"format": "another"}, "no manifest of ours"),
        (lambda said: said | {"version": 2}, "newer version"),
        (lambda said: said | {"revision": "9999"}, "newer version"),
        (lambda said: {name: value for name, value in said.items() if name != "tables"}, "no manifest of ours"),
        (lambda said: said | {"parts": dict(list(said["parts"].items())[1:])}, "does not hold the files"),
        (
            lambda said: said | {"tables": said["tables"] | {"firm": said["tables"]["firm"] | {"rows": 99}}},
            "expected 99",
        ),
        (
            lambda said: (
                said
                | {
                    "tables": said["tables"]
                    | {"firm": {"columns": ["id", "moon"], "rows": said["tables"]["firm"]["rows"]}}
                }
            ),
            "not the one of migration",
        ),
        (lambda said: [], "no manifest of ours"),
    ],
)
def test_a_manifest_that_cannot_be_meant_is_refused(
    kept: Path, place: Place, tmp_path: Path, change: Callable, words: str
) -> None:
    here = place("sqlite")
    with zipfile.ZipFile(kept) as whole, zipfile.ZipFile(tmp_path / "other.zip", "w") as other:
        for name in whole.namelist():
            other.writestr(
                name, json.dumps(change(json.loads(whole.read(name)))) if name == "manifest.json" else whole.read(name)
            )
    with pytest.raises(BackupError, match=words):
        restore_backup(here, tmp_path / "other.zip")
    migrate(here.database_url)
    assert sum(map(len, rows_of(here).values())) == 1


@pytest.mark.parametrize("folder", ["photos", "reports", "tables"])
def test_a_part_that_is_not_what_was_written_is_refused_though_the_zip_is_sound(
    kept: Path, place: Place, tmp_path: Path, folder: str
) -> None:
    here = place("sqlite")
    with zipfile.ZipFile(kept) as whole, zipfile.ZipFile(tmp_path / "other.zip", "w") as other:
        changed = next(name for name in whole.namelist() if name.startswith(f"{folder}/") and whole.read(name))
        for name in whole.namelist():
            data = whole.read(name)
            other.writestr(name, data[:-2] + b"?" + data[-1:] if name == changed else data)
    with pytest.raises(BackupError, match="is not what was written"):
        restore_backup(here, tmp_path / "other.zip")
    assert list(here.home.iterdir()) == []


@pytest.mark.parametrize(
    "name", ["reports/../../outside.txt", "/etc/outside.txt", "reports/.hidden", "elsewhere/a", "photos/abc"]
)
def test_a_part_with_a_name_that_leads_elsewhere_is_refused(
    kept: Path, place: Place, tmp_path: Path, name: str
) -> None:
    with zipfile.ZipFile(kept) as whole, zipfile.ZipFile(tmp_path / "other.zip", "w") as other:
        said = json.loads(whole.read("manifest.json"))
        said["parts"][name] = said["parts"].pop(next(part for part in said["parts"] if part.startswith("reports/")))
        for part in whole.namelist():
            other.writestr(
                name if part.startswith("reports/") else part,
                json.dumps(said) if part == "manifest.json" else whole.read(part),
            )
    with pytest.raises(BackupError, match="no name of a part"):
        restore_backup(place("sqlite"), tmp_path / "other.zip")


@pytest.mark.parametrize("kind", MAKES)
def test_an_office_that_is_there_stays_unless_told_otherwise_and_is_kept_then(
    office: Office, place: Place, opened: Callable[[Settings], Office], tmp_path: Path, kind: str
) -> None:
    make_backup(office.settings, tmp_path / "kept.zip")
    here = place(kind)
    other = opened(here)
    put_photo(other.device(CAST[2]), picture(200, 100), "theirs")
    rows, files = rows_of(here), files_of(here)
    with pytest.raises(BackupError, match="There is an office here already"):
        restore_backup(here, tmp_path / "kept.zip")
    assert (rows_of(here), files_of(here)) == (rows, files)
    other.close()
    restored = restore_backup(here, tmp_path / "kept.zip", replace=True)
    assert without_life(rows_of(here)) == without_life(rows_of(office.settings))
    assert files_of(office.settings).items() <= files_of(here).items()
    assert restored.before is not None
    assert restored.before.file.parent == here.home / "backups"
    # And back again: nothing of it was lost.
    restore_backup(here, restored.before.file, replace=True)
    assert without_life(rows_of(here)) == without_life(rows)
    assert files.items() <= files_of(here).items()


def test_an_older_backup_is_brought_up_to_date(place: Place, tmp_path: Path) -> None:
    """The oldest tables of all, with a firm in them, come back as the newest ones."""
    there, here = place("sqlite"), place("sqlite")
    older(there, "0001")
    make_backup(there, tmp_path / "kept.zip")
    with archives.open_archive(tmp_path / "kept.zip") as kept:
        assert kept.manifest.revision == "0001"
    restore_backup(here, tmp_path / "kept.zip")
    migrate(there.database_url)
    assert rows_of(here)["firm"] == rows_of(there)["firm"] != []


def older(at: Settings, revision: str) -> None:
    """Make an earlier version's tables with a firm in them."""
    from wattwalk.database import changing_tables, upgrade

    with changing_tables(at.database_url) as connection:
        upgrade(connection, revision)
        connection.execute(
            text("INSERT INTO firm (id, name, address, telephone, email, terms) VALUES ('f', 'Teasel', '', '', '', '')")
        )


def wattwalk_at(wattwalk: Callable, settings: Settings, *arguments: str | Path, given: bytes = b""):  # noqa: F811
    return wattwalk(*arguments, given=given, WATTWALK_HOME=str(settings.home), DATABASE_URL=settings.database_url)


@pytest.mark.parametrize("kind", MAKES)
def test_older_tables_are_changed_only_after_a_backup_of_them(wattwalk: Callable, place: Place, kind: str) -> None:  # noqa: F811
    at = place(kind)
    older(at, "0001")
    for command in (["verify"], ["export", "x"], ["new-epoch"]):
        refused = wattwalk_at(wattwalk, at, *command)
        assert (refused.returncode, b"earlier version" in refused.stderr) == (1, True)
    assert list(at.home.glob("backups/*")) == []
    if kind == "postgresql":
        refused = wattwalk_at(wattwalk, at, "run", "--port", "0")
        assert (refused.returncode, b"earlier version" in refused.stderr) == (1, True)
        assert wattwalk_at(wattwalk, at, "migrate").returncode == 0
    else:
        added = wattwalk_at(
            wattwalk, at, "user", "add", "ada@teasel.example", "--firm", "Teasel", given=b"a password of ten\n"
        )
        assert (added.returncode, b"as it was before" in added.stderr) == (0, True)
    [kept] = at.home.glob("backups/*")
    assert kept.name.startswith("before-migration-0001-20")
    assert wattwalk_at(wattwalk, at, "verify").returncode == 0
    assert wattwalk_at(wattwalk, at, "migrate").returncode == 0
    assert list(at.home.glob("backups/*")) == [kept]
    # It is a backup like any other, of the database alone.
    restored = wattwalk_at(wattwalk, at, "restore", kept, "--replace")
    assert (restored.returncode, restored.stderr) == (0, b"")
    assert b"0 with faults" in restored.stdout


def test_the_newest_few_of_them_are_kept(place: Place) -> None:
    from wattwalk.backup.making import KEPT, back_up_before_migration

    at = place("sqlite")
    older(at, "0001")
    made = [back_up_before_migration(at, "0001").file for _ in range(KEPT + 2)]
    assert sorted(at.home.glob("backups/*")) == sorted(made[2:])


@pytest.mark.parametrize("kind", MAKES)
def test_an_office_on_tables_of_another_version_says_that_it_is_not_ready(
    place: Place, program: Callable[[Settings], Office], kind: str
) -> None:
    at = place(kind)
    client = program(at).app.test_client()
    if kind == "postgresql":
        assert client.get("/api/health").json["code"] == "not_ready"
    older(at, "0001")
    answer = client.get("/api/health")
    assert (answer.status_code, answer.json["code"], "earlier version" in answer.json["message"]) == (
        503,
        "not_ready",
        True,
    )
    migrate(at.database_url)
    assert client.get("/api/health").status_code == 200
    engine = create_engine(at.database_url)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()
    assert "newer version" in client.get("/api/health").json["message"]


def test_the_commands_say_what_they_did(wattwalk: Callable, office: Office, place: Place, tmp_path: Path) -> None:  # noqa: F811
    here, kept = place("sqlite"), tmp_path / "kept.zip"
    made = wattwalk_at(wattwalk, office.settings, "backup", kept)
    assert (made.returncode, b"1 surveys, 3 photos, 1 papers, 1 kept messages" in made.stdout, made.stderr) == (
        0,
        True,
        b"",
    )
    again = wattwalk_at(wattwalk, office.settings, "backup", kept)
    assert (again.returncode, b"never writes over" in again.stderr) == (1, True)
    restored = wattwalk_at(wattwalk, here, "restore", kept)
    assert (restored.returncode, restored.stderr) == (0, b"")
    for words in (
        b"The new epoch is",
        b"Messages that may have been sent since: 2",
        b"3 photos read, 0 missing or spoilt.",
        b"1 surveys looked at, 0 with faults.",
    ):
        assert words in restored.stdout
    refused = wattwalk_at(wattwalk, here, "restore", kept)
    assert (refused.returncode, b"--replace" in refused.stderr) == (1, True)
    shutil.rmtree(office.settings.home / "photos")
    incomplete = wattwalk_at(wattwalk, office.settings, "backup", tmp_path / "second.zip")
    assert (incomplete.returncode, incomplete.stdout.count(b"not in the backup")) == (1, 3)
    # The gap shows on the other side too: nothing looks whole that is not.
    elsewhere = wattwalk_at(wattwalk, place("sqlite"), "restore", tmp_path / "second.zip")
    assert (elsewhere.returncode, elsewhere.stdout.count(b"is missing")) == (1, 3)
