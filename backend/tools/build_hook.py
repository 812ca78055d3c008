"""The wheel carries what a checkout keeps beside the package: migrations, the built phone app and the report's fonts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

# The four cuts the report's style sheet names; the font package holds a dozen more.
FONT_FILES = (
    "SourceSans3-Regular.ttf",
    "SourceSans3-It.ttf",
    "SourceSans3-Semibold.ttf",
    "SourceSans3-Bold.ttf",
)


class BundleHook(BuildHookInterface):
    """Add `wattwalk/_bundle/` to the wheel, or refuse to build it in one sentence."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if version == "editable":
            return
        root = Path(self.root)
        migrations = root / "migrations"
        phone_app = root / "pwa" / "dist"
        fonts = root / "pwa" / "node_modules" / "source-sans" / "TTF"
        if not (migrations / "env.py").is_file():
            raise SystemExit("The wheel needs the database migrations, but migrations/env.py is not there.")
        if not (phone_app / "index.html").is_file():
            raise SystemExit("The phone app is not built, so the wheel would be without it: run `make pwa` first.")
        for name in FONT_FILES:
            if not (fonts / name).is_file():
                raise SystemExit(f"The report's font {name} is not installed: run `make pwa` first.")
            build_data["force_include"][str(fonts / name)] = f"wattwalk/_bundle/fonts/{name}"
        for path in sorted(migrations.rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts:
                inside = path.relative_to(migrations).as_posix()
                build_data["force_include"][str(path)] = f"wattwalk/_bundle/migrations/{inside}"
        build_data["force_include"][str(phone_app)] = "wattwalk/_bundle/pwa"
