"""From the texts of a page to the texts of a handout: the same words, with links that stand on their own.

Pages write their texts as HTML with nothing in it but words and links. Reading that back (rather than filling the
entry a second time) is what keeps page and paper word for word the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from html.parser import HTMLParser
from urllib.parse import urljoin

from markupsafe import Markup

Run = dict[str, str]
"""A run of text: `t` the words, and for a link `to` its whole address."""
Rich = str | list[Run]
"""A text of a handout; plain when nothing in it is a link."""


class _Runs(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self._page = page
        self._to = ""
        self.runs: list[Run] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "a":
            self._to = urljoin(self._page, dict(attrs).get("href") or "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "a":
            self._to = ""

    def handle_data(self, data: str) -> None:
        self.runs.append({"t": data, "to": self._to} if self._to else {"t": data})


def rich(text: Markup | str | None, page: str) -> Rich:
    """Turn a page's text into a handout's; `page` is the whole address of the page, which links start from."""
    if not text:
        return ""
    if not isinstance(text, Markup):
        return text
    if "<" not in text:
        return text.unescape()
    reader = _Runs(page)
    reader.feed(text)
    reader.close()
    return reader.runs


def rich_all(texts: Iterable[Markup | str], page: str) -> list[Rich]:
    """Turn several texts."""
    return [rich(text, page) for text in texts]


def plain(text: Rich) -> str:
    """Give the words alone."""
    return text if isinstance(text, str) else "".join(run["t"] for run in text)
