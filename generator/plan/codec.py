"""A plan as the fragment of an address, and back.

A fragment has small letters, digits and dots only, so that it survives mail, chat and being typed:

    1.w6.kn03l3s2r10x.an01n1.0kn01.ff47
    |  |  |                  |     |
    |  |  |                  |     a check on everything before it (CRC-16, see `check_of`)
    |  |  |                  stop doing KN-01
    |  |  KN-03, left, version 3 of the entry, 2 sets of 10, the one to do if only one
    |  6 weeks
    version of this form

    2.w6.d135.a20261207.m04.kn03l3.4e31
         |    |         |
         |    |         the clinic's note-04
         |    look at it again on 7 December 2026
         on Monday, Wednesday and Friday

Version 2 is written only where a plan has days, a day or notes, so that a page that a phone still keeps from an earlier
build reads all the others. Sides: `l` left, `r` right, `b` one side and then the other, `n` none. A reader for each
version stays for ever: people keep links. Whatever comes in, the answer is a plan or a trouble with a plain name;
nothing is raised.
"""

from __future__ import annotations

import re
from binascii import crc_hqx
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from limberleaf.plan.model import FIELDS, Pick, PickSide, Plan, rules

LONGEST = 2000
"""Characters a fragment may have before it is looked at no further."""

TroubleCode = Literal["empty", "too_long", "no_plan", "newer", "damaged", "too_many"]

_SIDES: Mapping[str, PickSide] = {"l": "left", "r": "right", "b": "turn", "n": "none"}
_SIDE_LETTERS = {side: letter for letter, side in _SIDES.items()}
_ALPHABET = re.compile(r"[0-9a-z.]*")
_PICK = re.compile(
    r"(?P<area>[a-z]{2,4})(?P<number>[0-9]{2,3})(?P<side>[lrbn])(?P<version>[1-9][0-9]{0,3})"
    r"(?P<changes>(?:[srhptdu][0-9]{1,4})*)(?P<star>x?)"
)
_CHANGE = re.compile(r"([srhptdu])([0-9]{1,4})")
_STOP = re.compile(r"0([a-z]{2,4})([0-9]{2,3})")
_WEEKS = re.compile(r"w([1-9][0-9]?)")
_DAYS = re.compile(r"d(1?2?3?4?5?6?7?)(?<=[1-7])")
_REVIEW = re.compile(r"a(20[0-9]{2})([0-9]{2})([0-9]{2})")
_NOTE = re.compile(r"m([0-9]{2,3})")


@dataclass(frozen=True)
class Trouble:
    """Why a fragment is no plan we can show; `words` of `plan.troubles` say it to the reader."""

    code: TroubleCode


@dataclass(frozen=True)
class Reading:
    """A plan, or the trouble with it."""

    plan: Plan | None
    trouble: Trouble | None = None


def write_fragment(plan: Plan) -> str:
    """Write a plan as a fragment without its `#`. The plan keeps the bounds of `Plan`; the picks keep their order."""
    head = [f"d{''.join(map(str, plan.days))}"] if plan.days else []
    head += [f"a{plan.review:%Y%m%d}"] if plan.review else []
    head += [f"m{name.removeprefix('note-')}" for name in plan.notes]
    parts = ["2" if head else "1", f"w{plan.weeks}", *head, *map(_write_pick, plan.picks)]
    parts += [f"0{code.replace('-', '')}" for code in plan.stop]
    body = ".".join(parts)
    return f"{body}.{check_of(body)}"


def _write_pick(pick: Pick) -> str:
    changes = "".join(
        f"{letter}{pick.changes[name]}" for letter, name in FIELDS.items() if name in pick.changes
    )
    code = pick.code.replace("-", "")
    return f"{code}{_SIDE_LETTERS[pick.side]}{pick.version}{changes}{'x' if pick.star else ''}"


def check_of(body: str) -> str:
    """Give the check of a fragment: CRC-16 with polynomial 0x1021 and start 0 (CRC-16/XMODEM), 4 hex digits."""
    return f"{crc_hqx(body.encode('ascii'), 0):04x}"


def read_fragment(fragment: str) -> Reading:
    """Read a fragment, with or without its `#`. What follows the first foreign sign is cut off, as chats add it."""
    text = fragment.strip(" \t\r\n").removeprefix("#")
    if not text:
        return Reading(None, Trouble("empty"))
    if len(text) > LONGEST:
        return Reading(None, Trouble("too_long"))
    match = _ALPHABET.match(text.lower()) if text.isascii() else None
    body, _, check = (match[0].rstrip(".") if match else "").rpartition(".")
    version = body.partition(".")[0]
    if not re.fullmatch(r"[1-9][0-9]{0,2}", version):
        return Reading(None, Trouble("no_plan"))
    if version not in READERS:
        return Reading(None, Trouble("newer"))
    if check != check_of(body):
        return Reading(None, Trouble("damaged"))
    return READERS[version](body.split(".")[1:])


def _read_1(parts: list[str]) -> Reading:
    weeks = _WEEKS.fullmatch(parts[0]) if parts else None
    if weeks is None or int(weeks[1]) > rules()["weeks"]["most"]:
        return Reading(None, Trouble("no_plan"))
    picks: dict[tuple[str, str], Pick] = {}
    stop: dict[str, None] = {}
    for part in parts[1:]:
        if left := _STOP.fullmatch(part):
            stop[f"{left[1]}-{left[2]}"] = None
            continue
        found = _PICK.fullmatch(part)
        pick = _pick_of(found) if found else None
        if pick is None:
            return Reading(None, Trouble("no_plan"))
        picks.setdefault((pick.code, pick.side), pick)
    if not picks:
        return Reading(None, Trouble("no_plan"))
    if max(len(picks), len(stop)) > rules()["most_picks"]:
        return Reading(None, Trouble("too_many"))
    return Reading(Plan(tuple(picks.values()), int(weeks[1]), tuple(stop)))


def _read_2(parts: list[str]) -> Reading:
    """Read days, the day of the review and notes, in this order, behind the weeks; the rest is as in version 1."""
    rest, at = parts[1:], 0
    days: tuple[int, ...] = ()
    review: date | None = None
    notes: dict[str, None] = {}
    if rest[at:] and (found := _DAYS.fullmatch(rest[at])):
        days, at = tuple(map(int, found[1])), at + 1
    if rest[at:] and (found := _REVIEW.fullmatch(rest[at])):
        try:
            review = date(*map(int, found.groups()))
        except ValueError:
            return Reading(None, Trouble("no_plan"))
        at += 1
    while rest[at:] and (found := _NOTE.fullmatch(rest[at])):
        notes[f"note-{found[1]}"] = None
        at += 1
    reading = _read_1([*parts[:1], *rest[at:]])
    if reading.plan is None:
        return reading
    if len(notes) > rules()["most_notes"]:
        return Reading(None, Trouble("too_many"))
    return Reading(replace(reading.plan, days=days, review=review, notes=tuple(notes)))


def _pick_of(found: re.Match[str]) -> Pick | None:
    changes: dict[str, int] = {}
    for letter, number in _CHANGE.findall(found["changes"]):
        if FIELDS[letter] in changes:
            return None
        changes[FIELDS[letter]] = int(number)
    code = f"{found['area']}-{found['number']}"
    return Pick(code, _SIDES[found["side"]], int(found["version"]), changes, bool(found["star"]))


READERS: Mapping[str, Callable[[list[str]], Reading]] = {"1": _read_1, "2": _read_2}
"""One reader for each version of the form that was ever written."""
