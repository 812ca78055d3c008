"""What a device holds of a survey beside what the office holds, to say whether they are equal."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

from tests.browser.ask import got

#: All that a device holds of a survey's records, as its own store has it.
_HELD = """(survey) => new Promise((done, failed) => {
  const asked = indexedDB.open('wattwalk');
  asked.onerror = () => failed(asked.error);
  asked.onsuccess = () => {
    const rows = asked.result.transaction('records').objectStore('records').index('survey').getAll(survey);
    rows.onerror = () => failed(rows.error);
    rows.onsuccess = () => { asked.result.close(); done(rows.result); };
  };
})"""

#: How many changes of a survey wait on a device, and the office's revision that it has reached.
_REACHED = """(survey) => new Promise((done, failed) => {
  const asked = indexedDB.open('wattwalk');
  asked.onerror = () => failed(asked.error);
  asked.onsuccess = () => {
    const stores = asked.result.transaction(['surveys', 'outbox', 'photos']);
    const waiting = stores.objectStore('outbox').index('survey').count(survey);
    const photos = stores.objectStore('photos').index('arrived').count(0);
    const row = stores.objectStore('surveys').get(survey);
    stores.oncomplete = () => { asked.result.close(); done([waiting.result, photos.result, row.result.cursor]); };
    stores.onerror = () => failed(stores.error);
  };
})"""

Records = dict[str, dict[str, Any]]


def held(page: Page, survey: str) -> Records:
    """Return the records that a device holds and that are there, by kind and id."""
    rows = page.evaluate(_HELD, survey)
    kept = {
        f"{row['kind']}/{row['id']}": {name: value for name, value in row["values"].items() if name != "deleted"}
        for row in rows
        if row["values"].get("deleted") is not True
    }
    return dict(sorted(kept.items()))


def records_of(view: dict[str, Any]) -> Records:
    """Return the records of the office's view of a survey, in the same shape."""
    made = {
        f"{kind}/{item['id']}": {name: value for name, value in item.items() if name != "id"}
        for kind, items in view["records"].items()
        for item in items
    }
    return dict(sorted(made.items()))


def view_of(page: Page, url: str, survey: str) -> dict[str, Any]:
    """Return the office's view of a survey, asked with the device's own way in."""
    response = got(page, f"{url}/api/surveys/{survey}")
    assert response.ok, response.text()
    return response.json()


def is_level(page: Page, survey: str, revision: int) -> bool:
    """Whether nothing of a survey waits on a device, and it has all that the office has up to a revision."""
    return page.evaluate(_REACHED, survey) == [0, 0, revision]
