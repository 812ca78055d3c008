"""The wheel stands alone: installed elsewhere it is the engine, and with the server's packages it serves the phone app, the API and the demo report."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import sysconfig
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from urllib.request import urlopen

import pytest

from tests.support.server import Server
from wattwalk.cli import EXAMPLE
from wattwalk.engine import assess, to_plain

pytestmark = pytest.mark.takes(seconds=10)

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=ROOT)
    (made,) = folder.glob("wattwalk-*.whl")
    return made


def environment_with(wheel: Path, environment: Path) -> Path:
    """Make a virtual environment with the wheel in it and nothing else, as far as pip needs nothing else for it."""
    run(sys.executable, "-m", "venv", "--without-pip", environment)
    python = environment / "bin" / "python"
    run(sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-index", wheel)
    return environment


@pytest.fixture(scope="module")
def bare_environment(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A virtual environment with the wheel alone: no server, no database, no PDF."""
    return environment_with(wheel, tmp_path_factory.mktemp("bare") / "venv")


@pytest.fixture(scope="module")
def environment_of_its_own(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A virtual environment with the wheel in it, and the pinned packages of the server borrowed from the test run's."""
    environment = environment_with(wheel, tmp_path_factory.mktemp("whole") / "venv")
    # A path named in a .pth file is searched after the environment's own packages, and the .pth files in it are not
    # read: so the dependencies are found there, and the checkout, which an editable install names in a .pth, is not.
    own_packages = Path(sysconfig.get_path("purelib", vars={"base": str(environment), "platbase": str(environment)}))
    (own_packages / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return environment


def run(*command: str | Path, cwd: Path | None = None) -> str:
    """Run a command with nothing of the checkout on its path; return what it printed."""
    done = ended(*command, cwd=cwd)
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done.stdout


def ended(*command: str | Path, cwd: Path | None) -> subprocess.CompletedProcess[str]:
    """Run a command likewise, however it ends."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    return subprocess.run([str(part) for part in command], cwd=cwd, env=environment, capture_output=True, text=True)


def test_every_folder_comes_from_the_wheel(environment_of_its_own: Path, tmp_path: Path) -> None:
    question = "from wattwalk import paths; print(paths.migrations_folder(), paths.pwa_folder(), paths.fonts_folder(), sep='\\n')"
    folders = [
        Path(line) for line in run(environment_of_its_own / "bin" / "python", "-c", question, cwd=tmp_path).splitlines()
    ]
    assert [folder.name for folder in folders] == ["migrations", "pwa", "fonts"]
    for folder in folders:
        assert folder.is_relative_to(environment_of_its_own)


def test_it_serves_from_an_empty_folder(environment_of_its_own: Path, tmp_path: Path) -> None:
    with Server(tmp_path, program=environment_of_its_own / "bin" / "wattwalk", demo=True) as server:
        with urlopen(f"{server.url}/api/health") as answer:
            assert json.load(answer)["status"] == "ok"
        with urlopen(f"{server.url}/") as answer:
            assert answer.headers.get_content_type() == "text/html"
            assert answer.read() == (ROOT / "pwa" / "dist" / "index.html").read_bytes()
        with urlopen(f"{server.url}/sw.js") as answer:
            assert answer.headers.get_content_type() == "text/javascript"
    papers = list((tmp_path / "var").rglob("*.pdf"))
    assert len(papers) == 3
    assert all(paper.read_bytes().startswith(b"%PDF-") for paper in papers)
    document = json.loads(run(environment_of_its_own / "bin" / "wattwalk", "export", "demo-house", cwd=tmp_path))
    # The demo house was filled in just now: what it tells of its visit is over, and every work of it lies ahead.
    today = datetime.now(tz=UTC).date()
    visited = date.fromisoformat(document["records"]["survey"][0]["visit_date"])
    assert timedelta(days=1) <= today - visited <= timedelta(days=4)
    works = document["records"]["scope_item"]
    assert works
    assert all(date.fromisoformat(work["needed_by"]) > today for work in works)


def test_the_wheel_alone_is_the_engine_and_the_commands_that_work_on_files(
    bare_environment: Path, tmp_path: Path
) -> None:
    command, python = bare_environment / "bin" / "wattwalk", bare_environment / "bin" / "python"
    run(command, "example", "--out", "demo-house.json", cwd=tmp_path)
    assert (tmp_path / "demo-house.json").read_bytes() == EXAMPLE.read_bytes()
    assessed = json.loads(run(command, "assess", "demo-house.json", cwd=tmp_path))
    # To the byte what this checkout makes of it, with all its packages.
    assert assessed == to_plain(assess(EXAMPLE))
    asked = "import json, sys; from wattwalk.engine import assess, to_plain; json.dump(to_plain(assess('demo-house.json')), sys.stdout)"
    assert json.loads(run(python, "-c", asked, cwd=tmp_path)) == assessed
    assert run(command, "checks", cwd=tmp_path).rstrip().endswith(" cases met")
    (tmp_path / "units.csv").write_bytes((ROOT / "backend/wattwalk/catalogue/unit/units_demo_2026.csv").read_bytes())
    for more in (("units", "units.csv", "demo-house.json"), ("schema",), ("model",)):
        assert json.loads(run(command, *more, cwd=tmp_path))
    assert run(command, "--version", cwd=tmp_path).startswith("wattwalk ")


@pytest.mark.parametrize(
    "arguments", [("run",), ("verify",), ("report", "demo-house.json", "-o", "report.pdf")], ids=lambda value: value[0]
)
def test_a_command_that_needs_the_server_says_what_to_install(
    bare_environment: Path, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    (tmp_path / "demo-house.json").write_bytes(EXAMPLE.read_bytes())
    done = ended(bare_environment / "bin" / "wattwalk", *arguments, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (1, "")
    assert re.fullmatch(
        r"wattwalk: This command needs the server's packages, and \S+ is not installed here\. "
        r"Install them: pip install 'wattwalk\[server\]'\n",
        done.stderr,
    )
    assert sorted(path.name for path in tmp_path.iterdir()) == ["demo-house.json"]
