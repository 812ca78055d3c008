"""A written reason for every red point that stands against a version, as a person writes one on the page."""

from __future__ import annotations

import time
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
    """Return the reasons for the survey of a device of the tests' client; an office that is busy is asked again."""
    until = time.monotonic() + 60
    while True:
        answer = device.client.get(f"{path or device.path}/version-points")
        if answer.status_code != 503 or time.monotonic() > until:
            return reasons_for(answer.json)
        time.sleep(0.1)


def fetched(ask: Callable[[str], Any], url: str) -> dict[str, Any]:
    """Return the reasons for a survey at an address, fetched by a browser's request; an office that is busy is asked again."""
    until = time.monotonic() + 60
    while True:
        answer = ask(f"{url}/version-points")
        if answer.status != 503 or time.monotonic() > until:
            return reasons_for(answer.json())
        time.sleep(1)
