"""The wheel carries what a checkout keeps beside the package: migrations, the built phone app, the report's fonts and the check book's cases."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

# The cuts the report's style sheet names (the font package holds a dozen more), with the font's own licence.
FONT_FILES = (
    "TTF/SourceSans3-Regular.ttf",
    "TTF/SourceSans3-It.ttf",
    "TTF/SourceSans3-Semibold.ttf",
    "TTF/SourceSans3-SemiboldIt.ttf",
    "TTF/SourceSans3-Bold.ttf",
    "LICENSE.md",
)


class BundleHook(BuildHookInterface):
    """Add `wattwalk/_bundle/` to the wheel, or refuse to build it in one sentence."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if version == "editable":
            return
        root = Path(self.root)
        migrations = root / "migrations"
        phone_app = root / "pwa" / "dist"
        fonts = root / "pwa" / "node_modules" / "source-sans"
        published = sorted((root / "tests" / "published").glob("*.csv"))
        if not (migrations / "env.py").is_file():
            raise SystemExit("The wheel needs the database migrations, but migrations/env.py is not there.")
        if not (phone_app / "index.html").is_file():
            raise SystemExit("The phone app is not built, so the wheel would be without it: run `make pwa` first.")
        if not published:
            raise SystemExit("The wheel needs the cases of the check book, but tests/published holds none.")
        for name in FONT_FILES:
            source = fonts / name
            if not source.is_file():
                raise SystemExit(f"The report's font file {name} is not installed: run `make pwa` first.")
            build_data["force_include"][str(source)] = f"wattwalk/_bundle/fonts/{source.name}"
        for path in sorted(migrations.rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts:
                inside = path.relative_to(migrations).as_posix()
                build_data["force_include"][str(path)] = f"wattwalk/_bundle/migrations/{inside}"
        for path in published:
            build_data["force_include"][str(path)] = f"wattwalk/_bundle/published/{path.name}"
        build_data["force_include"][str(phone_app)] = "wattwalk/_bundle/pwa"
