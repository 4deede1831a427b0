"""All pages at a glance, and the few that hold everything the others do, so that not every page is read in full.

`survey.js` lays page after page into one document. It tells how wide each is, and names the kinds of element on it:
chain of ancestors, role, what is named, labelled and pointed to, and how it looks, as the browser has worked it out.
axe-core judges elements of one kind alike, so it reads the pages that together hold every kind of the site.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page

SCRIPT = Path(__file__).with_name("survey.js").read_text("utf-8")


@dataclass(frozen=True)
class Survey:
    """What was seen of some pages, each by its address.

    `wide` are those that scroll sideways or whose head or foot does not reach both edges, with the width of the window;
    `twice` the ids that a page has twice; `kinds` all kinds of element; `cover` the pages that together hold each of
    them.
    """

    wide: list[tuple[str, int]]
    twice: dict[str, list[str]]
    kinds: list[str]
    cover: list[str]


def look_through(page: Page, texts: dict[str, str], widths: tuple[int, ...]) -> Survey:
    """Look through pages by their addresses and texts in `page`, open at one like them, its content policy off."""
    addresses = list(texts)
    page.evaluate(SCRIPT)
    page.evaluate("texts => survey.take(texts)", list(texts.values()))
    wide = []
    for width in widths:
        page.set_viewport_size({"width": width, "height": 900})
        seen = page.evaluate("survey.wide()")
        wide += [(address, width) for address, is_wide in zip(addresses, seen, strict=True) if is_wide]
    found = page.evaluate("survey.kinds()")
    pages = found["pages"]
    twice = {address: one["twice"] for address, one in zip(addresses, pages, strict=True) if one["twice"]}
    chosen = covering([set(one["kinds"]) for one in pages])
    return Survey(wide, twice, found["names"], [addresses[at] for at in chosen])


def covering(sets: list[set[int]]) -> list[int]:
    """Choose sets that together hold all that any holds: always the one that adds most (Chvátal 1979, from memory)."""
    missing: set[int] = set().union(*sets)
    chosen = []
    while missing:
        best = max(range(len(sets)), key=lambda at: len(sets[at] & missing))
        chosen.append(best)
        missing -= sets[best]
    return sorted(chosen)
