"""A walk with the keyboard alone: what Tab reaches on a screen, what it looks like there, and where it is after an action."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

from playwright.sync_api import Page

from tests.browser.ask import got
from tests.browser.held import held

#: Runs before the app: notes every element that listens for a click, whatever it is made of.
NOTE_WHAT_CAN_BE_TAPPED = """(() => {
  globalThis.listensForClicks = new WeakSet();
  const listen = EventTarget.prototype.addEventListener;
  EventTarget.prototype.addEventListener = function (type, ...rest) {
    if (type === 'click' && this instanceof Element) globalThis.listensForClicks.add(this);
    return listen.call(this, type, ...rest);
  };
})();"""

#: What all that follows shares: which elements a thumb can use, what one is called, and how it looks.
_SHARED = """
  const NATIVE = 'a[href], button, input, select, textarea, summary, label[for]';
  const isShown = (one) => {
    if (one.disabled || one.closest('[inert], [aria-hidden="true"]')) return false;
    const box = one.getBoundingClientRect();
    return box.width > 0 && box.height > 0 && getComputedStyle(one).visibility === 'visible' && (one.checkVisibility?.() ?? true);
  };
  const usable = () => [...document.querySelectorAll('*')].filter((one) => (one.matches(NATIVE) || globalThis.listensForClicks.has(one)) && isShown(one));
  const acting = () => [...document.querySelectorAll('button, summary, [role="button"], [role="checkbox"]')].filter(isShown);
  const nameOf = (one) => {
    const words = (one.getAttribute('aria-label') || one.innerText || one.labels?.[0]?.innerText || one.textContent || '').trim().replace(/\\s+/g, ' ');
    return `${one.tagName.toLowerCase()}${one.id ? '#' + one.id : ''}.${one.getAttribute('class') || ''} "${words.slice(0, 60)}"`;
  };
  const PARTS = ['outlineStyle', 'outlineWidth', 'outlineColor', 'stroke', 'strokeWidth', 'boxShadow', 'borderColor', 'borderWidth'];
  const look = (one) => [one, ...one.querySelectorAll('*'), ...(one.labels ?? [])]
    .flatMap((each) => [null, '::before'].map((drawn) => { const style = getComputedStyle(each, drawn); return PARTS.map((part) => style[part]).join(); })).join('|');
