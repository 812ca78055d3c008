"""An office whose phone app comes out in one version after the other, each with files of its own names, as a build makes them."""

from __future__ import annotations

import hashlib
import re
import shutil
from pathlib import Path

import wattwalk
from wattwalk import paths

#: Words of the first screen and of one that is read later; each version has them another way.
FIRST_WORDS = "The office: all surveys, prices, reports"
LATER_WORDS = "What is where"
_HASHED = re.compile(r"^(.+-)([A-Za-z0-9_-]{8})(\.(?:js|css))$")
_TEXTS = {".html", ".js", ".css"}


class Versions:
    """The program laid out as the wheel does it, with an app folder that can be exchanged.

    Parameters
    ----------
    folder : Path
        Where it is laid out; becomes the `PYTHONPATH` of the office.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.number = 1
        program = folder / "wattwalk"
        shutil.copytree(
            Path(wattwalk.__file__).parent, program, ignore=shutil.ignore_patterns("__pycache__", "_bundle")
        )
        bundle = program / "_bundle"
        bundle.mkdir()
        for name, place in (
            ("migrations", paths.migrations_folder()),
            ("fonts", paths.fonts_folder()),
            ("published", paths.published_folder()),
        ):
            (bundle / name).symlink_to(place)
        self.app = bundle / "pwa"
        # Packed twins would have to be packed anew with each version; the office serves files without them as well.
        shutil.copytree(paths.pwa_folder(), self.app, ignore=shutil.ignore_patterns("*.br", "*.gz"))

    @property
    def first_words(self) -> str:
        """What the list of surveys calls the office in this version."""
        return self._words(FIRST_WORDS)

    @property
    def later_words(self) -> str:
        """The heading of the status page, which is read when one goes there."""
        return self._words(LATER_WORDS)

    def _words(self, words: str) -> str:
        return words if self.number == 1 else f"{words}, edition {self.number}"

    def bring_out_the_next(self) -> None:
        """Exchange the app's folder for the next version's: other words, other names for all scripts, none of the old ones left."""
        before = (self.first_words, self.later_words)
        self.number += 1
        names = {
            path.name: _HASHED.sub(lambda found: f"{found[1]}{found[2][1:]}{found[2][0]}{found[3]}", path.name)
            for path in (self.app / "assets").iterdir()
        }
        texts = {path: path.read_text() for path in self.app.rglob("*") if path.suffix in _TEXTS}
        for old, new in zip(before, (self.first_words, self.later_words), strict=True):
            holding = [path for path, text in texts.items() if old in text]
            assert holding, f"no script says {old!r}"
            for path in holding:
                texts[path] = texts[path].replace(old, new)
        renamed = re.compile("|".join(re.escape(name) for name in sorted(names, key=len, reverse=True)))
        for path, text in texts.items():
            path.write_text(renamed.sub(lambda found: names[found[0]], text))
        for old, new in names.items():
            (self.app / "assets" / old).rename(self.app / "assets" / new)
        worker = self.app / "sw.js"
        revision = hashlib.md5((self.app / "index.html").read_bytes(), usedforsecurity=False).hexdigest()
        text, times = re.subn(
            r'\{"revision":"[0-9a-f]{32}","url":"index.html"\}',
            f'{{"revision":"{revision}","url":"index.html"}}',
            worker.read_text(),
        )
        assert times == 1, "the service worker lists the page another way"
        worker.write_text(text)
