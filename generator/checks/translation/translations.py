"""Translations: each belongs to an entry, is made from its present words, and never shows a patient foreign ones.

A page in another language carries its boxes, and the clinic's actions and contacts, in that language: without them the
build stops. A thing without a name in the language is a warning.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from limberleaf.checks.together import together
from limberleaf.clinical.cautions import cautions_for
from limberleaf.diagrams.sides import languages as figure_languages
from limberleaf.findings import Finding, did_you_mean
from limberleaf.library import Library, Loaded
from limberleaf.library.models.exercise import Translates
from limberleaf.library.models.group_words import GroupTranslates, LadderWords, group_fingerprint
from limberleaf.library.models.groups import Collection, Ladder
from limberleaf.library.models.values import ANY_LANGUAGE, LocalText
from limberleaf.library.translate import fingerprint
from limberleaf.store.nodes import each
from limberleaf.words import interface_words, known_languages

_CLINIC_TEXTS = (
    ("actions", "emergency"),
    ("actions", "same_day"),
    ("actions", "ease_off"),
    ("emergency", "place"),
    ("urgent", "name"),
    ("settle_time",),
    ("practitioner",),
    ("hours",),
)


def _languages(library: Library) -> Iterator[Finding]:
    clinic = library.clinic
    known = sorted({*known_languages()} & {*figure_languages()})
    for index, language in enumerate(library.settings.languages):
        if clinic and language not in known:
            yield Finding(
                "error",
                "language-without-words",
                f"There are no interface words, or no words for figures, for “{language}”.",
                f"Languages there are: {', '.join(known)}. DEVELOPERS.md explains how to add one.",
                clinic.source.place(("languages", index)),
            )
        elif clinic and (missing := interface_words(language).missing):
            yield Finding(
                "warning",
                "interface-words-missing",
                f"The interface words for “{language}” lack {len(missing)} phrases, which pages say in English: "
                f"{', '.join(missing[:3])}{' …' if len(missing) > 3 else ''}.",
                f"Complete the word file {language}.yml; DEVELOPERS.md says where it is.",
                clinic.source.place(("languages", index)),
            )


def _exercises(library: Library) -> Iterator[Finding]:
    for (code, language), loaded in each(library.translations):
        original = library.exercises.get(code)
        if original is None:
            if code not in library.unread("exercises"):
                yield _no_original(loaded, "code", code, library.exercises)
            continue
        if loaded.entry.status in ("draft", "retired"):
            continue
        yield from _stale(
            loaded,
            (fingerprint(original.entry), fingerprint(original.entry, to_the_letter=True)),
            original.entry.review.version,
            loaded.entry.translates,
        )
        if loaded.entry.status == "approved":
            yield from _boxes(library, loaded, code, language)
            yield from _things(library, code, language)


def _groups(library: Library) -> Iterator[Finding]:
    for (folder, name, language), loaded in each(library.group_translations):
        entries = getattr(library, folder)
        if name not in entries:
            if name not in library.unread(folder):
                yield _no_original(loaded, "id", name, entries)
            continue
        original = entries[name].entry
        if loaded.entry.status not in ("draft", "retired"):
            prints = (
                group_fingerprint(folder, original),
                group_fingerprint(folder, original, to_the_letter=True),
            )
            yield from _stale(loaded, prints, original.review.version, loaded.entry.translates)
        words = loaded.entry
        if words.status == "approved":
            yield from _parts(library, loaded, original, language)
        if isinstance(words, LadderWords) and len(words.steps) != len(original.steps):
            yield Finding(
                "error",
                "translation-other-length",
                f"The ladder has {len(original.steps)} steps, its translation {len(words.steps)}.",
                "Translate every step, in the same order.",
                loaded.source.place(("steps",)),
            )


def _parts(library: Library, loaded: Loaded[Any], original: object, language: str) -> Iterator[Finding]:
    """Find steps, ladders and exercises of a translated group that have no page in its language."""
    codes: list[str] = []
    ladders: list[str] = []
    if isinstance(original, Ladder):
        codes = [rung.exercise for rung in original.steps]
    elif isinstance(original, Collection):
        codes, ladders = original.exercises, original.ladders
    there: list[tuple[str, Loaded[Any] | None]] = [
        *((code, library.translations.get((code, language))) for code in codes),
        *((name, library.group_translations.get(("ladders", name, language))) for name in ladders),
    ]
    for name, words in there:
        if words is None or words.entry.status != "approved":
            yield Finding(
                "error",
                "part-not-translated",
                f"“{name}” belongs here, but is not approved in “{language}”.",
                f"Write and approve {name}.{language}.yml first.",
                loaded.source.place(("translates", "id")),
            )


def _no_original(loaded: Loaded[Any], key: str, name: str, known: Iterable[str]) -> Finding:
    return Finding(
        "error",
        "translation-without-original",
        f"There is no “{name}” that this translates.",
        did_you_mean(name, known),
        loaded.source.place(("translates", key)),
    )


def _stale(
    loaded: Loaded[Any], present: tuple[str, str], version: int, translates: Translates | GroupTranslates
) -> Iterator[Finding]:
    if translates.fingerprint not in present:
        yield Finding(
            "warning",
            "translation-stale",
            f"The original has changed since this translation was made from version {translates.version}.",
            f'Bring it up to date, then write `version: {version}` and `fingerprint: "{present[0]}"`.',
            loaded.source.place(("translates", "fingerprint")),
        )


def _boxes(library: Library, loaded: Loaded[Any], code: str, language: str) -> Iterator[Finding]:
    for caution in cautions_for(library, library.exercises[code].entry):
        words = library.group_translations.get(("cautions", caution.id, language))
        if f"{caution.id}.{language}" in library.unread("cautions"):
            continue
        if words is None or words.entry.status != "approved":
            yield Finding(
                "error",
                "caution-not-translated",
                f"The page shows the caution “{caution.id}”, which is not approved in “{language}”.",
                f"Write and approve cautions/{caution.id}.{language}.yml first.",
                loaded.source.place(("translates", "code")),
            )


def _things(library: Library, code: str, language: str) -> Iterator[Finding]:
    if library.equipment is None:
        return
    for need in library.exercises[code].entry.equipment:
        item = library.equipment.entry.items.get(need.item)
        if item and not _has_words(item.name, language):
            yield Finding(
                "warning",
                "thing-not-translated",
                f"“{need.item}” has no name in “{language}”.",
                "Give its name in both languages: name: {en: a firm chair, nl: een stevige stoel}.",
                library.equipment.source.place(("items", need.item, "name")),
            )


def _clinic(library: Library) -> Iterator[Finding]:
    if library.clinic is None:
        return
    for language in library.settings.languages[1:]:
        for loc in _CLINIC_TEXTS:
            value: object = library.settings
            for step in loc:
                value = getattr(value, step)
            if isinstance(value, LocalText) and not _has_words(value, language):
                yield Finding(
                    "error",
                    "setting-not-translated",
                    f"Pages in “{language}” would show “{'.'.join(loc)}” in another language.",
                    f"Give it by language: {{{library.settings.language}: ..., {language}: ...}}.",
                    library.clinic.source.place(loc),
                )


def _has_words(text: LocalText, language: str) -> bool:
    return language in text and ANY_LANGUAGE not in text


check_translations = together(_languages, _exercises, _groups, _clinic)
"""Find translations without an original, stale ones, and what a translated page would show untranslated."""