"""

#: Begins a walk: nothing has the focus, and everything that can be used has a number.
_BEGIN = f"""() => {{ {_SHARED}
  document.activeElement?.blur();
  const all = usable();
  const top = document.createElement('span');
  globalThis.walk = {{ all, seen: [], idle: new Map(all.map((one) => [one, look(one)])), top }};
  // Tab goes on from where something was last focused or tapped: from the top of the page. It stays until Tab has left it, since the app
  // gives the focus to the page's heading once what had it is gone.
  top.tabIndex = -1; document.body.prepend(top); top.focus();
  return all.length;
}}"""

#: After each Tab: notes where it is, and says what is wrong there. Null once the walk has left the page.
_STEP = f"""() => {{ {_SHARED}
  const at = document.activeElement;
  if (at === walk.top) return null;
  walk.top.remove();
  if (!at || at === document.body || at === document.documentElement) return null;
  // A date is several fields to the keyboard and one element to the page.
  if (walk.seen.at(-1) === at && at.type === 'date') return [];
  if (walk.seen.includes(at)) return null;
  walk.seen.push(at);
  walk.wrongHere = () => {{
    const wrong = [];
    const shown = at.matches('.take-input') ? at.labels[0] : at;
    if (walk.idle.has(at) && look(at) === walk.idle.get(at)) wrong.push(`cannot be seen to have the focus: ${{nameOf(at)}}`);
    const box = shown.getBoundingClientRect();
    const x = Math.min(Math.max(box.left + box.width / 2, 1), innerWidth - 1);
    const middle = Math.min(Math.max(box.top + Math.min(box.height / 2, 20), 1), innerHeight - 1);
    const over = document.elementFromPoint(x, middle);
    if (box.bottom <= 0 || box.top >= innerHeight) wrong.push(`is out of sight: ${{nameOf(at)}}`);
    else if (over && !shown.contains(over) && !over.contains(shown) && !at.closest('svg')) wrong.push(`lies under ${{nameOf(over)}}: ${{nameOf(at)}}`);
    return wrong;
  }};
  return walk.wrongHere();
}}"""
#: The same again of where it is.
_STEP_AGAIN = "() => walk.wrongHere()"

#: At the end: what a thumb can use and Tab has not met. What only passes a tap on, to something in it or to its field, counts with it.
_MISSED = f"""() => {{ {_SHARED}
  const met = new Set(walk.seen);
  const isMet = (one) => met.has(one) || walk.seen.some((each) => one.contains(each)) || (one.control && met.has(one.control));
  return walk.all.filter((one) => one.isConnected && isShown(one) && !isMet(one)).map(nameOf);
}}"""

#: What is smaller than a thumb needs. A box to tick counts with the words beside it, which tick it too.
_TOO_SMALL = f"""(least) => {{ {_SHARED}
  return [...document.querySelectorAll('main :is(a[href], button, input:not([type=file]), select, textarea, summary, label.button)')]
    .filter((one) => isShown(one) && !one.matches('.take-input'))
    .map((one) => [one, (one.matches('[type=checkbox], [type=radio]') && one.closest('label') || one).getBoundingClientRect()])
    .filter(([, box]) => box.width < least || box.height < least)
    .map(([one, box]) => `${{nameOf(one)}} is ${{box.width.toFixed(1)}} x ${{box.height.toFixed(1)}}`);
}}"""
#: Every target is at least this large both ways, CSS pixels.
TARGET_PX = 44

MOST_STEPS = 400
#: What a firm has besides its surveys is kept like one.
BOOK = "book:firm"


def too_small(page: Page) -> list[str]:
    """Return what on the screen is smaller than a thumb needs, in words."""
    return page.evaluate(_TOO_SMALL, TARGET_PX)


def screens(page: Page, url: str, survey: str) -> list[str]:
    """Return the address of every screen of a survey and of the firm that is on the device: stages, one record of each kind, results, office.

    Returns
    -------
    list of str
        Addresses from the `#` on.
    """
    model = got(page, f"{url}/api/model").json()
    here = f"#/survey/{survey}"
    first: dict[str, str] = {}
    for name in held(page, survey):
        kind, record = name.split("/", 1)
        first.setdefault(kind, record)
    firm: dict[str, str] = {}
    for name in held(page, BOOK):
        kind, record = name.split("/", 1)
        firm.setdefault(kind, record)
    return [
        "#/",
        "#/sync",
        "#/sign-in",
        "#/office",
        "#/office/firm",
        f"#/survey/{BOOK}/office/history",
        *(f"#/survey/{BOOK}/record/{kind}/{record}" for kind, record in firm.items()),
        here,
        *(f"{here}/stage/{stage['name']}" for stage in model["stages"]),
        *(f"{here}/record/{kind}/{record}" for kind, record in first.items()),
        f"{here}/results",
        *(f"{here}/working/{kind}/{first[kind]}" for kind in ("room", "base") if kind in first),
        *(
            f"{here}/office/{part}"
            for part in ("results", "came", "history", "design", "options", "methods", "works", "price", "reports")
        ),
    ]


def open_screen(page: Page, url: str, address: str) -> None:
    """Open a screen by its address and wait until it stands."""
    page.evaluate("() => document.activeElement?.blur()")
    page.goto(f"{url}/{address}")
    # A screen that stands has put the keyboard at its heading, and the one before it may have done so a last time.
    for _ in range(2):
        page.wait_for_function("() => document.activeElement?.matches('h1') && document.getAnimations().length === 0")
        page.evaluate(_AT_REST)


def walk(page: Page) -> list[str]:
    """Press Tab until the page has been left, and return what is wrong, in words; empty when everything can be used.

    Wrong is what can be tapped and is not met, and what is met but not seen: no ring, out of sight, or under something else.
    """
    page.evaluate(_BEGIN)
    wrong: list[str] = []
    for _ in range(MOST_STEPS):
        page.keyboard.press("Tab")
        step: list[str] | None = page.evaluate(_STEP)
        if step:
            # What came late may have pushed it away just now: what counts is where it is once nothing moves any more.
            page.evaluate(_AT_REST)
            step = page.evaluate(_STEP_AGAIN)
        if step is None:
            break
        wrong += step
    else:
        wrong.append(f"the walk had no end after {MOST_STEPS} steps")
    return wrong + [f"cannot be reached: {name}" for name in page.evaluate(_MISSED)]


#: Puts the focus on the one that is asked for among those that act on the screen itself, and says what it is called; null when it is not there.
_TAKE = f"""([name, place]) => {{ {_SHARED}
  const found = acting().filter((one) => nameOf(one) === name)[place];
  if (!found) return false;
  found.focus();
  return document.activeElement === found;
}}"""
_ACTING = f"""() => {{ {_SHARED}
  const count = new Map();
  return acting().map((one) => {{ const name = nameOf(one); const place = count.get(name) ?? 0; count.set(name, place + 1); return [name, place]; }});
}}"""
#: Resolves once nothing has been drawn for a while: what an action brings with it has come by then.
_AT_REST = """() => new Promise((done) => {
  let timer;
  const watch = new MutationObserver(() => { clearTimeout(timer); timer = setTimeout(end, 150); });
  const end = () => { watch.disconnect(); done(); };
  watch.observe(document.body, { childList: true, subtree: true, attributes: true, characterData: true });
  timer = setTimeout(end, 150);
})"""
#: Of choices, and of buttons whose first words are the same, only so many are pressed on a screen; each of the others is pressed.
CHOICES_PRESSED, ALIKE_PRESSED = 3, 4


def _alike(name: str) -> str:
    """Return what a button has in common with those of the other rows: what it is, and its first two words."""
    what, _, words = name.partition(' "')
    return what if ".choice" in what else " ".join([what, *words.split()[:2]])


def press_all(page: Page, url: str, address: str, leave_out: re.Pattern[str]) -> tuple[list[str], list[str]]:
    """Press every button of a screen with the keyboard, one after the other, as a person would who goes on from where the focus is.

    Returns
    -------
    (list of str, list of str)
        What was pressed, and after which of these nothing had the focus.
    """
    open_screen(page, url, address)
    pressed: list[str] = []
    lost: list[str] = []
    alike: Counter[str] = Counter()
    asked: list[tuple[str, int]] = [tuple(item) for item in page.evaluate(_ACTING)]
    known = set(asked)
    while asked:
        name, place = asked.pop(0)
        most = CHOICES_PRESSED if ".choice" in name else ALIKE_PRESSED
        if leave_out.search(name) or alike[_alike(name)] >= most:
            continue
        if not page.evaluate(_TAKE, [name, place]):
            continue
        alike[_alike(name)] += 1
        page.keyboard.press("Enter")
        page.evaluate(_AT_REST)
        pressed.append(name)
        if focus(page) is None:
            # What was being stored may have taken it away just now: lost is what stays lost once nothing moves any more.
            page.evaluate(_AT_REST)
            if focus(page) is None:
                lost.append(name)
        if not page.url.endswith(address):
            open_screen(page, url, address)
        # What only came by the action has its turn at once: the answers to a question that was asked in place.
        new = [item for item in map(tuple, page.evaluate(_ACTING)) if item not in known]
        known.update(new)
        asked = new + asked
    return pressed, lost


def focus(page: Page) -> dict[str, Any] | None:
    """Return what has the focus, or None when nothing has: then whoever uses the keyboard has lost the place."""
    return page.evaluate(
        "() => { const at = document.activeElement; return at && at !== document.body && at.isConnected ? { tag: at.tagName, words: at.textContent } : null; }"
    )
