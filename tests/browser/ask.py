"""Ask the office beside its screens, with the device's own way in."""

from __future__ import annotations

from playwright.sync_api import APIResponse, Page

from tests.support.until import wait_until


def got(page: Page, url: str) -> APIResponse:
    """Return what the office answers; one that is busy is asked again, as the screens do."""

    def once() -> APIResponse | None:
        response = page.context.request.get(url)
        return None if response.status == 503 else response

    answer = wait_until(once, f"the office stays busy: {url}", page)
    assert answer is not None
    return answer
