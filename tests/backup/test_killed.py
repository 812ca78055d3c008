"""A kill at any step of a backup or a restoration leaves the old state or the new one, and the next command says which, in words."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.backup import killed
from tests.backup.conftest import MAKES, Place, files_of, put_photo, rows_of, use
from tests.backup.test_backup import without_life
from tests.support.cast import CORA, Office, picture
from tests.support.forked import Ended, run_forked
from wattwalk.backup.archive import open_archive
from wattwalk.backup.making import make_backup
from wattwalk.backup.restoring import restore_backup
from wattwalk.config import Settings
from wattwalk.database import reading
from wattwalk.sync.verify import verify_all

#: Steps of each command that are killed: the first and the last ones, where the states meet, and some between them.
AT_THE_ENDS, BETWEEN = 2, 3


def run(settings: Settings, last: int, *arguments: str | Path) -> Ended:
    """Run a command that is killed at its step `last`, or to its end with 0."""
    environment = {"WATTWALK_HOME": str(settings.home), "DATABASE_URL": settings.database_url}
    return run_forked(killed.run, last, list(map(str, arguments)), environment=environment)


def steps_of(done: Ended) -> list[int]:
    """Return which steps to kill, of a command that ran to its end."""
    assert done.returncode == 0, done.stderr
    steps = int(done.stderr.rsplit("steps ", 1)[1])
    ends = {*range(1, AT_THE_ENDS + 1), *range(steps - AT_THE_ENDS + 1, steps + 1)}
    return sorted({*ends, *random.Random(steps).sample(range(1, steps + 1), BETWEEN)})


@pytest.fixture
def office(place: Place, opened: Callable[[Settings], Office]) -> Office:
    office = opened(place("sqlite"))
    use(office)
    return office


def test_a_backup_that_is_killed_is_whole_or_not_there(office: Office, tmp_path: Path) -> None:
    ended = [0, 0]
    for step in steps_of(run(office.settings, 0, "backup", tmp_path / "first.zip")):
        file = tmp_path / f"kept-{step}.zip"
        assert run(office.settings, step, "backup", file).returncode < 0
        ended[file.exists()] += 1
        # What it has left behind stands in nobody's way, nor is it written over: it may be the finished one under a second name.
        moved = file.rename(tmp_path / f"moved-{step}.zip") if file.exists() else None
        again = run(office.settings, 0, "backup", file)
        assert (again.returncode, "Backup written" in again.stdout) == (0, True)
        for whole in filter(None, (file, moved)):
            with open_archive(whole) as found:
                assert len(found.manifest.parts) > 5
    assert min(ended) > 0
    assert not list(tmp_path.glob(".kept-*"))


@pytest.mark.parametrize("kind", MAKES)
def test_a_restoration_that_is_killed_leaves_the_old_state_or_the_new_one(
    office: Office,
    place: Place,
    opened: Callable[[Settings], Office],
    program: Callable[[Settings], Office],
    tmp_path: Path,
    kind: str,
) -> None:
    kept = tmp_path / "kept.zip"
    make_backup(office.settings, kept)
    new, new_files = without_life(rows_of(office.settings)), files_of(office.settings)
    here = place(kind)
    there = opened(here)
    put_photo(there.device(CORA), picture(200, 100), "theirs")
    there.close()
    old_kept = tmp_path / "old.zip"
    make_backup(here, old_kept)
    old, old_files = without_life(rows_of(here)), files_of(here)
    ended = [0, 0]
    # Once each way, so that all files are there and every run takes the same steps.
    for there_and_back in (kept, old_kept):
        restore_backup(here, there_and_back, replace=True)
    for step in steps_of(run(here, 0, "restore", kept, "--replace")):
        restore_backup(here, old_kept, replace=True)
        assert run(here, step, "restore", kept, "--replace").returncode < 0
        rows, files = without_life(rows_of(here)), files_of(here)
        is_new = rows == new
        ended[is_new] += 1
        assert is_new or rows == old, f"step {step} left something between the two"
        assert (new_files if is_new else old_files).items() <= files.items()
        with program(here).app.app_context(), reading() as session:
            assert [fault for found in verify_all(session).values() for fault in found] == []
    assert min(ended) > 0


def test_a_restoration_into_an_empty_home_that_is_killed_can_be_done_again(
    office: Office, place: Place, tmp_path: Path
) -> None:
    kept = tmp_path / "kept.zip"
    make_backup(office.settings, kept)
    for step in steps_of(run(place("sqlite"), 0, "restore", kept)):
        here = place("sqlite")
        assert run(here, step, "restore", kept).returncode < 0
        said = run(here, 0, "verify")
        if said.returncode == 0:
            assert without_life(rows_of(here)) == without_life(rows_of(office.settings))
            continue
        assert "There is no database yet" in said.stderr
        again = run(here, 0, "restore", kept)
        assert (again.returncode, "0 with faults" in again.stdout) == (0, True)
        assert files_of(here) == files_of(office.settings)
