"""What the tool says about an entry while it is written: findings, marks on the words, the dose; each at its field."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

import yaml

from limberleaf.checks import CHECKS, DATED_CHECKS, Check
from limberleaf.checks.cautions import check_cautions
from limberleaf.checks.safety_signs import check_signs
from limberleaf.checks.wording import Passage, filler, passages_of
from limberleaf.clinical.dose import spoken, total_line
from limberleaf.desk.marked import without_overlaps
from limberleaf.desk.readings import Readings, grade_words, headline_words
from limberleaf.desk.write.kinds import Target, overlaid, read_text_as
from limberleaf.desk.write.words import DeskWords
from limberleaf.diagrams.language.words import posture_rows
from limberleaf.findings import Finding, in_order
from limberleaf.library import Exercise, Library, Loaded, Translation
from limberleaf.library.source import Loc, Source, loc_at
from limberleaf.reading import Kind, Mark, Reading
from limberleaf.words import interface_words

APPROVAL_CODES = frozenset(
    {"approval-not-recorded", "major-edit-not-reviewed", "edit-not-recorded", "review-typed", "version-went-down",
     "approved-by-nobody", "approved-not-reviewed", "approved-withdrawn", "lock-missing", "review-overdue"}
)  # fmt: skip
"""Findings that an approval itself answers."""


def awaits_approval(found: Finding) -> bool:
    """Tell whether a finding only says that something was not approved yet."""
    return found.code in APPROVAL_CODES or found.code.startswith("changed-")


EMPTY_CODES = frozenset({"missing-key", "empty-value", "empty-list"})
"""Findings that a form answers by filling in a box; their words are about keys and colons of the file."""

WHOLE_LIBRARY: tuple[Check, ...] = (check_signs, check_cautions)
"""Checks that weigh the whole library: asked when somebody pauses, not at each letter."""

_KINDS: Mapping[str, Kind] = {
    "title": "heading", "ask": "heading", "aim": "prose", "summary": "prose", "about": "prose", "answer": "prose",
    "dose_reason": "prose", "setup": "step", "steps": "step", "signs": "caution", "action": "caution",
}  # fmt: skip
_BULLETS = (
    "in_short", "suits", "leave_out_if", "fine", "ease_off", "stop", "when", "watch_for", "instead", "start_here_if",
    "move_on_when", "step_back_when", "same_or_less_because", "before_you_start", "come_back_when",
)  # fmt: skip


@dataclass(frozen=True)
class State:
    """An entry as it is being written: its text, the typed entry (None while it is not whole), the library with it."""

    target: Target
    source: Source
    entry: Any
    library: Library
    findings: tuple[Finding, ...]
    """Of reading the file alone."""


def state_of(library: Library, target: Target, text: str) -> State:
    """Read a text as an entry of the library."""
    source, entry, findings = read_text_as(target, text)
    over = overlaid(library, target, source, entry) if entry is not None else library
    return State(target, source, entry, over, tuple(findings))


def findings_of(state: State, today: date, *, whole: bool) -> list[Finding]:
    """Give the findings on the entry; figures and reading are shown beside the figure and the words."""
    if state.entry is None:
        return list(state.findings)
    found = list(state.findings)
    if state.library.clinic is not None:
        for check in CHECKS:
            if whole or check not in WHOLE_LIBRARY:
                found += check(state.library)
        for dated in DATED_CHECKS:
            found += dated(state.library, today)
    return in_order([one for one in found if one.place.path == state.target.path])


def findings_data(state: State, findings: Sequence[Finding], words: DeskWords) -> list[dict[str, Any]]:
    """Give findings as data, each with the way to its field and in terms of the form, not of the file."""
    return [_finding_data(one, _loc_of(state, one), words) for one in findings]


def _finding_data(found: Finding, loc: Loc, words: DeskWords) -> dict[str, Any]:
    names = [step for step in loc if isinstance(step, str)]
    label = words.field(".".join(names))
    message, hint = found.message, found.hint
    if found.code in EMPTY_CODES:
        message, hint = words.say("findings.empty", label=label), ""
    elif names and message.startswith(f"“{names[-1]}”"):
        message = message.replace(names[-1], label, 1)
    return {
        "loc": list(loc),
        "severity": found.severity,
        "code": found.code,
        "message": message,
        "hint": hint,
    }


def _loc_of(state: State, found: Finding) -> Loc:
    loc = loc_at(state.source.node, found.place.line, found.place.column)
    if found.code == "missing-key":  # its place is that of the mapping that lacks it
        name = found.message.split("”")[0].removeprefix("“")
        parent = loc if name in str(loc[-1:]) else _mapping_at(state.source, loc)
        return (*parent, name)
    return loc


def _mapping_at(source: Source, loc: Loc) -> Loc:
    """Step up to the innermost mapping on the way to a value."""
    node, deepest = source.node, 0
    for depth, step in enumerate(loc):
        if isinstance(node, yaml.MappingNode):
            deepest = depth
            node = next((child for key, child in node.value if key.value == step), None)
        elif isinstance(node, yaml.SequenceNode) and isinstance(step, int):
            node = node.value[step]
    return tuple(loc[:deepest])


# --- the words ---------------------------------------------------------------------------------------------------


def passages(state: State, value: Any) -> list[Passage]:
    """Give the words of the entry; while it is not whole, whatever texts are there already."""
    language = state.target.language or state.library.settings.language
    entry = state.entry
    original = entry if isinstance(entry, Exercise) else None
    if isinstance(entry, Translation):
        loaded = state.library.exercises.get(entry.translates.code)
        original = loaded.entry if loaded else None
    fill = filler(state.library, original, language)
    if entry is not None:
        return list(passages_of(entry, fill))
    return [Passage(kind, fill(text), loc) for loc, text, kind in _texts(value, ()) if text.strip()]


def _texts(value: Any, loc: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str, Kind]]:
    if isinstance(value, Mapping):
        for key, item in value.items():
            if key not in ("figure", "sources", "review", "switched_off", "translates"):
                yield from _texts(item, (*loc, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _texts(item, (*loc, index))
    elif isinstance(value, str) and (kind := _kind(loc)):
        yield loc, value, kind


def _kind(loc: Loc) -> Kind | None:
    name = next((str(step) for step in reversed(loc) if isinstance(step, str)), "")
    if name in _BULLETS:
        return "bullet"
    return _KINDS.get(name)


def read_words(state: State, value: Any, readings: Readings) -> tuple[Reading, list[Passage]]:
    """Read the words of the entry."""
    found = passages(state, value)
    language = state.target.language or state.library.settings.language
    return readings.blocks(found, language), found


def marks_data(reading: Reading, found: Sequence[Passage]) -> list[dict[str, Any]]:
    """Give the marks as data, at the characters of the text as it was typed; of overlapping ones the gravest."""
    return [_mark(mark, found[mark.block]) for mark in without_overlaps(reading.marks)]


def _mark(mark: Mark, passage: Passage) -> dict[str, Any]:
    start = passage.text.source_offset(mark.start)
    end = passage.text.source_offset(max(mark.end - 1, mark.start)) + 1
    return {
        "loc": list(passage.loc),
        "start": start,
        "end": end,
        "rule": mark.rule,
        "level": mark.level,
        "message": mark.message,
        "suggestion": mark.suggestion,
        "replacement": mark.replacement,
    }


def reading_data(reading: Reading, target: int) -> dict[str, Any]:
    """Say how the words read, in a line."""
    line = reading.headline
    return {
        "band": headline_words(line),
        "grades": grade_words(line.grade),
        "against": line.against(target),
    }


def dose_data(state: State) -> dict[str, str]:
    """Say the dose in words and how long it takes; nothing while it is not whole."""
    entry = state.entry
    if not isinstance(entry, Exercise):
        return {}
    words = interface_words(state.library.settings.language)
    return {
        "words": spoken(entry.dose, entry.sides, words),
        "time": total_line(entry.dose, entry.sides, words),
    }


# --- what fields pick from ----------------------------------------------------------------------------------------


def picks(library: Library) -> dict[str, list[list[str]]]:
    """Give what fields pick from: for each kind its values and how they are called."""
    language = library.settings.language
    words = interface_words(language)
    tags = sorted({tag for one in library.exercises.values() for tag in one.entry.tags})
    items = library.equipment.entry.items if library.equipment else {}
    return {
        "exercise": _titles(library.exercises, retired=False),
        "ladder": _titles(library.ladders),
        "caution": _titles(library.cautions),
        "equipment": [[name, item.name.in_language(language)] for name, item in items.items()],
        "posture": [[name, words.say(f"positions.{name}")] for name in postures()],
        "tag": [[tag, tag.replace("_", " ")] for tag in tags],
        "sign": [[sign, sign.replace("-", " ")] for sign in _signs(library)],
    }


def _titles(shelf: Mapping[str, Loaded[Any]], *, retired: bool = True) -> list[list[str]]:
    return [
        [name, one.entry.title] for name, one in shelf.items() if retired or one.entry.status != "retired"
    ]


@cache
def postures() -> tuple[str, ...]:
    """Name the postures that figures and pages know, in the order of the pages' own list."""
    known = interface_words("en").lookup("positions")
    return tuple(name for name in known if name in posture_rows())


def _signs(library: Library) -> list[str]:
    return sorted({sign for one in library.cautions.values() for sign in one.entry.covers})
