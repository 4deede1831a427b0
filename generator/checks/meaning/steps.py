"""Steps do what dose, captions and equipment say: nothing listed is unused, nothing shown is untold.

English, but for the hold. A step that was lost leaves its traces: a hold in the dose that nobody is told of, a caption
that no line says, a towel that nobody lays down.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.pose_facts import things_of
from limberleaf.clinical.text_facts import poles, words_of
from limberleaf.data_files import safe_load
from limberleaf.findings import Finding, Place
from limberleaf.library import Exercise, Library, Loaded

LEAST_SHARED = 0.5
"""Part of a caption's words that one line or two must hold, before the caption is told by them."""

_RETURNS = re.compile(
    r"\b(?:back|lower|return|down|let go|again|middle|rest|stand|sit|change|other|turn round|slow(?:ly)?|relax|breathe?"
    r"|up|straight|push|keep going|keep each|steady beat|slow down|let)\b",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"[^.!?]+")
_SMALL = {
    "your",
    "with",
    "that",
    "this",
    "then",
    "them",
    "until",
    "while",
    "hold",
    "count",
    "from",
    "both",
    "into",
}


@cache
def _things() -> Mapping[str, Any]:
    return dict(safe_load(files("limberleaf.clinical").joinpath("data/things_said.yml").read_text("utf-8")))


@cache
def _unlikely_words() -> re.Pattern[str]:
    rows = safe_load(files("limberleaf.clinical").joinpath("data/unlikely_words.yml").read_text("utf-8"))
    return re.compile("|".join(rows), re.IGNORECASE)


def check_steps(library: Library) -> Iterator[Finding]:
    """Say what dose, captions or equipment tell and no step does, and lines that cannot be meant."""
    yield from each_exercise(library, _of_exercise, library.settings.language)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _hold(loaded)
    if language == "en":
        yield from _return(loaded)
        yield from _things_used(loaded)
        yield from _captions(loaded)
        yield from _unlikely(loaded)


