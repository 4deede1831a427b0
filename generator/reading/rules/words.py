"""Checks on words: hard words, listed phrases with plainer ones, unexplained terms, abbreviations, mixed spelling."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from limberleaf.reading.blocks import WordChoices
from limberleaf.reading.marks import Level
from limberleaf.reading.phrases import Found, Phrase, PhraseIndex
from limberleaf.reading.rules.model import Hit, Rule, check, rules
from limberleaf.reading.syllables import american_spellings, spelling_pairs
from limberleaf.reading.terms import shipped_terms
from limberleaf.reading.text import Line, Text


@dataclass(frozen=True, slots=True)
class Entry:
    """A listed phrase: the rule it belongs to, what to say instead, and the words around it that make it fine."""

    rule: str
    say: str
    level: Level | None
    not_before: frozenset[str]
    not_after: frozenset[str]


_INDEXES: WeakKeyDictionary[WordChoices, PhraseIndex[Entry]] = WeakKeyDictionary()


def _index(words: WordChoices) -> PhraseIndex[Entry]:
    index = _INDEXES.get(words)
    if index is None:
        index = _INDEXES[words] = PhraseIndex(_phrases(words))
    return index


def _phrases(words: WordChoices) -> Iterator[Phrase[Entry]]:
    for avoided, say in words.preferred.items():
        entry = Entry("jargon", say, None, frozenset(), frozenset())
        yield Phrase(tuple(avoided.lower().replace("-", " ").split()), True, entry)
    own = {avoided.lower() for avoided in words.preferred}
    for rule in rules():
        if rule.check != "phrases":
            continue
        for row in rule.settings["phrases"]:
            entry = Entry(
                rule.id,
                row.get("say", ""),
                row.get("level"),
                frozenset(row.get("not_before", ())),
                frozenset(row.get("not_after", ())),
            )
            for phrase in row["find"]:
                if phrase not in own:
                    yield Phrase(tuple(phrase.replace("-", " ").split()), row.get("forms", True), entry)


_FOUND: WeakKeyDictionary[Text, Mapping[str, list[tuple[Line, Found[Entry]]]]] = WeakKeyDictionary()


def _found(text: Text) -> Mapping[str, list[tuple[Line, Found[Entry]]]]:
    """All listed phrases of a text by rule; all phrase rules share one walk."""
    found = _FOUND.get(text)
    if found is None:
        found = _FOUND[text] = {}
        index = _index(text.words)
        for line in text.lines:
            for hit in index.find(line.pieces):
                found.setdefault(hit.phrase.value.rule, []).append((line, hit))
    return found


@check("phrases")
def phrases(text: Text, rule: Rule) -> Iterator[Hit]:
    """Listed words and phrases with what to say instead."""
    seen: set[str] = set()
    once = rule.settings.get("once", False)
    last: tuple[Line, int] | None = None
    for line, found in _found(text).get(rule.id, ()):
        overlaps = last is not None and last[0] is line and found.first < last[1]
        if line.kind not in rule.scope or overlaps or _fine_here(line, found) or _is_known(text, line, found):
            continue
        last = (line, found.after)
        words = " ".join(found.phrase.words)
        if once and words in seen:
            continue
        seen.add(words)
        yield _hit(line, found)


def _is_known(text: Text, line: Line, found: Found[Entry]) -> bool:
    return (line.block, found.start) in text.known_words


def _fine_here(line: Line, found: Found[Entry]) -> bool:
    entry = found.phrase.value
    before = line.pieces[found.first - 1].word if found.first else ""
    after = line.pieces[found.after].word if found.after < len(line.pieces) else ""
    return before in entry.not_after or after in entry.not_before


def _hit(line: Line, found: Found[Entry]) -> Hit:
    written = line.source(found.start, found.end)
    say = found.phrase.value.say
    exact = found.exact(line.pieces)
    suggestion = f"Say “{say}”." if say else None
    first = say.partition(" / ")[0]
    replacement = _like(written, first) if say and exact and not say.startswith("(") else None
    return Hit(
        line.block,
        found.start,
        found.end,
        {"found": written, "say": say},
        found.phrase.value.level,
        suggestion=suggestion,
        replacement=replacement,
    )


def _like(written: str, say: str) -> str:
    """The words to use, with a capital where the written ones have one."""
    return say[0].upper() + say[1:] if written[0].isupper() and not written.isupper() else say


@check("hard_word")
def hard_word(text: Text, rule: Rule) -> Iterator[Hit]:
    """Rare words that are not explained, each once a text."""
    settings: Any = rule.settings
    seen: set[str] = set()
    for line in text.lines:
        if line.kind not in rule.scope:
            continue
        for place, (token, facts) in enumerate(zip(line.sentence.words, line.facts, strict=True)):
            if not facts.hard or facts.zipf is None or facts.lower in seen:
                continue
            limit = settings["rare_when_long"] if facts.syllables >= settings["long"] else settings["rare"]
            if facts.zipf >= limit:
                continue
            if (line.block, token.start) in text.known_words or line.is_name(place) or token.text.isupper():
                continue
            seen.add(facts.lower)
            values = {"found": token.text, "syllables": facts.syllables}
            yield Hit(line.block, token.start, token.end, values)


@check("explain_term")
def explain_term(text: Text, rule: Rule) -> Iterator[Hit]:
    """A term of the trade that nothing explains, at its first use."""
    explained = {use.term for use in text.uses if use.explained}
    seen: set[str] = set(explained)
    for use in text.uses:
        line = text.lines[use.line]
        if use.term in seen or line.kind not in rule.scope:
            continue
        seen.add(use.term)
        means = shipped_terms()[use.term]
        values = {"found": line.source(use.start, use.end), "means": means}
        yield Hit(line.block, use.start, use.end, values)


@check("abbreviation")
def abbreviation(text: Text, rule: Rule) -> Iterator[Hit]:
    """Capitals that the text does not spell out, each once."""
    known = {*rule.settings["known"], *text.words.abbreviations}
    meanings: Mapping[str, str] = rule.settings["meanings"]
    seen: set[str] = set()
    for line in text.lines:
        if line.kind not in rule.scope or not any(token.text[1:2].isupper() for token in line.sentence.words):
            continue
        capitals = [_bare(token.text) for token in line.sentence.words]
        if _shouted(capitals):
            continue
        for token, bare in zip(line.sentence.words, capitals, strict=True):
            if bare in seen or not _is_abbreviation(bare) or bare in known or text.lexicon.easy(bare.lower()):
                continue
            seen.add(bare)
            if _spelt_out(line, token.start, token.end):
                continue
            means = meanings.get(bare, "")
            suggestion = f"Write “{means}”, or explain it in brackets." if means else None
            values = {"found": token.text, "means": means}
            yield Hit(line.block, token.start, token.end, values, suggestion=suggestion)


def _bare(word: str) -> str:
    """The capitals of an abbreviation without stops, plural or possessive ending; other words as they are."""
    return (
        word.replace(".", "").removesuffix("’s").removesuffix("'s").removesuffix("s")
        if word[:2].isupper()
        else word
    )


def _is_abbreviation(word: str) -> bool:
    return len(word) > 1 and word.isupper() and word.isalpha()


def _shouted(words: Sequence[str]) -> bool:
    return len(words) > 2 and all(word.isupper() for word in words if word.isalpha())


def _spelt_out(line: Line, start: int, end: int) -> bool:
    """Whether brackets follow the abbreviation or stand around it."""
    return line.text[end : end + 2].startswith((" (", "(")) or line.text[:start].endswith("(")


@check("mixed_spelling")
def mixed_spelling(text: Text, rule: Rule) -> Iterator[Hit]:
    """British and American spellings in one text: the rarer kind, or the kind the clinic does not use."""
    pairs, americans = spelling_pairs(), american_spellings()
    found: dict[str, list[Hit]] = {"uk": [], "us": []}
    for line in text.lines:
        for token, facts in zip(line.sentence.words, line.facts, strict=True):
            kind = "uk" if facts.lower in pairs else "us" if facts.lower in americans else None
            if kind is None or line.kind not in rule.scope:
                continue
            other = pairs[facts.lower] if kind == "uk" else americans[facts.lower]
            values = {"found": token.text, "other": other, "kind": "British" if kind == "uk" else "American"}
            hit = Hit(line.block, token.start, token.end, values, replacement=_like(token.text, other))
            found[kind].append(hit)
    wanted = text.words.spelling
    if wanted is None:
        if not (found["uk"] and found["us"]):
            return
        wanted = "uk" if len(found["uk"]) >= len(found["us"]) else "us"
    yield from found["us" if wanted == "uk" else "uk"]
