"""How a subject declares what its checks may find: each code once, with its words in short and its chapter of the report."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.survey.chapters import FINDING_CHAPTERS


@dataclass(frozen=True)
class Code:
    """What is the same for every finding of one code.

    ``title`` says in a few words what was found, where the message with its figures would be too long: the first page of the
    report.  ``chapter`` is the chapter that the finding is printed in.
    """

    title: str
    chapter: str


Codes = dict[str, Code]


def declare(chapter: str, **titles: str) -> Codes:
    """Return codes that are printed in one chapter, each with its title.

    Raises
    ------
    ValueError
        When no finding is printed in that chapter.
    """
    if chapter not in FINDING_CHAPTERS:
        raise ValueError(f"no finding is printed in a chapter {chapter!r}")
    return {code: Code(title, chapter) for code, title in titles.items()}


def joined(*parts: Codes) -> Codes:
    """Return the codes of several subjects together; two that declare the same code are a mistake (``ValueError``)."""
    together: Codes = {}
    for part in parts:
        twice = together.keys() & part.keys()
        if twice:
            raise ValueError(f"declared twice: {', '.join(sorted(twice))}")
        together |= part
    return together
