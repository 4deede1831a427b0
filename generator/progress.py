"""What long work is doing and how far it is: a bar on a terminal, JSON lines for programs, nothing elsewhere.

A room that works through many items goes through `counted`; whether anybody looks is the command's business.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Literal, TypeVar

import click

Item = TypeVar("Item")
ProgressForm = Literal["auto", "json", "off"]

_form: ContextVar[ProgressForm] = ContextVar("form", default="off")
_FEWEST = 2
"""Items from which on a count is worth showing."""


@contextmanager
def shown(form: ProgressForm) -> Iterator[None]:
    """Show progress inside: `auto` on the error stream where that is a terminal, `json` as lines for programs."""
    here: ProgressForm = "off" if form == "auto" and not sys.stderr.isatty() else form
    token = _form.set(here)
    try:
        yield
    finally:
        _form.reset(token)


def counted(what: str, items: Sequence[Item]) -> Iterator[Item]:
    """Give the items; say `what` is done with them and how many are done."""
    form = _form.get() if len(items) >= _FEWEST else "off"
    if form == "off":
        yield from items
    elif form == "json":
        yield from _with_lines(what, items)
    else:
        with click.progressbar(items, label=what, file=sys.stderr) as bar:
            yield from bar


def _with_lines(what: str, items: Sequence[Item]) -> Iterator[Item]:
    """Write a line of JSON at each new hundredth: `{"doing": "Making pages", "done": 12, "of": 1200}`."""
    said = -1
    for done, item in enumerate(items):
        said = _said(what, done, len(items), said)
        yield item
    _said(what, len(items), len(items), said)


def _said(what: str, done: int, of: int, said: int) -> int:
    now = done * 100 // of
    if now != said:
        click.echo(json.dumps({"doing": what, "done": done, "of": of}, ensure_ascii=False), err=True)
    return now
