"""Translations against their originals, item by item: every line has its counterpart and states the same facts.

Numbers (in figures or words), units, sides, a no, an urgency and blanks must be the same, and so must what a safety
sentence turns on (data/safety_words.yml); a line left in the original's language, or left out, is reported. A
finding stands at the line that is probably the wrong one (which_line.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from limberleaf.checks.together import together
from limberleaf.checks.translation.same_line import differences_of
from limberleaf.checks.translation.which_line import ChangedLines, Disagreement, placed
from limberleaf.clinical.governance.approval import lock_of, now, plain
from limberleaf.findings import Finding, Place
from limberleaf.library import Library, Loaded
from limberleaf.library.load import ENTRY_FOLDERS
from limberleaf.library.models.exercise import Translation
from limberleaf.library.models.values import ANY_LANGUAGE, LocalText
from limberleaf.library.yaml.source import Loc
from limberleaf.store.nodes import each

NOT_COMPARED = {
    "synonyms",
    "switched_off",
    "review",
    "affected_word",
    "translates",
    "status",
}


def _entries(library: Library) -> Iterator[Finding]:
    first = library.settings.language
    for folder in ENTRY_FOLDERS:
        languages = _languages_of(library, folder)
        for name, loaded in each(getattr(library, folder)):
            differing: list[Disagreement] = []
            for language in languages.get(name, ()):
                words = _words(library, folder, name, language)
                if words.entry.status != "retired":
                    given = (loaded, words, first)
                    found = library.read_cache.cached(
                        ("facts", folder, name, language), given, _compare, *given, language
                    )
                    yield from _sorted_out(found, differing)
            yield from _at_the_wrong_line(library, folder, name, differing, languages.get(name, []))


def _sorted_out(found: list[Finding | Disagreement], differing: list[Disagreement]) -> Iterator[Finding]:
    for one in found:
        if isinstance(one, Finding):
            yield one
        else:
            differing.append(one)


def _languages_of(library: Library, folder: str) -> dict[str, list[str]]:
    """Give the languages each entry of a folder is translated into."""
    found: dict[str, list[str]] = {}
    if folder == "exercises":
        for name, language in library.translations:
            found.setdefault(name, []).append(language)
    for kind, name, language in library.group_translations:
        if kind == folder:
            found.setdefault(name, []).append(language)
    return found


def _words(library: Library, folder: str, name: str, language: str) -> Loaded[Any]:
    if folder == "exercises":
        return library.translations[name, language]
    return library.group_translations[folder, name, language]


def _at_the_wrong_line(
    library: Library, folder: str, name: str, differing: list[Disagreement], languages: list[str]
) -> Iterator[Finding]:
    if not differing:
        return
    lock = lock_of(library)
    original = getattr(library, folder)[name]
    kind = "translations" if folder == "exercises" else folder
    made: dict[str, Any] = {}
    for language in languages:
        words = _words(library, folder, name, language)
        made[language] = ChangedLines(lock, now(words.entry).fields, f"{kind}/{name}.{language}")
    yield from placed(
        [(one, original.source.place(_in_original(one.loc))) for one in differing],
        set(languages),
        ChangedLines(lock, now(original.entry).fields, f"{folder}/{name}"),
        made,
    )


def _in_original(loc: Loc) -> Loc:
    return ("figure", "poses", loc[2], "caption") if loc[:2] == ("figure", "captions") else loc


def _prose(library: Library) -> Iterator[Finding]:
    """Compare prose pages with their originals line by line; a line is a heading, a paragraph's line or an item."""
    first, lock = library.settings.language, lock_of(library)
    differing: dict[str, list[tuple[Disagreement, Place]]] = {}
    for (name, language), page in library.pages.items():
        original = library.pages.get((name, "")) if language else None
        if original is None:
            continue
        ours, theirs = (list(re.finditer(r"[^\n]*\S[^\n]*", one.markdown)) for one in (original, page))
        if len(ours) != len(theirs):
            at = _first_that_differs([one[0] for one in ours], [one[0] for one in theirs])
            yield Finding(
                "error",
                "translation-other-length",
                f"{original.source.path} has {len(ours)} lines, this page {len(theirs)}. They part about here; the "
                f"original says “{ours[min(at, len(ours) - 1)][0].strip()}”.",
                "Keep headings, lines and items one to one, so that a line that is lost is seen.",
                page.place(theirs[min(at, len(theirs) - 1)].start() if theirs else 0),
            )
            continue
        for number, (one, two) in enumerate(zip(ours, theirs, strict=True)):
            for code, says, severity in differences_of(
                one[0], two[0], ("markdown",), (first, language), prose=True
            ):
                loc, here = ("markdown", number), page.place(two.start())
                found = Disagreement(language, loc, code, says, one[0], two[0], here, severity)
                differing.setdefault(name, []).append((found, original.place(one.start())))
    for name, several in differing.items():
        languages = {language for other, language in library.pages if other == name and language}
        changed = {
            language: ChangedLines(lock, now(page).fields, f"pages/{other}{language and '.'}{language}")
            for (other, language), page in library.pages.items()
            if other == name
        }
        yield from placed(several, languages, changed[""], changed)


