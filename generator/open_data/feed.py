"""What changed, as an Atom feed (RFC 4287): one entry for each page, dated by its review.

A feed has no clock of its own: it was updated when its newest page was reviewed, so that the same library gives the
same bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from limberleaf.open_data.model import LibraryData
from limberleaf.words import InterfaceWords

MOST = 50
_NO_DAY = "1970-01-01"


Row = Sequence[Any]
"""A page: address, title, version, day of its review (a text, or None), summary."""


def atom(pages: Iterable[Row], head: LibraryData, words: InterfaceWords, address: str) -> str:
    """Give the feed that stands at `address`, the newest reviews first."""
    rows = sorted(pages, key=lambda row: row[0])
    rows.sort(key=lambda row: row[3] or _NO_DAY, reverse=True)
    updated = _moment(rows[0][3] if rows else None)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<feed xmlns="http://www.w3.org/2005/Atom" xml:lang={quoteattr(head.language)}>',
        f"<id>{escape(address)}</id>",
        f"<title>{escape(words.say('open_data.changes', clinic=head.clinic))}</title>",
        f"<updated>{updated}</updated>",
        f'<link rel="self" type="application/atom+xml" href={quoteattr(address)}/>',
        f'<link rel="alternate" type="text/html" href={quoteattr(head.site)}/>',
        f"<author><name>{escape(head.clinic)}</name></author>",
    ]
    for url, title, version, reviewed, summary in rows[:MOST]:
        lines += [
            "<entry>",
            f"<id>{escape(url)}</id>",
            f"<title>{escape(title)}</title>",
            f"<updated>{_moment(reviewed)}</updated>",
            f'<link rel="alternate" type="text/html" href={quoteattr(url)}/>',
            f"<summary>{escape(words.say('open_data.version', number=version))} {escape(summary)}</summary>",
            "</entry>",
        ]
    return "\n".join([*lines, "</feed>"]) + "\n"


def _moment(reviewed: str | None) -> str:
    return f"{reviewed or _NO_DAY}T00:00:00Z"
