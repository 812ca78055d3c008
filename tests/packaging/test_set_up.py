"""The set-up script's decisions: what is new enough, what is installed, what has changed."""

from __future__ import annotations

import os
import shutil
import threading
import time
from pathlib import Path
from types import ModuleType

import pytest

from tests.support.tools import load_tool


@pytest.fixture
def set_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The script, looking at a folder of our own instead of the checkout."""
    module = load_tool("set_up")
    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "STAMPS", tmp_path / ".stamps")
    return module


@pytest.mark.parametrize(
    ("version", "is_new_enough"),
    [
        ("v18.20.4", False), ("v20.18.9", False), ("v20.19.0", True), ("v21.7.3", False), ("v22.11.0", False),
        ("v22.12.0", True), ("v24.19.0", True), ("not a version", False),
    ],
)  # fmt: skip
def test_the_oldest_node_that_will_do(
    set_up: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, version: str, is_new_enough: bool
) -> None:
    node = tmp_path / "node"
    node.write_text(f"#!/bin/sh\necho '{version}'\n")
    node.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    assert set_up.node_is_new_enough() is is_new_enough


def test_a_machine_without_node_is_seen(set_up: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert set_up.node_is_new_enough() is False


@pytest.mark.parametrize(("status", "is_installed"), [("installed", True), ("not-installed", False), ("config-files", False), ("", False)])
def test_only_a_whole_debian_package_counts(
    set_up: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, status: str, is_installed: bool
) -> None:
    query = tmp_path / "dpkg-query"
    query.write_text(f"#!/bin/sh\nprintf '%s' '{status}'\n" + ("" if status else "exit 1\n"))
    query.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    assert set_up.has_debian_package("anything") is is_installed


def test_without_root_or_sudo_the_person_is_told_the_command(
    set_up: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    query = tmp_path / "dpkg-query"
    query.write_text("#!/bin/sh\nexit 1\n")
    query.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(set_up.os, "geteuid", lambda: 1000)
    assert shutil.which("sudo") is None
    with pytest.raises(set_up.SetUpError, match="apt-get install --no-install-recommends chromium"):
        set_up.install_system_packages(("chromium",))


def test_a_step_is_done_until_its_files_change(set_up: ModuleType, tmp_path: Path) -> None:
    lock = tmp_path / "lock"
    lock.write_text("one==1")
    mark = set_up.fingerprint([lock])
    assert not set_up.is_done("step", mark)
    set_up.mark_done("step", mark)
    assert set_up.is_done("step", set_up.fingerprint([lock]))
    lock.write_text("one==2")
    assert not set_up.is_done("step", set_up.fingerprint([lock]))


def test_renaming_a_file_changes_the_fingerprint(set_up: ModuleType, tmp_path: Path) -> None:
    (tmp_path / "a").write_text("same")
    before = set_up.fingerprint([tmp_path / "a"])
    (tmp_path / "a").rename(tmp_path / "b")
    assert set_up.fingerprint([tmp_path / "b"]) != before


def test_steps_taken_at_once_have_all_ended_when_one_has_failed(set_up: ModuleType) -> None:
    both_are_there, done = threading.Barrier(2, timeout=30), []

    def fail() -> None:
        both_are_there.wait()
        raise set_up.SetUpError("no room left")

    def go_on() -> None:
        both_are_there.wait()
        time.sleep(0.2)
        done.append("to its end")

    with pytest.raises(set_up.SetUpError, match="no room left"):
        set_up.side_by_side(fail, go_on)
    assert done == ["to its end"]
