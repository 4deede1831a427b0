"""What an exercise is: the tags by which cautions come, the region of its folder, and which side works.

A tag, a region or a side that was lost takes boxes and words with it, and nothing else on the page looks wrong.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import PurePath
from typing import Any, get_args

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.drawing import sides_moved
from limberleaf.clinical.pose_facts import angles_of
from limberleaf.data_files import data_of
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.library.models.exercise import Region
from limberleaf.store.nodes import each

_SIDE = re.compile(r"\{(affected|other)\}")
_STANDS = re.compile(r"\bstand|\bkneel|\blie\b", re.IGNORECASE)


def check_situation(library: Library) -> Iterator[Finding]:
    """Report tags, regions and sides that the rest of an exercise contradicts."""
    language = library.settings.language
    ruled = frozenset(
        tag for caution in library.cautions.values() for rule in caution.entry.applies_to for tag in rule.tag
    )
    for code, loaded in each(library.exercises):
        if loaded.entry.status != "retired":
            given = (loaded, ruled, language)
            yield from library.read_cache.cached(("tags", code), given, _tags, *given)
    yield from each_exercise(library, _of_exercise, language)


def _tags(loaded: Loaded[Exercise], ruled: frozenset[str], language: str) -> Iterator[Finding]:
    exercise, source = loaded.entry, loaded.source
    for row in data_of(__package__, "required_tags.yml"):
        if row["tag"] in ruled and row["tag"] not in exercise.tags and _fits(row, exercise, language):
            yield Finding(
                "error",
                "tag-missing",
                f"The tag “{row['tag']}” is missing, though {row['because']}; the cautions that come by it are not on "
                "the page.",
                f"Write it under `tags:`: [{', '.join([*exercise.tags, row['tag']])}].",
                source.place(("tags",) if exercise.tags else ("kind",), key=True),
            )


def _of_exercise(loaded: Loaded[Exercise], _: str) -> Iterator[Finding]:
    exercise, source = loaded.entry, loaded.source
    folder = PurePath(source.path).parent.name
    if folder in get_args(Region) and folder != exercise.region:
        yield Finding(
            "error",
            "region-other-folder",
            f"The region is “{exercise.region}”, and the file is in the folder “{folder}”: its page would carry the "
            f"boxes of the {exercise.region.replace('_', ' ')}.",
            f"Write `region: {folder}`, or move the file.",
            source.place(("region",)),
        )
    yield from _sides(loaded)


def _fits(row: Mapping[str, Any], exercise: Exercise, language: str) -> bool:
    if exercise.position not in row.get("position", (exercise.position,)):
        return False
    if exercise.kind not in row.get("kind", (exercise.kind,)) or exercise.kind in row.get("not_kind", ()):
        return False
    if "says" in row:
        text = " ".join([exercise.title, *exercise.setup, *exercise.steps]).lower()
        if language != "en" or not re.search(row["says"], text):
            return False
    if "bends" in row or "turns" in row:
        wanted, least = ("flexion", row["bends"]) if "bends" in row else ("rotation_affected", row["turns"])
        return any(
            (value if "bends" in row else abs(value)) >= least
            for panel in angles_of(exercise.figure)
            for (side, joint, motion), value in panel.items()
            if not side and joint in ("trunk", "lumbar", "thoracic") and motion == wanted
        )
    return True


def _sides(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise, source = loaded.entry, loaded.source
    if exercise.working_side or exercise.base_side:
        for key in ("working_side", "base_side"):
            if not getattr(exercise, key):
                yield Finding(
                    "error",
                    f"no-{key.replace('_', '-')}",
                    f"The page says what one side does, and no `{key}:` says what the other does.",
                    "Add it, such as “The leg with the {affected} knee” or “The other foot stays flat”.",
                    source.place(("sides",)),
                )
    moved = frozenset(role for pose in exercise.figure.poses[1:] for role in sides_moved(pose))
    working = exercise.working_side or ""
    named = set(_SIDE.findall(working))
    one_each = exercise.sides == "one" and len(moved) == len(named) == 1
    if one_each and named != moved and not _STANDS.search(working):
        yield Finding(
            "error",
            "sides-disagree",
            f"`working_side` names the {min(named)} side, the drawing moves the {min(moved)} one.",
            "Correct the words or the joints of the figure.",
            source.place(("working_side",)),
        )
