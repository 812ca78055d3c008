"""The engine on the phone: results with no office in reach, the same as the office's to the byte, and words where it cannot run."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser import by_hand
from tests.browser.hand import go_to, picture, sign_in, sizes
from tests.support.chromium import Chromium
from tests.support.kept_memory import wait_for_kept_memory
from tests.support.requests import sample_requests
from tests.support.server import Server
from wattwalk.answer import Desk
from wattwalk.paths import pwa_folder

# What is looked at here is the first start of the engine.
pytestmark = pytest.mark.first_visit

RANDOM_SURVEYS = 60
START_MS = 60_000

SPOIL_MEMORY = """async () => {
  const cache = await caches.open('engine-memory');
  const [key] = await cache.keys();
  const bytes = new Uint8Array(await (await cache.match(key)).arrayBuffer());
  await cache.put(key, new Response(bytes.slice(0, 10_000)));
}"""

ASK_THE_WORKER = """async ([script, requests]) => {
  const worker = new Worker(script, { type: 'module' });
  const answers = [];
  let from = '';
  await new Promise((done, fail) => {
    worker.onerror = (event) => fail(new Error(event.message));
    worker.onmessage = ({ data }) => {
      if (data.type === 'failed' || data.type === 'fault') fail(new Error(data.words));
      if (data.type === 'ready') from = data.from;
      if (data.type === 'figures' || data.type === 'rest') answers.push(data.text);
      if (data.type !== 'ready' && data.type !== 'rest') return;
      const id = answers.length / 2;
      if (id === requests.length) done();
      else worker.postMessage({ id, request: requests[id] });
    };
  });
  worker.terminate();
  return [from, answers];
}"""

#: What the engine of this page began with: the memory that an earlier start left on the phone, or nothing.
STARTED_FROM = "() => performance.getEntriesByName('engine-ready')[0].detail"


def house() -> dict:
    """The house of `by_hand`, as a document."""
    living, kitchen = by_hand.LIVING, by_hand.KITCHEN
    wall = {"element": "wall", "construction": "wall", "height_m": 2.4, "other_side": "outside"}
    return {
        "format": "wattwalk-survey",
        "version": 1,
        "id": "live-house",
        "records": {
            "survey": [{"id": "s", "household_name": "Quince", "age_band": "C", "design_location": "birmingham", "altitude_m": 146}],
            "construction": [
                {"id": name, "name": name, "element": element, "known_by": "declared", "u_value_w_m2k": value}
                for name, element, value in (
                    ("wall", "wall", by_hand.WALL), ("window", "window", by_hand.WINDOW), ("door", "door", by_hand.DOOR),
                    ("inside", "partition", by_hand.INSIDE), ("floor", "ground_floor", by_hand.FLOOR),
                )
            ],
            "room": [
                {"id": "living", "name": "Living room", "use": "living", "length_m": living["length"], "width_m": living["width"], "height_m": 2.4},
                {"id": "kitchen", "name": "Kitchen", "use": "kitchen", "length_m": kitchen["length"], "width_m": kitchen["width"], "height_m": 2.4},
            ],
            "surface": [
                {**wall, "id": "lf", "room": "living", "side": "front", "width_m": living["length"]},
                {**wall, "id": "lr", "room": "living", "side": "right", "width_m": living["width"]},
                {"id": "lw", "room": "living", "element": "window", "side": "front", "construction": "window", "opening_in": "lf", "width_m": 1.8, "height_m": 1.2},
                {"id": "lk", "room": "living", "element": "partition", "side": "back", "construction": "inside", "width_m": living["length"], "height_m": 2.4, "other_side": "room", "other_room": "kitchen"},
                {"id": "lg", "room": "living", "element": "ground_floor", "side": "floor", "construction": "floor", "width_m": living["width"], "height_m": living["length"], "other_side": "ground"},
                {**wall, "id": "kb", "room": "kitchen", "side": "back", "width_m": kitchen["length"]},
                {**wall, "id": "kr", "room": "kitchen", "side": "right", "width_m": kitchen["width"]},
                {"id": "kd", "room": "kitchen", "element": "door", "side": "back", "construction": "door", "opening_in": "kb", "width_m": 0.9, "height_m": 2.0},
                {"id": "kg", "room": "kitchen", "element": "ground_floor", "side": "floor", "construction": "floor", "width_m": kitchen["width"], "height_m": kitchen["length"], "other_side": "ground"},
            ],
            "emitter": [{"id": "le", "room": "living", "type": "panel_22", "rated_output_w": by_hand.RADIATOR_W, "exponent": by_hand.EXPONENT}],
        },
    }  # fmt: skip


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, demo_office: Path) -> Iterator[Server]:
    folder = tmp_path_factory.mktemp("office")
    with Server(folder, demo=True, begin_with=demo_office) as running:
        running.take_in(house())
        yield running


@pytest.fixture
def stopped(server: Server) -> Iterator[Callable[[], None]]:
    """A way to stop the server for the rest of one test."""
    yield server.stop
    server.start()


def wait_for_engine(page: Page, words: str = "Ready") -> None:
    page.goto(page.url.split("#")[0] + "#/sync")
    expect(page.get_by_role("region", name="Figures on this phone")).to_contain_text(words, timeout=START_MS)


def signed_in(phone: Chromium, server: Server) -> Page:
    phone.start()
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    return page


def test_results_follow_an_edit_with_no_office_in_reach(
    phone: Chromium, server: Server, stopped: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = signed_in(phone, server)
    page.get_by_role("listitem").filter(has_text="Quince").get_by_role("button", name="Fetch").click()
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)", timeout=START_MS)
    # The first start leaves its memory behind, and the next one starts from it.
    wait_for_kept_memory(page)
    page.reload()
    wait_for_engine(page)
    assert page.evaluate(STARTED_FROM) == "memory"

    phone.kill()
    stopped()
    context = phone.start()
    context.set_offline(True)
    page = phone.page()
    page.goto(server.url)
    wait_for_engine(page)
    page.goto(f"{server.url}/#/")
    go_to(page, "Quince")
    foot = page.locator(".foot-figures")
    expect(foot).to_contain_text(f"{(by_hand.living_w() + by_hand.kitchen_w()) / 1000:.1f} kW", timeout=START_MS)
    go_to(page, "Rooms")
    go_to(page, "Living room")
    expect(foot).to_contain_text("live on this phone")
    expect(foot).to_contain_text(f"Loses {by_hand.living_w():,.0f} W")
    expect(foot).to_contain_text(f"emitters give {by_hand.radiator_w(by_hand.LIVING_C):,.0f} W")

    # The figures follow what is typed before it is saved.
    before = by_hand.living_w()
    monkeypatch.setitem(by_hand.LIVING, "length", 5.6)
    assert by_hand.living_w() > before + 200
    page.get_by_label("Length × width × height").fill("5.6 x 3.6 x 2.4")
    expect(foot).to_contain_text(f"Loses {by_hand.living_w():,.0f} W")
    expect(page.get_by_text("Saved on this phone")).to_have_count(0)
    page.get_by_label("Length × width × height").fill("5.6 x 3.6 and something")
    expect(foot).to_contain_text(f"Loses {before:,.0f} W")
    monkeypatch.setitem(by_hand.LIVING, "length", 4.9)
    sizes(page, "Length × width × height", "4.9 x 3.6 x 2.4")
    expect(foot).to_contain_text(f"Loses {by_hand.living_w():,.0f} W")
    picture(page, "live-room")

    page.goto(f"{server.url}/#/survey/live-house/results")
    expect(page.get_by_text("Live on this phone.")).to_be_visible()
    expect(page.get_by_text(f"{(by_hand.living_w() + by_hand.kitchen_w()) / 1000:.1f} kW").first).to_be_visible()
    picture(page, "live-results")


@pytest.mark.takes(seconds=25)
def test_every_sample_house_is_answered_alike_in_the_browser(phone: Chromium, server: Server) -> None:
    requests = sample_requests(RANDOM_SURVEYS)
    desk = Desk()
    expected = [text for request in requests.values() for text in (desk.figures(request), desk.rest())]
    page = signed_in(phone, server)
    (script,) = (
        path for path in (pwa_folder() / "assets").glob("worker-*.js") if "wattwalk.answer" in path.read_text()
    )
    page.evaluate("() => caches.delete('engine-memory')")
    # Once from nothing, once from the memory that the first start has left, and once where that memory is spoilt.
    for start, begins_with in (
        ("from nothing", "nothing"),
        ("from memory", "memory"),
        ("from a spoilt memory", "nothing"),
    ):
        if start != "from nothing":
            wait_for_kept_memory(page)
        if start == "from a spoilt memory":
            page.evaluate(SPOIL_MEMORY)
        begun_with, answers = page.evaluate(ASK_THE_WORKER, [f"/assets/{script.name}", list(requests.values())])
        # A memory that is kept and refused at every start would only be slow, and nobody would hear of it.
        assert begun_with == begins_with, start
        assert len(answers) == len(expected), start
        assert [
            place for place, (found, wanted) in enumerate(zip(answers, expected, strict=True)) if found != wanted
        ] == [], start


def test_without_the_engine_everything_else_works_and_says_so(phone: Chromium, server: Server) -> None:
    context = phone.start(service_workers="block")
    context.route("**/*.wasm", lambda route: route.abort())
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    wait_for_engine(page, "Not available")
    expect(page.get_by_role("region", name="Figures on this phone")).to_contain_text(
        "its files have not all reached this phone yet"
    )
    page.get_by_role("button", name="Try to start it again").click()
    wait_for_engine(page, "Not available")
    page.goto(f"{server.url}/#/")
    page.get_by_role("listitem").filter(has_text="Quince").get_by_role("button", name="Fetch").click()
    foot = page.locator(".foot-figures")
    expect(foot).to_contain_text(re.compile(r"worked out at the office \d\d:\d\d"))
    expect(foot).to_contain_text(f"{(by_hand.living_w() + by_hand.kitchen_w()) / 1000:.1f} kW")
    go_to(page, "Rooms")
    go_to(page, "Living room")
    context.set_offline(True)
    sizes(page, "Length × width × height", "4.9 x 3.6 x 2.4")
    expect(foot).to_contain_text("changed since, so it may no longer hold")

    # With its files in reach again it starts by itself when the signal comes back.
    context.unroute("**/*.wasm")
    context.set_offline(False)
    wait_for_engine(page)
    page.goto(f"{server.url}/#/survey/live-house")
    expect(foot).to_contain_text("live on this phone")
