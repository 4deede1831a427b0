"""Steps do what dose, captions and equipment say: nothing listed is unused, nothing shown is left unsaid.

English, but for the hold and for what is slow. A step that was lost leaves its traces: a hold in the dose that nobody
is told of, a caption that no line says, a towel that nobody lays down.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from limberleaf.checks.each import each_exercise
from limberleaf.checks.meaning.overlap import content_words
from limberleaf.clinical.text_facts import poles, without_vowel_marks, words_of
from limberleaf.data_files import data_of
from limberleaf.findings import Finding, Place
from limberleaf.library import Exercise, Library, Loaded

LEAST_SHARED = 0.5
"""Part of a caption's words that the nearest lines must hold, before they are taken to say it."""

_HOLD_BLANK = re.compile(r"\{hold(?:_count)?\}")
_TEMPO_BLANK = re.compile(r"\{(out|back)(?:_count)?\}")
LEAST_SLOW = 2
"""Seconds from which a movement there or back may be called slow (common practice, no source)."""

_SENTENCE = re.compile(r"[^.!?]+")
_TURNED = ("up", "forward", "straight", "in", "over", "towards", "push", "together", "left")
"""Pairs of opposites that turn a movement round; the other pairs may differ between a caption and its step."""


@cache
def _pattern(name: str) -> re.Pattern[str]:
    return re.compile(data_of(__package__, "compared_words.yml")[name], re.IGNORECASE)


@cache
def _slow_words(language: str) -> Mapping[str, re.Pattern[str]]:
    """Read how a language says slow; nothing for one that nobody wrote it for."""
    row: Mapping[str, str] = data_of(__package__, "slow_words.yml").get(language, {})
    return {name: re.compile(text, re.IGNORECASE) for name, text in row.items()}


@cache
def _unlikely_words() -> re.Pattern[str]:
    return re.compile("|".join(data_of(__package__, "unlikely_words.yml")), re.IGNORECASE)


def check_steps(library: Library) -> Iterator[Finding]:
    """Report what dose, captions or equipment say and no step does, and lines that cannot be meant."""
    yield from each_exercise(library, _of_exercise, library.settings.language)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _hold(loaded)
    yield from _slowly(loaded, language)
    if language == "en":
        yield from _return(loaded)
        yield from _things_used(loaded)
        yield from _things_listed(loaded)
        yield from _captions(loaded)
        yield from _unlikely(loaded)


