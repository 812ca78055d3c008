"""The version moves: each commit's build has a name of its own, and a later commit's is newer to pip."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import wattwalk
from tests.support.server import Server
from tests.support.tools import load_tool
from wattwalk.version import RELEASE, program_version, version_of

ROOT = Path(__file__).resolve().parents[2]
#: Of an author of our own, whatever the machine's settings are.
_GIT = ("git", "-c", "user.name=A. Tester", "-c", "user.email=tester@demo.example", "-c", "commit.gpgsign=false")


def run(*command: str | Path, cwd: Path) -> str:
    """Run a command and return what it printed."""
    environment = {
        name: value for name, value in os.environ.items() if name != "PYTHONPATH" and not name.startswith("GIT_")
    }
    done = subprocess.run([str(part) for part in command], cwd=cwd, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done.stdout


def commit(root: Path, words: str) -> str:
    """Commit all that is there and return the first ten letters of the commit's name."""
    run(*_GIT, "add", "-A", cwd=root)
    run(*_GIT, "commit", "-q", "--no-verify", "-m", words, cwd=root)
    return run("git", "rev-parse", "HEAD", cwd=root)[:10]


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the sources, as small as a wheel can be made from: the real project file, build hook and version."""
    root = tmp_path / "copy"
    names = [
        "pyproject.toml",
        "README.md",
        "LICENSE",
        "backend/tools/build_hook.py",
        "backend/wattwalk/__init__.py",
        "backend/wattwalk/version.py",
    ]
    for name in names:
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, root / name)
    fonts = [f"pwa/node_modules/source-sans/{name}" for name in load_tool("build_hook").FONT_FILES]
    for name in ("migrations/env.py", "pwa/dist/index.html", "tests/published/heat_loss.csv", *fonts):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(name)
    return root


@pytest.fixture
def checkout(copy: Path) -> Path:
    """The same as a repository with one commit."""
    run("git", "init", "-q", cwd=copy)
    commit(copy, "The first")
    return copy


def test_it_tells_release_count_and_commit(checkout: Path) -> None:
    first = run("git", "rev-parse", "HEAD", cwd=checkout)[:10]
    assert version_of(checkout) == f"{RELEASE}.post1+g{first}"
    (checkout / "README.md").write_text("Other words.")
    second = commit(checkout, "The second")
    assert version_of(checkout) == f"{RELEASE}.post2+g{second}"


def test_a_change_that_is_not_committed_shows(checkout: Path) -> None:
    told = version_of(checkout)
    module = checkout / "backend" / "wattwalk" / "new.py"
    names = [told]
    for words in ("one = 1\n", "one = 2\n"):
        module.write_text(words)
        names.append(version_of(checkout))
        assert re.fullmatch(re.escape(told) + r"\.x[0-9a-f]{10}", names[-1])
    assert len(set(names)) == 3
    module.unlink()
    assert version_of(checkout) == told


def test_a_copy_without_git_is_told_by_its_files(copy: Path) -> None:
    told = version_of(copy)
    assert re.fullmatch(re.escape(RELEASE) + r"\+copy\.[0-9a-f]{10}", told)
    (copy / "backend" / "wattwalk" / "__init__.py").write_text("one = 1\n")
    assert version_of(copy) != told


def test_a_copy_inside_another_repository_does_not_take_its_history(copy: Path) -> None:
    run("git", "init", "-q", cwd=copy.parent)
    commit(copy.parent, "Somebody else's")
    assert version_of(copy).startswith(f"{RELEASE}+copy.")


def test_a_clone_without_its_history_does_not_count(checkout: Path, tmp_path: Path) -> None:
    (checkout / "README.md").write_text("Other words.")
    second = commit(checkout, "The second")
    run("git", "clone", "-q", "--depth", "1", checkout.as_uri(), tmp_path / "shallow", cwd=tmp_path)
    assert version_of(tmp_path / "shallow") == f"{RELEASE}+g{second}"


@pytest.mark.takes(seconds=12)
def test_a_wheel_of_a_later_commit_is_newer_to_pip(checkout: Path, tmp_path: Path) -> None:
    python = tmp_path / "venv" / "bin" / "python"
    run(sys.executable, "-m", "venv", "--without-pip", tmp_path / "venv", cwd=tmp_path)
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-index", "--no-deps")
    ask = "import wattwalk, importlib.metadata; print(wattwalk.__version__, importlib.metadata.version('wattwalk'))"
    told = []
    # Ten, so that what is compared is a number and not a word: the tenth comes after the ninth.
    for number in range(2, 11):
        (checkout / "backend" / "wattwalk" / "number.py").write_text(f"NUMBER = {number}\n")
        commit(checkout, f"Number {number}")
        if number in (2, 9, 10):
            run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", tmp_path / "dist", cwd=checkout)
    wheels = sorted((tmp_path / "dist").iterdir(), key=lambda path: path.stat().st_mtime_ns)
    assert len({wheel.name for wheel in wheels}) == 3
    for wheel in wheels[:2]:
        run(*pip, wheel, cwd=tmp_path)
        told.append(run(python, "-c", ask, cwd=tmp_path).split())
    run(*pip, "--upgrade", "--find-links", tmp_path / "dist", "wattwalk", cwd=tmp_path)
    told.append(run(python, "-c", ask, cwd=tmp_path).split())
    assert [run(python, "-c", "from wattwalk.number import NUMBER; print(NUMBER)", cwd=tmp_path).strip()] == ["10"]
    assert [re.match(r".*\.post(\d+)\+g", name)[1] for name, _ in told] == ["2", "9", "10"]
    assert all(name == installed for name, installed in told)


def test_a_wheel_of_a_copy_without_git_is_built(copy: Path, tmp_path: Path) -> None:
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", tmp_path / "dist", cwd=copy)
    (wheel,) = (tmp_path / "dist").iterdir()
    assert wheel.name == f"wattwalk-{version_of(copy)}-py3-none-any.whl"


def test_the_package_the_command_and_the_office_say_the_same(tmp_path: Path) -> None:
    import json
    from urllib.request import urlopen

    told = program_version()
    assert wattwalk.__version__ == told
    assert told.startswith(RELEASE)
    command = Path(sys.executable).parent / "wattwalk"
    assert run(command, "--version", cwd=tmp_path) == f"wattwalk {told}\n"
    with Server(tmp_path) as server, urlopen(f"{server.url}/api/health") as answer:
        assert json.load(answer)["version"] == told


def test_the_package_has_no_other_word_of_its_own() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        wattwalk.nothing  # noqa: B018


def test_the_changelog_tells_of_the_release() -> None:
    headings = re.findall(r"^## (\S+)", (ROOT / "CHANGELOG.md").read_text(), re.MULTILINE)
    assert headings[0] == RELEASE


def test_the_phone_app_is_named_by_what_it_is_made_from() -> None:
    set_up = load_tool("set_up")
    assert set_up.name_of_phone_app("0123456789abcdef") == f"export const APP_VERSION = '{RELEASE}+p0123456789';\n"
