"""Terms of the trade: where they are used, and whether the text explains them.

A term is explained when brackets, a dash, `is a`, `means` or `which is` follow it, when it is in brackets
itself, after `called` or among examples (`such as`), when the next sentence says what it is, or when the clinic
explains it elsewhere (`WordChoices.explained`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from weakref import WeakKeyDictionary

from limberleaf.reading.blocks import WordChoices
from limberleaf.reading.tables import load_yaml
from limberleaf.reading.words.lexicon import inflected_stems
from limberleaf.reading.words.phrases import Found, Phrase, PhraseIndex
from limberleaf.reading.words.text import Line, Text, Use

_WHAT = r"(?:an?|the|your|when|where|what|how|another|one|any|also|not|usually|often|simply|just|short)\b"
_LINKS = r"(?:that|of|which|in|from|when|caused|to|along|at|around|under|inside|on|felt)\b"
_DOES = (
    "feels?|looks?|sounds?|be|measures?|shows?|carry|carries|joins?|holds?|covers?|controls?|helps?|makes?|lets?"
    "|sits?|lies?|runs?|stores?|pumps?|filters?|lines?|protects?|surrounds?|supports?|connects?|keeps?|produces?|sends?"
    "|takes?|lowers?|raises?|slows?|stops?|blocks?|kills?|thins?|relax(?:es)?"
)
"""What a thing is or does, said of it after `which`."""
_AFTER = re.compile(
    r"\s*(?:\(|[–—:]\s|-\s|,?\s*(?:that )?means?\b"
    rf"|,?\s*(?:(?:that|this) )?(?:is|are|was)\s+(?:{_WHAT}|[\w-]+(?:\s[\w-]+)?\s{_LINKS})"
    r"|\s[\w-]+\s(?:is|are)\s(?:an?|when|where|how)\b"
    r"|(?:\s[\w-]+){0,2},\s*(?:(?:which|that) (?:is|are|means?|was)|(?:also )?(?:called|known as)|in which)\b"
    rf"|(?:\s[\w-]+)?,\s*(?:which|that) (?:(?:may|can|might|often|usually) )?(?:{_DOES})\b"
    r"|(?:\s[\w-]+){1,2}\s\([A-Z]{2,}|(?:\s[\w-]+){1,2}\s\([a-z]{2,6}s?\)"
    r"|,\s*(?:in which|where|when|or|the|an?|your|such as|like)\b"
    r"|\s[\w-]+,\s*(?:in which|where|who|an?)\b"
    r"|\s(?:also )?(?:called|known as)\b|\s(?:such as|in which)\b)"
)
_BEFORE = re.compile(
    r"(?:\(|\b(?:call(?:ed|s)?|named?|known as|short(?:ened)? (?:to|for)|abbreviated to"
    r"|described as|referred to as|termed|term|word|means?|such as|like|for example|name is|name for)|[–—]|\s-)"
    r"[\s,]*(?:(?:it|this|them|these|is)\s+)?(?:(?:an?|the|your)\s+)?(?:[\w-]+\s){0,3}[\"'“‘]?$"
    r"|\bor\s+(?:(?:an?|the|your)\s+)?[\"'“‘]?$"
)
LABEL = 4
"""Words up to which the first sentence of a list item may be the name of what the item describes."""
_NO_NAME = frozenset(
    {"i", "you", "your", "we", "us", "it", "they", "he", "she", "this", "that", "if", "when", "not", "no"}
)
"""Words that stand in a sentence and not in a name."""
_SAYS_WHAT = re.compile(r"\b(?:is|are|was|were)\b")
"""What a sentence that tells of a thing holds; an order does not."""
_BEHIND = 160
"""How many characters before a word may explain it."""
_APPOSITION = re.compile(r"\b[\w-]{3,}, the (?:[\w-]+ )?$")
_HAD = re.compile(
    r"\b(?:if|who) (?:you |they )?(?:have|has) (?:ever |already )?(?:had|been told (?:that )?you have)"
    r"(?: (?!(?:and|if|who|but|when|while|in|on|at|for|to|of|you|your|us|we|it|them|this|that)\b)[\w-]+,?"
    r"| or(?= )){0,7} $"
)
"""Before a term in a list of what readers may have had: who has had it knows its name."""
_NO_WORD = re.compile(r"\W*")
_EXAMPLES = re.compile(r"\b(?:such as|for example|including|like) [^;:.()]{0,70}$")
_NEXT_DESCRIBES = re.compile(r"\s*an?\s")
"""A sentence after one that ends with the word, which begins to describe a thing (`A thin tube is passed ...`)."""
_NEXT = re.compile(
    r"\s*(?:this|that|it|they|these)(?:'s| is| are| means?| happens?| helps?)\b"
    r"|\s*(?:this|these) [\w-]+ (?:(?:is|are) (?:\w+ )?(?:called|known|made)\b|(?:is|are) an?\b"
    r"|(?:helps?|makes?|lowers?|thins?|calms?|blocks?|kills?|slows?|stops?|means?)\b)"
    r"|\s*the (?:(?:main|usual|commonest|most common) (?:ones|kinds|types)|commonest|most common) (?:is|are)\b"
)


@cache
def shipped_terms() -> Mapping[str, str]:
    """Term -> a plain explanation to offer (`data/terms_en.yml`)."""
    terms: Mapping[str, str] = load_yaml("terms_en.yml")["terms"]
    return terms


_INDEXES: WeakKeyDictionary[WordChoices, PhraseIndex[str]] = WeakKeyDictionary()


def _index(words: WordChoices) -> PhraseIndex[str]:
    index = _INDEXES.get(words)
    if index is None:
        terms = dict.fromkeys((*shipped_terms(), *words.explained, *(name.lower() for name in words.names)))
        phrases = (Phrase(tuple(re.split(r"[\s-]+", term.lower())), True, term) for term in terms)
        index = _INDEXES[words] = PhraseIndex(phrases)
    return index


def with_terms(text: Text) -> Text:
    """The text with its terms found."""
    found = uses(text)
    return replace(text, uses=tuple(found), known_words=known_words(text, found))


def uses(text: Text) -> list[Use]:
    """Every use of a term or name, longest first where they overlap, with whether it is explained there."""
    index = _index(text.words)
    elsewhere = {term.lower() for term in (*text.words.explained, *text.words.names)}
    found: list[Use] = []
    for number, line in enumerate(text.lines):
        for hit in _longest(index.find(line.pieces)):
            term = hit.phrase.value
            explained = (
                term.lower() in elsewhere
                or is_explained(text, line, hit.start, hit.end)
                or _is_meant_beside(line, term)
                or _HAD.search(line.spoken, 0, hit.start - line.sentence.start) is not None
            )
            found.append(Use(term, number, hit.start, hit.end, explained))
    return found


SHARED = 2
"""Words of a term's meaning which, in the sentence that uses the term, show that the sentence says what it is."""


