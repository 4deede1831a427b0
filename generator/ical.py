"""Writing iCalendar files (RFC 5545): one escaping and one folding for every calendar the tool makes.

The plan page's script (`pages/assets`) writes the same bytes; tests hold the two together and read both back with the
`icalendar` library.
"""

from __future__ import annotations

from collections.abc import Iterable

FOLD = 75
"""Octets a line may have (RFC 5545 section 3.1)."""


def calendar_file(product: str, events: Iterable[Iterable[str]]) -> str:
    """Write a calendar of events, each given as its content lines from BEGIN to END; lines end in CRLF.

    `product` names what made it, such as `Plan` (PRODID, section 3.7.3).
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:-//Limberleaf//{product}//EN", "CALSCALE:GREGORIAN"]
    for event in events:
        lines += event
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in folded(line))


def escaped(text: str) -> str:
    """Escape a TEXT value (section 3.3.11); control signs other than line feeds are left out."""
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
    return "".join(sign for sign in text if sign >= " " and sign != "\x7f")


def folded(line: str) -> list[str]:
    """Fold a line to 75 octets, never inside a character; continuations begin with a space (section 3.1)."""
    parts, now, room = [], "", FOLD
    for sign in line:
        size = len(sign.encode("utf-8"))
        if size > room:
            parts.append(now)
            now, room = " ", FOLD - 1
        now += sign
        room -= size
    return [*parts, now]
