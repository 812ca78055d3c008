"""What a cold start does before its first form takes an answer, and what it leaves until the form stands; counts and order, no times."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.hand import go_to, open_demo_house
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

#: Notes, in the moment in which the form is put into the page, what else is there, what has been asked for and which workers were begun; and begins to type at once.
#: The store answers late, so that whatever does not wait for the form has long begun by then.
WATCH = """(() => {
  const frames = async (count) => {
    for (let frame = 0; frame < count; frame += 1) await new Promise(requestAnimationFrame);
  };
  let reading;
  Object.defineProperty(globalThis, 'wattwalkFirstReading', {
    get: () => reading,
    set: (come) => (reading = come && frames(20).then(() => come)),
  });
  window.workers = [];
  globalThis.Worker = class extends Worker {
    constructor(address, options) {
      window.workers.push(String(address));
      super(address, options);
    }
  };
  new MutationObserver((_, watch) => {
    const field = document.querySelector('#field-name input');
    if (!field) return;
    watch.disconnect();
    window.first = {
      asked: performance.getEntriesByType('resource').map((each) => new URL(each.name).pathname),
      workers: [...window.workers],
      parts: document.querySelectorAll('.content *').length,
      drawing: document.querySelectorAll('.content svg').length,
      figures: document.querySelector('.foot').textContent,
      needed: document.querySelectorAll('.field-wanted').length,
    };
    window.firstField = field;
    field.focus();
    field.setRangeText('Sunny ', 0, 0, 'end');
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }).observe(document, { childList: true, subtree: true });
})();"""


def test_a_form_stands_before_anything_else_is_begun(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    open_demo_house(page, server.url)
    page.goto(page.url.replace("/office", ""))
    go_to(page, "Rooms")
    page.locator("main ul.list a").first.click()
    expect(page.locator(".foot-figures")).to_contain_text("Loses")
    address = page.url.split("?")[0]
    words = page.locator("#field-name input").input_value()
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    phone.close()

    context = phone.start(offline=True)
    context.add_init_script(WATCH)
    page = phone.page()
    page.goto(address)
    # All of the room follows, with the figures that the office has worked out.
    expect(page.locator(".foot-figures")).to_contain_text("Loses")
    expect(page.locator("#room-emitters")).to_be_visible()
    expect(page.locator(".box-drawing, .content svg").first).to_be_visible()
    first = page.evaluate("() => window.first")
    begun = [re.sub(r"-[\w-]{8}\.(js|css)$", r".\1", name) for name in first["asked"] if name.startswith("/assets/")]
    assert sorted(begun) == ["/assets/early.js", "/assets/model.js", "/assets/start.js", "/assets/style.css"]
    assert not [name for name in first["asked"] if name.startswith(("/api/", "/engine/", "/python-"))]
    assert first["workers"] == []
    # The form alone: neither the drawing of the room, nor figures, nor a word of what is missing, which nobody has looked for yet.
    assert first["drawing"] == 0
    assert first["figures"] == ""
    assert first["needed"] == 0
    assert first["parts"] < page.locator(".content *").count() / 2
    # What was typed in that moment is in the same field still, and is saved.
    assert page.evaluate("() => window.firstField === document.querySelector('#field-name input')")
    expect(page.locator("#field-name input")).to_have_value(f"Sunny {words}")
    page.locator("#field-name input").blur()
    expect(page.locator("#field-name").get_by_text("Saved on this phone")).to_be_visible()


def test_a_field_that_is_asked_for_comes_with_all_of_its_form(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    open_demo_house(page, server.url)
    page.goto(page.url.replace("/office", ""))
    go_to(page, "Rooms")
    page.locator("main ul.list a").first.click()
    expect(page.locator("#room-emitters")).to_be_visible()
    address = page.url.split("?")[0]
    phone.close()
    context = phone.start(offline=True)
    context.add_init_script(WATCH)
    page = phone.page()
    page.goto(f"{address}?field=name")
    expect(page.locator("#room-emitters")).to_be_visible()
    # It is brought to the middle of the screen, which wants what stands below it.
    assert page.evaluate("() => window.first.drawing") > 0
    expect(page.locator("#field-name input")).to_be_focused()
