"""Where the files that travel beside the package lie: in the wheel's bundle, or in the checkout it was installed from."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_CHECKOUT = _PACKAGE.parent.parent


class MissingFilesError(FileNotFoundError):
    """A folder the program cannot work without is neither in the wheel nor in the checkout."""


def migrations_folder() -> Path:
    """Return the folder of the Alembic migrations.

    Raises
    ------
    MissingFilesError
        When neither the wheel nor the checkout holds `env.py`.
    """
    return _first_holding(
        "env.py", [_PACKAGE / "_bundle" / "migrations", _CHECKOUT / "migrations"], "database migrations"
    )


def pwa_folder() -> Path:
    """Return the folder of the built phone app.

    Raises
    ------
    MissingFilesError
        When the phone app is not in the wheel and has not been built in the checkout.
    """
    return _first_holding("index.html", [_PACKAGE / "_bundle" / "pwa", _CHECKOUT / "pwa" / "dist"], "built phone app")


def fonts_folder() -> Path:
    """Return the folder of the report's `.ttf` fonts.

    Raises
    ------
    MissingFilesError
        When the fonts are not in the wheel and have not been installed in the checkout.
    """
    checkout = _CHECKOUT / "pwa" / "node_modules" / "source-sans" / "TTF"
    return _first_holding("SourceSans3-Regular.ttf", [_PACKAGE / "_bundle" / "fonts", checkout], "report's fonts")


def published_folder() -> Path:
    """Return the folder of the cases that the check book works out again.

    Raises
    ------
    MissingFilesError
        When the cases are neither in the wheel nor in the checkout.
    """
    return _first_holding(
        "heat_loss.csv",
        [_PACKAGE / "_bundle" / "published", _CHECKOUT / "tests" / "published"],
        "cases of the check book",
    )


def _first_holding(name: str, folders: list[Path], what: str) -> Path:
    for folder in folders:
        if (folder / name).is_file():
            return folder
    looked_in = " and ".join(str(folder) for folder in folders)
    raise MissingFilesError(f"The {what} are missing: no {name} in {looked_in}. In a checkout, run `make pwa`.")
