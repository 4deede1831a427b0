"""Listed phrases with their senses: whether the words found mean what the list means, and what may take their place.

A word is replaced only in the sense its row gives: by word class, by the words beside it, and in the same form.
Where that cannot be seen, nothing is marked: a missed word costs less than a changed meaning.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from limberleaf.reading.marks import Level
from limberleaf.reading.rules.inflect import VerbForm, form_of, grammar, inflect_noun, inflect_verb
from limberleaf.reading.words.phrases import Found
from limberleaf.reading.words.text import Line

WordClass: TypeAlias = Literal["verb", "noun", "adjective", "adverb", "phrase"]
NEAR = 6
"""How many words after a phrase count as near it."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A row of a phrase list: its rule, what to do instead, and the sense in which it counts.

    One of `say` (takes the place of the words), `explain` (the words stay) and `advise` (free advice) is filled.
    """

    rule: str
    say: str = ""
    explain: str = ""
    advise: str = ""
    word_class: WordClass = "phrase"
    level: Level | None = None
    not_before: frozenset[str] = frozenset()
    not_after: frozenset[str] = frozenset()
    only_before: frozenset[str] = frozenset()
    only_after: frozenset[str] = frozenset()
    near: frozenset[str] = frozenset()
    not_forms: frozenset[str] = frozenset()
    also_noun: bool = False
    start: bool = False
    ends: bool = False

    @property
    def suggestion(self) -> str | None:
        """What the mark asks the editor to do; None leaves the rule's own words."""
        if self.explain:
            return f"Keep the word and explain it once, in brackets: ({self.explain})."
        return self.advise or None


_PLAIN = ("say", "explain", "advise", "level", "also_noun", "start", "ends")
_SETS = ("not_before", "not_after", "only_before", "only_after", "near", "not_forms")


def entry_of(rule: str, row: Mapping[str, Any]) -> Entry:
    """A row of a rule's data file as an entry."""
    values: dict[str, Any] = {name: row[name] for name in _PLAIN if name in row}
    values |= {name: frozenset(row[name]) for name in _SETS if name in row}
    return Entry(rule, word_class=row.get("as", "phrase"), **values)


def _word(line: Line, place: int) -> str:
    return line.pieces[place].word if 0 <= place < len(line.pieces) else ""


def _parted_before(line: Line, place: int) -> bool:
    """Whether a mark (comma, bracket, start) comes before a piece."""
    if place <= 0 or place >= len(line.pieces):
        return True
    between = line.text[line.pieces[place - 1].end : line.pieces[place].start]
    return any(mark in between for mark in ",;:()–—.")


def form_found(line: Line, found: Found[Entry]) -> VerbForm | None:
    """The form in which a phrase is used; the other words of the phrase must be as listed."""
    listed = found.phrase.words
    written = [piece.word for piece in line.pieces[found.first : found.after]]
    head = 0 if found.phrase.value.word_class == "verb" else len(listed) - 1
    if any(a != b for n, (a, b) in enumerate(zip(listed, written, strict=True)) if n != head):
        return None
    return form_of(listed[head], written[head])


def fits(line: Line, found: Found[Entry]) -> bool:
    """Whether the words found are used in the sense of their row."""
    entry = found.phrase.value
    before = "" if _parted_before(line, found.first) else _word(line, found.first - 1)
    after = "" if _parted_before(line, found.after) else _word(line, found.after)
    if before in entry.not_after or after in entry.not_before:
        return False
    if (entry.only_before and after not in entry.only_before) or (
        entry.only_after and before not in entry.only_after
    ):
        return False
    if entry.start and found.first:
        return False
    if entry.near and not any(_word(line, found.after + n) in entry.near for n in range(NEAR)):
        return False
    if entry.ends and after and after not in grammar().function_words:
        return False
    form = form_found(line, found)
    return form is not None and form not in entry.not_forms and _in_class(line, found, form, before, after)


def _in_class(line: Line, found: Found[Entry], form: VerbForm, before: str, after: str) -> bool:
    words = grammar()
    match found.phrase.value.word_class:
        case "verb":
            return _is_verb(line, found, form, before, after)
        case "noun":
            return before not in words.verb_after | (words.subjects - {"that", "which"}) and form in (
                "base",
                "s",
            )
        case "adjective":
            follows = after != "" and after not in words.function_words
            return form == "base" and (follows or before in words.be or _be_before(line, found.first))
        case "adverb":
            return form == "base"
        case _:
            return form == "base" or found.phrase.forms


def _is_verb(line: Line, found: Found[Entry], form: VerbForm, before: str, after: str) -> bool:
    words = grammar()
    owned = before in words.determiners and not (
        form == "s" and before in ("this", "that", "each", "another")
    )
    if owned or before.endswith("'s") or after == "of" or (form == "base" and before in words.prepositions):
        return False
    if form == "ed":
        return _finite_before(line, found.first) is not None
    if form == "ing":
        return before in words.ing_after and (after in words.determiners or after in words.function_words)
    return form != "s" or not found.phrase.value.also_noun or _has_a_doer(line, found, before, after)


def _has_a_doer(line: Line, found: Found[Entry], before: str, after: str) -> bool:
    """Whether a word in -s is a verb: it has an object, or somebody who does it; `trailing flexes` are things."""
    words = grammar()
    owner = _word(line, found.first - 2)
    return (
        after in words.determiners
        or before in words.subjects | words.between
        or (
            not before.endswith("ing")
            and (owner in words.determiners or (not before.endswith("s") and before != ""))
        )
    )


def _be_before(line: Line, first: int) -> bool:
    return _helper_before(line, first) in grammar().be


def _helper_before(line: Line, first: int) -> str:
    """The word before a verb, adverbs and `not` left out."""
    place = first - 1
    while place >= 0 and (
        line.pieces[place].word.endswith("ly") or line.pieces[place].word in grammar().between
    ):
        place -= 1
    return _word(line, place)


def _finite_before(line: Line, first: int) -> bool | None:
    """For a form in -ed: True a participle (after `be`, `have`), False a past (after a pronoun), None unclear."""
    helper = _helper_before(line, first)
    if helper in grammar().be or helper in grammar().have:
        return True
    return False if helper in grammar().subjects else None


def replacement_for(line: Line, found: Found[Entry]) -> str | None:
    """Words that may take the place of those found, in their form; None where a choice or the grammar forbids it."""
    entry = found.phrase.value
    if not entry.say or " / " in entry.say or entry.say.startswith("("):
        return None
    form = form_found(line, found)
    say: str | None = entry.say
    if form is None:
        return None
    if entry.word_class == "verb":
        say = inflect_verb(entry.say, form, participle=_finite_before(line, found.first))
    elif entry.word_class == "noun":
        say = inflect_noun(entry.say, form)
    elif form != "base":
        return None
    article = _word(line, found.first - 1)
    if say and article in ("a", "an") and (article == "an") != (say[0] in "aeiou"):
        return None
    return say
