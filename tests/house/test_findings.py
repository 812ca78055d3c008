"""A finding is its code, its record and what it is about: each code is declared once, and no message decides anything."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.support.houses import small_house
from wattwalk.engine import assess
from wattwalk.engine.answers import Finding, Severity
from wattwalk.engine.answers.codes import declare, joined
from wattwalk.engine.codes import declared, declared_codes
from wattwalk.survey.chapters import FINDING_CHAPTERS
from wattwalk.survey.document import read_document
from wattwalk.survey.kinds import KINDS

ROOT = Path(__file__).resolve().parents[2]
ENGINE = ROOT / "backend/wattwalk/engine"
#: What makes a finding, there and in its helpers.
MAKERS = {"Finding", "finding", "say", "refuse"}
#: Who may look at a message: what makes one or shows it to a person.  A message is compared, cut or searched nowhere.
LOOKS = {
    "split",
    "startswith",
    "endswith",
    "partition",
    "rsplit",
    "removeprefix",
    "find",
    "index",
    "match",
    "search",
    "includes",
}


def pattern_of(node: ast.expr) -> str | None:
    """Return what codes an argument can be, as a pattern, or None when it is no code."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        found = re.escape(node.value)
    elif isinstance(node, ast.JoinedStr):
        found = "".join(
            re.escape(part.value) if isinstance(part, ast.Constant) else "[a-z0-9_]+" for part in node.values
        )
    else:
        return None
    return found if re.fullmatch(r"[a-z0-9_+\[\]-]+", found) else None


def codes_made(path: Path) -> Iterator[str]:
    """Give a pattern for each code that a module makes a finding with."""
    for node in ast.walk(ast.parse(path.read_text())):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name not in MAKERS:
            continue
        told = [found for item in node.args[:3] if (found := pattern_of(item)) is not None]
        told += [
            found for word in node.keywords if word.arg == "code" and (found := pattern_of(word.value)) is not None
        ]
        if told:
            yield told[0]


BY_SUBJECT = {
    folder.name: sorted({code for path in sorted(folder.glob("*.py")) for code in codes_made(path)})
    for folder in sorted(path for path in ENGINE.iterdir() if (path / "codes.py").exists() and path.name != "answers")
}


def test_every_subject_that_finds_something_declares_its_codes():
    makers = {path.parent.name for path in ENGINE.rglob("*.py") if list(codes_made(path))} - {"engine", "answers"}
    assert makers == {subject for subject, codes in BY_SUBJECT.items() if codes}


@pytest.mark.parametrize(("subject", "codes"), BY_SUBJECT.items(), ids=BY_SUBJECT)
def test_each_code_is_declared_by_the_subject_that_finds_it_and_none_else(subject: str, codes: list[str]):
    module = __import__(f"wattwalk.engine.{subject}.codes", fromlist=["CODES"])
    assert [code for code in codes if not any(re.fullmatch(code, name) for name in module.CODES)] == []
    assert [name for name in module.CODES if not any(re.fullmatch(code, name) for code in codes)] == []


def test_each_code_has_a_title_and_a_chapter_that_prints_it():
    for name, code in declared_codes().items():
        assert code.chapter in FINDING_CHAPTERS, name
        assert code.title[0].isupper(), name
        assert 10 <= len(code.title) <= 70, name
        assert not code.title.endswith("."), name


def test_each_constraint_of_a_pipe_that_stops_it_is_declared():
    """These codes are put together from the value of a field."""
    for choice in KINDS["pipe_run"].field("constraint").choices:
        made = small_house()
        made["records"]["pipe_run"] = [{"id": "p", "purpose": "primary", "constraint": choice.value}]
        found = [item.code for item in assess(read_document(made)).findings if item.code == f"pipe_{choice.value}"]
        assert set(found) <= set(declared_codes())
        assert bool(found) == (choice.value not in ("none", "other"))


def test_a_code_that_nobody_declared_is_refused():
    made = Finding(Severity.CHECK, "of_nobody", "room/r", None, "words", "", "")
    with pytest.raises(LookupError, match="of_nobody"):
        declared([made])
    with pytest.raises(ValueError, match="no finding is printed"):
        declare("photos", of_nobody="Of nobody")
    with pytest.raises(ValueError, match="declared twice: one"):
        joined(declare("site", one="One"), declare("water", one="One again"))


def test_an_assessment_carries_what_the_codes_declare():
    codes = declared_codes()
    found = assess(read_document(small_house())).findings
    assert found
    for item in found:
        assert (item.title, item.chapter) == (codes[item.code].title, codes[item.code].chapter)
        assert declared([replace(item, title="", chapter="")]) == (item,)


def message_decides(text: str) -> list[str]:
    """Return the lines of a program that compare, cut or search a message."""
    cut = rf"\bmessage\)?\??\.(?:{'|'.join(LOOKS)}|lower|toLowerCase)\("
    compared = r"(?<!for )\bmessage\s*(?:===?|!==?|in)\s(?!'string')|(?:===?|!==?|\bin)\s+\w+\.message\b"
    pattern = re.compile(rf"{cut}|{compared}")
    return [
        line.strip()
        for line in text.splitlines()
        if pattern.search(line) and not line.strip().startswith(("#", "//", "*"))
    ]


@pytest.mark.parametrize(
    "line",
    [
        'what = finding.message.split(": ", 1)[0]',
        'if "damp" in item.message:',
        "if item.message == seen:",
        "const isOld = finding.message.includes('old');",
        "if (a.message === b.message) {",
        "if about.lower() in item.message.lower():",
    ],
)
def test_a_message_that_decides_is_seen(line: str):
    assert message_decides(line)


#: Where the words of something that is no finding are looked at, with why.
ALLOWED = {
    "pwa/src/store/write.ts": "browsers tell a full storage by their own words only",
}


def test_no_message_decides_anything():
    sources = [*(ROOT / "backend/wattwalk").rglob("*.py"), *(ROOT / "pwa/src").rglob("*.ts*")]
    found = {
        str(path.relative_to(ROOT)): lines
        for path in sources
        if "generated" not in path.parts and (lines := message_decides(path.read_text()))
    }
    assert {name: lines for name, lines in found.items() if name not in ALLOWED} == {}