def _is_meant_beside(line: Line, term: str) -> bool:
    """Whether the sentence holds words of the term's own meaning (`your eye is numbed, you stay awake`)."""
    own = {root for word in term.split() for root in _roots(word)}
    meant = [
        _roots(word)
        for word in re.findall(r"[a-z]{4,}", shipped_terms().get(term, ""))
        if word not in _empty()
    ]
    said = {root for facts in line.facts if facts.lower not in _empty() for root in _roots(facts.lower)} - own
    return sum(not said.isdisjoint(roots) for roots in meant) >= SHARED


@cache
def _empty() -> frozenset[str]:
    return frozenset(load_yaml("terms_en.yml")["empty"].split())


@cache
def _roots(word: str) -> frozenset[str]:
    return frozenset((word, *inflected_stems(word)))


def _longest(hits: Iterator[Found[str]]) -> Iterator[Found[str]]:
    after = 0
    for hit in hits:
        if hit.first >= after:
            after = hit.after
            yield hit


def is_named(line: Line, start: int, end: int) -> bool:
    """Whether words are the short or other name of what the text describes (`known as`, in or before brackets)."""
    begin = line.sentence.start
    return line.spoken.startswith(("(", " ("), end - begin) or bool(
        _BEFORE.search(line.spoken[: start - begin])
    )


