"""Runs the rules over a text and makes marks of what they find."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from limberleaf.reading.blocks import SwitchedOff
from limberleaf.reading.marks import Mark
from limberleaf.reading.rules import kinds, sentences, steps, wording, words  # noqa: F401 - they register their checks
from limberleaf.reading.rules.model import CHECKS, Hit, Rule, rules
from limberleaf.reading.words.text import Text

# A mark of the first rule makes a mark of the second on the same words needless.
_COVERS = {
    "hard-sentence": {"long-sentence", "hard-word"},
    "jargon": {"hard-word", "plain-words", "explain-term"},
    "explain-term": {"hard-word"},
    "plain-words": {"hard-word"},
    "noun-from-verb": {"hard-word", "plain-words"},
    "harsh-wording": {"hard-word", "plain-words"},
    "nested-conditions": {"double-negative", "long-sentence"},
}


def run(text: Text, only: str | None = None) -> tuple[Mark, ...]:
    """All marks of a text, in reading order; `only` runs a single rule."""
    found: list[Mark] = []
    for rule in rules():
        if not rule.langs & {"any", text.lang.partition("-")[0]} or (only and rule.id != only):
            continue
        found.extend(_mark(text, rule, hit) for hit in CHECKS[rule.check](text, rule))
    found.sort(key=lambda mark: (mark.block, mark.start, -mark.end, mark.rule))
    return tuple(_without_covered(found))


def _mark(text: Text, rule: Rule, hit: Hit) -> Mark:
    return Mark(
        rule=rule.id,
        level=hit.level or rule.level,
        block=hit.block,
        start=hit.start,
        end=hit.end,
        message=rule.message.format_map(hit.values),
        suggestion=rule.suggestion.format_map(hit.values) if hit.suggestion is None else hit.suggestion,
        replacement=hit.replacement,
        reasons=hit.reasons,
        key=text.blocks[hit.block].key,
    )


def _without_covered(marks: list[Mark]) -> Iterator[Mark]:
    """Leave out marks that another one on the same words makes needless; what covers an error becomes one."""
    covered: set[int] = set()
    grave: set[int] = set()
    near: list[int] = []
    for place, mark in enumerate(marks):
        near = [other for other in near if marks[other].block == mark.block and marks[other].end > mark.start]
        for other in near:
            for over, under in ((place, other), (other, place)):
                if marks[under].rule in _COVERS.get(marks[over].rule, ()):
                    covered.add(under)
                    if marks[under].level == "error":
                        grave.add(over)
        near.append(place)
    for place, mark in enumerate(marks):
        if place not in covered:
            yield replace(mark, level="error") if place in grave else mark


def switch_off(
    marks: Iterable[Mark], text: Text, switches: tuple[SwitchedOff, ...]
) -> tuple[tuple[Mark, ...], tuple[Mark, ...], tuple[SwitchedOff, ...]]:
    """Marks still on, marks switched off with their reason, and switches that switched nothing off."""
    if not switches:
        return tuple(marks), (), ()
    on: list[Mark] = []
    off: list[Mark] = []
    used: set[int] = set()
    for mark in marks:
        number = next((n for n, switch in enumerate(switches) if _applies(switch, mark, text)), None)
        if number is None:
            on.append(mark)
        else:
            used.add(number)
            off.append(mark.switched_off(switches[number].reason))
    return tuple(on), tuple(off), tuple(s for n, s in enumerate(switches) if n not in used)


def _applies(switch: SwitchedOff, mark: Mark, text: Text) -> bool:
    if switch.rule != mark.rule or (switch.key is not None and switch.key != mark.key):
        return False
    if switch.text is None:
        return True
    wanted = switch.text.lower()
    source = text.blocks[mark.block].text.lower()
    place = source.find(wanted)
    while place >= 0:
        if place < mark.end and mark.start < place + len(wanted):
            return True
        place = source.find(wanted, place + 1)
    return False
