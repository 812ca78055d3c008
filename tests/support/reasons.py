"""A written reason for every red point that stands against a version, as a person writes one on the page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tests.support.until import wait_until

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
    """Return the reasons for the survey of a device of the tests' client; an office that is busy is asked again."""

    def points() -> Any:
        answer = device.client.get(f"{path or device.path}/version-points")
        return None if answer.status_code == 503 else answer.json

    return reasons_for(wait_until(points, "the office stays busy"))