def _is_label(text: Text, line: Line) -> bool:
    """Whether a list item opens with a name of a few words and then says what it is (`Shock waves. They are ...`).

    Such a name ends with the word that nobody knows. An order (`Stop anticoagulants. Ask us first.`) and a sentence
    about the reader (`You get ...`) are no name.
    """
    words = line.sentence.words
    following = text.after(line)
    return (
        line.kind == "bullet"
        and line.sentence.start == 0
        and len(words) <= LABEL
        and len(words) - 1 in line.hard_places
        and line.word_set.isdisjoint(_NO_NAME)
        and line.facts[0].lower not in _orders()
        and following is not None
        and _SAYS_WHAT.search(following.spoken) is not None
    )


@cache
def _orders() -> frozenset[str]:
    return frozenset(load_yaml("verbs_en.yml")["verbs"].split())


def is_explained(text: Text, line: Line, start: int, end: int) -> bool:
    """Whether the words from `start` to `end` of a line are explained there, or are an example of something plain."""
    begin = line.sentence.start
    before = line.spoken[max(start - begin - _BEHIND, 0) : start - begin]
    if _AFTER.match(line.spoken, end - begin) or _BEFORE.search(before) or _EXAMPLES.search(before):
        return True
    if _APPOSITION.search(before) and line.spoken[end - begin : end - begin + 1] in (",", ".", ";", ")"):
        return True
    following = text.after(line)
    if following is None or following.block != line.block:
        return False
    if _is_label(text, line):
        return True
    if _NO_WORD.fullmatch(line.spoken, end - begin):
        alone = (
            _NO_WORD.fullmatch(before) is not None
        )  # the name of what the next sentences say: `Pelvic tilts. Lie ...`
        return alone or bool(_NEXT.match(following.spoken) or _NEXT_DESCRIBES.match(following.spoken))
    return bool(_NEXT.match(following.spoken))


_EXPLAINED: WeakKeyDictionary[Text, frozenset[str]] = WeakKeyDictionary()


def explained_words(text: Text) -> frozenset[str]:
    """Words, folded, that a text explains: those of its headings, and the hard ones explained anywhere in it."""
    words = _EXPLAINED.get(text)
    if words is None:
        words = _EXPLAINED[text] = frozenset(_find_explained(text))
    return words


def _find_explained(text: Text) -> Iterator[str]:
    for line in text.lines:
        if line.kind == "heading":
            yield from (folded(facts.lower) for facts in line.facts)
            continue
        for place in line.hard_places:
            token = line.sentence.words[place]
            if is_explained(text, line, token.start, token.end):
                yield folded(line.facts[place].lower)


def folded(word: str) -> str:
    """One key for a word with and without hyphens, plural and possessive endings."""
    word = word.replace("-", "").replace("‑", "").removesuffix("'s")
    return word.removesuffix("s") if len(word) > 4 and not word.endswith("ss") else word


def known_words(text: Text, found: list[Use]) -> frozenset[tuple[int, int]]:
    """(block, start) of every written word that belongs to a name or to a term explained somewhere in the text."""
    explained = {use.term for use in found if use.explained}
    known: set[tuple[int, int]] = set()
    for use in found:
        if use.term in explained:
            line = text.lines[use.line]
            known.update(
                (line.block, token.start)
                for token in line.sentence.words
                if token.start < use.end and use.start < token.end
            )
    return frozenset(known)
