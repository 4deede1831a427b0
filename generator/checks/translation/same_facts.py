"""Translations against their originals, item by item: every line has its counterpart and states the same facts.

Numbers (in figures or words), units, sides, a no, an urgency and blanks must be the same, and so must what a safety
sentence turns on (data/safety_words.yml); a line left in the original's language, or left out, is reported. Where all
translations differ from a line in the same way, that line is the wrong one, and the finding stands there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from limberleaf.checks.translation.same_line import differences_of
from limberleaf.clinical.governance.approval import plain
from limberleaf.findings import Finding, Place, Severity
from limberleaf.library import Library, Loaded
from limberleaf.library.models.exercise import Translation
from limberleaf.library.models.values import ANY_LANGUAGE, LocalText

Loc = tuple[str | int, ...]

NOT_COMPARED = {
    "title",
    "synonyms",
    "switched_off",
    "review",
    "affected_word",
    "translates",
    "status",
    "summary",
}


@dataclass(frozen=True)
class Disagreement:
    """Two lines that state something differently: both, the way to them, and what is said of it."""

    language: str
    loc: Loc
    code: str
    says: str
    ours: str
    theirs: str
    here: Place
    severity: Severity = "error"

    def finding(self) -> Finding:
        """Say it at the translation."""
        return Finding(
            self.severity,
            self.code,
            f"{self.says}: “{self.theirs.strip()}” translates “{self.ours.strip()}”.",
            "Read both before you correct one: the original may be the wrong one.",
            self.here,
        )


def check_same_facts(library: Library) -> Iterator[Finding]:
    """Say where a translation leaves a line out or states another number, unit, side, word of safety or no."""
    first = library.settings.language
    differing: dict[tuple[str, str], list[Disagreement]] = {}
    for (code, language), words in library.translations.items():
        if code in library.exercises and words.entry.status != "retired":
            given = (library.exercises[code], words, first)
            found = library.read_cache.keep(("facts", code, language), given, _compare, *given, language)
            yield from _sorted_out(found, differing.setdefault(("exercises", code), []))
    for (folder, name, language), group in library.group_translations.items():
        shelf = getattr(library, folder)
        if name in shelf and group.entry.status != "retired":
            whole = (shelf[name], group, first)
            found = library.read_cache.keep(
                ("facts", folder, name, language), whole, _compare, *whole, language
            )
            yield from _sorted_out(found, differing.setdefault((folder, name), []))
    for (folder, name), several in differing.items():
        original = getattr(library, folder)[name]
        yield from _at_the_wrong_one(several, _languages(library, folder, name), original)
    yield from _settings(library)
    yield from _prose(library)


def _sorted_out(found: list[Finding | Disagreement], differing: list[Disagreement]) -> Iterator[Finding]:
    for one in found:
        if isinstance(one, Finding):
            yield one
        else:
            differing.append(one)


def _languages(library: Library, folder: str, name: str) -> set[str]:
    """Give the languages an entry is translated into."""
    if folder == "exercises":
        return {language for code, language in library.translations if code == name}
    return {other for kind, one, other in library.group_translations if (kind, one) == (folder, name)}


def _at_the_wrong_one(
    differing: list[Disagreement], languages: set[str], original: Loaded[Any]
) -> Iterator[Finding]:
    """Say once at the original what all its translations, two or more, state otherwise; the rest at the translation."""
    by_line: dict[tuple[Loc, str], list[Disagreement]] = {}
    for one in differing:
        by_line.setdefault((one.loc, one.code), []).append(one)
    for (loc, _), same in by_line.items():
        if len(languages) > 1 and {one.language for one in same} == languages:
            yield _in_all_languages(same, original.source.place(_in_original(loc)))
        else:
            yield from (one.finding() for one in same)


def _in_original(loc: Loc) -> Loc:
    return ("figure", "poses", loc[2], "caption") if loc[:2] == ("figure", "captions") else loc


def _in_all_languages(same: list[Disagreement], place: Place) -> Finding:
    one = same[0]
    others = ", ".join(f"{each.language}: “{each.theirs.strip()}”" for each in same)
    return Finding(
        one.severity,
        one.code,
        f"{one.says}: “{one.ours.strip()}” here; all its translations agree with each other ({others}).",
        "This line is probably the wrong one: put back what it said. If it is right, change its translations too.",
        place,
    )


def _prose(library: Library) -> Iterator[Finding]:
    """Compare prose pages with their originals line by line; a line is a heading, a paragraph's line or an item."""
    first = library.settings.language
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
        for one, two in zip(ours, theirs, strict=True):
            for code, says, severity in differences_of(
                one[0], two[0], ("markdown",), (first, language), prose=True
            ):
                yield Disagreement(
                    language, (), code, says, one[0], two[0], page.place(two.start()), severity
                ).finding()


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
            yield from _at_the_wrong_one(differing, others, loaded)


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
