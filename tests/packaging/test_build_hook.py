"""The wheel's build hook bundles what the program needs, and refuses in one sentence to build a wheel without it."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from tests.support.tools import load_tool


@pytest.fixture(scope="module")
def build_hook() -> ModuleType:
    return load_tool("build_hook")


@pytest.fixture
def checkout(tmp_path: Path, build_hook: ModuleType) -> Path:
    """A folder with all that the hook looks for."""
    for name in (
        "migrations/env.py",
        "migrations/versions/0001_first.py",
        "migrations/__pycache__/env.pyc",
        "pwa/dist/index.html",
        "tests/published/heat_loss.csv",
    ):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(name)
    for name in build_hook.FONT_FILES:
        font = tmp_path / "pwa" / "node_modules" / "source-sans" / name
        font.parent.mkdir(parents=True, exist_ok=True)
        font.write_text(name)
    return tmp_path


def bundled(build_hook: ModuleType, root: Path, version: str = "standard") -> dict[str, str]:
    """Run the hook on a folder and return where in the wheel each file goes."""
    build_data: dict[str, Any] = {"force_include": {}}
    build_hook.BundleHook(str(root), {}, None, None, str(root / "out"), "wheel").initialize(version, build_data)
    return build_data["force_include"]


def test_migrations_phone_app_fonts_and_cases_go_into_the_bundle(build_hook: ModuleType, checkout: Path) -> None:
    targets = set(bundled(build_hook, checkout).values())
    assert targets == {
        "wattwalk/_bundle/migrations/env.py",
        "wattwalk/_bundle/migrations/versions/0001_first.py",
        "wattwalk/_bundle/pwa",
        "wattwalk/_bundle/published/heat_loss.csv",
        "wattwalk/_bundle/fonts/SourceSans3-Regular.ttf",
        "wattwalk/_bundle/fonts/SourceSans3-It.ttf",
        "wattwalk/_bundle/fonts/SourceSans3-Semibold.ttf",
        "wattwalk/_bundle/fonts/SourceSans3-SemiboldIt.ttf",
        "wattwalk/_bundle/fonts/SourceSans3-Bold.ttf",
        "wattwalk/_bundle/fonts/LICENSE.md",
    }


@pytest.mark.parametrize(
    ("missing", "sentence"),
    [
        ("migrations/env.py", "migrations/env.py is not there"),
        ("tests/published/heat_loss.csv", "tests/published holds none"),
        ("pwa/dist/index.html", "The phone app is not built.*`make pwa`"),
        ("pwa/node_modules/source-sans/TTF/SourceSans3-Bold.ttf", "SourceSans3-Bold.ttf is not installed.*`make pwa`"),
    ],
)
def test_a_wheel_without_a_needed_part_is_refused(
    build_hook: ModuleType, checkout: Path, missing: str, sentence: str
) -> None:
    (checkout / missing).unlink()
    with pytest.raises(SystemExit, match=sentence):
        bundled(build_hook, checkout)


def test_an_editable_install_needs_none_of_them(build_hook: ModuleType, tmp_path: Path) -> None:
    assert bundled(build_hook, tmp_path, "editable") == {}
