"""Looking at a page of the desk as a reader does: texts by what is around them."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

import html5lib


def tree(html: str) -> Element:
    """Parse strictly; a page that is no valid HTML fails here."""
    parsed: Element = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(html)
    return parsed


def words(element: Element) -> str:
    """Give all words inside, white space joined."""
    return " ".join("".join(element.itertext()).split())


def by_class(root: Element, name: str) -> list[Element]:
    """Give all elements of a class, in order."""
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


def by_id(root: Element, name: str) -> Element:
    """Give the element with an id."""
    return next(one for one in root.iter() if one.get("id") == name)


def section(html: str, heading: str) -> str:
    """Give the words of the section under a heading."""
    for one in tree(html).iter("section"):
        if any(words(head) == heading for head in one.iter("h2")):
            return words(one)
    raise AssertionError(f"no section {heading}")


def marked_words(html: str) -> list[tuple[str, str]]:
    """Give the marks of the page's own words as (number of the note, words)."""
    found: dict[str, str] = {}
    for mark in tree(html).iter("mark"):
        for note in (mark.get("data-notes") or "").split():
            found[note] = found.get(note, "") + "".join(mark.itertext())
    return [(re.sub(r"\D", "", note), text) for note, text in found.items()]
