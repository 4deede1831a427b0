"""A plan on paper: an overview with one tick chart, then the sheet of every exercise with the plan's own doses."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from limberleaf.clinical.dosage.dose import about, number_words
from limberleaf.handouts.booklet import plan_booklet
from limberleaf.handouts.sheet import Choice, choose, document_data, record_data, sheet_data
from limberleaf.handouts.typeset import Handout
from limberleaf.library.models.values import Count
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.links import HOME
from limberleaf.pages.views.record_view import record_view
from limberleaf.plan import Resolved
from limberleaf.plan.remarks import days_in_words, remarks_in_words
from limberleaf.plan.resolve import notes_of

MOST_WEEKS = 8
"""A chart of more weeks has boxes too small to tick; a plan that runs longer prints a second one."""


def choices_of(resolved: Resolved) -> list[Choice]:
    """Give a plan's exercises as choices: the chosen side, and dose and sides where the plan has its own."""
    found = []
    for one in resolved.chosen:
        side = one.pick.side if one.pick.side in ("left", "right") else None
        changed = one.dose != one.exercise.dose
        turns = one.sides if one.sides != one.exercise.sides and side is None else None
        found.append(Choice(one.pick.code, side, one.dose if changed else None, turns))
    return found


def plan_handout(edition: LanguageEdition, resolved: Resolved) -> Handout:
    """Give a plan as one document."""
    say = edition.words.say
    choices = choices_of(resolved)
    chosen = [choose(edition, choice) for choice in choices]
    days = [one.exercise.review.reviewed for one in chosen if one.exercise.review.reviewed]
    exercises = [
        {**sheet_data(one), "star": picked.pick.star, "id": f"{i}-{one.name}"}
        for i, (one, picked) in enumerate(zip(chosen, resolved.chosen, strict=True), 1)
    ]
    for_patient = replace(
        resolved, remarks=tuple(one for one in resolved.remarks if one.for_whom == "patient")
    )
    number, weeks = len(exercises), resolved.plan.weeks
    parts = [
        say("plan.summary", n=number, number=number),
        say("plan.weeks", n=weeks, number=number_words(Count(weeks, weeks), edition.words)),
        say("plan.day_total", time=about(resolved.day, edition.words)),
    ]
    plan: dict[str, Any] = {
        "summary": " · ".join(parts),
        "remarks": remarks_in_words(for_patient, edition.context.library, edition.words),
        "words_title": say("plan.words_title"),
        "words": words_with_plan(edition, resolved),
        "star": say("plan.star"),
        "exercises": exercises,
        "stop": [_name(edition, code) for code in resolved.stop],
        "stop_title": say("plan.stop_title"),
        "stop_words": say("plan.stop_words"),
        "weeks": [say("chart.week", number=week) for week in range(1, min(weeks, MOST_WEEKS) + 1)],
        "record": record_data(edition, record_view(edition, None, edition.at(HOME)), edition.at(HOME)),
    }
    data = {**document_data(edition, say("plan.title")), "plan": plan}
    return Handout("plan", "plan", data, max(days, default=None))


def words_with_plan(edition: LanguageEdition, resolved: Resolved) -> list[str]:
    """Give what the clinic says with a plan, on which days, and when it is looked at again: the lines of its page."""
    words, plan = edition.words, resolved.plan
    lines = notes_of(plan, edition.context.library, edition.language)
    lines += days_in_words(resolved, words)
    if plan.review:
        lines.append(words.say("plan.review", day=words.date_with_weekday(plan.review)))
    return lines


def booklet_of(edition: LanguageEdition, resolved: Resolved) -> Handout:
    """Give a plan as a booklet."""
    return plan_booklet(edition, choices_of(resolved), words=words_with_plan(edition, resolved))


def _name(edition: LanguageEdition, code: str) -> str:
    exercise = edition.exercises.get(code)
    if exercise is None:
        return code.upper()
    return f"{code.upper()} {edition.renderer('').plain(exercise.title)}"
