"""A handout's blocks as a draft entry: what stands there, where it seems to belong, and what nobody can know.

Nothing is made up. What the handout does not say is a comment; what was put somewhere by a guess is marked; what
found no place stands at the end, so that no word is lost.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from limberleaf.data_files import data_of
from limberleaf.exchange.dose_words import read_dose
from limberleaf.exchange.handout import Block, Handout
from limberleaf.library.guide import keys
from limberleaf.library.yaml.yaml_values import after_key, item_text

UNSURE = "# UNSURE:"
MISSING = "# MISSING:"
_FEELINGS = ("fine", "ease_off", "stop")
_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")


@dataclass
class Draft:
    """What was found, by key; the keys that were put there by a guess, with the reason; what found no place."""

    found: dict[str, list[str]] = field(default_factory=dict)
    dose: dict[str, Any] = field(default_factory=dict)
    unsure: dict[str, str] = field(default_factory=dict)
    rest: list[str] = field(default_factory=list)
    title: str = ""


@cache
def _headings() -> list[tuple[str, str]]:
    """Give the words of headings with their keys, the longest first."""
    table = data_of(__package__, "headings.yml")
    pairs = [(str(words), str(key)) for key, every in table.items() for words in every]
    return sorted(pairs, key=lambda pair: (-len(pair[0]), pair))


def key_of(heading: str) -> str | None:
    """Give the key whose lines a heading announces, or None."""
    plain = " ".join(re.sub(r"[^a-z ]", " ", heading.lower()).split())
    return next((key for words, key in _headings() if re.search(rf"\b{words}\b", plain)), None)


def draft_of(handout: Handout) -> Draft:
    """Sort the blocks of a handout under the keys of an entry."""
    draft = Draft()
    key: str | None = None
    for block in handout.blocks:
        if block.kind == "heading":
            found = key_of(block.text)
            if not draft.title and (found is None or block.level == 1):
                draft.title, key = block.text, None
                continue
            key = found
            if key is None:
                draft.rest.append(f"[{block.text}]")
            continue
        _line(draft, block, key)
    _numbers(draft, handout)
    return draft


def _line(draft: Draft, block: Block, key: str | None) -> None:
    if key is None:
        led, colon, text = block.text.partition(":")
        own = key_of(led) if colon and len(led) < 40 else None
        if own is None or not text.strip():
            draft.rest.append(block.text)
            return
        key = own
        draft.unsure.setdefault(key, f"taken for this by the words “{led.strip()}”")
        block = Block("text", text.strip())
    if key == "dose":
        draft.found.setdefault("dose", []).append(block.text)
        return
    lines = [block.text] if block.kind == "item" or key == "aim" else _SENTENCE.split(block.text)
    if len(lines) > 1:
        draft.unsure.setdefault(key, "one paragraph, cut into a line for each sentence")
    draft.found.setdefault(key, []).extend(line.strip() for line in lines if line.strip())


def _numbers(draft: Draft, handout: Handout) -> None:
    own = " . ".join(draft.found.get("dose", ()))
    draft.dose = read_dose(own)
    if not draft.dose:
        draft.dose = read_dose(" . ".join(block.text for block in handout.blocks))
        if draft.dose:
            draft.unsure["dose"] = "read from sentences of the handout, which has no part of its own for it"
    elif not set(draft.dose) >= {"times_a_day", "days_a_week"}:
        draft.unsure["dose"] = "not all of it was said in words that can be read"


def draft_text(draft: Draft, *, code: str, region: str, file: str, pictures: list[str]) -> str:
    """Write the draft as a file: it is no entry before its MISSING lines are written, and check says so."""
    meanings = {key.path: key.meaning for key in keys("exercise")}
    lines = [
        f"# Read from {file}. Every line must be compared with it; a registered clinician must approve the entry.",
        "# UNSURE marks a guess of the program, MISSING what the handout does not say.",
        f"code: {code}",
    ]

    def put(key: str, value: Any) -> None:
        if key in draft.unsure:
            lines.append(f"{UNSURE} {draft.unsure[key]}")
        lines.append(f"{key}:{after_key(value, 0)}")

    def miss(key: str) -> None:
        lines.append(f"{MISSING} {key}: {meanings[key]}")

    def put_or_miss(key: str, value: Any, *, must: bool = True) -> None:
        if value:
            put(key, value)
        elif must:
            miss(key)

    put_or_miss("title", draft.title)
    lines.append("status: draft")
    put_or_miss("region", region)
    miss("kind")
    put_or_miss("aim", " ".join(draft.found.get("aim", ())))
    put_or_miss("suits", draft.found.get("suits"), must=False)
    put_or_miss("leave_out_if", draft.found.get("leave_out_if"))
    miss("position")
    for need in draft.found.get("equipment", ()):
        lines.append(
            f"{MISSING} equipment: the handout says “{need}”; write - {{item: ...}} by the names of equipment.yml"
        )
    miss("sides")
    put_or_miss("setup", draft.found.get("setup"))
    put_or_miss("steps", draft.found.get("steps"))
    _dose_lines(draft, lines, miss)
    _feeling_lines(draft, lines, meanings)
    short = draft.found.get("in_short", [])
    if len(short) == 3:
        put("in_short", short)
    else:
        miss("in_short")
        lines += [f"#   the handout says: {text}" for text in short]
    put_or_miss("watch_for", draft.found.get("watch_for"), must=False)
    for way in ("easier", "harder"):
        for text in draft.found.get(way, ()):
            lines.append(f"{MISSING} {way}: the handout says “{text}”; write {{exercise: CODE, when: ...}}")
    miss("figure")
    lines += [f"#   picture kept aside: {name}" for name in pictures]
    lines.append("review: {owner: Lead physiotherapist, version: 1}")
    lines.append(f"{UNSURE} the owner above is the starter's; write the role that keeps this entry")
    if draft.rest:
        lines += ["", "# What found no place above; nothing of the handout is lost:"]
        lines += [f"#   {text}" for text in draft.rest]
    return "\n".join(lines) + "\n"


def _dose_lines(draft: Draft, lines: list[str], miss: Callable[[str], None]) -> None:
    whole = ({"repetitions", "duration"} & set(draft.dose)) and ({"times_a_day", "every"} & set(draft.dose))
    if draft.dose:
        if "dose" in draft.unsure or not whole:
            lines.append(f"{UNSURE} {draft.unsure.get('dose', 'not all of it could be read')}")
        lines.append(f"dose:{after_key(draft.dose, 0)}")
        if "days_a_week" not in draft.dose:
            miss("dose.days_a_week")
    else:
        miss("dose")
    lines += [f"#   the handout says: {text}" for text in draft.found.get("dose", ())]


def _feeling_lines(draft: Draft, lines: list[str], meanings: dict[str, str]) -> None:
    lines.append("feelings:")
    for name in _FEELINGS:
        key = f"feelings.{name}"
        if key in draft.unsure:
            lines.append(f"  {UNSURE} {draft.unsure[key]}")
        found = draft.found.get(key)
        if found:
            lines += [f"  {name}:", *(f"    - {item_text(text, 6)}" for text in found)]
        else:
            lines.append(f"  {MISSING} {name}: {meanings[key]}")