def _hold(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    if exercise.dose.hold is None:
        return
    told = " ".join(exercise.steps)
    if not re.search(r"\{hold(?:_count)?\}|\bhold\b|\bstay\b|\bkeep it\b|\bpull\b", told, re.IGNORECASE):
        yield Finding(
            "error",
            "hold-not-told",
            "The dose has a hold, and no step tells people to hold.",
            "Add the step: “Hold while you count to {hold_count}.” One may have been lost.",
            loaded.source.place(("steps",), key=True),
        )


def _return(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    if exercise.dose.repetitions is None or exercise.kind == "balance":
        return
    last = exercise.steps[-1]
    if "{hold" in last or not _RETURNS.search(last):
        yield Finding(
            "warning",
            "no-way-back",
            f"The movement is done again and again, and no step comes back to the start: the last is “{last}”",
            "Say how to come back: “Lower your foot slowly.” A step may have been lost.",
            loaded.source.place(("steps", len(exercise.steps) - 1)),
        )


def _things_used(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise, known = loaded.entry, _things()
    told = " ".join(
        [*exercise.setup, *exercise.steps, exercise.working_side or "", exercise.base_side or ""]
    ).lower()
    drawn = {name for prop in exercise.figure.props for name in (prop.kind, *_stands_for(prop.kind))}
    drawn |= {kind for pose in exercise.figure.poses if pose.posture for kind in things_of(pose.posture)}
    for index, need in enumerate(exercise.equipment):
        item = need.item
        if need.optional or item in known["elsewhere"]:
            continue
        says = known["says"].get(item, re.escape(item.replace("_", " ")))
        told_instead = any(len(word) > 3 and word in told for word in words_of(need.instead or ""))
        if not re.search(says, told) and not told_instead:
            yield Finding(
                "error",
                "listed-but-not-used",
                f"The page lists “{item.replace('_', ' ')}”, and no line of setup and steps says what to do with it.",
                "Say where it goes, or take it off the list. A line may have been lost.",
                loaded.source.place(("equipment", index)),
            )
        if item in known["drawn"] and not any(name in item or item in name for name in drawn):
            yield Finding(
                "error",
                "listed-but-not-drawn",
                f"The page lists “{item.replace('_', ' ')}”, and the figure shows none.",
                "Draw it under `props:`, or take it off the list.",
                loaded.source.place(("equipment", index)),
            )


def _stands_for(kind: str) -> list[str]:
    rows = safe_load(files("limberleaf.clinical").joinpath("data/drawn_things.yml").read_text("utf-8"))
    found: list[str] = rows.get(kind, [])
    return found


@cache
def _content(text: str) -> frozenset[str]:
    bare = re.sub(r"\{[a-z_]+\}", " ", text)
    return frozenset(word[:5] for word in words_of(bare) if len(word) > 3 and word not in _SMALL)


def _captions(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    lines = [part for line in (*exercise.setup, *exercise.steps) for part in _SENTENCE.findall(line)]
    for index, pose in enumerate(exercise.figure.poses):
        for caption in _SENTENCE.findall(pose.caption or ""):
            mine = _content(caption)
            if not mine:
                continue
            place = loaded.source.place(("figure", "poses", index, "caption"))
            shared = sorted(((len(mine & _content(line)), line) for line in lines), key=lambda one: -one[0])
            best = [line for count, line in shared if count == shared[0][0] and count]
            covered = mine & frozenset().union(*(_content(line) for _, line in shared[:4]))
            if len(covered) < LEAST_SHARED * len(mine):
                yield Finding(
                    "error",
                    "caption-without-step",
                    f"No line of setup and steps says what the caption says: “{caption.strip()}”.",
                    "Say it in a step too, or correct the caption. A line may have been lost.",
                    place,
                )
            elif shared[0][0] >= 2 and best and all(_opposed(caption, line) for line in best):
                yield _against_step("caption", caption, best[0], place)
    yield from _title(loaded, lines)


def _title(loaded: Loaded[Exercise], lines: list[str]) -> Iterator[Finding]:
    """Say a title that goes the other way than the line that shares most of its words."""
    title = loaded.entry.title
    shared = sorted(
        ((len(_content(title) & _content(line)), line) for line in lines), key=lambda one: -one[0]
    )
    best = [line for count, line in shared if count == shared[0][0] and count >= 2]
    if best and all(_opposed(title, line) for line in best):
        yield _against_step("title", title, best[0], loaded.source.place(("title",)))


def _against_step(what: str, said: str, line: str, place: Place) -> Finding:
    return Finding(
        "error",
        f"{what}-against-step",
        f"The {what} says “{said.strip()}”, the text “{line.strip()}”: one is the other way round.",
        "Correct the one that is wrong.",
        place,
    )


def _opposed(one: str, two: str) -> tuple[str, str] | None:
    sides = [{side for side in ("affected", "other") if f"{{{side}}}" in text} for text in (one, two)]
    if len(sides[0]) == len(sides[1]) == 1 and sides[0] != sides[1]:
        return min(sides[0]), min(sides[1])
    ours, theirs = poles(one, "en"), poles(two, "en")
    for name, end in ours.items():
        if name in ("up", "forward", "straight", "in", "over", "towards", "push", "together", "left") and (
            theirs.get(name, end) != end
        ):
            return name, f"not {name}"
    return None


def _unlikely(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    for index, line in enumerate(exercise.in_short):
        words = words_of(line)
        for word in ("up", "down"):
            if words.count(word) > 1:
                yield Finding(
                    "error",
                    "direction-unlikely",
                    f"“{line}” says “{word}” twice and never comes back.",
                    "A word for a direction may have been turned round.",
                    loaded.source.place(("in_short", index)),
                )
    for key in ("setup", "steps", "in_short"):
        for index, line in enumerate(getattr(exercise, key)):
            match = _unlikely_words().search(line)
            if match:
                yield Finding(
                    "error",
                    "direction-unlikely",
                    f"“{match[0]}” cannot be done as it stands.",
                    "A word for a direction may have been turned round.",
                    loaded.source.place((key, index), offset=match.start()),
                )
