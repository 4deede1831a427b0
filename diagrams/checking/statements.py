"""Whether every statement of a pose came to something: nothing an author writes is dropped without a word."""

from __future__ import annotations

from collections.abc import Iterator

from limberleaf.diagrams.checking.check_words import part_words
from limberleaf.diagrams.solving.asked.state import State
from limberleaf.diagrams.solving.solved import Problem


def check_statements(state: State) -> Iterator[Problem]:
    """Report releases of what touched nothing, and contacts that another of the same pose takes the place of."""
    reported = set()
    for touch in state.idle_releases:
        if touch.path not in reported:
            reported.add(touch.path)
            yield Problem(
                "release-nothing",
                "warning",
                f"The {part_words(touch.name)} touches nothing here that it could let go of.",
                "Leave this release out, or name the part that does touch something.",
                touch.path,
            )
    for touch in state.ousted:
        if touch.path not in reported:
            reported.add(touch.path)
            yield Problem(
                "contact-twice",
                "error",
                f"The {part_words(touch.name)} is put in two places at once in this pose.",
                "Keep one of the two contacts, or name another part of the limb in one of them.",
                touch.path,
            )
