"""A plan against the library: which exercises, with which doses, what it adds up to, what to stop, what to say.

The library may have changed since the plan was made, so every pick is looked at again: unknown, retired or changed
exercises and doses that are no longer allowed become remarks, never failures.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from limberleaf.clinical import cautions
from limberleaf.clinical.cautions import Box
from limberleaf.clinical.dosage.dose import totals
from limberleaf.clinical.dosage.usual import plan_size
from limberleaf.library import Library
from limberleaf.library.models.exercise import Dose, Exercise, Sides
from limberleaf.library.models.values import Duration
from limberleaf.library.translate import in_language
from limberleaf.plan.days import are_too_few, own_days, weeks_until
from limberleaf.plan.limits import dose_of, limits, own_numbers, refused, sides_of
from limberleaf.plan.model import Pick, Plan, rules
from limberleaf.plan.order import suggested, travel

RemarkCode = Literal[
    "unknown", "moved", "retired", "not_in_language", "changed", "newer", "dose_not_allowed", "choose_side",
    "wrong_side", "many", "too_many", "also_stopped", "order", "several_stars", "note_gone", "few_days",
    "days_unused",
]  # fmt: skip
For = Literal["patient", "clinician"]


@dataclass(frozen=True)
class Remark:
    """Something a plan's reader has to know: `plan.remarks.<code>` says it, `codes` are the exercises meant."""

    code: RemarkCode
    codes: tuple[str, ...] = ()
    for_whom: For = "patient"


@dataclass(frozen=True)
class Chosen:
    """A pick that has a page: its exercise in the reader's language, its own dose, the sides it is done on."""

    pick: Pick
    exercise: Exercise
    dose: Dose
    sides: Sides


@dataclass(frozen=True)
class Resolved:
    """A plan as it is today. `day` is a day with every exercise; `stop` what the patient should no longer do."""

    plan: Plan
    chosen: tuple[Chosen, ...]
    remarks: tuple[Remark, ...]
    stop: tuple[str, ...]
    day: Duration
    week: Duration

    def boxes(self, library: Library, language: str) -> list[Box]:
        """Give the cautions of all exercises, merged."""
        ids = {caution.id for one in self.chosen for caution in cautions.cautions_for(library, one.exercise)}
        wanted = [caution for caution in cautions.published_cautions(library) if caution.id in ids]
        return cautions.merged(library, wanted, language)


def resolve(plan: Plan, library: Library, language: str) -> Resolved:
    """Look a plan up in the library."""
    chosen: list[Chosen] = []
    remarks: list[Remark] = []
    for pick in plan.picks:
        exercise = shown(library, pick.code, language)
        if exercise is None:
            remarks.append(_gone(library, pick))
            continue
        chosen.append(Chosen(pick, exercise, dose_of(pick, exercise), sides_of(pick, exercise)))
        remarks += _about(pick, exercise, library)
    remarks += _about_all(chosen, plan, library)
    sums = [totals(one.dose, one.sides) for one in chosen]
    known = {one.pick.code for one in chosen}
    return Resolved(
        plan,
        tuple(chosen),
        tuple(remarks),
        tuple(code for code in plan.stop if code not in known),
        Duration(sum(one.day.low for one in sums), sum(one.day.high for one in sums)),
        Duration(sum(one.week.low for one in sums), sum(one.week.high for one in sums)),
    )


def shown(library: Library, code: str, language: str) -> Exercise | None:
    """Give a published exercise in a language, or None."""
    loaded = library.exercises.get(code)
    return in_language(library, code, language) if loaded and loaded.entry.is_published else None


def _gone(library: Library, pick: Pick) -> Remark:
    loaded = library.exercises.get(pick.code)
    if loaded is None or loaded.entry.status in ("draft", "in_review"):
        return Remark("unknown", (pick.code,))
    if loaded.entry.is_published:
        return Remark("not_in_language", (pick.code,))
    replacement = replacement_of(library, pick.code)
    return Remark("moved", (pick.code, replacement)) if replacement else Remark("retired", (pick.code,))


def replacement_of(library: Library, code: str) -> str | None:
    """Give the published exercise at the end of the chain of replacements of a retired one."""
    seen: set[str] = set()
    while code in library.exercises and code not in seen:
        entry = library.exercises[code].entry
        if entry.is_published:
            return code
        seen.add(code)
        code = entry.replaced_by or ""
    return None


