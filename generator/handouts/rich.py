"""Passages of a view as texts for templates: the same runs, with whole addresses in their links."""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import urljoin

from limberleaf.pages.passage import Passage

Run = dict[str, str]
"""A run of text: `t` the words, and for a link `to` its whole address."""
Rich = str | list[Run]
"""A text of a handout; plain when nothing in it is a link."""


def rich(passage: Passage | None, page: str) -> Rich:
    """Give a passage as a template takes it; `page` is the whole address of its page, which links start from."""
    if passage is None:
        return ""
    if not any(run.href for run in passage.runs):
        return passage.plain
    return [  # numbers of the dose are words like others here
        {"t": run.text, "to": urljoin(page, run.href)} if run.href else {"t": run.text}
        for run in passage.runs
    ]


def rich_all(passages: Iterable[Passage], page: str) -> list[Rich]:
    """Give several passages."""
    return [rich(one, page) for one in passages]


def plain(text: Rich) -> str:
    """Give the words alone."""
    return text if isinstance(text, str) else "".join(run["t"] for run in text)
