"""The smallest change to a figure that makes a pose possible: each is tried by the solver before it is advised.

A pose that cannot be solved states too much. Its statements are taken away one at a time; where leaving an angle out
makes the pose possible, values between the stated one and the one the free body takes are tried, the nearest first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.solving.solved import Problem, SolvedPose

Check = Callable[[FigureSpec], tuple[Sequence[SolvedPose], Sequence[Problem]]]
HELPED = frozenset({"contact-open", "direction-missed", "posture-lost", "off-balance", "below-floor"})
"""Findings that say no body could do it; the others name their own way out exactly."""
_OTHER = {"affected": "other", "other": "affected"}
_MOST_TRIALS = 16
_SHARES = (0.25, 0.5, 0.75)  # of the way from a stated angle to the free one
_ROUND = 5.0  # degrees; nobody writes 63


@dataclass(frozen=True)
class _Change:
    """One change of a figure: the mapping after it, its description, and the stated angle it takes away, if one."""

    figure: dict[str, Any]
    words: str
    angle: tuple[str, str, str] | None = None


def with_remedies(spec: FigureSpec, problems: Sequence[Problem], check: Check) -> list[Problem]:
    """Return findings, with a tried way out in the hint of the first one that says a pose is impossible."""
    out = list(problems)
    if turned := _other_lead(spec, problems, check):
        return [turned, *out]
    for i, problem in enumerate(out):
        if (
            problem.severity == "error"
            and (problem.code in HELPED or problem.message.startswith("To meet"))
            and problem.path[:1] == ("poses",)
        ):
            fix = _working_fix(spec, int(problem.path[1]), check)
            if fix:
                out[i] = replace(problem, hint=f"{problem.hint} Tried, and it works: {fix}.")
            break
    return out


def _other_lead(spec: FigureSpec, problems: Sequence[Problem], check: Check) -> Problem | None:
    """Tell that the wrong leg leads: what is impossible now fits as soon as the other one does.

    Said instead of a way out for each contact: leaving those out would let the wrong picture pass.
    """
    if not any(one.severity == "error" and one.code in HELPED for one in problems):
        return None
    figure = spec.model_dump(exclude_unset=True, exclude_none=True)
    leads = [number for number, pose in enumerate(figure["poses"]) if pose.get("lead") in _OTHER]
    if not leads:
        return None
    said = figure["poses"][leads[0]]["lead"]
    for number in leads:
        figure["poses"][number]["lead"] = _OTHER[figure["poses"][number]["lead"]]
    try:
        _, left = check(FigureSpec.model_validate(figure))
    except ValueError:
        return None
    if any(one.severity == "error" for one in left):
        return None
    return Problem(
        "lead-wrong",
        "error",
        f"The wrong leg leads: `lead: {said}` makes this pose impossible, with `lead: {_OTHER[said]}` all of it fits.",
        f"Write `lead: {_OTHER[said]}`, if the words say so too; the other findings on this figure then go.",
        ("poses", leads[0], "lead"),
    )


def _possible(figure: dict[str, Any], number: int, check: Check) -> Sequence[SolvedPose] | None:
    """Return the poses of a changed figure when nothing is wrong with one of them, else None."""
    try:
        poses, problems = check(FigureSpec.model_validate(figure))
    except ValueError:  # a change may leave a figure that says nothing
        return None
    wrong = [p for p in problems if p.severity == "error" and p.path[:2] == ("poses", number)]
    return None if wrong else poses


def _working_fix(spec: FigureSpec, number: int, check: Check) -> str:
    figure = spec.model_dump(exclude_unset=True, exclude_none=True)
    for trial, change in enumerate(_changes(figure, number)):
        if trial >= _MOST_TRIALS:
            break
        poses = _possible(change.figure, number, check)
        if poses is None:
            continue
        if change.angle is not None:
            nearer = _nearest_angle(figure, number, change.angle, poses[number], check)
            if nearer:
                return nearer
        return change.words
    return ""


def _nearest_angle(
    figure: dict[str, Any], number: int, angle: tuple[str, str, str], free: SolvedPose, check: Check
) -> str:
    """Return the value nearest to a stated angle that works, in words; empty when only leaving it out does."""
    side, joint, word = angle
    stated = float(figure["poses"][number]["joints"][side][joint][word])
    name = f"{joint}_{'left' if side == 'other' else 'right'}.{word}"
    if name not in free.posed.angles:
        return ""
    for share in _SHARES:
        value = round((stated + share * (free.posed.angles[name] - stated)) / _ROUND) * _ROUND
        if value < 0 or value == stated:
            continue
        changed = deepcopy(figure)
        changed["poses"][number]["joints"][side][joint][word] = value
        if _possible(changed, number, check) is not None:
            return f"{_angle_words(side, joint, word)} {value:.0f} instead of {stated:.0f}"
    return ""


def _angle_words(side: str, joint: str, word: str) -> str:
    return f"{side} {joint} {word.replace('_', ' ')}"


def _changes(figure: dict[str, Any], number: int) -> Iterator[_Change]:
    """Yield the changes worth trying: angles left out first, then earlier ones opened, directions, contacts."""
    pose = figure["poses"][number]
    for side, limb in pose.get("joints", {}).items():
        for joint, value in limb.items():
            if not isinstance(value, dict):
                yield _without_trunk(figure, number, side, joint)
                continue
            for word in value:
                changed = deepcopy(figure)
                del changed["poses"][number]["joints"][side][joint][word]
                yield _Change(changed, f"leave out {_angle_words(side, joint, word)}", (side, joint, word))
    for joint in sorted({joint for earlier in figure["poses"][:number] for joint in _joints(earlier)}):
        changed = deepcopy(figure)
        opened = changed["poses"][number].get("open", [])
        changed["poses"][number]["open"] = [*opened, joint]
        yield _Change(changed, f"`open: {joint}`")
    for key, words in (("directions", "direction"), ("contacts", "contact")):
        for i, one in enumerate(pose.get(key, ())):
            changed = deepcopy(figure)
            del changed["poses"][number][key][i]
            shown = ", ".join(f"{k}: {v}" for k, v in one.items())
            yield _Change(changed, f"leave out the {words} {{{shown}}}")


def _without_trunk(figure: dict[str, Any], number: int, part: str, word: str) -> _Change:
    changed = deepcopy(figure)
    del changed["poses"][number]["joints"][part][word]
    return _Change(changed, f"leave out {part} {word.replace('_', ' ')}")


def _joints(pose: dict[str, Any]) -> Iterator[str]:
    """Yield the joints that a pose states, as `open` names them."""
    for side, limb in pose.get("joints", {}).items():
        if side in ("affected", "other", "both"):
            yield from (f"{side} {joint}" for joint in limb)
        else:
            yield side


def apply_fix(spec: FigureSpec, number: int, fix: str) -> dict[str, Any] | None:
    """Return the figure after a hint's way out for one pose; None when it fits nothing there.

    `fix` is the text behind "Tried, and it works:". The figure is the plain mapping of an entry.
    """
    figure = spec.model_dump(exclude_unset=True, exclude_none=True)
    if number >= len(figure["poses"]):
        return None
    for change in _changes(figure, number):
        if change.words == fix:
            return change.figure
        if change.angle is None:
            continue
        side, joint, word = change.angle
        head, _, rest = fix.partition(" instead of ")
        name, _, value = head.rpartition(" ")
        if rest and name == _angle_words(side, joint, word):
            changed = deepcopy(figure)
            changed["poses"][number]["joints"][side][joint][word] = float(value)
            return changed
    return None
