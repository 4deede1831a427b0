"""What a sentence states that may not change unseen: numbers in figures or words, a no, sides, units, how soon."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from limberleaf.data_files import data_of
from limberleaf.library.text import stops_of

_FIGURES = re.compile(r"(?<![\w{])[0-9٠-٩]+(?:[.,][0-9٠-٩]+)?")
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)?", re.UNICODE)
_BLANK = re.compile(r"\{([a-z_]+)\}")
_LINK = re.compile(r"\[\[([^\]|]*)(?:\|([^\]]*))?\]\]")
_SENTENCE_END = re.compile(r"[.!?؟:;()]\s*")
_VOWEL_MARKS = re.compile(r"[\u064b-\u0652]")
_ARABIC_DIGITS = str.maketrans("٠١٢٣٤٥٦٧٨٩", "0123456789")


@dataclass(frozen=True)
class TextFacts:
    """The facts of one text. Where its links lead is among the `blanks`. `numbers` are sorted; those in `loose` may
    also be used without counting, and `stressed` are the loose ones that are no article.

    `urgent` says how soon: now, today. `ors` and `ands` count the joins of things of which one is enough, and of
    things that must all be there; the commas of a list count as its last join.
    """

    numbers: tuple[str, ...]
    loose: tuple[str, ...]
    stressed: tuple[str, ...]
    negations: int
    firm_negations: int
    blanks: tuple[str, ...]
    units: frozenset[str]
    urgent: frozenset[str]
    ors: int
    ands: int


@cache
def _words(language: str) -> Mapping[str, Any]:
    nothing: dict[str, Any] = {
        "numbers": {},
        "plain": [],
        "negations": [],
        "half_negations": [],
        "units": {},
        "urgent": {},
    }
    words: Mapping[str, Any] = data_of(__package__, "text_facts.yml").get(language, nothing)
    return words


def without_vowel_marks(text: str) -> str:
    """Give a text without the marks that Arabic puts above and below letters."""
    return _VOWEL_MARKS.sub("", text)


def words_of(text: str) -> list[str]:
    """Give the words of a text in small letters, without the marks that Arabic puts above and below them."""
    return _WORD.findall(without_vowel_marks(text).casefold().replace("’", "'"))


@cache
def plainly(text: str, language: str) -> str:
    """Write ways to say the same in one way: “stop it from slipping” and “keep it from slipping”."""
    for pattern, instead in _words(language).get("rewrites", {}).items():
        text = re.sub(pattern, instead, text, flags=re.IGNORECASE)
    return text


@cache
def facts_of(text: str, language: str) -> TextFacts:
    """Read the facts of a text; a language without word lists gives figures and blanks only."""
    data = _words(language)
    blanks = Counter([*_BLANK.findall(text), *(link[1] for link in _LINK.finditer(text))])
    bare = _LINK.sub(_label, plainly(text, language))
    for idiom in data.get("idioms", []):
        bare = re.sub(idiom, " ", bare, flags=re.IGNORECASE)
    bare = _BLANK.sub(" ", bare)
    words = words_of(bare)
    figures = [_normal(found) for found in _FIGURES.findall(bare)]
    numerals = [word for word in words if word in data["numbers"]]
    sure = [str(data["numbers"][word]) for word in numerals if word not in data["plain"]]
    plain = [word for word in numerals if word in data["plain"]]
    loose = [str(data["numbers"][word]) for word in plain]
    stressed = [str(data["numbers"][word]) for word in plain if word not in data.get("articles", ())]
    negations = {_VOWEL_MARKS.sub("", word) for word in data["negations"]}
    lower = f" {' '.join(words)} "
    return TextFacts(
        tuple(sorted([*figures, *sure])),
        tuple(sorted(loose)),
        tuple(sorted(stressed)),
        sum(word in negations for word in words),
        sum(word in negations and word not in data["half_negations"] for word in words),
        tuple(sorted(blanks.elements())),
        frozenset(unit for unit, names in data["units"].items() if _any(lower, names)),
        frozenset(soon for soon, names in data["urgent"].items() if _any(lower, names)),
        *_joins(bare, language),
    )


def _label(link: re.Match[str]) -> str:
    """Give the words of a link, which a patient reads; where it leads is no word."""
    return f" {link[2] or ''} "


@cache
def _patterns(file: str, language: str) -> Mapping[str, re.Pattern[str]]:
    rows: Mapping[str, Mapping[str, str]] = data_of(__package__, file)
    return {name: re.compile(row[language], re.IGNORECASE) for name, row in rows.items() if language in row}


@cache
def safety_words_in(text: str, language: str) -> frozenset[str]:
    """Give what a text speaks of, by the names of data/safety_words.yml."""
    bare = _VOWEL_MARKS.sub("", text.casefold())
    return frozenset(
        name for name, one in _patterns("safety_words.yml", language).items() if one.search(bare)
    )


@cache
def body_parts_in(text: str, language: str) -> frozenset[str]:
    """Give the parts of the body a text names, by the names of data/body_parts.yml."""
    bare = _BLANK.sub(" ", _VOWEL_MARKS.sub("", text.casefold()))
    return frozenset(name for name, one in _patterns("body_parts.yml", language).items() if one.search(bare))


def other_body_parts(one: str, two: str, here: str, there: str) -> tuple[list[str], list[str]]:
    """Give the parts of the body that only the first of two texts names, and those that only the second does.

    A part that one of the languages has no word for in the list is neither.
    """
    both = _patterns("body_parts.yml", here).keys() & _patterns("body_parts.yml", there).keys()
    ours, theirs = body_parts_in(one, here) & both, body_parts_in(two, there) & both
    return sorted(ours - theirs), sorted(theirs - ours)


def other_safety_words(one: str, two: str, here: str, there: str) -> tuple[list[str], list[str]]:
    """Give what only the first of two texts speaks of, and what only the second does; languages may differ."""
    both = _patterns("safety_words.yml", here).keys() & _patterns("safety_words.yml", there).keys()
    ours, theirs = safety_words_in(one, here) & both, safety_words_in(two, there) & both
    return sorted(ours - theirs), sorted(theirs - ours)


def _normal(figure: str) -> str:
    return figure.translate(_ARABIC_DIGITS).replace(",", ".").lstrip("0") or "0"


def _any(text: str, phrases: Iterable[str]) -> bool:
    return any(f" {_VOWEL_MARKS.sub('', phrase)} " in text for phrase in phrases)


@cache
def _join_words(language: str) -> re.Pattern[str] | None:
    row = _words(language).get("joins")
    return (
        re.compile(rf"(?P<sep>[,،])|(?P<or>{row['or']})|(?P<and>{row['and']})", re.IGNORECASE)
        if row
        else None
    )


def _joins(text: str, language: str) -> tuple[int, int]:
    """Count the joins by “or” and by “and”; commas before one of them join as it does."""
    pattern = _join_words(language)
    counts = {"or": 0, "and": 0}
    for sentence in _SENTENCE_END.split(_VOWEL_MARKS.sub("", text)) if pattern else ():
        commas, after_comma = 0, -1
        for found in pattern.finditer(sentence) if pattern else ():
            kind = found.lastgroup or ""
            if kind == "sep":
                commas, after_comma = commas + 1, found.end()
                continue
            doubled = commas and not sentence[after_comma : found.start()].strip()
            counts[kind] += 1 + commas - bool(doubled)
            commas = 0
    return counts["or"], counts["and"]


@cache
def opposites(language: str) -> Mapping[str, tuple[frozenset[str], frozenset[str]]]:
    """Give the pairs of opposite words of a language by the name they have in every language."""
    pairs = _words(language).get("opposites", {})
    return {name: (frozenset(one), frozenset(two)) for name, (one, two) in pairs.items()}


@cache
def poles(text: str, language: str) -> Mapping[str, str]:
    """Tell which end of each pair of opposites a text names; a text that names both ends, or none, has none."""
    words = frozenset(words_of(_BLANK.sub(" ", text)))
    found = {}
    for name, (one, two) in opposites(language).items():
        if bool(words & one) != bool(words & two):
            found[name] = "one" if words & one else "two"
    return found


def turned_words(one: str, two: str, language: str) -> tuple[str, str] | None:
    """Give a pair of opposites of which one text says the first and the other the second; None when there is none."""
    ours, theirs = Counter(words_of(one)), Counter(words_of(two))
    gone, come = ours - theirs, theirs - ours
    for pair in opposites(language).values():
        for here, there in (pair, pair[::-1]):
            left, new = sorted(here & set(gone)), sorted(there & set(come))
            if left and new:
                return left[0], new[0]
    return None


def held_by_hands(text: str, language: str) -> frozenset[str]:
    """Give what a text puts the hands on (worktop, hips); nothing in a language without a pattern for it."""
    pattern = _words(language).get("hands_on")
    return (
        frozenset(word.casefold() for word in re.findall(pattern, text, re.IGNORECASE))
        if pattern
        else frozenset()
    )


def condition_turned(one: str, two: str, language: str) -> bool:
    """Tell whether a text with a condition (if, when) says the same words in another order."""
    ours, theirs = words_of(one), words_of(two)
    if ours == theirs or sorted(ours) != sorted(theirs):
        return False
    return any(word in _words(language).get("conditions", ()) for word in ours)


def stop_moved(one: str, two: str, language: str) -> bool:
    """Tell whether the same words with a “not” or a condition among them are parted by stops at other places."""
    ours = words_of(one)
    if ours != words_of(two) or stops_of(one) == stops_of(two):
        return False
    return has_scope(one, language)


def has_scope(text: str, language: str) -> bool:
    """Tell whether a “not” or a condition is among the words of a text: what it reaches changes with each stop."""
    data = _words(language)
    weighty = {_VOWEL_MARKS.sub("", word) for word in (*data["negations"], *data.get("conditions", ()))}
    return not weighty.isdisjoint(words_of(text))


def usual_length(language: str) -> float:
    """Give how long a translation into a language usually is, in lengths of the English; 0 when nobody measured it."""
    return float(_words(language).get("length", 0))


def number_words(language: str) -> tuple[str, ...]:
    """Give the words of a language that say a number and nothing else."""
    data = _words(language)
    return tuple(word for word in data["numbers"] if word not in data["plain"])


def number_of(word: str, language: str) -> int | None:
    """Give the number a word of the language says; None when it says none."""
    number: int | None = _words(language)["numbers"].get(word.casefold())
    return number


def own_words_of(text: str, language: str) -> int:
    """Count the words of a text that are small words of the language and of no other in the lists."""
    small = set(_words(language).get("small", []))
    return sum(word in small for word in words_of(text))
