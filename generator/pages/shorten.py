"""Our scripts as they are served: without what only people who read the source need.

A small scanner of JavaScript tokens, after the lexical grammar of ECMA-262 (clause 12). Whether a slash divides or
begins a regular expression depends on what stands before it; where that does not tell, the script is refused and never
guessed at.
"""

from __future__ import annotations

import re

_TOKEN = re.compile(
    r"""(?P<space>\s+|//[^\n]*|/\*.*?\*/)
    |(?P<text>"(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'|`(?:\\.|[^`\\])*`)
    |(?P<word>[\w$]+)
    |(?P<sign>[^\s"'`])""",
    re.VERBOSE | re.DOTALL,
)
_EXPRESSION = re.compile(r"/(?![*/])(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])+/[a-z]*")
_BEFORE_EXPRESSION = {"case", "delete", "do", "else", "in", "new", "of", "return", "throw", "typeof", "void"}
"""Words behind which a slash begins a regular expression; behind any other word it divides."""
_GOES_ON = frozenset("{([,;:?=<>*&|!")
"""Signs after which a line break ends no statement."""
_CARRIES_ON = frozenset(")]},;.?:=<>*&|")
"""Signs before which a line break ends no statement that they would not go on with."""


def shortened(script: str) -> str:
    """Take away comments, indents, and spaces and line breaks that part no two tokens and end no statement.

    Raises ValueError, with the line, where a slash or a template cannot be told for certain.
    """
    written: list[str] = []
    gap, before, kind, at = "", "", "", 0
    while at < len(script):
        piece, now = _next(script, at, before, kind)
        at += len(piece)
        if now == "space":
            gap = "\n" if "\n" in gap + piece else " "
            continue
        written += [_kept(gap, before, kind, piece, now), piece]
        gap, before, kind = "", piece, now
    return "".join(written) + (gap if gap == "\n" and before not in _GOES_ON else "")


def _next(script: str, at: int, before: str, kind: str) -> tuple[str, str]:
    """Give the piece at a place, and its kind."""
    found = _TOKEN.match(script, at)
    if found is None:
        raise ValueError(_where(script, at, "a text or template that does not end"))
    piece, now = found.group(), str(found.lastgroup)
    if piece.startswith("`") and piece.count("${") and "`" in piece.rpartition("${")[2].partition("}")[0]:
        raise ValueError(_where(script, at, "a template within a template"))
    if piece != "/":
        return piece, now
    if kind == "sign" and before in ")}":
        if script[at - 1 : at + 2] != " / ":
            raise ValueError(_where(script, at, "a slash that may divide or begin a regular expression"))
        return piece, now
    if kind == "text" or before == "]" or (kind == "word" and before not in _BEFORE_EXPRESSION):
        return piece, now
    whole = _EXPRESSION.match(script, at)
    if whole is None:
        raise ValueError(_where(script, at, "a regular expression that does not end"))
    return whole.group(), "expression"


def _kept(gap: str, before: str, kind: str, piece: str, now: str) -> str:
    """Give what has to stay of the gap between two tokens."""
    goes_on = (
        not before or (kind == "sign" and before in _GOES_ON) or (now == "sign" and piece in _CARRIES_ON)
    )
    if gap == "\n" and not goes_on:
        return gap
    parts_words = kind in ("word", "expression") and now == "word"
    parts_signs = before + piece in ("++", "--") or (before == "/" and piece.startswith(("/", "*")))
    return " " if gap and (parts_words or parts_signs) else ""


def _where(script: str, at: int, what: str) -> str:
    return f"line {script.count(chr(10), 0, at) + 1}: {what}"
