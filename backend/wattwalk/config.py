"""What the program is told from outside: environment variables, read once, refused in plain words when they cannot be meant."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from .photo_store import DiskPhotos, PhotoStore
from .survey.errors import WattwalkError


class SettingError(WattwalkError, ValueError):
    """A setting has a value that cannot be meant; the message names the variable."""


@dataclass(frozen=True)
class Settings:
    """Everything that differs between one installation and another.

    Parameters
    ----------
    home : Path
        Folder of the embedded database, photos, reports and unsent messages (``WATTWALK_HOME``).
    database_url : str
        SQLAlchemy URL; an SQLite file in `home` unless ``DATABASE_URL`` names a PostgreSQL database.
    trust_proxy : bool
        Whether one reverse proxy stands before the program and its ``X-Forwarded-*`` headers are to be
        believed (``WATTWALK_TRUST_PROXY``).
    allow_http : bool
        Whether signing in over plain HTTP is taken from other machines too (``WATTWALK_ALLOW_HTTP``).
    """

    home: Path
    database_url: str
    trust_proxy: bool = False
    allow_http: bool = False

    @property
    def is_embedded(self) -> bool:
        """Say whether the database is the SQLite file that belongs to this program alone."""
        return self.database_url.startswith("sqlite:")

    @property
    def photos(self) -> PhotoStore:
        """Return the place for photos: the disk; the one line to change for another place."""
        return DiskPhotos(self.home / "photos")

    @property
    def reports(self) -> Path:
        """Return the folder of report PDFs."""
        return self.home / "reports"


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """Read the settings from the environment.

    Raises
    ------
    SettingError
        When a yes-or-no setting is neither, or the database is of a make that is not supported.
    """
    given = os.environ if environment is None else environment
    home = Path(given.get("WATTWALK_HOME") or "var").absolute()
    return Settings(
        home=home,
        database_url=database_url(given.get("DATABASE_URL") or f"sqlite:///{home / 'wattwalk.sqlite3'}"),
        trust_proxy=_yes_no(given, "WATTWALK_TRUST_PROXY"),
        allow_http=_yes_no(given, "WATTWALK_ALLOW_HTTP"),
    )


def database_url(url: str) -> str:
    """Return the SQLAlchemy URL meant by `url`; hosts write PostgreSQL's in three ways.

    Raises
    ------
    SettingError
        When the URL names neither SQLite nor PostgreSQL.
    """
    for written in ("postgres://", "postgresql://", "postgresql+psycopg://"):
        if url.startswith(written):
            return "postgresql+psycopg://" + url.removeprefix(written)
    if url.startswith("sqlite:///") and not url.endswith((":memory:", "sqlite:///")):
        return url
    # The URL may hold a password, so only its scheme is repeated.
    raise SettingError(f"DATABASE_URL: found {url.split(':')[0]!r}, expected postgresql://… or sqlite:///a-file.")


def _yes_no(given: Mapping[str, str], name: str) -> bool:
    value = given.get(name, "")
    if value.lower() in {"", "0", "no", "false"}:
        return False
    if value.lower() in {"1", "yes", "true"}:
        return True
    raise SettingError(f"{name}: found {value!r}, expected 1 or 0.")
