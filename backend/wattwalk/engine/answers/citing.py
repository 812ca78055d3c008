"""Where a figure comes from: each source has one short key, which the results carry and the report prints."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from wattwalk.catalogue import Row, document

from .said import Finding, Severity, Source


@cache
def _cite(key: str, clause: str, confidence: str) -> Source:
    found = document(key)
    words = f"{found.short}, {clause}" if clause else found.short
    if key == "common_practice" and clause:
        words = f"common practice ({clause}), no source"
    if confidence == "from memory":
        words += ", from memory"
    source = Source(words, found.title, found.edition, clause, confidence)
    _KNOWN[words] = source
    return source


_KNOWN: dict[str, Source] = {}


def cite(key: str, clause: str = "", confidence: str = "second-hand") -> str:
    """Return the short words for a clause of a document of ``sources.csv``.

    Raises
    ------
    CatalogueError
        When ``sources.csv`` does not list the document.
    """
    return _cite(key, clause, confidence).key


def cite_row(row: Row) -> str:
    """Return the short words for the source of one row of a reference table."""
    return _cite(row.source, row.locator, row.confidence).key


def sources_for(words: Iterable[str]) -> tuple[Source, ...]:
    """Return the full sources behind the short words, each once, in alphabetical order."""
    return tuple(_KNOWN[key] for key in sorted({word for word in words if word}))


COMMON_PRACTICE = cite("common_practice", "", "common practice")
SURVEYOR = cite("surveyor", "", "published")
DECLARED = cite("declared", "", "published")
EN_12831 = cite("en_12831_1_2017", "design heat loss of a room", "from memory")
EN_12831_GROUND = cite("en_12831_1_2017", "ground", "from memory")
EN_12831_NEIGHBOUR = cite("en_12831_1_2017", "adjacent rooms and other buildings", "from memory")
EN_ISO_6946 = cite("en_iso_6946_2017", "layers in series")
EN_ISO_6946_BRIDGED = cite("en_iso_6946_2017", "combined method for bridged layers")
EN_ISO_13370_SLAB = cite("en_iso_13370_2017", "slab on ground")
EN_ISO_13370_SUSPENDED = cite("en_iso_13370_2017", "suspended floor")
AGE_BAND_YEARS = cite("rdsap_10_2025", "age bands")
EN_ISO_13370_EDGE = cite("en_iso_13370_2017", "slab with edge insulation")
EN_ISO_13370_BASEMENT = cite("en_iso_13370_2017", "basements")
EN_ISO_10077 = cite("en_iso_10077_1_2017", "window from its parts")
EN_ISO_13789 = cite("en_iso_13789_2017", "unheated space by its balance")
EN_ISO_13788 = cite("en_iso_13788_2012", "surface temperature factor")
EN_ISO_14683 = cite("en_iso_14683_2017", "thermal bridges by length")
BS_5250 = cite("bs_5250_2021", "surface condensation and mould", "from memory")
EN_442 = cite("en_442_2_2014", "characteristic equation")
EN_442_LOG = cite("en_442_2_2014", "logarithmic mean against 49.83 K", "from memory")
EN_1264 = cite("en_1264_2_2021", "type A")
EN_1264_SURFACE = cite("en_1264_2_2021", "surface temperature limits")
PLANNING_ZONE = cite("planning_zone", "", "own rule")
LEAST_SQUARES = cite("least_squares", "", "published")


def finding(
    severity: Severity,
    code: str,
    key: str,
    field: str | None,
    message: str,
    remedy: str,
    source: str = COMMON_PRACTICE,
    *,
    about: str = "",
) -> Finding:
    """Return a finding on the record with this key; without a source it is one of common practice."""
    return Finding(severity, code, key, field, message, remedy, source, about)
