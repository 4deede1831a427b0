"""Words no patient may read, and supports nobody may lean on; a “not” before them is read.

The lists are data (clinical/data/unsafe_words.yml and unsafe_supports.yml), by language.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, partial
from importlib.resources import files
from typing import Any

from limberleaf.checks.texts import EntryText, prose_pages, texts_by_file
from limberleaf.clinical.drawing import position_family
from limberleaf.data_files import safe_load
from limberleaf.findings import Finding, Place
from limberleaf.library import Exercise, Library, Translation
from limberleaf.library.prose import ProsePage
from limberleaf.library.yaml.source import Loc

Where = Callable[[int], Place]

TELLS_OF_SIGNS = {
    "signs",
    "leave_out_if",
    "ease_off",
    "stop",
    "fine",
    "suits",
    "start_here_if",
    "step_back_when",
}
"""Lines that say what a person feels or is, not what to do."""

ASKED = {"ask"}
NO_SUPPORT = {"aim", "title", "summary"}
STEADY_TAGS = {"fall_risk", "single_leg", "gets_up"}
NOT_LATER = ("nl",)
"""Languages that put the “not” behind the verb: Houd uw adem niet in."""

_SENTENCE = re.compile(r"[^.!?؟]+[.!?؟]*")
_SPARES = {
    "en": re.compile(
        r"\b(?:not|never|no|cannot|without|avoid|don't|nor|stop|instead of|than|if|as if|should i)\b[^,;:]*$"
    ),
    "nl": re.compile(r"\b(?:niet|geen|nooit|zonder|vermijd|als|alsof)\b[^,;:]*$"),
    "ar": re.compile(r"(?:لا|ليس|بدون|دون|تجنّب|تجنب|إذا|ألا|ألّا|عدم)\s[^،؛:]*$"),
}
_CAPITALS = re.compile(r"\b[A-Z]{3,}(?:[ ,]+[A-Z]{2,})+\b")


@dataclass(frozen=True)
class Unsafe:
    """One kind of unsafe words, with its patterns of one language as one."""

    code: str
    says: str
    instead: str
    negated: bool
    instruction: bool
    pattern: re.Pattern[str]


@cache
def _kinds(language: str) -> tuple[Unsafe, ...]:
    data: list[dict[str, Any]] = safe_load(
        files("limberleaf.clinical").joinpath("data/unsafe_words.yml").read_text("utf-8")
    )
    kinds = []
    for kind in data:
        patterns = [*kind["patterns"].get("*", []), *kind["patterns"].get(language, [])]
        if patterns:
            pattern = re.compile("|".join(f"(?:{one})" for one in patterns), re.IGNORECASE)
            instruction = kind["where"] == "instruction"
            kinds.append(
                Unsafe(kind["code"], kind["says"], kind["instead"], kind["negated"], instruction, pattern)
            )
    return tuple(kinds)


@cache
def _supports(language: str) -> re.Pattern[str] | None:
    data = safe_load(files("limberleaf.clinical").joinpath("data/unsafe_supports.yml").read_text("utf-8"))
    names: list[str] = sorted(data.get(language, []), key=len, reverse=True)
    return (
        re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, names))})(?!\w)", re.IGNORECASE) if names else None
    )


def check_unsafe_words(library: Library) -> Iterator[Finding]:
    """Report unsafe wording in any text, and unsafe supports where people stand, balance or get up."""
    for texts in texts_by_file(library):
        is_steady = _is_about_steady(library, texts.entry)
        yield from library.read_cache.cached(
            ("unsafe", texts.path), (texts, is_steady), _of_file, texts, is_steady
        )
    for page in prose_pages(library):
        language = page.language or library.settings.language
        yield from library.read_cache.cached(
            ("unsafe", page.source.path), (page, language), _of_page, page, language
        )


def _is_about_steady(library: Library, entry: object) -> bool:
    if isinstance(entry, Translation):
        original = library.exercises.get(entry.translates.code)
        return original is not None and _is_steady(original.entry)
    return isinstance(entry, Exercise) and _is_steady(entry)


def _is_steady(exercise: Exercise) -> bool:
    on_feet = position_family(exercise.position) in ("on_feet", "on_the_knees")
    return exercise.kind in ("balance", "aerobic") or on_feet or bool(STEADY_TAGS & set(exercise.tags))


def _of_file(texts: Iterable[EntryText], steady: bool) -> Iterator[Finding]:
    for text in texts:
        language = text.language
        last = text.loc[-1]
        if isinstance(last, str) and len(last) == 2 and last.isalpha() and last != "to":
            language = last
        place = partial(_in_text, text)
        yield from unsafe_in(text.text, language, text.loc, place)
        support = steady or (text.source.path == "equipment.yml" and _must_hold(text.loc))
        if support and "never" not in text.loc and text.loc[0] not in NO_SUPPORT:
            yield from _unsafe_supports(text.text, language, place)


def _in_text(text: EntryText, offset: int) -> Place:
    return text.source.place(text.loc, offset=offset)


def _must_hold(loc: Loc) -> bool:
    """Return whether a line of the equipment list names something that people stand on, wear or hold on to."""
    return (
        len(loc) > 2
        and loc[1] in ("worktop", "wall", "step", "chair_with_arms", "chair", "shoes")
        and "instead" in loc
    )


def _of_page(page: ProsePage, language: str) -> Iterator[Finding]:
    start = 0
    for line in page.markdown.splitlines(keepends=True):
        if line.strip():
            yield from unsafe_in(line.strip("\n"), language, ("markdown",), partial(_in_page, page, start))
        start += len(line)


def _in_page(page: ProsePage, start: int, offset: int) -> Place:
    return page.place(start + offset)


def unsafe_in(text: str, language: str, loc: Loc, place: Where) -> Iterator[Finding]:
    """Give what is unsafe in one text, sentence by sentence."""
    if _says_nothing(text):
        yield Finding(
            "error",
            "text-empty",
            "There are no words in this text.",
            "Write the words a patient should read, or take the line out.",
            place(0),
        )
        return
    describes = bool(TELLS_OF_SIGNS & {step for step in loc if isinstance(step, str)})
    asked = bool(ASKED & set(map(str, loc)))
    for kind in _kinds(language):
        if (kind.instruction and describes) or (asked and kind.negated):
            continue
        for match in kind.pattern.finditer(text):
            if kind.negated and _is_spared(text, match.start(), language):
                continue
            yield _finding(
                kind.code, f"“{match[0].strip()}” {kind.says}.", kind.instead, place(match.start())
            )
            break
    shout = _CAPITALS.search(text)
    if shout:
        yield _finding(
            "shouting",
            f"“{shout[0]}” shouts in capitals.",
            "Write it in small letters.",
            place(shout.start()),
        )


def _is_spared(text: str, at: int, language: str) -> bool:
    """Return whether a “not” comes before the words in the same sentence."""
    start = max((found.start() for found in _SENTENCE.finditer(text) if found.start() <= at), default=0)
    before = text[start:at].lower()
    if language in NOT_LATER:
        rest = text[at:].lower()
        before += rest[: min((rest.find(mark) for mark in ".!?؟" if mark in rest), default=len(rest))]
    return bool(_SPARES.get(language, _SPARES["en"]).search(before))


def _says_nothing(text: str) -> bool:
    bare = re.sub(r"\{[a-z_]+\}|[\s\u00a0\u200b-\u200f\u2060\ufeff]", "", text)
    return not any(letter.isalnum() for letter in bare) and "{" not in re.sub(
        r"\{(?:affected|other)\}", "", text
    )


def _unsafe_supports(text: str, language: str, place: Where) -> Iterator[Finding]:
    pattern = _supports(language)
    for match in pattern.finditer(text) if pattern else ():
        if _is_spared(text, match.start(), language) or _is_safe_door(text):
            continue
        yield _finding(
            "unsafe-support",
            f"“{match[0]}” can tip, roll or slip, and people stand or balance here.",
            "Name something fixed, such as a worktop, a wall or a rail.",
            place(match.start()),
        )
        return


def _is_safe_door(text: str) -> bool:
    return "locked" in text.lower() or "wall" in text.lower()


def _finding(code: str, message: str, hint: str, place: Place) -> Finding:
    return Finding("error", code, message, hint, place)
