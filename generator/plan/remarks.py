"""A plan's remarks in words."""

from __future__ import annotations

from limberleaf.library import Library
from limberleaf.plan.days import own_days
from limberleaf.plan.resolve import Chosen, Remark, Resolved, replaced_by
from limberleaf.words import InterfaceWords


def remarks_in_words(resolved: Resolved, library: Library, words: InterfaceWords) -> list[str]:
    """Give the sentences of all remarks, in order; a remark about several exercises names each."""
    return [line for remark in resolved.remarks for line in _sentences(remark, resolved, library, words)]


def days_in_words(resolved: Resolved, words: InterfaceWords) -> list[str]:
    """Give a line for each exercise that is not for every day: on which days it is done, with its side."""
    return [
        words.say("plan.on_days", exercise=_named(one, words), days=words.listed(map(words.weekday, days)))
        for one in resolved.chosen
        if (days := own_days(one.dose.days_a_week.high, resolved.plan.days))
    ]


def _named(one: Chosen, words: InterfaceWords) -> str:
    """Give a title with its side, as the plan page has it: left and right may be for different days."""
    if one.exercise.sides != "one" or one.pick.side == "none":
        return one.exercise.title
    return f"{one.exercise.title} ({words.say(f'plan.sides.{one.pick.side}')})"


def _sentences(remark: Remark, resolved: Resolved, library: Library, words: InterfaceWords) -> list[str]:
    key = f"plan.remarks.{remark.code}"
    if remark.code == "moved":
        code, after = remark.codes
        named = f"{after.upper()} {library.exercises[after].entry.title}"
        return [words.say(key, code=code.upper(), after=named)]
    if remark.code in ("many", "too_many"):
        return [words.say(key, number=len(resolved.plan.picks))]
    if not remark.codes or remark.code == "several_stars":
        return [words.say(key)]
    if remark.code == "changed":
        return [
            words.say(key, code=code.upper(), day=words.day(day))
            for code in remark.codes
            if (day := library.exercises[code].entry.review.reviewed)
        ]
    if remark.code == "also_stopped":
        chosen = [one.pick.code for one in resolved.chosen]
        return [
            words.say(key, code=code.upper(), after=one.upper())
            for code in remark.codes
            for one in [next(one for one in chosen if code in replaced_by(library, [one]))]
        ]
    return [words.say(key, code=code.upper()) for code in remark.codes]
