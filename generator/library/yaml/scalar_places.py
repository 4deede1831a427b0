"""Where each character of a YAML text was written: the way back through quotes, escapes, folding and indentation.

The rules are those of YAML 1.2.2, chapters 7.3 (flow scalars) and 8.1 (block scalars), as libyaml reads them.
"""

from __future__ import annotations

from functools import lru_cache

_BREAKS = "\n\r\x85\u2028\u2029"
_UNFOLDED_BREAKS = "\u2028\u2029"
_BLANKS = " \t"
_ESCAPED_DIGITS = {"x": 2, "u": 4, "U": 8}
_WIDEST_INDENT = 80


@lru_cache(maxsize=64)
def written_at(text: str, start: int, end: int, style: str | None, value: str) -> tuple[int, ...]:
    """Give the index in `text` at which each character of `value` was written, and one more for its end.

    `start` and `end` bound the node, `style` is PyYAML's: a quote, `|`, `>`, or none for a plain text. Escapes are at
    their backslash, a folded line break at the break.
    """
    start = _past_properties(text, start, end)
    if style in ("|", ">"):
        found = _block(text, start, end, value, folded=style == ">")
    elif style in ("'", '"'):
        found = _flow(text, start + 1, end - 1, style)
    else:
        found = _flow(text, start, end, "")
    found = found[: len(value)]
    after = found[-1] + 1 if found else start
    return (*found, *[after] * (len(value) + 1 - len(found)))


def _past_properties(text: str, at: int, end: int) -> int:
    """Step over an anchor and a tag, with the space, line breaks and comments behind them."""
    while at < end and text[at] in "&!":
        while at < end and text[at] not in _BLANKS + _BREAKS:
            at += 1
        while at < end and text[at] in _BLANKS + _BREAKS + "#":
            if text[at] == "#":
                at = _line_end(text, at, end)
            else:
                at += 1
    return at


def _line_end(text: str, at: int, end: int) -> int:
    while at < end and text[at] not in _BREAKS:
        at += 1
    return at


def _past_break(text: str, at: int) -> int:
    return at + (2 if text[at : at + 2] == "\r\n" else 1)


def _past_blanks(text: str, at: int, end: int) -> int:
    while at < end and text[at] in _BLANKS:
        at += 1
    return at


def _flow(text: str, at: int, end: int, quote: str) -> list[int]:
    found: list[int] = []
    while at < end:
        char = text[at]
        if char in _BLANKS:
            after = _past_blanks(text, at, end)
            if after >= end or text[after] not in _BREAKS:
                found += range(at, after)
            at = after
        elif char in _BREAKS:
            breaks, at = _breaks(text, at, end)
            keeps = text[breaks[0]] in _UNFOLDED_BREAKS or len(breaks) == 1
            found += breaks if keeps else breaks[1:]
        elif quote == "'" and text[at : at + 2] == "''":
            found.append(at)
            at += 2
        elif quote == '"' and char == "\\" and text[at + 1 : at + 2] in tuple(_BREAKS):
            breaks, at = _breaks(text, at + 1, end)  # an escaped break joins two lines
            found += breaks[1:]
        elif quote == '"' and char == "\\":
            found.append(at)
            at += 2 + _ESCAPED_DIGITS.get(text[at + 1], 0)
        else:
            found.append(at)
            at += 1
    return found


def _breaks(text: str, at: int, end: int) -> tuple[list[int], int]:
    """Give the places of a run of line breaks, and where the text goes on behind them and their blanks."""
    breaks = []
    while at < end and text[at] in _BREAKS:
        breaks.append(at)
        at = _past_blanks(text, _past_break(text, at), end)
    return breaks, at


def _block(text: str, at: int, end: int, value: str, *, folded: bool) -> list[int]:
    head = _line_end(text, at, len(text))
    stated = any(char.isdigit() for char in text[at:head].partition("#")[0])
    if head >= len(text):
        return []
    begin = _past_break(text, head)
    if not stated:
        return _lines(text, begin, end, _indent(text, begin, end), folded=folded)
    for indent in range(1, _WIDEST_INDENT):  # counted from the parent's, which the node does not give
        found = _lines(text, begin, end, indent, folded=folded)
        if _says(text, found, value):
            return found
    return []


def _says(text: str, found: list[int], value: str) -> bool:
    if len(found) < len(value):
        return False
    return all(
        text[at] == char or text[at] in _BREAKS for at, char in zip(found, value, strict=False)
    ) and not any(text[at] not in _BREAKS for at in found[len(value) :])


def _indent(text: str, at: int, end: int) -> int:
    while at < end:
        after = at
        while after < end and text[after] == " ":
            after += 1
        if after < end and text[after] not in _BREAKS:
            return after - at
        if after >= end:
            break
        at = _past_break(text, after)
    return 0


def _lines(text: str, at: int, end: int, indent: int, *, folded: bool) -> list[int]:
    """Read a block's lines; a folded break between two lines that begin with a word is one space."""
    found: list[int] = []
    last_break, blanks, last_was_text = -1, [], False
    while at < end:
        content = at
        while content < end and content - at < indent and text[content] == " ":
            content += 1
        if content < end and text[content] in _BREAKS:  # an empty line
            blanks.append(content)
            at = _past_break(text, content)
            continue
        if content >= end or content - at < indent:
            break
        is_text = text[content] not in _BLANKS
        folds = folded and last_was_text and is_text and text[last_break] not in _UNFOLDED_BREAKS
        if last_break >= 0 and not (folds and blanks):
            found.append(last_break)
        found += blanks
        after = _line_end(text, content, len(text))
        found += range(content, after)
        last_break, blanks, last_was_text = after, [], is_text
        at = _past_break(text, after) if after < len(text) else after
    return found + ([last_break] if 0 <= last_break < len(text) else []) + blanks
