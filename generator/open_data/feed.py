"""What changed, as an Atom feed (RFC 4287): one entry for each page, dated by its review.

A feed has no clock of its own: it was updated when its newest page was reviewed, so that the same library gives the
same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from xml.sax.saxutils import escape, quoteattr

from limberleaf.open_data.model import LibraryData, RecordData
from limberleaf.words import InterfaceWords

MOST = 50
_NO_DAY = date(1970, 1, 1)


def atom(data: LibraryData, words: InterfaceWords, address: str) -> str:
    """Give the feed that stands at `address`, the newest reviews first."""
    rows = sorted(_rows(data), key=lambda row: (-(row[2].reviewed or _NO_DAY).toordinal(), row[0]))
    updated = _moment(rows[0][2] if rows else None)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<feed xmlns="http://www.w3.org/2005/Atom" xml:lang={quoteattr(data.language)}>',
        f"<id>{escape(address)}</id>",
        f"<title>{escape(words.say('open_data.changes', clinic=data.clinic))}</title>",
        f"<updated>{updated}</updated>",
        f'<link rel="self" type="application/atom+xml" href={quoteattr(address)}/>',
        f'<link rel="alternate" type="text/html" href={quoteattr(data.site)}/>',
        f"<author><name>{escape(data.clinic)}</name></author>",
    ]
    for url, title, record, summary in rows[:MOST]:
        lines += [
            "<entry>",
            f"<id>{escape(url)}</id>",
            f"<title>{escape(title)}</title>",
            f"<updated>{_moment(record)}</updated>",
            f'<link rel="alternate" type="text/html" href={quoteattr(url)}/>',
            f"<summary>{escape(words.say('open_data.version', number=record.version))} {escape(summary)}</summary>",
            "</entry>",
        ]
    return "\n".join([*lines, "</feed>"]) + "\n"


def _rows(data: LibraryData) -> Iterator[tuple[str, str, RecordData, str]]:
    for exercise in data.exercises:
        yield exercise.url, exercise.title, exercise.record, exercise.aim
    for ladder in data.ladders:
        yield ladder.url, ladder.title, ladder.record, ladder.aim
    for page in data.collections:
        yield page.url, page.title, page.record, page.summary


def _moment(record: RecordData | None) -> str:
    day = record.reviewed if record and record.reviewed else _NO_DAY
    return f"{day.isoformat()}T00:00:00Z"