def _about(pick: Pick, exercise: Exercise, library: Library) -> Iterator[Remark]:
    version = library.exercises[pick.code].entry.review.version
    if pick.version != version:
        yield Remark("changed" if pick.version < version else "newer", (pick.code,))
    if refused(pick, exercise):
        yield Remark("dose_not_allowed", (pick.code,))
    if exercise.sides == "one" and pick.side == "none":
        yield Remark("choose_side", (pick.code,), "clinician")
    if exercise.sides != "one" and pick.side != "none":
        yield Remark("wrong_side", (pick.code,), "clinician")


def _about_all(chosen: list[Chosen], plan: Plan, library: Library) -> Iterator[Remark]:
    size = plan_size(len(plan.picks))
    if size != "fine":
        yield Remark(size, (), "clinician")
    codes = [one.pick.code for one in chosen]
    both = [code for code in codes if code in replaced_by(library, codes)]
    if both:
        yield Remark("also_stopped", tuple(both), "clinician")
    positions = [one.exercise.position for one in chosen]
    better = [positions[i] for i in suggested(positions)]
    if travel(better) < travel(positions):
        yield Remark("order", (), "clinician")
    stars = tuple(pick.code for pick in plan.picks if pick.star)
    if len(stars) > 1:
        yield Remark("several_stars", stars, "clinician")
    if few := [one.pick.code for one in chosen if are_too_few(one.dose.days_a_week.high, plan.days)]:
        yield Remark("few_days", tuple(few), "clinician")
    if plan.days and chosen and not any(own_days(one.dose.days_a_week.high, plan.days) for one in chosen):
        yield Remark("days_unused", (), "clinician")
    if len(notes_of(plan, library, "")) < len(plan.notes):
        yield Remark("note_gone", ())


def weeks_short(plan: Plan, today: date) -> int:
    """Give the weeks a plan begun today needs to last until its review; 0 when it does, or when no plan is so long."""
    needed = weeks_until(plan.review, today) if plan.review else 0
    return needed if plan.weeks < needed <= rules()["weeks"]["most"] else 0


def notes_of(plan: Plan, library: Library, language: str) -> list[str]:
    """Give the texts of the plan's notes that the library still has."""
    texts = note_texts(library, language)
    return [texts[name] for name in plan.notes if name in texts]


def note_texts(library: Library, language: str) -> dict[str, str]:
    """Give the clinic's notes to patients by name."""
    notes = library.plans.entry.notes if library.plans else {}
    return {name: text.in_language(language) for name, text in notes.items()}


def replaced_by(library: Library, codes: Iterable[str]) -> list[str]:
    """Give the exercises that the ladders of these ones say to stop, in the order of the ladders."""
    wanted = set(codes)
    found = [
        old
        for loaded in library.ladders.values()
        if loaded.entry.is_published
        for rung in loaded.entry.steps
        if rung.exercise in wanted
        for old in rung.replaces
        if library.exercises.get(old)
    ]
    return list(dict.fromkeys(found))


def replaced_by_each(library: Library) -> dict[str, list[str]]:
    """Give what `replaced_by` gives for each exercise alone, for all of them in one pass, by code."""
    found: dict[str, dict[str, None]] = {}
    for loaded in library.ladders.values():
        if loaded.entry.is_published:
            for rung in loaded.entry.steps:
                found.setdefault(rung.exercise, {}).update(
                    dict.fromkeys(old for old in rung.replaces if library.exercises.get(old))
                )
    return {code: list(old) for code, old in found.items()}


def make(
    library: Library, picks: Iterable[Pick], weeks: int, *, ordered: bool = True, stops: bool = False
) -> Plan:
    """Make a plan: versions set from the entries, put in an easy order. With `stops`, what the ladders say is done is
    stopped; nothing is stopped that nobody asked for.

    Picks keep only changes that differ from the entry's own numbers; unknown codes are kept as they are.
    """
    picks_in_order = [_fresh(library, pick) for pick in picks]
    if ordered:
        entries = [library.exercises.get(pick.code) for pick in picks_in_order]
        picks_in_order = [
            picks_in_order[i] for i in suggested([one.entry.position if one else "" for one in entries])
        ]
    codes = [pick.code for pick in picks_in_order]
    stop = [code for code in replaced_by(library, codes) if code not in codes] if stops else []
    return Plan(tuple(picks_in_order), weeks, tuple(stop))


def _fresh(library: Library, pick: Pick) -> Pick:
    loaded = library.exercises.get(pick.code)
    if loaded is None:
        return pick
    changes = {name: number for name, number in pick.changes.items() if _differs(loaded.entry, name, number)}
    return Pick(pick.code, pick.side, loaded.entry.review.version, changes, pick.star)


def _differs(exercise: Exercise, name: str, number: int) -> bool:
    own = own_numbers(exercise.dose).get(name)
    return own is None or (own.low, own.high) != (number, number) or name not in limits(exercise)
