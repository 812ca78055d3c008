"""Nobody's address, telephone or mailbox stands anywhere in the tree: what looks like one cannot be anyone's.

- Postcodes: Royal Mail's published format of a postcode (as in BS 7666): the last two letters are never C, I, K, M, O or V, the first
  letter never Q, V or X, the second never I, J or Z.  One that breaks it cannot be given to anybody.
- Telephones: the numbers that Ofcom keeps free for drama (from memory): 01632 960000 to 960999, 07700 900000 to 900999,
  020 7946 0000 to 0999, 0808 157 0000 to 0999.
- Mailboxes: the domains kept for examples by RFC 2606 and RFC 6761, a machine's own address, and a name that never resolves.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from .test_repo import ROOT, tracked_files

POSTCODE = re.compile(r"(?<![\w.#-])([A-Z]{1,2}[0-9][0-9A-Z]?) ?([0-9][A-Z]{2})(?![\w-])")
TELEPHONE = re.compile(
    r"(?<![\w.,+-])(?:\+44 ?\(?0?\)?|0)(?:\d{2} \d{4} \d{4}|\d{3} \d{3} \d{4}|\d{4} ?\d{6}|\d{4} \d{3} \d{3}|\d{4} ?\d{5})(?![\w.])"
)
MAILBOX = re.compile(r"[\w.%+'-]+@((?:[A-Za-z0-9-]+\.)+[A-Za-z0-9-]+)")
DRAMA = re.compile(r"(?:1632 ?960 ?\d{3}|7700 ?900 ?\d{3}|20 ?7946 ?0\d{3}|808 ?157 ?0\d{3})$")
#: Written by tools, and full of digits that nobody typed.
NOT_OURS = ("backend/locks/", "pwa/package-lock.json", "tests/golden/figures.json", "tests/golden/papers.json")


def is_nobodys_postcode(outward: str, inward: str) -> bool:
    area = re.match("[A-Z]+", outward)[0]
    return bool(re.search("[CIKMOV]", inward)) or area[0] in "QVX" or area[1:2] in tuple("IJZ")


def is_nobodys_telephone(number: str) -> bool:
    return DRAMA.search(number) is not None


def is_nobodys_mailbox(domain: str) -> bool:
    *_rest, before, last = ["", *domain.lower().split(".")]
    return (
        last in ("example", "invalid", "test", "localhost")
        or (before == "example" and last in ("com", "net", "org"))
        or domain == "127.0.0.1"
    )


FOUND: dict[str, tuple[re.Pattern[str], Callable[[re.Match[str]], bool]]] = {
    "postcode": (POSTCODE, lambda found: is_nobodys_postcode(found[1], found[2])),
    "telephone": (TELEPHONE, lambda found: is_nobodys_telephone(found[0])),
    "mailbox": (MAILBOX, lambda found: is_nobodys_mailbox(found[1])),
}


def written() -> list[tuple[str, str]]:
    """Return every tracked text file that people write, by its name."""
    found = []
    for path in tracked_files():
        name, content = path.relative_to(ROOT).as_posix(), path.read_bytes()
        if b"\0" not in content and not name.startswith(NOT_OURS):
            found.append((name, content.decode("utf-8")))
    return found


@pytest.mark.parametrize("what", FOUND)
def test_nothing_in_the_tree_can_be_anybodys(what: str) -> None:
    pattern, is_nobodys = FOUND[what]
    matches = [(name, found) for name, text in written() for found in pattern.finditer(text)]
    # The tree is full of invented ones: a pattern that finds none looks for the wrong thing.
    assert len(matches) > 5
    assert [f"{name}: {found[0]}" for name, found in matches if not is_nobodys(found)] == []


# Put together from pieces, so that the tree does not hold what it must not.
@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("postcode", "M1 " + "1AA"),
        ("postcode", "EC1A" + "1BB"),
        ("postcode", "LS40 " + "0AB"),
        ("telephone", "0113 " + "496 0123"),
        ("telephone", "020 " + "7123 0001"),
        ("telephone", "07700" + "901234"),
        ("telephone", "+44 " + "1632 961000"),
        ("mailbox", "office@" + "heating.co.uk"),
        ("mailbox", "a@" + "example.co.uk"),
    ],
)
def test_what_could_be_somebodys_is_seen(what: str, text: str) -> None:
    pattern, is_nobodys = FOUND[what]
    assert [is_nobodys(found) for found in pattern.finditer(f"to {text}, please")] == [False]


def test_demo_texts_are_filled_in_and_not_seeded() -> None:
    word = re.compile("se" + "ed", re.IGNORECASE)
    assert not [path.name for path in (ROOT / "backend").rglob("*.py") if word.search(path.name)]
    for name in ("README.md", "backend/wattwalk/cli.py", "backend/wattwalk/commands.py", "backend/wattwalk/fill_in.py"):
        assert not word.search((ROOT / name).read_text(encoding="utf-8")), name
