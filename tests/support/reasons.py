"""A written reason for every red point that stands against a version, as a person writes one on the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

WRITTEN = "Seen, and agreed with the household."


def reasons_for(points: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is sent with the wish for a version: `points` is what the office says stands against it."""
    names = ("code", "record", "about")
    return {
        "reasons": [
            {**{name: point[name] for name in names}, "reason": WRITTEN}
            for point in points["points"]
            if point["weight"] == "red"
        ]
    }


def written(device: Any, path: str | None = None) -> dict[str, Any]:
    """Return the reasons for the survey of a device of the tests' client."""
    return reasons_for(device.client.get(f"{path or device.path}/version-points").json)


def fetched(ask: Callable[[str], Any], url: str) -> dict[str, Any]:
    """Return the reasons for a survey at an address, fetched by a browser's request."""
    return reasons_for(ask(f"{url}/version-points").json())
