"""How long a report of about 12 pages takes, with 20 photos and without; figures, not a test.

The aim is a ratio of at most 1.5 between the two.  Photos are of 12 million pixels with the noise of a real camera,
so that neither decoding nor their size is flattered.
"""

from __future__ import annotations

import io
import os
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.office.conftest import the_file
from tests.support import invented_house as house
from wattwalk.engine.answers import RoomAssessment
from wattwalk.offers.quote import work_out
from wattwalk.office.frozen import RenderRequest, freeze
from wattwalk.office.papers import count_pages
from wattwalk.office.render import render_in_subprocess
from wattwalk.office.report_inputs import ReportInputs
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps

PHOTOS, ROUNDS, ROOMS = 20, 5, 10


def camera_picture(seed: int) -> bytes:
    """Return a JPEG of 4,000 × 3,000 pixels with noise."""
    noise = Image.frombytes("L", (500, 375), os.urandom(500 * 375)).resize((4000, 3000), Image.Resampling.BICUBIC)
    slope = Image.linear_gradient("L").resize((4000, 3000)).rotate(90 * (seed % 4))
    written = io.BytesIO()
    Image.merge("RGB", (noise, slope, slope)).save(written, "JPEG", quality=88)
    return written.getvalue()


def records_of(rooms: tuple[RoomAssessment, ...]) -> dict[str, list[dict[str, Any]]]:
    """Return the records that the figures of these rooms belong to."""
    sizes = {"length_m": 4.2, "width_m": 3.8, "height_m": 2.4}
    wall = {"element": "wall", "side": "front", "construction": "wall", "other_side": "outside"}
    panel = {"type": "panel_22", "plan": "keep", "height_mm": 600, "length_mm": 1000}
    return {
        "room": [{"id": room.id, "name": room.name, "storey": room.storey, **sizes} for room in rooms],
        "surface": [{"id": loss.id, "room": room.id, **wall} for room in rooms for loss in room.surfaces],
        "emitter": [{"id": output.id, "room": room.id, **panel} for room in rooms for output in room.emitters],
    }


def inputs(with_photos: bool) -> ReportInputs:
    """Return the report's inputs: ten rooms, and twenty photo records when asked for."""
    rooms = tuple(
        house.room(f"Room {place}", 600.0 + 40 * place, 900.0, ("ground", "first")[place % 2]) for place in range(ROOMS)
    )
    document = house.document()
    for kind, items in records_of(rooms).items():
        document["records"][kind] += items
    names = [f"{place:064x}" for place in range(PHOTOS)]
    document["records"]["photo"] = (
        [
            {"id": f"ph{place}", "category": "room", "caption": f"Picture {place + 1}", "sha256": name}
            for place, name in enumerate(names)
        ]
        if with_photos
        else []
    )
    survey = read_document(document)
    photos = {name: camera_picture(place) for place, name in enumerate(names)} if with_photos else {}
    return ReportInputs(
        survey,
        house.assessment(rooms),
        find_gaps(survey),
        work_out(survey, rooms, "2026-04-02"),
        {"name": "Invented Heating Ltd"},
        1,
        "2026-04-02",
        photos,
    )


def main() -> None:
    """Print the figures: processor time, which other programs on the machine disturb least, and time by the clock."""
    given = {"without photos": inputs(False), f"with {PHOTOS} photos of 12 million pixels": inputs(True)}
    the_file(replace(given["without photos"], version=99))  # fonts and templates are read once
    processor: dict[str, list[float]] = {words: [] for words in given}
    clock: dict[str, list[float]] = {words: [] for words in given}
    made: dict[str, bytes] = {}
    # The two take turns, so that a busy minute slows both.
    for _ in range(ROUNDS):
        for words, report in given.items():
            by_processor, by_clock = time.process_time(), time.perf_counter()
            made[words] = the_file(report)
            processor[words].append(time.process_time() - by_processor)
            clock[words].append(time.perf_counter() - by_clock)
    middles = [statistics.median(times) for times in processor.values()]
    for words, middle in zip(given, middles, strict=True):
        print(
            f"{words:40} {middle:6.2f} s ({statistics.median(clock[words]):.2f} by the clock)  {count_pages(made[words]):3} pages  {len(made[words]) / 1000:6.0f} kB"
        )
    print(f"{'ratio, at most 1.5':40} {middles[1] / middles[0]:6.2f}")
    plain = given["without photos"]
    request = RenderRequest(
        freeze(plain.survey, revision=1, firm=plain.firm, photos=(), with_checks=False), 1, plain.made_on, {}
    )
    start = time.perf_counter()
    render_in_subprocess(request)
    print(f"{'of what was frozen, in its own process':40} {time.perf_counter() - start:6.2f} s by the clock")


if __name__ == "__main__":
    main()
