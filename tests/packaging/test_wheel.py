"""The wheel stands alone: installed elsewhere, started in an empty folder, it serves the phone app, the API and the demo report."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
from pathlib import Path
from urllib.request import urlopen

import pytest

from tests.support.server import Server

pytestmark = pytest.mark.takes(seconds=10)

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def environment_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A virtual environment with the wheel in it, and the pinned dependencies borrowed from the test run's."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder / "dist", cwd=ROOT)
    (wheel,) = (folder / "dist").glob("wattwalk-*.whl")
    environment = folder / "venv"
    run(sys.executable, "-m", "venv", "--without-pip", environment)
    python = environment / "bin" / "python"
    run(sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-index", "--no-deps", wheel)
    # A path named in a .pth file is searched after the environment's own packages, and the .pth files in it are not
    # read: so the dependencies are found there, and the checkout, which an editable install names in a .pth, is not.
    own_packages = Path(sysconfig.get_path("purelib", vars={"base": str(environment), "platbase": str(environment)}))
    (own_packages / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return environment


def run(*command: str | Path, cwd: Path | None = None) -> str:
    """Run a command with nothing of the checkout on its path; return what it printed."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run([str(part) for part in command], cwd=cwd, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done.stdout


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
    (report,) = (tmp_path / "var").rglob("*.pdf")
    assert report.read_bytes().startswith(b"%PDF-")
