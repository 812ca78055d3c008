"""How long the worker takes for what follows the figures of a house of 20 rooms on a slow phone: ranges with gaps and drawings, then the plans; figures, not a test.

The aim: plan and ranges within 300 ms of the worker's time at 4× slowdown after the last key, and nothing of them once the next key has come.
The slow phone is the one of ``bench_phone.py``: the browser's processes are held still for three quarters of the time.
"""

from __future__ import annotations

import copy
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.bench.bench_phone import slowed
from tests.support.chromium import Chromium, Screen
from tests.support.houses import terrace
from tests.support.requests import request_for
from tests.support.server import Server
from tests.support.told_rooms import random_storey, told
from wattwalk.paths import pwa_folder

Document = dict[str, Any]
AIM_MS = 300
ROOMS, EDITS = 20, 8
#: Which of the random storeys is taken.
CLOSES = 7
#: Starts a worker, and leaves a call that has it work a house out edit after edit: the milliseconds of each answer; and, of an edit that is
#: followed by the next one as soon as its figures are there, what came beside its figures.
FOLLOW = """async ([script, requests]) => {
  const worker = new Worker(script, { type: 'module' });
  const seen = [];
  const next = (wanted) => new Promise((done, fail) => {
    worker.onerror = (event) => fail(new Error(event.message));
    worker.onmessage = ({ data }) => {
      if (data.type === 'failed' || data.type === 'fault') fail(new Error(data.words));
      if (data.type !== 'progress') seen.push([data.type, data.id ?? 0, data.worked_ms ?? 0]);
      if (data.type === wanted[0] && (data.id ?? 0) === wanted[1]) done();
    };
  });
  await next(['ready', 0]);
  window.begin = async () => {
    for (const [id, request] of requests.entries()) {
      worker.postMessage({ id, request });
      await next(['plans', id]);
    }
    const all = seen.splice(0);
    const last = requests.length;
    worker.postMessage({ id: last, request: requests[0] });
    await next(['figures', last]);
    worker.postMessage({ id: last + 1, request: requests[1] });
    await next(['plans', last + 1]);
    worker.terminate();
    return [all, seen.filter(([type, id]) => id === last && type !== 'figures')];
  };
}"""


def houses() -> dict[str, Document]:
    """Return houses of 20 rooms by what they are: one whose figures are all told, and one storey each that closes and that does not."""
    closes, _ = told(random_storey(CLOSES, ROOMS), CLOSES, wall_m=0.1)
    broken = copy.deepcopy(closes)
    wall = next(item for item in broken["records"]["surface"] if item["other_side"] == "room" and "width_m" in item)
    wall["width_m"] = round(wall["width_m"] + 0.9, 2)
    return {"a terrace": terrace(ROOMS), "a storey that closes": closes, "one that does not": broken}


def requests(document: Document) -> list[str]:
    """Return what the worker is asked while the height of a room is typed again and again."""
    asked = []
    for number in range(EDITS):
        document["records"]["room"][0]["height_m"] = round(2.4 + number / 100, 2)
        asked.append(request_for(document))
    return asked


def main() -> None:
    """Print one line for each house at each slowdown."""
    (script,) = (
        path for path in (pwa_folder() / "assets").glob("worker-*.js") if "wattwalk.answer" in path.read_text()
    )
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver, Server(Path(folder)) as server:
        browser = Chromium(driver, Path(folder) / "profile", Screen.PHONE)
        browser.start()
        page = browser.page()
        page.goto(server.url)
        for times in (1, 4):
            for name, document in houses().items():
                page.evaluate(FOLLOW, [f"/assets/{script.name}", [*requests(document)]])
                with slowed(browser, times):
                    came, late = page.evaluate("() => window.begin()")
                took = {kind: [ms for each, _, ms in came if each == kind] for kind in ("figures", "rest", "plans")}
                first, *both = [sum(pair) for pair in zip(took["rest"], took["plans"], strict=True)]
                parts = ", ".join(f"{kind} {statistics.median(each):.0f} ms" for kind, each in took.items())
                print(
                    f"{name} of {ROOMS} rooms, {times}× slowdown: {parts}; rest and plans together {statistics.median(both):.0f} ms,"
                    f" {max(both):.0f} at most (aim: {AIM_MS} at 4×), {first:.0f} the first time; came although the next key was there: {len(late)}"
                )
        browser.close()


if __name__ == "__main__":
    main()
