"""Checks on kinds of sentence that readers get wrong: two owners of “it”, nouns in front, nested conditions."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any

from limberleaf.reading.rules.inflect import grammar
from limberleaf.reading.rules.model import Hit, Rule, check
from limberleaf.reading.words.text import Line, Text

_MARK = re.compile(r"[,;:–—()]")
CLOSE = 2
"""How many words after a comma a pronoun still belongs to the clause before it (`, and it`, `, loosen it`)."""


@check("two_owners")
def two_owners(text: Text, rule: Rule) -> Iterator[Hit]:
    """`It`, `she` or `he` after two things or people in the same sentence that it may refer to."""
    settings: Any = rule.settings
    people = frozenset(settings["people"])
    not_things = frozenset(settings["not_things"]) | people
    leads = frozenset(settings["leads"])
    adjectives = frozenset(settings["adjectives"])
    idle = frozenset(settings["idle"])
    for line in text.lines:
        if line.kind not in rule.scope or line.word_set.isdisjoint(("it", "she", "he")):
            continue
        for place, piece in enumerate(line.pieces):
            if piece.word == "it" and any(other.word == "it" for other in line.pieces[:place]):
                continue
            if (
                piece.word == "it"
                and len(line.pieces) <= settings["longest"]
                and _stands_for_a_thing(line, place, leads)
                and not _is_idle(line, place, idle)
            ):
                owners = _owners(line, place, adjectives, lambda word: word not in not_things)
            elif piece.word in ("she", "he") and place > 1 and not {"he", "she"} <= line.word_set:
                wrong = frozenset(settings["men" if piece.word == "she" else "women"])
                owners = _owners(line, place, adjectives, partial(_is_person, people - wrong))
            else:
                continue
            if len(owners) > 1:
                values = {"found": piece.word, "owners": " or ".join(f"“{owner}”" for owner in owners[-2:])}
                yield Hit(line.block, piece.start, piece.end, values)
                break


def _is_idle(line: Line, place: int, idle: frozenset[str]) -> bool:
    """Whether `it` refers to nothing: `it is wise to`."""
    following = [piece.word for piece in line.pieces[place + 1 : place + 3]]
    return len(following) == 2 and following[0] in ("is", "was") and following[1] in idle


def _is_person(people: frozenset[str], word: str) -> bool:
    return word in people


def _stands_for_a_thing(line: Line, place: int, leads: frozenset[str]) -> bool:
    """Whether `it` is the object of an action (`and press it`) or the subject of a clause (`until it stops`)."""
    if place < 4:
        return False
    before = line.pieces[place - 1].word
    if before in leads:
        return True
    if before in ("on", "onto", "at"):
        return "and" in [piece.word for piece in line.pieces[place - 3 : place - 1]]
    after = line.pieces[place + 1].word if place + 1 < len(line.pieces) else ""
    verb_beside = (
        (before.endswith("s") and not before.endswith("ss")) or before.endswith("ed") or after.endswith("s")
    )
    return not verb_beside and before not in grammar().function_words and before not in grammar().places


def _owners(line: Line, place: int, adjectives: frozenset[str], counts: Callable[[str], bool]) -> list[str]:
    """The different singular nouns with an article before a place, each the last word before a small word or a mark."""
    found: list[str] = []
    for first, piece in enumerate(line.pieces[:place]):
        if piece.word not in grammar().owned or first + 1 >= place or first < _clause_start(line, place):
            continue
        if not counts(line.pieces[first + 1].word) and line.pieces[first + 1].word not in adjectives:
            continue
        word = _head(line, first + 1, place, adjectives)
        plural = word.endswith("s") and not word.endswith(("ss", "us", "is"))
        if (
            word
            and not plural
            and not word.endswith("ly")
            and counts(word)
            and word not in found
            and word not in grammar().function_words
        ):
            found.append(word)
    return found


def _head(line: Line, first: int, place: int, adjectives: frozenset[str]) -> str:
    """The noun that an article belongs to: the last word before a small word or a mark, a verb in -s left out."""
    last = first
    while (
        last + 1 < place
        and last - first < 2
        and line.pieces[last + 1].word not in grammar().function_words | grammar().places
        and line.text[line.pieces[last].end : line.pieces[last + 1].start] == " "
    ):
        last += 1
    if last == first or line.pieces[first].word in adjectives:
        return line.pieces[last].word
    following = line.pieces[first + 1].word
    after = line.pieces[first + 2].word
    verb = (
        following.endswith(("es", "ed"))
        or (following.endswith("s") and after in grammar().particles)
        or following in grammar().telling_pasts
        or (following.endswith("s") and after in grammar().owned)
    )
    return line.pieces[first].word if verb else line.pieces[last].word


def _clause_start(line: Line, place: int) -> int:
    """The first word of the clause that a pronoun belongs to; `If ..., loosen it` belongs to the clause before it."""
    marks = [
        n
        for n in range(1, place + 1)
        if _MARK.search(line.text, line.pieces[n - 1].end, line.pieces[n].start)
    ]
    if (
        marks
        and place - marks[-1] <= CLOSE
        and (len(marks) == 1 or line.pieces[0].word in ("if", "when"))
        and ";" not in line.text[line.pieces[marks[-1] - 1].end : line.pieces[marks[-1]].start]
    ):
        marks.pop()
    return marks[-1] if marks else 0


_CHANCE = re.compile(
    r"\b(?:about |around |nearly )?(?:\d+|an?|one|two|three|four|five|six|seven|eight|nine|ten)"
    r" (?:in|out of) (?:every )?(\d[\d,]*|ten|twenty|fifty|a hundred|a thousand)\b(?! (?:and|to) |\s?%|:)"
)
_MAY_BE_CHANCE = re.compile(r" (?:in|of) (?:every )?(?:\d|ten\b|twenty\b|fifty\b|a hundred\b|a thousand\b)")


@check("mixed_chances")
def mixed_chances(text: Text, rule: Rule) -> Iterator[Hit]:
    """Chances of one block out of different numbers (`1 in 50` and `1 in 20`), which few readers can compare."""
    if not _MAY_BE_CHANCE.search(text.spoken):
        return
    for index, lines in text.by_block.items():
        if lines[0].kind not in rule.scope:
            continue
        found = [(line, match) for line in lines for match in _CHANCE.finditer(line.spoken)]
        if len({match.group(1) for _, match in found}) > 1:
            line, other = next(one for one in found if one[1].group(1) != found[0][1].group(1))
            begin = line.sentence.start
            values = {
                "found": "”, “".join(match.group() for _, match in found),
                "most": max((_out_of(match.group(1), rule) for _, match in found), default=100),
            }
            yield Hit(index, begin + other.start(), begin + other.end(), values)


def _out_of(number: str, rule: Rule) -> int:
    """The number that a chance is out of: 1,000 and `a thousand` alike."""
    settings: Any = rule.settings
    return int(settings["numbers"].get(number) or number.replace(",", ""))


@check("noun_first")
def noun_first(text: Text, rule: Rule) -> Iterator[Hit]:
    """A noun made from a verb as the subject of the sentence: `Reduction of pain is dependent on`."""
    settings: Any = rule.settings
    endings = tuple(settings["endings"])
    others, fine = frozenset(settings["others"]), frozenset(settings["fine"])
    after, verbs = frozenset(settings["after"]), frozenset(settings["verbs"])
    superlatives = frozenset(settings["superlatives"])
    for line in text.lines:
        if line.kind not in rule.scope or len(line.pieces) < 5 or verbs.isdisjoint(line.word_set):
            continue
        words = [piece.word for piece in line.pieces[:14]]
        for place, word in enumerate(words[:5]):
            if place and (words[place - 1] in verbs | after or "and" in words[:place]):
                break
            nominal = word in others or (word.endswith(endings) and len(word) > 6 and word not in fine)
            parted = (
                line.text[line.pieces[place].end : line.pieces[place + 1].start].strip() if nominal else ""
            )
            if (
                nominal
                and not parted
                and not _is_a_gloss(line, place)
                and words[place + 1] in after
                and not _singles_out(words, place + 1, superlatives)
                and not verbs.isdisjoint(words[place + 2 : place + 9])
            ):
                start, end = line.pieces[place].start, line.pieces[place + 1].end
                yield Hit(line.block, start, end, {"found": line.source(start, end)})
                break


def _is_a_gloss(line: Line, place: int) -> bool:
    """Whether a noun opens brackets or a list item that is no sentence: a thing or a sign (`loss of sight`)."""
    start = line.pieces[place].start
    before = line.text[:start].rstrip()
    return before.endswith("(") or bool(
        line.kind == "bullet" and place == 0 and not line.text.rstrip().endswith(".")
    )


def _singles_out(words: Sequence[str], place: int, superlatives: frozenset[str]) -> bool:
    """Whether `with the best ...` follows a noun: it says which one, and hides nobody's action."""
    return words[place : place + 2] == ["with", "the"] and not superlatives.isdisjoint(
        words[place + 2 : place + 3]
    )


@check("nested_conditions")
def nested_conditions(text: Text, rule: Rule) -> Iterator[Hit]:
    """An exception (`unless`, `except`, `provided`) in one sentence with another condition."""
    exceptions, conditions, times = (
        re.compile(rule.settings[name]) for name in ("exceptions", "conditions", "times")
    )
    for line in text.lines:
        if line.kind not in rule.scope or not exceptions.search(line.spoken):
            continue
        found = [one for one in conditions.finditer(line.spoken) if not times.match(line.spoken, one.start())]
        if len(found) > 1:
            first, last = found[0].start() + line.sentence.start, found[-1].end() + line.sentence.start
            listed = " … ".join(match.group() for match in found)
            yield Hit(line.block, first, last, {"found": listed})
