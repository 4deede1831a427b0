"""Each line is what its list needs: a trouble where people leave it out or stop, a warning where they should watch out.

A line that lost its “not”, or a list that lost a line, reads well and says the wrong thing. It shows in what the list
is for: “You can put your weight on your leg” is no reason to leave an exercise out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from limberleaf.checks.texts import EntryText, texts_by_file
from limberleaf.data_files import data_of
from limberleaf.findings import Finding, Place
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.store.nodes import each

TROUBLES = (
    "leave_out_if",
    "stop",
    "ease_off",
    "easier",
    "instead",
    "if_you_cannot",
    "step_back_when",
    "signs",
)
"""Lists that name what is wrong."""

NAME_A_TROUBLE = ("leave_out_if", "stop", "ease_off", "easier", "instead", "step_back_when")
GETTING_WORSE = ("stop", "signs")
TAKES_EVERYONE_IN = ("leave_out_if", "stop")
FEWEST = {"stop": 2, "ease_off": 1}
"""Fewest lines of a list of feelings; a single reason to stop is a list that lost one (common practice, no source)."""

_KINDS_WITH_PAIN = ("strength", "mobility", "stretch", "nerve_slider", "nerve_tensioner")
_PAIN_LIMIT = re.compile(r"\{acceptable_pain\}|\b\d+ out of 10\b")

Patterns = Mapping[str, re.Pattern[str]]


@cache
def _patterns(language: str) -> Patterns:
    rows: Mapping[str, str] = data_of(__package__, "lines.yml").get(language, {})
    return {name: re.compile(row, re.IGNORECASE) for name, row in rows.items() if row}


def check_lines(library: Library) -> Iterator[Finding]:
    """Report lines that are the opposite of what their list is for, and lists of feelings that are too short."""
    for texts in texts_by_file(library):
        yield from library.read_cache.cached(("lines", texts.path), (texts,), _of_file, texts)
    for _, loaded in each(library.exercises):
        if loaded.entry.status != "retired":
            yield from library.read_cache.cached(
                ("short", loaded.entry.code), (loaded,), _of_exercise, loaded
            )


def _of_file(texts: Iterable[EntryText]) -> Iterator[Finding]:
    for text in texts:
        names = _patterns(text.language)
        if names and text.text.strip():
            yield from _of_line(text, names)


def _of_line(text: EntryText, names: Patterns) -> Iterator[Finding]:
    keys = {step for step in text.loc if isinstance(step, str)}
    place = text.source.place(text.loc)
    if text.loc[0] in ("actions", "items", "equipment"):
        return
    for key in sorted(keys & set(TROUBLES)):
        yield from _trouble(text.text, key, names, place)
    if keys & set(TAKES_EVERYONE_IN):
        yield from _narrowed(text, names)
    if "watch_for" in keys and "warns" in names and not names["warns"].search(text.text):
        yield _finding(
            "warning-lost",
            f"“{text.text}” is under “watch for” and warns of nothing.",
            "Write what not to do: “Do not ...”. A “not” may have gone.",
            place,
        )
    if "fine" in keys and (alarm := _unspared("alarming", text.text, names)):
        yield _finding(
            "alarm-called-fine",
            f"“{text.text}” is among the feelings that are fine; “{alarm}” is not one of them.",
            "Move it to `stop:` or `ease_off:`, or say in which way it is harmless.",
            place,
        )
    match = names["turned"].search(text.text) if "turned" in names else None
    if match and "ask" not in keys and not text.text.rstrip().endswith("?"):
        at = text.text[match.start() : match.start() + 24]
        yield _finding(
            "not-lost",
            f"“{at}...” reads as if a “not” had gone.",
            "Write “do not”, or leave “do” out.",
            text.source.place(text.loc, offset=match.start()),
        )


def _narrowed(text: EntryText, names: Patterns) -> Iterator[Finding]:
    match = names["narrowed"].search(text.text) if "narrowed" in names else None
    if match:
        yield Finding(
            "warning",
            "reason-narrowed",
            f"“{match[0]}” lets fewer people see themselves in “{text.text}”.",
            "Leave it out, so that everybody the line is for counts themselves in; or say the window in weeks.",
            text.source.place(text.loc, offset=match.start()),
        )


def _unspared(name: str, line: str, names: Patterns) -> str:
    """Give the words of a line that match a pattern, unless what comes before turns them round; else nothing."""
    match = names[name].search(line) if name in names else None
    if match is None or ("spared" in names and names["spared"].search(line[: match.start()])):
        return ""
    return match[0].strip()


def _trouble(line: str, key: str, names: Patterns, place: Place) -> Iterator[Finding]:
    if able := _unspared("able", line, names):
        yield _finding(
            "trouble-turned",
            f"“{line}” is where people learn what is wrong, and says that all is well (“{able}”).",
            "Say what a person cannot do or feels; a “not” may have gone.",
            place,
        )
    elif key in GETTING_WORSE and (better := _unspared("better", line, names)):
        yield _finding(
            "trouble-turned",
            f"“{line}” is a reason to stop or to do less, and says that it passes (“{better}”).",
            "Say that it does not pass; a “not” may have gone.",
            place,
        )
    elif key in NAME_A_TROUBLE and "trouble" in names and not names["trouble"].search(line):
        yield _finding(
            "no-trouble-named",
            f"“{line}” names nothing that is wrong.",
            "Name the pain, the feeling or what a person cannot do; a “not” may have gone.",
            place,
        )


def _of_exercise(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    feelings = loaded.entry.feelings
    for name, fewest in FEWEST.items():
        lines = getattr(feelings, name)
        if len(lines) < fewest:
            yield _finding(
                "feelings-too-few",
                f"`{name}` has {len(lines)} line{'s' if len(lines) != 1 else ''}; a page needs {fewest} or more.",
                "Add what means stop here: a pain, a feeling, something that gives way.",
                loaded.source.place(("feelings", name) if lines else ("feelings",)),
            )
    if loaded.entry.kind in _KINDS_WITH_PAIN and not _PAIN_LIMIT.search(" ".join(feelings.ease_off)):
        yield _finding(
            "pain-limit-missing",
            "No line under `ease_off:` says above which pain to do less.",
            "Write “... pain goes above {acceptable_pain} out of 10.”",
            loaded.source.place(("feelings", "ease_off"), key=True),
        )


def _finding(code: str, message: str, hint: str, place: Place) -> Finding:
    return Finding("error", code, message, hint, place)
