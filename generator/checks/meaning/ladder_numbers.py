"""Numbers that a ladder says of its exercises: how often a day, and amounts that its pages state in the same words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from limberleaf.checks.meaning.said_numbers import rhythms_not_so
from limberleaf.checks.texts import texts_of
from limberleaf.clinical.text_facts import number_of, number_words
from limberleaf.findings import Finding
from limberleaf.library import Dose, Exercise, Ladder, Library, Loaded
from limberleaf.store.nodes import each

_TOKEN = re.compile(r"\w+")
_PAGE = ("steps", "in_short", "figure", "watch_for")
"""What a page tells people to do; its rules stand beside those of the ladder already (ladder_words.py)."""

_OF_THIS_STEP = ("same_or_less_because", "move_on_when")
_LOOKS_BACK = ("same_or_less_because", "start_here_if")
"""Lines of a step that compare it with the one before, and may state what that one asks."""

Amount = tuple[str, str, str]
Said = dict[Amount, dict[int, str]]
"""The numbers that pages give an amount, with the code of the page."""


def check_ladder_numbers(library: Library) -> Iterator[Finding]:
    """Report how often and how much, where a ladder says it otherwise than the exercise."""
    language = library.settings.language
    for _, loaded in each(library.ladders):
        if loaded.entry.status != "retired":
            yield from _amounts(library, loaded, language)
            yield from _rhythms(library, loaded, language)


def _rhythms(library: Library, loaded: Loaded[Ladder], language: str) -> Iterator[Finding]:
    before: Dose | None = None
    for index, rung in enumerate(loaded.entry.steps):
        exercise = library.exercises.get(rung.exercise)
        dose = exercise.entry.dose if exercise else None
        for key in _OF_THIS_STEP if dose else ():
            text = getattr(rung, key) or ""
            doses = [dose, before] if key in _LOOKS_BACK else [dose]
            wrong = [[*rhythms_not_so(text, one, language)] for one in doses if one]
            starts = set[int].intersection(*({match.start() for match in found} for found in wrong))
            for match in wrong[0]:
                if match.start() in starts:
                    yield Finding(
                        "error",
                        "ladder-differs-from-dose",
                        f"“{match[0].strip()}” is said here, and the dose of {rung.exercise} is another one.",
                        "Correct the dose or this line.",
                        loaded.source.place(("steps", index, key), offset=match.start()),
                    )
        before = dose


def _amounts(library: Library, loaded: Loaded[Ladder], language: str) -> Iterator[Finding]:
    """Compare each line with the page of its own step, and where that says nothing of it with all pages together."""
    pages = [
        _said_by(found.entry, language) if (found := library.exercises.get(rung.exercise)) else {}
        for rung in loaded.entry.steps
    ]
    together: Said = {}
    for page in pages:
        for key, said in page.items():
            together[key] = together.get(key, {}) | said
    for loc, text in texts_of(loaded.entry):
        is_own = len(loc) > 2 and loc[0] == "steps" and loc[2] not in _LOOKS_BACK
        own = pages[int(loc[1])] if is_own else {}
        for key, number, at in amounts_in(text, language):
            said = own.get(key) or together.get(key) or {number: ""}
            if number not in said:
                other, code = next(iter(said.items()))
                yield Finding(
                    "error",
                    "ladder-differs-from-page",
                    f"“{key[0]} {number} {key[1]} {key[2]}” here, “{key[0]} {other} {key[1]} {key[2]}” on the page of "
                    f"{code}.",
                    "It is one amount; correct the one that is wrong.",
                    loaded.source.place(loc, offset=at),
                )


def _said_by(exercise: Exercise, language: str) -> Said:
    said: Said = {}
    for loc, text in texts_of(exercise):
        for key, number, _ in amounts_in(text, language) if loc[0] in _PAGE else ():
            said.setdefault(key, {})[number] = exercise.code
    return said


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
