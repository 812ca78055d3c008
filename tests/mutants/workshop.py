"""The copy of the checkout in which mutants are made, with a Python of its own, so that programs the tests start are the copy's too."""

from __future__ import annotations

import shutil
import subprocess
import sysconfig
import venv
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
#: Beside the database of the demo: never part of the project, and not removed by a clean build of it.
FOLDER = ROOT / "var" / "mutants"
#: What a copy needs; the built phone app is lent to it.
_COPIED = ("backend", "migrations", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE", "Makefile")


@dataclass(frozen=True)
class Workshop:
    """Where the copy and its Python lie, and what was found out in it."""

    folder: Path

    @property
    def checkout(self) -> Path:
        """The copy."""
        return self.folder / "copy"

    @property
    def package(self) -> Path:
        """The copy's program."""
        return self.checkout / "backend" / "wattwalk"

    @property
    def python(self) -> Path:
        """The Python that knows the copy."""
        return self.folder / "python" / "bin" / "python"

    @property
    def map(self) -> Path:
        """Which test runs which line."""
        return self.folder / "map.json"

    def results(self, area: str) -> Path:
        """What became of the mutants of an area, a line for each."""
        return self.folder / f"{area}.jsonl"


def set_up_workshop(workshop: Workshop) -> None:
    """Copy the checkout's tracked files and make a Python for the copy."""
    shutil.rmtree(workshop.checkout, ignore_errors=True)
    listed = subprocess.run(
        ["git", "ls-files", "-z", *_COPIED], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            (workshop.checkout / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, workshop.checkout / name)
    if (ROOT / "pwa").is_dir():
        (workshop.checkout / "pwa").symlink_to(ROOT / "pwa")
    _make_python(workshop)


def _make_python(workshop: Workshop) -> None:
    folder = workshop.python.parents[1]
    venv.EnvBuilder(with_pip=False, clear=True, symlinks=True).create(folder)
    (site,) = folder.glob("lib/python*/site-packages")
    # A plain path, so that what this checkout put onto its own Python's path stays off the copy's.
    paths = [workshop.checkout / "backend", sysconfig.get_path("purelib")]
    (site / "copy.pth").write_text("".join(f"{path}\n" for path in paths))
    (site / "measure.pth").write_text(
        "import os; os.environ.get('COVERAGE_PROCESS_START') and __import__('coverage').process_startup()\n"
    )
    program = folder / "bin" / "wattwalk"
    program.write_text(f"#!{workshop.python}\nimport sys\nfrom wattwalk.cli import main\nsys.exit(main())\n")
    program.chmod(0o755)
