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

from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support import invented_house as house
from wattwalk.office.quote import work_out
from wattwalk.office.render import render_in_subprocess
from wattwalk.office.report import make_report
from wattwalk.office.report_inputs import ReportInputs
from wattwalk.office.versions import count_pages
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps

PHOTOS, ROUNDS = 20, 5


def camera_picture(seed: int) -> bytes:
    """Return a JPEG of 4,000 × 3,000 pixels with noise."""
    noise = Image.frombytes("L", (500, 375), os.urandom(500 * 375)).resize((4000, 3000), Image.Resampling.BICUBIC)
    slope = Image.linear_gradient("L").resize((4000, 3000)).rotate(90 * (seed % 4))
    written = io.BytesIO()
    Image.merge("RGB", (noise, slope, slope)).save(written, "JPEG", quality=88)
    return written.getvalue()


def inputs(with_photos: bool) -> ReportInputs:
    """Return the report's inputs: ten rooms, and twenty photo records when asked for."""
    document = house.document()
    names = [f"{place:064x}" for place in range(PHOTOS)]
    document["records"]["photo"] = (
        [{"id": f"ph{place}", "category": "room", "caption": f"Picture {place + 1}", "sha256": name} for place, name in enumerate(names)] if with_photos else []
    )
    survey = read_document(document)
    rooms = tuple(house.room(f"Room {place}", 600.0 + 40 * place, 900.0, ("ground", "first")[place % 2]) for place in range(10))
    photos = {name: camera_picture(place) for place, name in enumerate(names)} if with_photos else {}
    return ReportInputs(survey, house.assessment(rooms), find_gaps(survey), work_out(survey), {"name": "Invented Heating Ltd"}, 1, "2026-04-02", photos)


def seconds(work, *given) -> tuple[float, bytes]:
    """Return the middle of several rounds and what was made."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        made = work(*given)
        times.append(time.perf_counter() - start)
    return statistics.median(times), made


def main() -> None:
    """Print the figures."""
    without, with_photos = inputs(False), inputs(True)
    make_report(replace(without, version=99))  # fonts and templates are read once
    rows = []
    for words, given in (("without photos", without), (f"with {PHOTOS} photos of 12 million pixels", with_photos)):
        took, made = seconds(make_report, given)
        rows.append((took, made))
        print(f"{words:40} {took:6.2f} s  {count_pages(made):3} pages  {len(made) / 1000:8.0f} kB")
    print(f"{'ratio, at most 1.5':40} {rows[1][0] / rows[0][0]:6.2f}")
    took, _made = seconds(render_in_subprocess, without)
    print(f"{'without photos, in its own process':40} {took:6.2f} s")


if __name__ == "__main__":
    main()
