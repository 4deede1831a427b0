"""All that a library has to translate into a language, with what is there, what is stale and what can be lent."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from typing import Any

from limberleaf.exchange.entries import plain_value
from limberleaf.exchange.translation.units import Unit, target_of, texts_of
from limberleaf.library import Library
from limberleaf.library.guide import keys
from limberleaf.library.loaded import Loaded
from limberleaf.library.models.group_words import group_fingerprint
from limberleaf.library.text import BLANK
from limberleaf.library.translate import fingerprint

FOLDERS: Mapping[str, str] = {
    "exercises": "exercise",
    "ladders": "ladder",
    "collections": "collection",
    "cautions": "caution",
}
"""Folders of entries and what one of them is called."""
LIKE = 0.75
"""How alike two texts must be (Ratcliff and Obershelp, 0 to 1) for a translation to be lent as a suggestion; common
practice of translators' tools, whose usual threshold lies between 0.7 and 0.75."""


@dataclass(frozen=True)
class Item:
    """One entry, what it would be translated from (`version`, `fingerprint`) and its translation when there is one."""

    folder: str
    name: str
    source: Loaded[Any]
    translation: Loaded[Any] | None
    fingerprint: str
    letters: str
    """The fingerprint to the letter, as translations made before have it."""

    @property
    def is_stale(self) -> bool:
        """Tell whether the words changed since the translation was made."""
        made_from = self.translation.entry.translates.fingerprint if self.translation else self.fingerprint
        return made_from not in (self.fingerprint, self.letters)


def items(library: Library, language: str) -> Iterator[Item]:
    """Give every entry that is not retired with its translation, in the order of folders and names."""
    for folder in FOLDERS:
        entries: Mapping[str, Loaded[Any]] = getattr(library, folder)
        for name, loaded in sorted(entries.items()):
            if loaded.entry.status == "retired":
                continue
            if folder == "exercises":
                translation: Any = library.translations.get((name, language))
                made_of = (fingerprint(loaded.entry), fingerprint(loaded.entry, to_the_letter=True))
            else:
                translation = library.group_translations.get((folder, name, language))
                made_of = (
                    group_fingerprint(folder, loaded.entry),
                    group_fingerprint(folder, loaded.entry, to_the_letter=True),
                )
            yield Item(folder, name, loaded, translation, *made_of)


def units(library: Library, language: str, only: Collection[str] = ()) -> list[Unit]:
    """Give every text (or those of the entries called `only`) with its translation.

    What is missing is lent from like texts of the whole library where it can be.
    """
    found = [unit for item in items(library, language) for unit in item_units(item)]
    return _lent(found, only)


def item_units(item: Item) -> Iterator[Unit]:
    """Give the texts of one entry with their translation."""
    value = plain_value(item.source.source.text)
    words = plain_value(item.translation.source.text) if item.translation else {}
    for loc, source in texts_of(item.folder, value):
        target = target_of(loc, words)
        state = "new" if not target else "stale" if item.is_stale else "done"
        place = item.source.source.place(loc)
        note = _note(item, loc, source)
        yield Unit(item.folder, item.name, loc, source, target, state, "", note, place.path, place.line)


def _note(item: Item, loc: tuple[str | int, ...], source: str) -> str:
    meanings = {key.path.replace("[]", ""): key.meaning for key in keys(FOLDERS[item.folder])}
    path = ".".join(step for step in loc if isinstance(step, str))
    title = item.source.entry.title
    lines = [f"{FOLDERS[item.folder].capitalize()} “{title}”. {meanings.get(path, '')}".strip()]
    if path.endswith("caption"):
        lines = [f"Exercise “{title}”. It stands under picture {int(loc[2]) + 1}: keep it short."]
    blanks = sorted({found[0] for found in BLANK.finditer(source)})
    if blanks:
        lines.append(f"Keep {', '.join(blanks)} as they are; the program fills them in.")
    if path == "synonyms":
        lines.append(
            "Everyday words people search for in your language, parted by semicolons; not one by one."
        )
    if path == "title":
        lines.append(
            "It stands in lists and on phones: about as long as the original, if the language allows."
        )
    return "\n".join(lines)


def _lent(every: Sequence[Unit], only: Collection[str]) -> list[Unit]:
    """Lend translations of the same text, and of the most alike one, to units that have none."""
    memory: dict[str, str] = {}
    for unit in every:
        if unit.state == "done" and unit.loc[-1] != "synonyms":
            memory.setdefault(unit.source, unit.target)
    texts = [(text, _words(text)) for text in sorted(memory)]
    mine = [unit for unit in every if not only or unit.name in only]
    return [_with_loan(unit, memory, texts) if unit.state == "new" else unit for unit in mine]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.lower().split())


def _with_loan(unit: Unit, memory: Mapping[str, str], texts: Sequence[tuple[str, frozenset[str]]]) -> Unit:
    if unit.source in memory:
        return replace(unit, target=memory[unit.source], state="reused", like=unit.source)
    matcher = SequenceMatcher(None, b=unit.source, autojunk=False)
    own = _words(unit.source)
    best, ratio = "", LIKE
    for text, words in texts:
        # without half of their words in common none is near
        if 2 * len(own & words) < max(len(own), len(words)):
            continue
        matcher.set_seq1(text)
        if matcher.quick_ratio() > ratio and matcher.ratio() > ratio:
            best, ratio = text, matcher.ratio()
    return replace(unit, target=memory[best], state="reused", like=best) if best else unit
