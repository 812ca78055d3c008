"""What this build of the program calls itself.  The wheel's build asks this module as well, so it leans on the standard library alone.

``0.2.0.post812+g1a2b3c4d5e``: the release it belongs to, how many commits lie behind it, and the last of them. A build of a later
commit is newer to pip, and no two commits share a name. What else a build can be made from is said after the sign:

=============================  ==================================================================================================
``….post812+g1a2b3c4d5e.x<d>``  a checkout with changes that are not committed; ``<d>`` is a digest of the package's files
``0.2.0+g1a2b3c4d5e``          a checkout without its history (a shallow clone): which of two is newer cannot be said
``0.2.0+copy.<d>``             a copy of the sources without git: two of them differ where their files do, and none is newer
=============================  ==================================================================================================
"""

from __future__ import annotations

import hashlib
import os
import subprocess
from functools import cache
from importlib import metadata
from pathlib import Path

#: The release that is being worked on; CHANGELOG.md says what is in it.
RELEASE = "0.2.0"

_PACKAGE = Path(__file__).resolve().parent


@cache
def program_version() -> str:
    """Return the version of the program that runs: of the checkout it runs from, or else the one it was installed as."""
    root = _PACKAGE.parent.parent
    if (root / "pyproject.toml").is_file():
        return version_of(root)
    try:
        return metadata.version("wattwalk")
    except metadata.PackageNotFoundError:
        return _name_of_copy(_PACKAGE)


def version_of(root: Path) -> str:
    """Return the version of what lies in a checkout, or in a copy of one.

    Parameters
    ----------
    root : Path
        The folder that holds ``backend/wattwalk``.
    """
    package = root / "backend" / "wattwalk"
    found = _git(root, "rev-parse", "--show-toplevel", "--is-shallow-repository", "HEAD")
    if found is None:
        return _name_of_copy(package)
    top, is_shallow, commit = found.splitlines()
    if Path(top).resolve() != root.resolve():
        return _name_of_copy(package)  # the history is that of the repository around the copy
    count, changes = _git(root, "rev-list", "--count", "HEAD"), _git(root, "status", "--porcelain")
    number = "" if is_shallow == "true" or count is None else f".post{count}"
    changed = f".x{_digest(package)}" if changes is None or changes else ""
    return f"{RELEASE}{number}+g{commit[:10]}{changed}"


def _name_of_copy(package: Path) -> str:
    return f"{RELEASE}+copy.{_digest(package)}"


def _digest(package: Path) -> str:
    """Return ten hexadecimal digits that change with the name or the content of any file of the package."""
    digest = hashlib.sha256()
    for path in sorted(package.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts:
            digest.update(f"{path.relative_to(package).as_posix()}\0".encode())
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()[:10]


def _git(root: Path, *arguments: str) -> str | None:
    """Return what git answers, or None where there is no git, no repository or no commit."""
    # A hook's variables would point git at another repository.
    environment = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    try:
        done = subprocess.run(
            ["git", "-C", str(root), *arguments], capture_output=True, text=True, env=environment, check=False
        )
    except OSError:
        return None
    return done.stdout.strip() if done.returncode == 0 else None
