"""Checks on words: hard words, listed phrases with plainer ones, unexplained terms, abbreviations, mixed spelling."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from weakref import WeakKeyDictionary

from limberleaf.reading.blocks import WordChoices
from limberleaf.reading.rules.inflect import grammar
from limberleaf.reading.rules.model import Hit, Rule, check, rules
from limberleaf.reading.rules.senses import Entry, entry_of, fits, replacement_for
from limberleaf.reading.words.phrases import Found, Phrase, PhraseIndex
from limberleaf.reading.words.syllables import american_spellings, either_spelling, spelling_pairs
from limberleaf.reading.words.terms import explained_words, folded, is_explained, is_named, shipped_terms
from limberleaf.reading.words.text import Line, Text
from limberleaf.reading.words.tokens import Token

SAME_STEM = 6
"""Letters that two forms of one word share at the start (delirium, delirious)."""
COMMON = 4.0
"""Zipf from which a word inside a word is common."""
PART = 3.0
"""Zipf from which a part between hyphens is no harder than the whole (`non-cancerous`, `pre-assessment`)."""
_LONGEST_UNIT = 3
_LONGEST_WORD = 40
_INDEXES: WeakKeyDictionary[WordChoices, PhraseIndex[Entry]] = WeakKeyDictionary()


def _index(words: WordChoices) -> PhraseIndex[Entry]:
    index = _INDEXES.get(words)
    if index is None:
        index = _INDEXES[words] = PhraseIndex(_phrases(words))
    return index


def _phrases(words: WordChoices) -> Iterator[Phrase[Entry]]:
    for avoided, say in words.preferred.items():
        yield Phrase(tuple(avoided.lower().replace("-", " ").split()), True, Entry("jargon", say))
    own = {avoided.lower() for avoided in words.preferred}
    for rule in rules():
        if rule.check != "phrases":
            continue
        for row in rule.settings["phrases"]:
            entry = entry_of(rule.id, row)
            for phrase in row["find"]:
                if phrase not in own:
                    yield Phrase(tuple(phrase.replace("-", " ").split()), row.get("forms", True), entry)


_FOUND: WeakKeyDictionary[Text, Mapping[str, list[tuple[int, Found[Entry]]]]] = WeakKeyDictionary()


def _found(text: Text) -> Mapping[str, list[tuple[int, Found[Entry]]]]:
    """All listed phrases of a text by rule, with the index of their line; all phrase rules share one walk."""
    found = _FOUND.get(text)
    if found is None:
        found = _FOUND[text] = {}
        index = _index(text.words)
        for number, line in enumerate(text.lines):
            for hit in index.find(line.pieces):
                found.setdefault(hit.phrase.value.rule, []).append((number, hit))
    return found


@check("phrases")
def phrases(text: Text, rule: Rule) -> Iterator[Hit]:
    """Listed words and phrases with what to say instead."""
    seen: set[str] = set()
    explained: set[str] = set()
    once = rule.settings.get("once", False)
    last: tuple[Line, int] | None = None
    for number, found in _found(text).get(rule.id, ()):
        line = text.lines[number]
        overlaps = last is not None and last[0] is line and found.first < last[1]
        if line.kind not in rule.scope or overlaps or _is_known(text, line, found) or not fits(line, found):
            continue
        entry = found.phrase.value
        words = " ".join(found.phrase.words)
        if entry.explain and (words in explained or is_explained(text, line, found.start, found.end)):
            explained.add(words)
            continue
        last = (line, found.after)
        if (once or entry.explain) and words in seen:
            continue
        seen.add(words)
        hit = _hit(line, found)
        if entry.word_class != "verb" or not _is_there_already(line, hit.replacement):
            yield hit


def _is_there_already(line: Line, replacement: str | None) -> bool:
    """Whether the sentence has the shorter word already (`keeping active and maintaining a healthy weight`)."""
    return replacement is not None and replacement.lower() in line.word_set


def _is_known(text: Text, line: Line, found: Found[Entry]) -> bool:
    return (line.block, found.start) in text.known_words


def _hit(line: Line, found: Found[Entry]) -> Hit:
    written = line.source(found.start, found.end)
    entry = found.phrase.value
    say = replacement_for(line, found)
    advice = f"Say “{say or entry.say}”." if entry.say else entry.suggestion
    values = {"found": written, "say": entry.say}
    replacement = None if say is None else _like(written, say)
    return Hit(
        line.block, found.start, found.end, values, entry.level, suggestion=advice, replacement=replacement
    )


def _like(written: str, say: str) -> str:
    """The words to use, with a capital where the written ones have one."""
    return say[0].upper() + say[1:] if written[0].isupper() and not written.isupper() else say


@check("hard_word")
def hard_word(text: Text, rule: Rule) -> Iterator[Hit]:
    """Rare, long words that nothing in the text explains, each once a text whatever its form.

    A heading names what the text under it explains, so its words are known.
    """
    settings: Any = rule.settings
    explained = explained_words(text)
    found: dict[str, Hit] = {}
    for line in text.lines:
        if line.kind not in rule.scope:
            continue
        for place in line.hard_places:
            token, facts = line.sentence.words[place], line.facts[place]
            if facts.syllables < settings["fewest_syllables"]:
                continue
            limit = settings["rare_when_long"] if facts.syllables >= settings["long"] else settings["rare"]
            word = folded(facts.lower)
            named = not token.text.islower() and not (place == 0 and token.text.istitle())
            common = max(text.lexicon.folded_zipf(form) for form in _spellings(facts.lower))
            if common >= limit or word in explained or named or _begins_name(line, place):
                continue
            if (line.block, token.start) in text.known_words or _is_made_plainly(text, facts.lower):
                continue
            values = {"found": token.text, "syllables": facts.syllables}
            found.setdefault(word, Hit(line.block, token.start, token.end, values))
    if not found:
        return
    stems = {word[:SAME_STEM] for word in (*explained, *_plain_words(text)) if len(word) >= SAME_STEM}
    yield from (hit for word, hit in found.items() if word[:SAME_STEM] not in stems)


def _begins_name(line: Line, place: int) -> bool:
    """Whether the first word of a sentence is part of a name (`Thornbury Vale nurses`)."""
    return place == 0 and len(line.sentence.words) > 1 and line.is_name(1)


def _spellings(word: str) -> tuple[str, ...]:
    """A word as written and in American spelling, of which the table of frequencies knows more."""
    return (word, spelling_pairs()[word]) if word in spelling_pairs() else (word,)


def _plain_words(text: Text) -> Iterator[str]:
    """Words of the text that readers know, from which another form may be made (vaccine, vaccinated)."""
    for line in text.lines:
        for facts in line.facts:
            if not facts.hard and facts.zipf is not None:
                yield facts.lower


def _is_made_plainly(text: Text, word: str) -> bool:
    """Whether a word is a unit, or made of common ones (disorganised, adoptive, childminder)."""
    if not _LONGEST_UNIT < len(word) <= _LONGEST_WORD:
        return len(word) <= _LONGEST_UNIT
    zipf = text.lexicon.folded_zipf
    if "-" in word:
        return all(len(part) <= _LONGEST_UNIT + 1 or zipf(part) >= PART for part in word.split("-"))
    rests = [word[len(start) :] for start in grammar().opposites if word.startswith(start)]
    if any(len(rest) > _LONGEST_UNIT and zipf(rest) >= COMMON for rest in rests):
        return True
    if word.endswith("ive") and zipf(word[:-3]) >= COMMON:
        return True
    for ending in ("lessly", "fully", "less", "ful"):
        if word.endswith(ending) and zipf(word.removesuffix(ending)) >= COMMON:
            return True
    if word.endswith(("ably", "ibly")) and zipf(f"{word[:-1]}e") >= COMMON:
        return True
    if word.endswith("able") and max(zipf(word[:-4]), zipf(f"{word[:-4]}e")) >= COMMON:
        return True
    cuts = range(_LONGEST_UNIT + 1, len(word) - _LONGEST_UNIT)
    return any(zipf(word[:cut]) >= COMMON and zipf(word[cut:]) >= COMMON for cut in cuts)


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
        values = {"found": line.source(use.start, use.end), "term": use.term, "means": means}
        yield Hit(line.block, use.start, use.end, values)


_INNER_CAPITAL = re.compile(r"[\w.][A-ZÀ-ÖØ-Þ]")


@check("abbreviation")
def abbreviation(text: Text, rule: Rule) -> Iterator[Hit]:
    """Capitals that the text does not spell out, each once."""
    known = {*rule.settings["known"], *text.words.abbreviations}
    meanings: Mapping[str, str] = rule.settings["meanings"]
    seen = set(_named_in_headings(text))
    for line in text.lines:
        sentence = line.sentence
        if line.kind not in rule.scope or not _INNER_CAPITAL.search(line.text, sentence.start, sentence.end):
            continue
        capitals = [_bare(token.text) for token in line.sentence.words]
        if _shouted(capitals):
            continue
        for token, bare in zip(line.sentence.words, capitals, strict=True):
            if bare in seen or not _is_abbreviation(bare) or bare in known or text.lexicon.easy(bare.lower()):
                continue
            seen.add(bare)
            if is_named(line, token.start, token.end) and not _only_beside(line, token.start, bare):
                continue
            if _DESCRIBED.match(line.spoken, token.end - sentence.start):
                continue
            means = meanings.get(bare, "")
            suggestion = f"Write “{means}”, or explain it in brackets." if means else None
            if bare in rule.settings["keep"]:
                suggestion = (
                    f"Keep “{bare}”, which everybody will say to the reader, and explain it: ({means})."
                )
            values = {"found": token.text, "means": means}
            yield Hit(line.block, token.start, token.end, values, suggestion=suggestion)


def _named_in_headings(text: Text) -> Iterator[str]:
    """Abbreviations that a heading spells out: `Obsessive compulsive disorder (OCD)`."""
    for line in text.lines:
        if line.kind == "heading":
            for token in line.sentence.words:
                if _is_abbreviation(bare := _bare(token.text)) and is_named(line, token.start, token.end):
                    yield bare


_DESCRIBED = re.compile(
    r"(?:\s[\w-]+){0,2},\s*(?:in which|which (?:is|are|means?))\b|\s(?:stands for|is short for|means)\b"
)
_OTHER_NAME = re.compile(r"\bor (?:an? |the )?$")


def _only_beside(line: Line, start: int, bare: str) -> bool:
    """Whether only `or` stands before an abbreviation, and the words before it do not begin with its letters."""
    before = line.spoken[: start - line.sentence.start]
    if not (match := _OTHER_NAME.search(before)):
        return False
    words = re.findall(r"[a-z]+", before[: match.start()])
    initials = (
        "".join(word[0] for word in some)
        for some in (words, [w for w in words if w not in grammar().unlettered])
    )
    return not any(letters.endswith(bare.lower()) for letters in initials)


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


@check("mixed_spelling")
def mixed_spelling(text: Text, rule: Rule) -> Iterator[Hit]:
    """British and American spellings in one text: the rarer kind, or the kind the clinic does not use."""
    found = _spelt(text, rule)
    wanted = text.words.spelling
    if wanted is None:
        if not (found["uk"] and found["us"]):
            return
        wanted = "uk" if len(found["uk"]) >= len(found["us"]) else "us"
    beside = found[wanted][0][1].text if found[wanted] else ""
    why = f"and “{beside}” in the same text is not" if beside else "and this library uses the other"
    kind, others = ("American", american_spellings()) if wanted == "uk" else ("British", spelling_pairs())
    for line, token, lower in found["us" if wanted == "uk" else "uk"]:
        other = others[lower]
        values = {"found": token.text, "other": other, "kind": kind, "why": why}
        yield Hit(line.block, token.start, token.end, values, replacement=_like(token.text, other))


def _spelt(text: Text, rule: Rule) -> Mapping[str, list[tuple[Line, Token, str]]]:
    """The words with a British and an American spelling, as written and in plain small letters, by the kind written."""
    found: dict[str, list[tuple[Line, Token, str]]] = {"uk": [], "us": []}
    either = either_spelling() - frozenset(rule.settings["both"])
    for line in text.lines:
        if line.kind not in rule.scope or line.word_set.isdisjoint(either):
            continue
        for token, facts in zip(line.sentence.words, line.facts, strict=True):
            if facts.lower in either:
                kind = "uk" if facts.lower in spelling_pairs() else "us"
                found[kind].append((line, token, facts.lower))
    return found
