"""Words and drawing agree: the same position, the same side, the same things.

Read from the figure's entry alone. What only the solved pose can show is found by the checks on figures.
"""

from __future__ import annotations

from collections.abc import Iterator

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.drawing import (
    drawn_but_not_listed,
    listed_but_not_drawn,
    position_family,
    sides_acting,
    sides_moved,
)
from limberleaf.clinical.sides import lies_down, side_down
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded


def check_agreement(library: Library) -> Iterator[Finding]:
    """Say figures that start elsewhere, lie on the other side, move the other side or show unlisted things."""
    yield from each_exercise(library, _of_exercise, library.settings.language)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _position(loaded)
    yield from _lying(loaded, language)
    if language == "en":
        yield from _moved(loaded)
    yield from _things(loaded)


def _position(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    posture = loaded.entry.figure.poses[0].posture or ""
    if position_family(posture) != position_family(loaded.entry.position):
        yield Finding(
            "warning",
            "drawn-in-another-position",
            f"The page says the position is “{loaded.entry.position}”, the figure starts in “{posture}”.",
            "Let `position:` and the first `posture:` agree.",
            loaded.source.place(("figure", "poses", 0, "posture")),
        )


def _lying(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    down = side_down(loaded.entry, language)
    lead = loaded.entry.figure.poses[0].lead
    if lies_down(loaded.entry) and down and lead == down:
        yield Finding(
            "error",
            "drawn-on-the-other-side",
            f"The setup lies on the {down} side, the figure has that side on top.",
            "`lead:` names the side on top.",
            loaded.source.place(("figure", "poses", 0, "lead")),
        )


def _moved(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise, source = loaded.entry, loaded.source
    poses = exercise.figure.poses
    for index, pose in enumerate(poses[1:], 1):
        moved, named = sides_moved(pose), sides_acting(pose.caption)
        if len(moved) == len(named) == 1 and moved != named:
            yield Finding(
                "error",
                "caption-names-other-side",
                f"The caption names the {min(named)} side, the drawing moves the {min(moved)} one.",
                "Correct the caption or the joints.",
                source.place(("figure", "poses", index, "caption")),
            )
    moved = frozenset(role for pose in poses[1:] for role in sides_moved(pose))
    named = sides_acting(*exercise.steps)
    if exercise.sides == "one" and len(moved) == len(named) == 1 and moved != named:
        yield Finding(
            "error",
            "steps-name-other-side",
            f"The steps name the {min(named)} side, the drawing moves only the {min(moved)} one.",
            "Correct the steps or the joints of the figure.",
            source.place(("steps",)),
        )


def _things(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    for index in drawn_but_not_listed(loaded.entry):
        kind = loaded.entry.figure.props[index].kind
        yield Finding(
            "warning",
            "drawn-but-not-listed",
            f"The figure shows a {kind.replace('_', ' ')} that the page does not list.",
            "Add it under `equipment:`, or take it out of the figure.",
            loaded.source.place(("figure", "props", index)),
        )
    for index in listed_but_not_drawn(loaded.entry):
        item = loaded.entry.equipment[index].item.replace("_", " ")
        yield Finding(
            "error",
            "listed-but-not-drawn",
            f"The page lists a {item}, and the figure does not show it.",
            "Add it under the figure's `props:`, or mark it `optional: true` where it can be left out.",
            loaded.source.place(("equipment", index)),
        )
