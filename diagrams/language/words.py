"""The vocabulary of parts and props an author may write, and how a part name is read.

`affected heel`, `both hands`, `other shin`, `pelvis`: an optional side word, then a part of the body. The
parts, their everyday names and their geometry are in `data/parts.yml`, the props in `data/props.yml`, the
postures in `data/postures.yml`.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any, Literal

from limberleaf.diagrams.sides import SIDES, Side, load_data

SideWord = Literal["affected", "other", "both", "left", "right", "lead", "trail", "none"]
SIDE_WORDS: tuple[SideWord, ...] = ("affected", "other", "both", "left", "right", "lead", "trail")


@dataclass(frozen=True)
class PartName:
    """A part of the body with its side word, such as ("affected", "heel")."""

    side: SideWord
    part: str


@cache
def part_rows() -> dict[str, dict[str, Any]]:
    """Return the parts of the body by their standard name."""
    rows: dict[str, dict[str, Any]] = load_data("parts")["parts"]
    return rows


@cache
def _part_names() -> dict[str, str]:
    names: dict[str, str] = {}
    for key, row in part_rows().items():
        for word in (key, *row.get("also", ())):
            names[word] = key
            if row.get("paired"):
                names[row.get("plural", f"{word}s") if word == key else f"{word}s"] = key
                names[word.replace(" of ", "s of ", 1)] = key  # "balls of foot", as many say
    return names


@cache
def _plural_pairs() -> dict[str, str]:
    """Return what `both` goes with: `both hips` are two, `hips` alone is the pelvis."""
    rows = part_rows().items()
    return {row.get("plural", f"{key}s"): key for key, row in rows if row.get("paired")}


@cache
def prop_rows() -> dict[str, dict[str, Any]]:
    """Return the kinds of props by name."""
    rows: dict[str, dict[str, Any]] = load_data("props")["props"]
    return rows


@cache
def posture_rows() -> dict[str, dict[str, Any]]:
    """Return the named starting positions."""
    rows: dict[str, dict[str, Any]] = load_data("postures")["postures"]
    return rows


def nearest(word: str, known: list[str]) -> str:
    """Return " Did you mean ...?" for a mistyped word, or an empty string."""
    close = get_close_matches(word, known, n=1, cutoff=0.6)
    return f" Did you mean {close[0]!r}?" if close else ""


def read_part(text: str) -> PartName:
    """Read a part name such as "affected heel"; raises ValueError in plain words when it is not one."""
    read = _part_or_reason(text)
    if isinstance(read, PartName):
        return read
    raise ValueError(read)


def _nearest_part(words: list[str]) -> str:
    """Return the part that mistyped words most likely mean, with its side word; empty when none is near."""
    rest = list(words)
    side = next(iter(get_close_matches(rest[0], SIDE_WORDS, n=1, cutoff=0.75)), "") if len(rest) > 1 else ""
    if side:
        rest = rest[1:]
    part = next(iter(get_close_matches(" ".join(rest), sorted(_part_names()), n=1, cutoff=0.75)), "")
    return f"{side} {part}".strip() if part else ""


@cache
def _part_or_reason(text: str) -> PartName | str:
    """Read a part name or say why it is none; cached, since looking for the nearest name takes milliseconds."""
    words = text.lower().replace("_", " ").split()
    given = list(words)
    side: SideWord = "none"
    for word in SIDE_WORDS:
        if words and words[0] == word:
            side, words = word, words[1:]
    name = " ".join(words)
    names = _part_names() if side == "none" else {**_part_names(), **_plural_pairs()}
    if name not in names:
        near = _nearest_part(given)
        way_out = f" Did you mean {near!r}?" if near else " The guide shows all parts."
        return f"{text!r} is not a part of the body that figures know.{way_out}"
    part = names[name]
    paired = bool(part_rows()[part].get("paired"))
    if paired and side == "none":
        return f"say which {name} is meant: affected {name}, other {name} or both"
    if not paired and side != "none":
        return f"the {name} has no side; write just {name!r}"
    return PartName(side, part)


def part_phrases() -> list[str]:
    """Return every part as an author writes it, with its side words: `affected heel`, `both heels`, `pelvis`."""
    out: list[str] = []
    for name, row in sorted(part_rows().items()):
        if not row.get("paired"):
            out.append(name)
            continue
        out += [f"affected {name}", f"other {name}", f"both {row.get('plural', f'{name}s')}"]
    return out


def opposite(side: Side) -> Side:
    """Return the other side."""
    return "left" if side == "right" else "right"


def sides_of(word: SideWord, affected: Side, lead: Side) -> tuple[Side, ...]:
    """Return the sides a side word means; both for `both`, none for an unpaired part."""
    if word == "both":
        return SIDES
    if word == "none":
        return ()
    if word in ("left", "right"):
        return (word,)
    first = affected if word in ("affected", "other") else lead
    return (first if word in ("affected", "lead") else opposite(first),)
