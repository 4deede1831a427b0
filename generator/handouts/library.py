"""All handouts of a library, one after another, so that a thousand of them need no more memory than one."""

from __future__ import annotations

from collections.abc import Iterator

from generator.figures import Order, order_for
from generator.handouts.groups import collection_handout, ladder_handout
from generator.handouts.sheet import Choice, Print, exercise_handout
from generator.handouts.typeset import Handout
from generator.pages.edition import Edition
from generator.pages.exercise_view import SIDES, side_words


def every_order(edition: Edition, style: str) -> Iterator[Order]:
    """Give the figures of all exercises and sides, so that they can be drawn together."""
    for exercise in edition.exercises.values():
        for side in SIDES if exercise.sides == "one" else (None,):
            pen = edition.pen("", exercise, side)
            yield order_for(exercise, side, edition.language, side_words(pen), style)


def every_handout(edition: Edition, print_: Print = "page") -> Iterator[Handout]:
    """Give the handout of every page that has one: each exercise and side, each ladder, each collection."""
    for code, exercise in edition.exercises.items():
        for side in SIDES if exercise.sides == "one" else (None,):
            yield exercise_handout(edition, Choice(code, side), print_)
    for name in edition.ladders:
        yield ladder_handout(edition, name)
    for name in edition.collections:
        yield collection_handout(edition, name)