def _hold(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    if exercise.dose.hold is None:
        return
    steps = " ".join(exercise.steps)
    if not _HOLD_BLANK.search(steps) and not _pattern("hold").search(steps):
        yield Finding(
            "error",
            "hold-not-told",
            "The dose has a hold, and no step tells people to hold.",
            "Add the step: “Hold while you count to {hold_count}.” One may have been lost.",
            loaded.source.place(("steps",), key=True),
        )


def _slowly(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    """Report a movement that is said to be slow and has a second to be done in.

    A line is cut into its movements, so that the way there is not called slow for the way back.
    """
    tempo, words = loaded.entry.dose.tempo, _slow_words(language)
    for step in loaded.entry.steps if tempo and words else ():
        for part in words["parts"].split(without_vowel_marks(step)):
            is_slow = words["slow"].search(part) and not words["not"].search(part)
            for blank in _TEMPO_BLANK.finditer(part) if is_slow else ():
                time = getattr(tempo, blank[1])
                if time is not None and time.high < LEAST_SLOW:
                    yield Finding(
                        "error",
                        "slow-in-a-second",
                        f"“{part.strip()}” is to be slow, and `tempo: {blank[1]}` gives it {time.high} s.",
                        f"Give it {LEAST_SLOW} seconds or more, or leave “slowly” out.",
                        loaded.source.place(("dose", "tempo", blank[1])),
                    )


def _return(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    if exercise.dose.repetitions is None or exercise.kind == "balance":
        return
    last = exercise.steps[-1]
    if "{hold" in last or not _pattern("way_back").search(last):
        yield Finding(
            "warning",
            "no-way-back",
            f"The movement is done again and again, and no step comes back to the start: the last is “{last}”",
            "Say how to come back: “Lower your foot slowly.” A step may have been lost.",
            loaded.source.place(("steps", len(exercise.steps) - 1)),
        )


def _things_used(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise, known = loaded.entry, data_of(__package__, "things_said.yml")
    text = " ".join(
        [*exercise.setup, *exercise.steps, exercise.working_side or "", exercise.base_side or ""]
    ).lower()
    for index, need in enumerate(exercise.equipment):
        item = need.item
        if need.optional or item in known["elsewhere"]:
            continue
        says = known["says"].get(item, re.escape(item.replace("_", " ")))
        says_instead = any(len(word) > 3 and word in text for word in words_of(need.instead or ""))
        if not re.search(says, text) and not says_instead:
            yield Finding(
                "error",
                "listed-but-not-used",
                f"The page lists “{item.replace('_', ' ')}”, and no line of setup and steps says what to do with it.",
                "Say where it goes, or take it off the list. A line may have been lost.",
                loaded.source.place(("equipment", index)),
            )


def _things_listed(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    """Things that a line takes for there (`the wall`), and the page does not say one needs."""
    exercise, known = loaded.entry, data_of(__package__, "things_said.yml")
    listed = (
        " ".join(f"{need.item} {need.instead or ''}" for need in exercise.equipment).lower().replace("_", " ")
    )
    said = re.compile(rf"\bthe ({'|'.join(known['needed'])})\b", re.IGNORECASE)
    seen: set[str] = set()
    for name, lines in (("setup", exercise.setup), ("steps", exercise.steps)):
        for index, line in enumerate(lines):
            for found in said.finditer(line):
                thing = found[1].lower()
                if thing in listed or thing in seen:
                    continue
                seen.add(thing)
                yield Finding(
                    "error",
                    "used-but-not-listed",
                    f"A line needs “the {thing}”, and the page does not list it under what one needs.",
                    f"Add the {thing} to `equipment:`, so that people have it ready and the figure shows it.",
                    loaded.source.place((name, index), offset=found.start()),
                )


def _captions(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    lines = [part for line in (*exercise.setup, *exercise.steps) for part in _SENTENCE.findall(line)]
    for index, pose in enumerate(exercise.figure.poses):
        for caption in _SENTENCE.findall(pose.caption or ""):
            words = content_words(caption, "captions")
            place = loaded.source.place(("figure", "poses", index, "caption"))
            nearest = _nearest(caption, lines)
            covered = words & frozenset().union(*(content_words(line, "captions") for _, line in nearest[:4]))
            if len(covered) < LEAST_SHARED * len(words):
                yield Finding(
                    "error",
                    "caption-without-step",
                    f"No line of setup and steps says what the caption says: “{caption.strip()}”.",
                    "Say it in a step too, or correct the caption. A line may have been lost.",
                    place,
                )
            elif line := _turned_round(caption, nearest):
                yield _against_step("caption", caption, line, place)
    title = exercise.title
    if line := _turned_round(title, _nearest(title, lines)):
        yield _against_step("title", title, line, loaded.source.place(("title",)))


def _nearest(text: str, lines: Iterable[str]) -> list[tuple[int, str]]:
    """Give the lines with the number of words they share with a text, most first."""
    words = content_words(text, "captions")
    shared = [(len(words & content_words(line, "captions")), line) for line in lines]
    return sorted(shared, key=lambda one: -one[0])


def _turned_round(text: str, nearest: list[tuple[int, str]]) -> str:
    """Give the line that shares most words with a text, when all that share as many go the other way; else nothing."""
    most = nearest[0][0] if nearest else 0
    best = [line for count, line in nearest if count == most]
    return best[0] if most >= 2 and all(_are_opposed(text, line) for line in best) else ""


def _against_step(what: str, text: str, line: str, place: Place) -> Finding:
    return Finding(
        "error",
        f"{what}-against-step",
        f"The {what} says “{text.strip()}”, the instructions “{line.strip()}”: one is the other way round.",
        "Correct the one that is wrong.",
        place,
    )


def _are_opposed(one: str, two: str) -> bool:
    sides = [{side for side in ("affected", "other") if f"{{{side}}}" in text} for text in (one, two)]
    if len(sides[0]) == len(sides[1]) == 1 and sides[0] != sides[1]:
        return True
    ours, theirs = poles(one, "en"), poles(two, "en")
    return any(theirs.get(name, ours[name]) != ours[name] for name in _TURNED if name in ours)


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
                    f"“{match[0]}” cannot be done as it is written.",
                    "A word for a direction may have been turned round.",
                    loaded.source.place((key, index), offset=match.start()),
                )
