"""The set-up script's decisions: what is new enough, what is installed, what has changed."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import threading
import time
from pathlib import Path
from types import ModuleType

import pytest

from tests.support.ports import free_port
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


@pytest.mark.parametrize(
    ("status", "is_installed"), [("installed", True), ("not-installed", False), ("config-files", False), ("", False)]
)
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


@pytest.mark.parametrize(
    ("first", "then", "runs", "status"),
    [
        ("kill -SEGV $$", "true", 2, 0),
        ("exit 139", "true", 2, 0),
        ("exit 139", "exit 134", 2, 134),
        ("exit 1", "true", 1, 1),
        ("kill -TERM $$", "true", 1, -15),
    ],
)
def test_what_crashes_is_run_once_more_and_what_fails_is_not(
    set_up: ModuleType, tmp_path: Path, first: str, then: str, runs: int, status: int
) -> None:
    told = tmp_path / "told"
    command = [
        "sh",
        "-c",
        f"test -e {told}; seen=$?; echo run >> {told}; if [ $seen = 0 ]; then {then}; else {first}; fi",
    ]
    if status == 0:
        set_up.run_quietly(command)
    else:
        with pytest.raises(subprocess.CalledProcessError) as failed:
            set_up.run_quietly(command)
        assert failed.value.returncode == status
    assert told.read_text().count("run") == runs


@pytest.mark.parametrize(
    ("step", "what", "named"),
    [("install_python_packages", "the Python packages", "no-such-package-of-ours"), ("install_phone_app_packages", "the phone app's packages", ""), ("install_system_packages", "the system packages", "network is down")],
)  # fmt: skip
def test_without_a_network_a_person_is_told_what_is_missing_and_what_to_do(
    set_up: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    step: str,
    what: str,
    named: str,
) -> None:
    nobody = f"http://127.0.0.1:{free_port()}/"
    # The real pip and npm, asking where nobody answers; an apt-get of our own, since the real one would change this machine.
    for name, value in {
        "PIP_INDEX_URL": nobody,
        "PIP_CONFIG_FILE": os.devnull,
        "npm_config_registry": nobody,
        "npm_config_cache": str(tmp_path / "cache"),
    }.items():
        monkeypatch.setenv(name, value)
    locks, app = tmp_path / "locks", tmp_path / "pwa"
    locks.mkdir()
    app.mkdir()
    (locks / "build.txt").write_text(f"no-such-package-of-ours==1.0 --hash=sha256:{'0' * 64}\n")
    (locks / "run.txt").write_text("")
    (locks / "test.txt").write_text("")
    (tmp_path / "pyproject.toml").write_text("")
    (app / ".npmrc").write_text("")
    package = {"name": "app", "version": "1.0.0", "dependencies": {"no-such-package-of-ours": "1.0.0"}}
    (app / "package.json").write_text(json.dumps(package))
    locked = {
        "": package,
        "node_modules/no-such-package-of-ours": {"version": "1.0.0", "integrity": "sha512-" + "A" * 86 + "=="},
    }
    (app / "package-lock.json").write_text(
        json.dumps({"name": "app", "version": "1.0.0", "lockfileVersion": 3, "packages": locked})
    )
    monkeypatch.setattr(set_up, "LOCKS", locks)
    monkeypatch.setattr(set_up, "PHONE_APP", app)
    monkeypatch.setattr(set_up, "packages_for_the_virtual_environment", lambda: ())
    for each in (
        "make_virtual_environment",
        "find_or_install_node",
        "build_phone_app",
        *{"install_python_packages", "install_phone_app_packages"} - {step},
    ):
        monkeypatch.setattr(set_up, each, lambda *_: None)
    tools = tmp_path / "tools"
    tools.mkdir()
    for name, lines in {
        "dpkg-query": "exit 1" if step == "install_system_packages" else "printf installed",
        "env": "echo the network is down >&2\nexit 100",
    }.items():
        (tools / name).write_text(f"#!/bin/sh\n{lines}\n")
        (tools / name).chmod(0o755)
    if step != "install_system_packages":
        (tools / "env").unlink()
    monkeypatch.setattr(set_up.os, "geteuid", lambda: 0)
    monkeypatch.setenv("PATH", f"{tools}{os.pathsep}{os.environ['PATH']}")
    assert set_up.main(["run"]) == 1
    said = capfd.readouterr().err
    assert said.startswith(f"set-up: {what} could not be fetched. Has this machine a network?")
    assert "run the same command again" in said
    assert named in said
    assert "Traceback" not in said
