"""What the repository may hold: the agreed top level, and no word about the machine or the registry it was made with."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "CONTRIBUTING.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "Makefile", ".ci", ".gitignore", ".gitattributes",
    "backend", "pwa", "tests", "migrations",
}  # fmt: skip

# Put together from pieces, so that this file does not name what it looks for.
REGISTRY_HOSTS = [
    ".".join(pieces)
    for pieces in (
        ("pypi", "org"), ("files", "pythonhosted", "org"), ("registry", "npmjs", "org"), ("registry", "yarnpkg", "com"),
        ("registry", "npmmirror", "com"), ("deb", "debian", "org"), ("security", "debian", "org"),
    )
]  # fmt: skip
REGISTRY_HOST = re.compile("|".join(re.escape(host) for host in REGISTRY_HOSTS))
MACHINE_PATH = re.compile(r"(?<![\w.~})])/(?:work|root|home|Users)/")


def tracked_files() -> list[Path]:
    """Return every file in the repository's index that is there."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def lines_with(pattern: re.Pattern[str]) -> list[str]:
    """Return `file:line` for every line of a tracked text file that holds the pattern."""
    found = []
    for path in tracked_files():
        content = path.read_bytes()
        if b"\0" in content:
            continue  # a picture or a font
        for number, line in enumerate(content.decode("utf-8").splitlines(), start=1):
            if pattern.search(line):
                found.append(f"{path.relative_to(ROOT)}:{number}")
    return found


def test_the_top_level_holds_only_what_was_agreed() -> None:
    assert {path.relative_to(ROOT).parts[0] for path in tracked_files()} <= TOP_LEVEL


def test_no_file_names_a_package_registry() -> None:
    assert lines_with(REGISTRY_HOST) == []


def test_no_file_names_a_path_of_the_machine_it_was_made_on() -> None:
    assert lines_with(MACHINE_PATH) == []


@pytest.mark.parametrize(
    ("line", "is_machine_path"),
    [
        ("open('/" + "work/main/x')", True),
        ("/" + "root/.cache", True),
        ("PATH=/" + "home/someone/bin", True),
        ("GET /api/work/1", False),
        ("the home/office switch", False),
    ],
)
def test_a_machine_path_is_told_from_others(line: str, is_machine_path: bool) -> None:
    assert bool(MACHINE_PATH.search(line)) is is_machine_path


@pytest.mark.parametrize("lock", sorted((ROOT / "backend" / "locks").glob("*.txt")), ids=lambda path: path.name)
def test_every_python_lock_pins_by_version_and_hash_alone(lock: Path) -> None:
    lines = lock.read_text().replace("\\\n", " ").splitlines()
    entries = [line for line in lines if line and not line.startswith("#")]
    assert entries
    for entry in entries:
        assert re.fullmatch(r"[\w.-]+==[\w.!+]+(?: ; [^#]+?)?(?:\s+--hash=sha256:[0-9a-f]{64})+\s*", entry), entry


def test_the_node_lock_pins_by_version_and_hash_alone() -> None:
    packages = json.loads((ROOT / "pwa" / "package-lock.json").read_text())["packages"]
    installed = {name: entry for name, entry in packages.items() if name}
    assert installed
    for name, entry in installed.items():
        assert "resolved" not in entry, name
        assert entry["integrity"].startswith("sha512-"), name


def test_every_direct_node_package_is_pinned_exactly() -> None:
    manifest = json.loads((ROOT / "pwa" / "package.json").read_text())
    for name, version in {**manifest["dependencies"], **manifest["devDependencies"]}.items():
        assert re.fullmatch(r"\d+\.\d+\.\d+", version), f"{name} {version}"
