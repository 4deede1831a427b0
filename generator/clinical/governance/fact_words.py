"""Whether an edit of a line changes a fact or only wording: each word is looked up by what it tells a patient.

A typo put right, another form of the same word, a word that says the same, and small words are wording. A word for a
direction, a movement, a thing, a part of the body, how firm, how often, for whom or how bad is a fact (fact_words.yml).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from limberleaf.clinical.text_facts import TextFacts, facts_of, has_scope, without_vowel_marks, words_of
from limberleaf.data_files import data_of

_BLANK = re.compile(r"\{[a-z_]+\}")
_PART = re.compile(r"[.,;:!?؟،؛()]")
_TOKEN = re.compile(r"(?P<stop>[.,;:!?؟،؛]+)|\[\[[^\]]*\]\]|\{[a-z_]+\}|[^\W_]+(?:['’][^\W_]+)?|\S")
_WRITTEN_ON = re.compile(r"^[وف]?(?:ال|لل|[بكل]ال|[بكل])?")
"""What Arabic writes onto the front of a word: and, the, with, like, for."""
_ENDINGS = {"en": ("", "e", "s", "es", "d", "ed", "ing", "ly"), "nl": ("", "e", "en", "n", "t", "te")}
_NOT_BESIDE = ("same", "little", "degree", "persons", "fuller", "clause", "cut")
_SHORTEST_TYPO = 4
"""Letters of a word in which one wrong letter is a slip and not another word."""


@dataclass(frozen=True)
class WordChange:
    """Words that went and came, without those that say nothing or the same; `facts` tells whether one is a fact."""

    gone: tuple[str, ...]
    come: tuple[str, ...]
    facts: bool

    def __bool__(self) -> bool:
        return bool(self.gone or self.come)


@dataclass(frozen=True)
class _Lexicon:
    facts: Mapping[str, re.Pattern[str]]
    same: Mapping[str, str]
    little: frozenset[str]
    degree: frozenset[str]
    fuller: frozenset[str]
    clause: frozenset[str]
    cut: frozenset[str]
    persons: Mapping[str, str]


@cache
def _lexicon(language: str) -> _Lexicon | None:
    rows: Mapping[str, str] | None = data_of("limberleaf.clinical", "fact_words.yml").get(language)
    if rows is None:
        return None
    facts = {
        name: re.compile("|".join(text.split())) for name, text in rows.items() if name not in _NOT_BESIDE
    }
    same, persons = (
        {word: group for group in rows[name].split() for word in group.split("/")}
        for name in ("same", "persons")
    )
    little, degree, fuller, clause, cut = (
        frozenset(rows[name].split()) for name in ("little", "degree", "fuller", "clause", "cut")
    )
    return _Lexicon(facts, same, little, degree, fuller, clause, cut, persons)


@cache
def _class_of(word: str, language: str) -> str:
    """Give the class of a word that tells a fact; empty for any other."""
    lexicon = _lexicon(language)
    if lexicon is None:
        return ""
    forms = {word, _bare(word, language)}
    return next(
        (name for name, pattern in lexicon.facts.items() if any(pattern.fullmatch(form) for form in forms)),
        "",
    )


def _bare(word: str, language: str) -> str:
    """Give a word without what Arabic writes onto its front."""
    return _WRITTEN_ON.sub("", word) if language == "ar" else word


def word_change(old: str, new: str, language: str, *, degrees: bool = False) -> WordChange:
    """Compare the words of two texts; a language without a list counts every word as a fact.

    With `degrees` a word such as “very” counts too: for a line that names a sign.
    """
    before, after = (Counter(words_of(_BLANK.sub(" ", text))) for text in (old, new))
    lexicon = _lexicon(language)
    gone, come = sorted((before - after).elements()), sorted((after - before).elements())
    if lexicon is None:
        return WordChange(tuple(gone), tuple(come), facts=bool(gone or come))
    swapped = _persons_swapped(gone, come, lexicon)
    small = lexicon.little if swapped else lexicon.little | lexicon.persons.keys()
    if degrees:
        small -= lexicon.degree
    gone, come = ([word for word in words if word not in small] for words in (gone, come))
    for one in list(gone):
        other = next((word for word in come if _alike(one, word, language, lexicon)), None)
        if other is not None:
            gone.remove(one)
            come.remove(other)
    if not gone and len(come) == 1 and come[0] in lexicon.fuller:
        come = []
    facts = swapped or any(_class_of(word, language) for word in (*gone, *come))
    return WordChange(tuple(gone), tuple(come), facts)


def _persons_swapped(gone: Sequence[str], come: Sequence[str], lexicon: _Lexicon) -> bool:
    """Tell whether a word for one person stands where one for another stood: “if he cannot”, “if you cannot”."""
    ours, theirs = (
        {lexicon.persons[word] for word in words if word in lexicon.persons} for words in (gone, come)
    )
    return bool(ours and theirs and ours != theirs)


def moved_between_clauses(old: str, new: str, language: str) -> bool:
    """Tell whether the same words stand in other clauses: “heel down, toes up” against “heel up, toes down”."""
    lexicon = _lexicon(language)
    if lexicon is None or sorted(words_of(old)) != sorted(words_of(new)):
        return False
    return _clauses(old, language, lexicon) != _clauses(new, language, lexicon)


def only_cut_elsewhere(old: Sequence[str], new: Sequence[str], language: str) -> bool:
    """Tell whether lines were cut where a stop or an “and” stood, and nothing else changed: one step became two.

    Lines with a “not” or a condition are never only cut, for it may no longer reach the second part; nor are lines that
    were joined, for of two things each enough both would then be needed.
    """
    lexicon = _lexicon(language)
    if lexicon is None or len(new) <= len(old) or not all(isinstance(line, str) for line in (*old, *new)):
        return False
    one, two = (". ".join(lines) for lines in (old, new))
    if has_scope(one, language) or _said_in(one, language) != _said_in(two, language):
        return False
    return _tokens(one, lexicon) == _tokens(two, lexicon)


def _said_in(text: str, language: str) -> TextFacts:
    return replace(facts_of(text, language), ands=0)


def _tokens(text: str, lexicon: _Lexicon) -> list[str]:
    """Give words, figures, blanks, links and signs in order; a stop and a word it may stand for are the same cut."""
    found: list[str] = []
    for match in _TOKEN.finditer(without_vowel_marks(text).casefold().replace("’", "'")):
        is_cut = bool(match["stop"]) or match[0] in lexicon.cut
        if not is_cut:
            found.append(match[0])
        elif found and found[-1] != ".":
            found.append(".")
    return found[:-1] if found[-1:] == ["."] else found


def _clauses(text: str, language: str, lexicon: _Lexicon) -> Counter[frozenset[str]]:
    found: list[set[str]] = []
    for part in _PART.split(text):
        found.append(set())
        for word in words_of(part):
            if word in lexicon.clause:
                found.append(set())
            elif _class_of(word, language):
                found[-1].add(word)
    return Counter(frozenset(words) for words in found if words)


def _alike(one: str, two: str, language: str, lexicon: _Lexicon) -> bool:
    """Tell whether two words say the same: synonyms, another form of one word, or a slip of a letter put right."""
    groups = _same_as(one, language, lexicon), _same_as(two, language, lexicon)
    if _bare(one, language) == _bare(two, language) or groups[0] & groups[1]:
        return True
    classes = _class_of(one, language), _class_of(two, language)
    if classes[0] == classes[1] and classes[0] not in ("part", "thing") and _same_stem(one, two, language):
        return True
    long_enough = min(len(one), len(two)) >= _SHORTEST_TYPO or sorted(one) == sorted(two)
    return not all(classes) and long_enough and _one_slip(one, two)


def _same_as(word: str, language: str, lexicon: _Lexicon) -> set[str]:
    """Give the groups of words that say the same as a word does, as it stands or without what is written onto it."""
    return {lexicon.same[form] for form in (word, _bare(word, language)) if form in lexicon.same}


def _same_stem(one: str, two: str, language: str) -> bool:
    length = next(
        (at for at, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), min(len(one), len(two))
    )
    endings = _ENDINGS.get(language, ("",))
    return length >= _SHORTEST_TYPO - 1 and one[length:] in endings and two[length:] in endings


def _one_slip(one: str, two: str) -> bool:
    """Tell whether one letter is wrong, missing, doubled or in its neighbour's place."""
    if one == two:
        return True
    start = next(
        (at for at, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), min(len(one), len(two))
    )
    rests = one[start:], two[start:]
    if rests[0][1:] == rests[1][1:] or rests[0][1:] == rests[1] or rests[0] == rests[1][1:]:
        return True
    return rests[0][:2] == rests[1][:2][::-1] and rests[0][2:] == rests[1][2:]
