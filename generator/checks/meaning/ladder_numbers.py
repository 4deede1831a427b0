"""Numbers that a ladder says of its exercises: how often a day, and amounts that its pages state in the same words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from limberleaf.checks.meaning.said_numbers import rhythms_not_so
from limberleaf.checks.texts import texts_of
from limberleaf.clinical.text_facts import number_of, number_words
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Ladder, Library, Loaded

_TOKEN = re.compile(r"\w+")
_PAGE = ("steps", "in_short", "figure", "watch_for")
"""What a page tells people to do; its rules stand beside those of the ladder already (ladder_words.py)."""

_OF_THIS_STEP = ("same_or_less_because", "move_on_when")

Amount = tuple[str, str, str]


def check_ladder_numbers(library: Library) -> Iterator[Finding]:
    """Report how often and how much, where a ladder says it otherwise than the exercise."""
    language = library.settings.language
    for loaded in library.ladders.values():
        if loaded.entry.status != "retired":
            exercises = [
                library.exercises[rung.exercise].entry
                for rung in loaded.entry.steps
                if rung.exercise in library.exercises
            ]
            yield from _amounts(loaded, exercises, language)
            yield from _rhythms(library, loaded, language)


def _rhythms(library: Library, loaded: Loaded[Ladder], language: str) -> Iterator[Finding]:
    for index, rung in enumerate(loaded.entry.steps):
        exercise = library.exercises.get(rung.exercise)
        if exercise is None:
            continue
        for key in _OF_THIS_STEP:
            for match in rhythms_not_so(getattr(rung, key) or "", exercise.entry.dose, language):
                yield Finding(
                    "error",
                    "ladder-differs-from-dose",
                    f"“{match[0].strip()}” is said here, and the dose of {rung.exercise} is another one.",
                    "Correct the dose or this line.",
                    loaded.source.place(("steps", index, key), offset=match.start()),
                )


def _amounts(loaded: Loaded[Ladder], exercises: list[Exercise], language: str) -> Iterator[Finding]:
    said: dict[Amount, tuple[int, str]] = {}
    for exercise in exercises:
        for loc, text in texts_of(exercise):
            if loc[0] in _PAGE:
                said |= {key: (number, exercise.code) for key, number, _ in amounts_in(text, language)}
    for loc, text in texts_of(loaded.entry):
        for key, number, at in amounts_in(text, language):
            other, code = said.get(key, (number, ""))
            if other != number:
                yield Finding(
                    "error",
                    "ladder-differs-from-page",
                    f"“{key[0]} {number} {key[1]} {key[2]}” here, “{key[0]} {other} {key[1]} {key[2]}” on the page of "
                    f"{code}.",
                    "It is one amount; correct the one that is wrong.",
                    loaded.source.place(loc, offset=at),
                )


def amounts_in(text: str, language: str) -> Iterator[tuple[Amount, int, int]]:
    """Give each number of a text between the word before it and two after it, with its value and its place."""
    words = {*number_words(language)}
    tokens = list(_TOKEN.finditer(text.casefold()))
    for index in range(1, len(tokens) - 2):
        token = tokens[index][0]
        if token.isdecimal() or token in words:
            number = int(token) if token.isdecimal() else number_of(token, language) or 0
            around = tokens[index - 1][0], tokens[index + 1][0], tokens[index + 2][0]
            yield around, number, tokens[index].start()
