"""Where an exercise stands in the ladders."""

from __future__ import annotations

from dataclasses import dataclass

from generator.library import Library
from generator.library.groups import Ladder


@dataclass(frozen=True)
class LadderPlace:
    """A place in a ladder: `index` counts from 0, `count` is the number of steps."""

    ladder: Ladder
    index: int
    count: int

    @property
    def before(self) -> str | None:
        """Give the code of the step before, None on the lowest."""
        return self.ladder.steps[self.index - 1].exercise if self.index else None

    @property
    def after(self) -> str | None:
        """Give the code of the step after, None on the highest."""
        return self.ladder.steps[self.index + 1].exercise if self.index + 1 < self.count else None


def places(library: Library, code: str) -> list[LadderPlace]:
    """Give the places of an exercise in the approved ladders, in the order of their files."""
    return [
        LadderPlace(loaded.entry, index, len(loaded.entry.steps))
        for loaded in library.ladders.values()
        if loaded.entry.is_published
        for index, rung in enumerate(loaded.entry.steps)
        if rung.exercise == code
    ]
