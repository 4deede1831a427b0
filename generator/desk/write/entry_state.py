"""An entry as it is written: its state in the library, marks on its words, its dose, what its fields pick from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from limberleaf.checks.wording import Passage, filler, passages_of, switches_of
from limberleaf.clinical.dosage.dose import spoken, total_line
from limberleaf.desk.read.marked import without_overlaps
from limberleaf.desk.read.readings import Readings, grade_words, headline_words
from limberleaf.desk.write.form.dummy_values import Completed, made_whole
from limberleaf.desk.write.form.fields import typed
from limberleaf.desk.write.form.form_words import FormWords
from limberleaf.desk.write.kinds import Target, overlaid, read_text_as, values_of
from limberleaf.diagrams.language.words import posture_rows
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded, Translation
from limberleaf.library.yaml.source import Loc, Source
from limberleaf.library.yaml.yaml_edit import CannotEditError, edited
from limberleaf.reading import Kind, Mark, Reading
from limberleaf.words import interface_words

_KINDS: Mapping[str, Kind] = {
    "title": "heading", "ask": "heading", "aim": "prose", "summary": "prose", "about": "prose", "answer": "prose",
    "dose_reason": "prose", "setup": "step", "steps": "step", "signs": "caution", "action": "caution",
}  # fmt: skip
_BULLETS = (
    "in_short", "suits", "leave_out_if", "fine", "ease_off", "stop", "when", "watch_for", "instead", "start_here_if",
    "move_on_when", "step_back_when", "same_or_less_because", "before_you_start", "come_back_when",
)  # fmt: skip


@dataclass(frozen=True)
class Partial:
    """An entry that is not whole, with something in place of what is missing."""

    source: Source
    entry: Any
    library: Library
    completed: Completed


@dataclass(frozen=True)
class EntryState:
    """An entry as it is being written: its text, the typed entry (None while it is not whole), the library with it.

    While it is not whole, `partial` holds it twice, each time with other dummy values for choices, and the library is
    that of the first of them.
    """

    target: Target
    source: Source
    entry: Any
    library: Library
    findings: tuple[Finding, ...]
    """Of reading the file alone."""
    partial: tuple[Partial, ...] = ()

    @property
    def shown(self) -> Any:
        """Give the entry as far as it can be shown; None when nothing of it can."""
        return self.entry if self.entry is not None or not self.partial else self.partial[0].entry


def state_of(library: Library, target: Target, text: str) -> EntryState:
    """Read a text as an entry of the library."""
    source, entry, findings = read_text_as(target, text)
    if entry is not None:
        over = overlaid(library, target, source, entry)
        return EntryState(target, source, entry, over, tuple(findings))
    partial = tuple(_partial(library, target, text)) if source.node is not None else ()
    return EntryState(
        target, source, None, partial[0].library if partial else library, tuple(findings), partial
    )


def _partial(library: Library, target: Target, text: str) -> Iterator[Partial]:
    """Complete an entry with dummy values, in two ways; nothing when that cannot be done."""
    value, why = values_of(text)
    if why:
        return
    before = None
    for variant in range(2):
        value = typed(target.model, value, by_line=bool(target.language))
        made = made_whole(target.model, value, library, variant)
        if made is None or made == before:
            return
        before = made
        try:
            written = edited(text, made.value)
        except CannotEditError:
            return
        source, entry, _ = read_text_as(target, written)
        if entry is None:
            return
        yield Partial(source, entry, overlaid(library, target, source, entry), made)


# --- the words ---------------------------------------------------------------------------------------------------


def passages(state: EntryState, value: Any) -> list[Passage]:
    """Give the words of the entry; while it is not whole, whatever texts are there already."""
    language = state.target.language or state.library.settings.language
    entry = state.shown
    original = entry if isinstance(entry, Exercise) else None
    if isinstance(entry, Translation):
        loaded = state.library.exercises.get(entry.translates.code)
        original = loaded.entry if loaded else None
    fill = filler(state.library, original, language)
    if state.entry is not None:
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


def read_words(state: EntryState, value: Any, readings: Readings) -> tuple[Reading, list[Passage]]:
    """Read the words of the entry."""
    found = passages(state, value)
    language = state.target.language or state.library.settings.language
    return readings.blocks(found, language, switches_of(state.entry)), found


def marks_data(reading: Reading, found: Sequence[Passage], form: FormWords) -> list[dict[str, Any]]:
    """Give the marks as data, at the characters of the text as it was typed; of overlapping ones the gravest."""
    return [_mark(mark, found[mark.block], form) for mark in without_overlaps(reading.marks)]


def _mark(mark: Mark, passage: Passage, form: FormWords) -> dict[str, Any]:
    start = passage.text.source_offset(mark.start)
    end = passage.text.source_offset(max(mark.end - 1, mark.start)) + 1
    return {
        "loc": list(passage.loc),
        "where": form.where(passage.loc),
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


def dose_data(state: EntryState) -> dict[str, str]:
    """Say the dose in words and how long it takes; nothing while it is not whole."""
    entry = state.shown
    if not isinstance(entry, Exercise) or any(
        one[0] in ("dose", "sides") for part in state.partial for one in part.completed.added
    ):
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


def _titles(entries: Mapping[str, Loaded[Any]], *, retired: bool = True) -> list[list[str]]:
    return [
        [name, one.entry.title] for name, one in entries.items() if retired or one.entry.status != "retired"
    ]


@cache
def postures() -> tuple[str, ...]:
    """Name the postures that figures and pages know, in the order of the pages' own list."""
    known = interface_words("en").lookup("positions")
    return tuple(name for name in known if name in posture_rows())


def _signs(library: Library) -> list[str]:
    return sorted({sign for one in library.cautions.values() for sign in one.entry.covers})
