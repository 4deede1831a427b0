"""One value as the text of a spreadsheet cell and back, without loss.

A list takes one line for each item. A list of records takes one line for each record, written as
`key: value | key: value`. A backslash keeps what would be read as such a sign: `\\|`, `\\n` (a line break inside a
text), `\\\\`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

BULLET = re.compile(r"^[-•*–]\s+")
"""What people type before the lines of a list; it is no part of the text."""
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
"""What XML 1.0 (section 2.2) forbids or discourages in a document; a cell cannot carry it as it is."""
_ESCAPE = re.compile(r"\\(u[0-9a-f]{4}|.)")
_PART = re.compile(r"(?<!\\)(?:\\\\)*\|")
_AS_MANY = re.compile(r"as many as (?:are |is )?comfortable,? up to (\d{1,4})", re.IGNORECASE)


class CellError(ValueError):
    """A cell cannot be read; the text says why and what to write."""


def escaped(text: str, more: str = "") -> str:
    """Give a text as one line; the characters of `more` are kept by a backslash too."""
    text = text.replace("\\", "\\\\")
    text = text.replace("\r", "\\r").replace("\n", "\\n").replace("\t", "\\t")
    for sign in more:
        text = text.replace(sign, f"\\{sign}")
    text = _CONTROL.sub(lambda found: f"\\u{ord(found[0]):04x}", text)
    return f"\\{text}" if BULLET.match(text) else text


def unescaped(text: str) -> str:
    """Give back what `escaped` wrote; a text somebody typed without a backslash is as it is."""
    named = {"n": "\n", "r": "\r", "t": "\t"}

    def back(found: re.Match[str]) -> str:
        sign = found[1]
        return chr(int(sign[1:], 16)) if len(sign) == 5 else named.get(sign, sign)

    return _ESCAPE.sub(back, text)


def text_cell(value: Any, more: str = "") -> str:
    """Write one plain value; `more` as in `escaped`."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return escaped(str(value), more)


def list_cell(value: Sequence[Any] | None) -> str:
    """Write a list of texts, one line each."""
    return "\n".join(text_cell(item) for item in value or ())


def read_list(cell: str) -> list[str] | None:
    """Read a list of texts; None when there is no line."""
    lines = [BULLET.sub("", line.strip(), count=1) for line in cell.split("\n")]
    return [unescaped(line).strip() for line in lines if line] or None


def records_cell(value: Sequence[Mapping[str, Any]] | None) -> str:
    """Write a list of records, one line each."""
    return "\n".join(
        " | ".join(f"{key}: {text_cell(item, '|')}" for key, item in record.items()) for record in value or ()
    )


def read_records(cell: str, known: Sequence[str]) -> list[dict[str, Any]] | None:
    """Read a list of records whose keys are `known`; raise CellError for a line that is none."""
    records = []
    for line in cell.split("\n"):
        bare = BULLET.sub("", line.strip(), count=1)
        if not bare:
            continue
        record: dict[str, Any] = {}
        for part in _parts(bare):
            key, colon, text = part.partition(":")
            key = key.strip()
            if not colon or key not in known:
                raise CellError(
                    f"“{part.strip()}” does not begin with one of {', '.join(known)} and a colon. "
                    f"Write for example “{known[0]}: ... | {known[-1]}: ...”."
                )
            if key in record:
                raise CellError(f"“{key}” stands twice in one line. Begin a new line for the next one.")
            record[key] = truth(unescaped(text.strip()))
        records.append(record)
    return records or None


def _parts(line: str) -> list[str]:
    parts, start = [], 0
    for found in _PART.finditer(line):
        parts.append(line[start : found.end() - 1])
        start = found.end()
    return [*parts, line[start:]]


def truth(text: str) -> Any:
    """Read `true` and `false` as such and every other text as it is."""
    return {"true": True, "false": False}.get(text.lower(), text)


def repetitions_cell(value: Any) -> str:
    """Write repetitions: a count, or `as many as comfortable, up to 20`."""
    if isinstance(value, Mapping):
        return f"as many as comfortable, up to {value.get('up_to')}"
    return text_cell(value)


def read_repetitions(cell: str) -> Any:
    """Read repetitions."""
    found = _AS_MANY.fullmatch(cell.strip())
    return {"as_many_as_comfortable": True, "up_to": int(found[1])} if found else number(cell)


def number(cell: str) -> Any:
    """Give a whole number as one, so that it is written without quotes; `08` and `8-12` stay texts."""
    text = unescaped(cell.strip())
    return int(text) if re.fullmatch(r"0|[1-9]\d{0,8}", text) else text
