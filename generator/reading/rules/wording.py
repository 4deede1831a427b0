"""Checks on wording by pattern: passive voice, nouns made from verbs, vague or shorthand doses and the like."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from limberleaf.reading.rules.inflect import grammar
from limberleaf.reading.rules.model import Hit, Rule, check
from limberleaf.reading.words.terms import explained_words, folded
from limberleaf.reading.words.text import Line, Piece, Text


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


@check("pattern")
def pattern(text: Text, rule: Rule) -> Iterator[Hit]:
    """A regular expression on the sentence in lower case; `needs` are strings of which one must be there.

    With `any_word` a sentence must hold one of these words, or one of `or_signs`. With `with_number` only sentences
    that hold a number are looked at. A text that holds one of `unless_text` is left alone, and so is a sentence before
    one that the pattern `unless_next` fits.
    """
    settings: Any = rule.settings
    needs: list[str] = settings.get("needs", [])
    with_number = settings.get("with_number", False)
    any_word, signs = frozenset(settings.get("any_word", ())), settings.get("or_signs", ())
    unless_next = settings.get("unless_next")
    if needs and not any(need in text.spoken for need in needs):
        return
    if any(words in text.spoken for words in settings.get("unless_text", ())):
        return
    for line in text.lines:
        if line.kind not in rule.scope or (with_number and not any(facts.number for facts in line.facts)):
            continue
        if any_word and any_word.isdisjoint(line.word_set) and not any(sign in line.spoken for sign in signs):
            continue
        if unless_next and _next_fits(text, line, unless_next):
            continue
        for match in _compiled(settings["pattern"]).finditer(line.spoken):
            start = line.sentence.start + match.start()
            end = line.sentence.start + match.end()
            level = settings.get("levels", {}).get(line.kind)
            yield Hit(line.block, start, end, {"found": line.source(start, end)}, level)


def _next_fits(text: Text, line: Line, wanted: str) -> bool:
    following = text.after(line)
    return (
        following is not None
        and following.block == line.block
        and _compiled(wanted).search(following.spoken) is not None
    )


@check("passive")
def passive(text: Text, rule: Rule) -> Iterator[Hit]:
    """A form of `be` or `get` and a participle, adjectives, fixed phrases and mere reports left out."""
    settings: Any = rule.settings
    be = frozenset(settings["be"])
    irregular = frozenset(settings["participles"])
    adjectives = frozenset(settings["adjectives"])
    between = frozenset(settings["between"])
    by_staff = frozenset(settings["by_staff"])
    for line in text.lines:
        if line.kind not in rule.scope or be.isdisjoint(line.word_set):
            continue
        pieces = line.pieces
        for place, piece in enumerate(pieces):
            if piece.word not in be:
                continue
            after = place + 1
            while after < len(pieces) and (
                pieces[after].word in between or pieces[after].word.endswith("ly")
            ):
                after += 1
            if after >= len(pieces) or _parted(line, place, after):
                continue
            word = pieces[after].word
            if not (
                (word.endswith("ed") and len(word) > 3 and not word.endswith("eed")) or word in irregular
            ):
                continue
            asks = line.kind == "step" or (
                (word not in by_staff or _is_forbidden(pieces, place))
                and not _stays_in_bounds(pieces, after)
                and _tells_what_to_do(line, place, after, settings["prose_after"])
            )
            if (asks and word not in adjectives) or _moves_a_thing(line, place, after, settings):
                start, end = piece.start, pieces[after].end
                yield Hit(line.block, start, end, {"found": line.source(start, end)})


def _is_forbidden(pieces: Sequence[Piece], place: int) -> bool:
    """Whether something must not be done (`must not be given`, `is not to be stopped`): whoever it is, is told so."""
    before = [piece.word for piece in pieces[max(place - 2, 0) : place]]
    return pieces[place].word == "be" and before in (
        ["must", "not"],
        ["should", "not"],
        ["must", "never"],
        ["not", "to"],
    )


def _serves(pieces: Sequence[Piece], place: int) -> bool:
    """Whether a thing is told what for (`drops are used to widen the pupil`), and not to be used."""
    return [piece.word for piece in pieces[place : place + 2]] == ["used", "to"]


def _stays_in_bounds(pieces: Sequence[Piece], place: int) -> bool:
    """Whether `kept` tells of bounds, which nobody in particular keeps (`has to be kept within a narrow range`)."""
    following = pieces[place + 1].word if place + 1 < len(pieces) else ""
    return pieces[place].word == "kept" and following in ("within", "between")


def _moves_a_thing(line: Line, place: int, after: int, settings: Any) -> bool:
    """Whether a part of the body or a thing to exercise with is moved by nobody: `the knee is bent until`.

    `The knee is bent` alone describes a state, so a participle that is also an adjective needs words after it.
    """
    pieces = line.pieces
    if pieces[after].word in settings["states"] or _serves(pieces, after):
        return False
    ends = place - 1
    if pieces[place].word == "be" and _tells_what_to_do(line, place, after, settings["prose_after"]):
        ends = place - (3 if pieces[place - 1].word == "to" else 2)
    elif pieces[place].word not in ("is", "are"):
        return False
    subject = pieces[ends].word if 0 <= ends < settings["subject_within"] else ""
    if not (subject in settings["moved"] or subject.removesuffix("s") in settings["moved"]):
        return False
    return pieces[after].word not in settings["adjectives"] or after + 1 < len(pieces)


def _tells_what_to_do(line: Line, place: int, after: int, before: list[str]) -> bool:
    """In prose a passive counts only where it asks for an action (`should be`) of nobody but the reader (`by`)."""
    pieces = line.pieces
    if after + 1 < len(pieces) and pieces[after + 1].word == "by":
        return after + 2 < len(pieces) and pieces[after + 2].word == "you"
    lead = [
        piece.word
        for piece in pieces[max(place - 3, 0) : place]
        if piece.word not in ("not", "also", "never")
    ]
    return pieces[place].word == "be" and (" ".join(lead[-1:]) in before or " ".join(lead[-2:]) in before)


def _parted(line: Line, place: int, after: int) -> bool:
    between = line.text[line.pieces[place].end : line.pieces[after].start]
    return "," in between or "(" in between


def _made_worse(pieces: tuple[Piece, ...], noun: int) -> bool:
    """Whether a noun is made better or worse (`make the confusion worse`): no action is hidden in it."""
    return noun + 1 < len(pieces) and pieces[noun + 1].word in grammar().degrees


@check("noun_from_verb")
def noun_from_verb(text: Text, rule: Rule) -> Iterator[Hit]:
    """`Perform a rotation of`: an empty verb and a noun that is itself a verb in disguise.

    A noun that the text explains or has in a heading is the name of a thing (`carry out the compulsion`).
    """
    settings: Any = rule.settings
    empty = frozenset(settings["empty_verbs"])
    fine = frozenset(settings["fine_nouns"])
    verbs: Mapping[str, str] = settings["verbs"]
    endings = tuple(settings["endings"])
    for line in text.lines:
        if line.kind not in rule.scope or empty.isdisjoint(line.word_set):
            continue
        pieces = line.pieces
        for place, piece in enumerate(pieces):
            if piece.word not in empty:
                continue
            for after in range(place + 1, min(place + 5, len(pieces))):
                word = pieces[after].word
                noun = word.removesuffix("s")
                if word in settings["stops"] or _parted(line, place, after):
                    break
                if _made_worse(pieces, after):
                    break
                if noun in verbs or (
                    noun.endswith(endings)
                    and noun not in fine
                    and len(noun) > 6
                    and folded(noun) not in explained_words(text)
                ):
                    start, end = piece.start, pieces[after].end
                    say = verbs.get(noun, "")
                    suggestion = f"Say “{say}”." if say else None
                    yield Hit(
                        line.block, start, end, {"found": line.source(start, end)}, suggestion=suggestion
                    )
                    break