def _first_that_differs(ours: list[str], theirs: list[str]) -> int:
    """Give the first line at which two pages are of another kind: a heading, an item, or of another length by far."""
    for at, (one, two) in enumerate(zip(ours, theirs, strict=False)):
        if _kind_of_line(one) != _kind_of_line(two) or not 0.4 < len(one) / len(two) < 2.5:
            return at
    return min(len(ours), len(theirs))


def _kind_of_line(text: str) -> str:
    """Give the mark by which a line is a heading or an item; empty for any other."""
    mark = re.match(r"#+|[-*]|\d+\.", text.lstrip())
    return mark[0] if mark else ""


def _compare(
    original: Loaded[Any], words: Loaded[Any], first: str, language: str
) -> Iterator[Finding | Disagreement]:
    entry, own = original.entry, words.entry
    names = set(type(own).model_fields) - NOT_COMPARED
    if isinstance(own, Translation):
        ours = plain(entry)
        ours["figure"] = {"captions": [pose.caption or "" for pose in entry.figure.poses]}
    else:
        ours = plain(entry)
    theirs = plain(own)
    for name in sorted(names):
        yield from _value(ours.get(name), theirs.get(name), (name,), words, (first, language))


def _value(
    ours: Any, theirs: Any, loc: Loc, words: Loaded[Any], languages: tuple[str, str]
) -> Iterator[Finding | Disagreement]:
    if isinstance(ours, str):
        if isinstance(theirs, str):
            yield from _text(ours, theirs, loc, words, languages)
        else:
            yield _missing(ours, loc, words)
    elif isinstance(ours, list):
        theirs = theirs if isinstance(theirs, list) else []
        if len(theirs) > len(ours):
            yield _more(len(ours), len(theirs), loc, words)
        for index, item in enumerate(ours):
            yield from _value(
                item, theirs[index] if index < len(theirs) else None, (*loc, index), words, languages
            )
    elif isinstance(ours, dict):
        theirs = theirs if isinstance(theirs, dict) else {}
        for key, item in ours.items():
            if key in ("when", "instead", "fine", "ease_off", "stop", "captions", "start_here_if", "move_on_when",
                       "step_back_when", "same_or_less_because", "ask", "answer"):  # fmt: skip
                yield from _value(item, theirs.get(key), (*loc, key), words, languages)


def _missing(ours: str, loc: Loc, words: Loaded[Any]) -> Finding:
    return Finding(
        "error",
        "translation-item-missing",
        f"Nothing here translates “{ours}”.",
        "Translate line by line, in the same order, so that no warning is lost.",
        words.source.place(_written(loc, words)),
    )


def _more(ours: int, theirs: int, loc: Loc, words: Loaded[Any]) -> Finding:
    return Finding(
        "error",
        "translation-item-added",
        f"`{loc[-1]}` has {theirs} lines here and {ours} in the original.",
        "Is a line missing in the original? Put it back there. Take one out here only if nobody needs it any more.",
        words.source.place(_written(loc, words)),
    )


def _written(loc: Loc, words: Loaded[Any]) -> Loc:
    return (
        ("figure", *loc[2:])
        if loc[:2] == ("figure", "captions") and isinstance(words.entry, Translation)
        else loc
    )


def _text(
    ours: str, theirs: str, loc: Loc, words: Loaded[Any], languages: tuple[str, str]
) -> Iterator[Disagreement]:
    for code, says, severity in differences_of(ours, theirs, loc, languages):
        here = words.source.place(_written(loc, words))
        yield Disagreement(languages[1], loc, code, says, ours, theirs, here, severity)


def _settings(library: Library) -> Iterator[Finding]:
    """Compare the texts of settings, equipment and plans that are written by language."""
    first = library.settings.language
    for loaded in (library.clinic, library.equipment, library.plans):
        if loaded is None:
            continue
        changed = ChangedLines(
            lock_of(library), now(loaded.entry).fields, f"settings/{loaded.source.path.removesuffix('.yml')}"
        )
        for loc, text in _local_texts(loaded.entry, ()):
            ours = text.get(first)
            if ours is None or ANY_LANGUAGE in text or loc[-1] == "hours":
                continue
            others = set(text) - {first}
            differing = [
                Disagreement(
                    language, (*loc, first), code, says, ours, text[language],
                    loaded.source.place((*loc, language)), severity,
                )
                for language in text
                if language in others
                for code, says, severity in differences_of(ours, text[language], loc, (first, language))
            ]  # fmt: skip
            place = loaded.source.place((*loc, first))
            yield from placed(
                [(one, place) for one in differing], others, changed, dict.fromkeys(others, changed)
            )


def _local_texts(value: Any, loc: Loc) -> Iterator[tuple[Loc, LocalText]]:
    if isinstance(value, dict) and value and all(isinstance(item, str) for item in value.values()):
        if isinstance(value, LocalText):
            yield loc, value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _local_texts(item, (*loc, key))
    elif hasattr(type(value), "model_fields"):
        for name in type(value).model_fields:
            yield from _local_texts(getattr(value, name), (*loc, name))


check_same_facts = together(_entries, _settings, _prose)
"""Say where a translation leaves a line out or states another number, unit, side, word of safety or no."""
