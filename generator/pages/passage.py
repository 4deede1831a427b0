"""A passage: a text of an entry as runs of words, which page, paper and desk each render in their own way.

Views hold passages. A page's templates render one by printing it (`__html__`), a handout takes its runs, whoever
wants the words alone takes `plain`. Nobody reads another's rendering back.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from markupsafe import Markup, escape


@dataclass(frozen=True)
class Run:
    """Words with one meaning. `href` is where a link leads from the passage's page, or what a telephone dials.

    `blank` names the number of the dose that the words say, so that a page can say a plan's own number instead;
    with `begins` it begins a sentence.
    """

    text: str
    kind: Literal["text", "link", "phone", "dose"] = "text"
    href: str = ""
    blank: str = ""
    begins: bool = False

    def __html__(self) -> str:
        if self.kind == "phone":
            return Markup('<a class="tel" href="{}" dir="ltr">{}</a>').format(self.href, self.text)
        if self.kind == "link":
            return Markup('<a href="{}">{}</a>').format(self.href, self.text)
        if self.kind == "dose":
            begins = Markup(" data-begins") if self.begins else ""
            return Markup('<span data-dose="{}"{}>{}</span>').format(self.blank, begins, self.text)
        return escape(self.text)


@dataclass(frozen=True)
class Passage:
    """A text of a page with its blanks filled and its links found."""

    runs: tuple[Run, ...]

    @cached_property
    def plain(self) -> str:
        """Give the words alone."""
        return "".join(run.text for run in self.runs)

    def __str__(self) -> str:
        return self.plain

    def __html__(self) -> str:
        return "".join(run.__html__() for run in self.runs)


def phone(number: str) -> Run:
    """Give a telephone number that can be dialled."""
    return Run(number, "phone", "tel:" + "".join(sign for sign in number if sign.isdigit() or sign == "+"))


def joined(runs: Iterable[Run]) -> Passage:
    """Make a passage of runs; plain ones next to each other become one."""
    out: list[Run] = []
    for run in runs:
        if out and out[-1].kind == run.kind == "text":
            out[-1] = Run(out[-1].text + run.text)
        else:
            out.append(run)
    return Passage(tuple(out))
