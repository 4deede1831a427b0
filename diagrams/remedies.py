"""The smallest change to a figure that makes a pose possible: each is tried by the solver before it is advised.

A pose that cannot be solved states too much. What it keeps from earlier poses is opened first, then its own statements
are taken away one at a time; where leaving an angle out makes the pose possible, values between the stated one and the
one the free body takes are tried, the nearest first. What both sides state alike changes on both sides alike, and a
change that makes anything wrong in another pose is none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.solving.solved import Path, Problem, SolvedPose

Check = Callable[[FigureSpec], tuple[Sequence[SolvedPose], Sequence[Problem]]]
HELPED = frozenset({"contact-open", "direction-missed", "posture-lost", "off-balance", "below-floor"})
"""Findings that say no body could do it; the others name their own way out exactly."""
_OTHER = {"affected": "other", "other": "affected"}
_MOST_TRIALS = 16
"""Changes tried that open earlier angles, and as many that leave something out."""
_Key = tuple[str, Path]  # what an error is told apart by: its code and its place
_SHARES = (0.25, 0.5, 0.75)  # of the way from a stated angle to the free one
_ROUND = 5.0  # degrees; nobody writes 63


@dataclass(frozen=True)
class _Angle:
    """A stated angle: the sides whose mappings hold it (of both sides alike: two), the joint and the motion."""

    sides: tuple[str, ...]
    joint: str
    word: str

    @property
    def words(self) -> str:
        """Name it as a hint does: “both hip abduction”."""
        side = self.sides[0] if len(self.sides) == 1 else "both"
        return f"{side} {self.joint} {self.word.replace('_', ' ')}"

    def of(self, joints: dict[str, Any]) -> float:
        """Give its degrees in a pose's `joints`."""
        return float(joints[self.sides[0]][self.joint][self.word])

    def put(self, joints: dict[str, Any], degrees: float | None) -> None:
        """Write other degrees into a pose's `joints`; None leaves the angle out."""
        for side in self.sides:
            if degrees is None:
                del joints[side][self.joint][self.word]
            else:
                joints[side][self.joint][self.word] = degrees


@dataclass(frozen=True)
class _Change:
    """One change of a figure: the mapping after it, its description, and the stated angle it takes away, if one.

    `opens`: it takes nothing away, but opens what an earlier pose stated.
    """

    figure: dict[str, Any]
    words: str
    angle: _Angle | None = None
    opens: bool = False


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
            fix = _working_fix(spec, int(problem.path[1]), _errors(problems), check)
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


def _working_fix(spec: FigureSpec, number: int, known: frozenset[_Key], check: Check) -> str:
    figure = spec.model_dump(exclude_unset=True, exclude_none=True)

    def possible(changed: dict[str, Any]) -> Sequence[SolvedPose] | None:
        """Return the poses of a changed figure when this pose has no error and the others none they had not."""
        try:
            poses, problems = check(FigureSpec.model_validate(changed))
        except ValueError:  # a change may leave a figure that says nothing
            return None
        wrong = [key for key in _errors(problems) if key[1][:2] == ("poses", number) or key not in known]
        return None if wrong else poses

    trials = {
        True: 0,
        False: 0,
    }  # many joints to open must not use up the trials of the pose's own statements
    for change in _changes(figure, number):
        trials[change.opens] += 1
        if trials[change.opens] > _MOST_TRIALS:
            continue
        poses = possible(change.figure)
        if poses is None:
            continue
        if change.angle is not None:
            for value in _between(figure, number, change.angle, poses[number]):
                if possible(_with_angle(figure, number, change.angle, value)) is not None:
                    stated = change.angle.of(figure["poses"][number]["joints"])
                    return f"{change.angle.words} {value:.0f} instead of {stated:.0f}"
        return change.words
    return ""


def _errors(problems: Sequence[Problem]) -> frozenset[_Key]:
    return frozenset((one.code, one.path) for one in problems if one.severity == "error")


def _between(figure: dict[str, Any], number: int, angle: _Angle, free: SolvedPose) -> Iterator[float]:
    """Yield round values between a stated angle and the one the free body takes, the nearest to the stated first."""
    stated = angle.of(figure["poses"][number]["joints"])
    name = f"{angle.joint}_{'left' if angle.sides == ('other',) else 'right'}.{angle.word}"
    if name not in free.posed.angles:
        return
    for share in _SHARES:
        value = round((stated + share * (free.posed.angles[name] - stated)) / _ROUND) * _ROUND
        if value >= 0 and value != stated:
            yield value


def _with_angle(figure: dict[str, Any], number: int, angle: _Angle, degrees: float | None) -> dict[str, Any]:
    changed = deepcopy(figure)
    angle.put(changed["poses"][number]["joints"], degrees)
    return changed


def _angles(joints: dict[str, Any]) -> Iterator[_Angle]:
    """Yield the angles of the limbs that a pose states; what both sides state alike first, and as one."""
    own = {
        (joint, word, side): degrees
        for side, limb in joints.items()
        for joint, value in limb.items()
        if isinstance(value, dict)
        for word, degrees in value.items()
    }
    single = []
    for joint, word, side in own:
        pair = own.get((joint, word, "affected")), own.get((joint, word, "other"))
        if side == "affected" and pair[0] == pair[1]:
            yield _Angle(("affected", "other"), joint, word)
        single.append(_Angle((side,), joint, word))
    yield from single


def _changes(figure: dict[str, Any], number: int) -> Iterator[_Change]:
    """Yield the changes worth trying: earlier angles opened first, then own ones left out, directions, contacts."""
    pose = figure["poses"][number]
    earlier = {joint for one in figure["poses"][:number] for joint in _joints(one)}
    pairs = {f"both {joint.partition(' ')[2]}" for joint in earlier if _other(joint) in earlier}
    for joint in [*sorted(pairs), *sorted(earlier)]:
        changed = deepcopy(figure)
        changed["poses"][number]["open"] = [*changed["poses"][number].get("open", []), joint]
        yield _Change(changed, f"`open: {joint}`", opens=True)
    joints = pose.get("joints", {})
    for angle in _angles(joints):
        yield _Change(_with_angle(figure, number, angle, None), f"leave out {angle.words}", angle)
    for part, limb in joints.items():
        for word, value in limb.items():
            if not isinstance(value, dict):
                yield _without_trunk(figure, number, part, word)
    for key, words in (("directions", "direction"), ("contacts", "contact")):
        for i, one in enumerate(pose.get(key, ())):
            changed = deepcopy(figure)
            del changed["poses"][number][key][i]
            shown = ", ".join(f"{k}: {v}" for k, v in one.items())
            yield _Change(changed, f"leave out the {words} {{{shown}}}")


def _other(joint: str) -> str:
    side, _, rest = joint.partition(" ")
    return f"{_OTHER[side]} {rest}" if side in _OTHER else ""


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
        head, _, rest = fix.partition(" instead of ")
        name, _, value = head.rpartition(" ")
        if rest and name == change.angle.words:
            return _with_angle(figure, number, change.angle, float(value))
    return None
