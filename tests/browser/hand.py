"""What a thumb does on the phone: sign in, answer a field, choose, wait until it is said to be saved."""

from __future__ import annotations

import os
import re
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

from wattwalk.survey.kinds import KINDS

#: The folder in which pictures of the screens are kept for a person to look at; without it none are taken.
ARTEFACTS = os.environ.get("WATTWALK_ARTEFACTS")


def picture(page: Page, name: str) -> None:
    """Keep a picture of the whole screen under `name`, when somebody wants to look at it."""
    if ARTEFACTS:
        page.screenshot(path=Path(ARTEFACTS) / f"{name}.png", full_page=True)


def sign_in(page: Page, url: str, email: str, password: str) -> None:
    """Open the app at `url` and sign in."""
    page.goto(url)
    page.get_by_label("Email").fill(email)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Surveys", exact=True)).to_be_visible()


def field(scope: Page | Locator, name: str) -> Locator:
    """Return the part of the screen that asks the field `name`."""
    return scope.locator(f"#field-{name}")


#: Where a field is asked: there it is, or the head of its group is.
_ASKED = """([name, groups]) => {
  if (document.getElementById(`field-${name}`)) return 'here';
  const group = groups[/\\/record\\/(\\w+)\\//.exec(location.hash)?.[1]];
  return group && document.querySelector(`#group-${group} > .fold-head [aria-expanded='false']`) ? group : null;
}"""


def unfold(scope: Page | Locator, name: str) -> Locator:
    """Return the part of the screen that asks the field `name`, and tap the head of its group first where that is folded."""
    page = scope if isinstance(scope, Page) else scope.page
    groups = {kind.name: spec.group for kind in KINDS.values() for spec in kind.fields if spec.name == name}
    group = page.wait_for_function(_ASKED, arg=[name, groups]).json_value()
    if group != "here":
        page.locator(f"#group-{group} > .fold-head button[aria-expanded=false]").click()
    return field(scope, name)


def answer(scope: Page | Locator, name: str, text: str) -> None:
    """Type an answer, leave the field, and wait until the screen says where it is saved."""
    part = unfold(scope, name)
    part.locator("input, textarea").first.fill(text)
    part.locator("input, textarea").first.blur()
    expect(part.get_by_text("Saved on this phone")).to_be_visible()


def choose(scope: Page | Locator, name: str, words: str) -> None:
    """Choose one of a field's answers by its first words, whether it is a list to open or buttons to tap."""
    part = unfold(scope, name)
    # Whether it is a list is seen once the form is there.
    expect(part).to_be_visible()
    listed = part.locator("select")
    if listed.count():
        listed.select_option(
            label=next(text for text in listed.locator("option").all_inner_texts() if text.startswith(words))
        )
    else:
        part.get_by_role("button", name=re.compile(f"^{re.escape(words)}")).first.click()
    expect(part.get_by_text("Saved on this phone")).to_be_visible()


def sizes(scope: Page | Locator, label: str, text: str) -> None:
    """Type several sizes into one line, such as `4.2 x 3.6 x 2.4`, and leave it."""
    line = scope.get_by_label(label)
    line.fill(text)
    line.press("Enter")


def go_to(page: Page, words: str) -> None:
    """Follow the link whose words begin so, and wait for the page it leads to."""
    page.get_by_role("link", name=re.compile(rf"^\s*{re.escape(words)}")).first.click()


def back(page: Page) -> None:
    """Go one step back by the link at the top of the page."""
    page.locator("a.bar-back").click()


def open_demo_house(page: Page, url: str) -> str:
    """Sign in, open the demo house in the office, and return the survey's id."""
    sign_in(page, url, "surveyor@demo.example", "walk-the-house")
    go_to(page, "The office")
    page.get_by_role("link", name=re.compile("Thimbleworth")).click()
    expect(page.get_by_role("heading", name="Results")).to_be_visible()
    expect(page.get_by_text("The house loses")).to_be_visible()
    found = re.search(r"#/survey/([^/?]+)", page.url)
    assert found is not None
    return found[1]
