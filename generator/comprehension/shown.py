"""Which figures are shown, on which side and in which order, and each as a picture without a word."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random
from typing import Literal

from limberleaf.diagrams import draw_figure, solve_figure
from limberleaf.diagrams.adults import NEUTRAL, Adult
from limberleaf.library import Exercise, Library
from limberleaf.store.keys import value_key

SMALL, FULL = 150, 1.6
"""Width in pixels of a panel in the small grey copy; pixels to a unit of the drawing in the full one."""

Size = Literal["full", "small"]


@dataclass(frozen=True)
class Shown:
    """A figure under the number that people see: its exercise, the side drawn as the sore one, what is meant."""

    number: str
    exercise: Exercise
    drawn_side: Literal["left", "right"]
    adult: Adult = NEUTRAL

    @property
    def side(self) -> str:
        """Give the side to be seen: left, right or both."""
        return self.drawn_side if self.exercise.sides != "both" else "both"

    @property
    def meant(self) -> str:
        """Give what the figure means, in the words of its captions."""
        return " / ".join(pose.caption or "" for pose in self.exercise.figure.poses)

    @property
    def figure_key(self) -> str:
        """Name the figure as its entry states it, in 12 hexadecimal digits."""
        return figure_key(self.exercise)


def figure_key(exercise: Exercise) -> str:
    """Name the figure of an exercise as its entry states it, in 12 hexadecimal digits that change with it."""
    return value_key(exercise.figure)[:12]


def chosen(library: Library, seed: int, only: Sequence[str] = ()) -> list[Shown]:
    """Give the figures in the order and on the sides that the seed decides; the same for the same seed and library."""
    dice = Random(seed)  # noqa: S311 - an order that can be repeated, no secret
    exercises = [
        loaded.entry for loaded in library.exercises.values() if not only or loaded.entry.code in only
    ]
    exercises = [one for one in exercises if one.status != "retired"]
    dice.shuffle(exercises)
    digits = max(len(str(len(exercises))), 2)
    sides: tuple[Literal["left", "right"], ...] = ("left", "right")
    adult_for = library.settings.adult_for
    return [
        Shown(f"{at:0{digits}d}", one, dice.choice(sides), adult_for(one.code))
        for at, one in enumerate(exercises, 1)
    ]


def orders(shown: Sequence[Shown], people: int, seed: int) -> Iterator[tuple[int, list[str]]]:
    """Give each person's number and own order of pictures, so that no picture is always the first or the last."""
    for person in range(1, people + 1):
        numbers = [one.number for one in shown]
        Random(f"{seed}/{person}").shuffle(numbers)  # noqa: S311 - as above
        yield person, numbers


def size_for(person: int) -> Size:
    """Give the size a person sees: every second one sees the small grey pictures."""
    return "small" if person % 2 == 0 else "full"


def picture(one: Shown, size: Size) -> bytes:
    """Draw a figure as PNG: in full, or 150 pixels a panel and grey, as a small copy shows it."""
    from PIL import Image

    solved = solve_figure(one.exercise.drawn, one.drawn_side, build=one.adult.build)
    drawing = draw_figure(
        solved,
        one_sided=one.exercise.sides != "both",
        in_turn=one.exercise.sides == "each",
        skin=one.adult.skin,
    )
    panels = len(drawing.pictures)
    if size == "full":
        return drawing.png(round(drawing.size[0] * FULL * panels))
    out = io.BytesIO()
    Image.open(io.BytesIO(drawing.png(SMALL * panels))).convert("L").save(out, "PNG")
    return out.getvalue()
