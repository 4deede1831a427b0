"""Gives a replacement the form of the word it replaces: `uses` for `utilises`, `was done` for `was performed`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, TypeAlias

from limberleaf.reading.tables import load_yaml

VerbForm: TypeAlias = Literal["base", "s", "ed", "ing"]
_VOWELS = frozenset("aeiou")


@dataclass(frozen=True)
class Grammar:
    """Word lists of `data/inflect_en.yml`: irregular forms, and small words that show a word's class."""

    irregular: Mapping[str, tuple[str, str]]
    third: Mapping[str, str]
    doubled: frozenset[str]
    plurals: Mapping[str, str]
    determiners: frozenset[str]
    subjects: frozenset[str]
    be: frozenset[str]
    have: frozenset[str]
    ing_after: frozenset[str]
    verb_after: frozenset[str]
    function_words: frozenset[str]
    owned: frozenset[str]
    telling_pasts: frozenset[str]
    particles: frozenset[str]
    places: frozenset[str]
    prepositions: frozenset[str]
    between: frozenset[str]
    degrees: frozenset[str]
    linking: frozenset[str]
    unlettered: frozenset[str]
    opposites: frozenset[str]


@cache
def grammar() -> Grammar:
    """The word lists."""
    table: dict[str, Any] = load_yaml("inflect_en.yml")
    return Grammar(
        irregular={verb: (past, participle) for verb, (past, participle) in table["irregular"].items()},
        third=table["third"],
        doubled=frozenset(table["doubled"]),
        plurals=table["plurals"],
        **{name: frozenset(words.split()) for name, words in table.items() if isinstance(words, str)},
    )


def form_of(listed: str, written: str) -> VerbForm | None:
    """Which regular form of a listed word is written; None for one this table does not make (`longer`)."""
    if written == listed:
        return "base"
    if written in (listed + "s", listed + "es", listed[:-1] + "ies"):
        return "s"
    if written in (listed + "ed", listed + "d", listed[:-1] + "ied", listed + listed[-1] + "ed"):
        return "ed"
    if written in (listed + "ing", listed.removesuffix("e") + "ing", listed + listed[-1] + "ing"):
        return "ing"
    return None


def inflect_verb(phrase: str, form: VerbForm, *, participle: bool | None) -> str | None:
    """A verb phrase (`get back`) in a form; None when past and participle differ and nobody knows which is meant."""
    verb, space, rest = phrase.partition(" ")
    inflected: str | None = verb
    if form == "s":
        inflected = grammar().third.get(verb) or _plural(verb)
    elif form == "ing":
        inflected = _before_vowel(verb) + "ing"
    elif form == "ed":
        inflected = _past(verb, participle=participle)
    return None if inflected is None else inflected + space + rest


def _past(verb: str, *, participle: bool | None) -> str | None:
    if verb in grammar().irregular:
        past, done = grammar().irregular[verb]
        if past != done and participle is None:
            return None
        return done if participle else past
    if verb.endswith("y") and verb[-2] not in _VOWELS:
        return verb[:-1] + "ied"
    return _before_vowel(verb) + "ed"


def _before_vowel(verb: str) -> str:
    if verb in grammar().doubled:
        return verb + verb[-1]
    return verb[:-1] if verb.endswith("e") and not verb.endswith("ee") else verb


def inflect_noun(phrase: str, form: VerbForm) -> str:
    """A noun (phrase) in the singular or plural."""
    return grammar().plurals.get(phrase) or _plural(phrase) if form == "s" else phrase


def _plural(word: str) -> str:
    if word.endswith("y") and word[-2] not in _VOWELS:
        return word[:-1] + "ies"
    return word + ("es" if word.endswith(("s", "x", "z", "ch", "sh")) else "s")
