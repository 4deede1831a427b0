"""A plan as plain lines for the clinical record: one exercise a line, in the trade's notation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from limberleaf.clinical.dosage.dose import rests, times_a_day
from limberleaf.library.models.exercise import AsComfortable, Dose
from limberleaf.library.models.values import Count, Duration
from limberleaf.plan.days import own_days
from limberleaf.plan.resolve import Chosen, Resolved
from limberleaf.words import InterfaceWords


def notes(
    resolved: Resolved, words: InterfaceWords, titles: Mapping[str, str], texts: Mapping[str, str], link: str
) -> list[str]:
    """Give the lines: a head, one line an exercise, what to stop, the link.

    `titles` names the stopped exercises by code; `texts` are the clinic's notes to patients by name.
    """
    say = words.say
    lines = [say("plan.notes.head", n=resolved.plan.weeks, number=resolved.plan.weeks)]
    lines += [note_line(one, words, resolved.plan.days) for one in resolved.chosen]
    lines += [
        say("plan.notes.missing", code=pick.code.upper())
        for pick in resolved.plan.picks
        if pick.code not in {one.pick.code for one in resolved.chosen}
    ]
    lines += [
        say("plan.notes.note", name=name.upper(), text=texts.get(name, "")).strip()
        for name in resolved.plan.notes
    ]
    if resolved.plan.review:
        lines.append(say("plan.notes.review", day=f"{resolved.plan.review:%Y-%m-%d}"))
    if resolved.stop:
        named = ", ".join(f"{code.upper()} {titles.get(code, '')}".strip() for code in resolved.stop)
        lines.append(say("plan.notes.stop", exercises=named))
    lines.append(say("plan.notes.link", link=link))
    return lines


def message(words: InterfaceWords, clinic: str, phone: str, link: str) -> str:
    """Give a text to send with the link: nothing in it tells what the plan is for."""
    return words.say("plan.message", clinic=clinic, phone=phone, link=link)


def note_line(chosen: Chosen, words: InterfaceWords, plan_days: Sequence[int]) -> str:
    """Give the line of one exercise, its days with it where it is not for every day."""
    say, pick, dose = words.say, chosen.pick, chosen.dose
    head = f"{pick.code.upper()} v{pick.version} {chosen.exercise.title}"
    parts = [head]
    if chosen.exercise.sides == "one":
        parts.append(say(f"plan.notes.sides.{pick.side}"))
    elif chosen.exercise.sides == "each":
        parts.append(say("plan.notes.sides.turn"))
    parts.append(_amount(dose, words))
    for name in ("hold", "rest"):
        value: Duration | None = getattr(dose, name)
        if value and value.high and (name == "hold" or rests(dose).high):
            parts.append(say(f"plan.notes.{name}", number=figures(value.low, value.high)))
    if dose.every and dose.times_a_day is None:
        parts.append(say("plan.notes.every", number=figures(dose.every.low // 60, dose.every.high // 60)))
    else:
        often = times_a_day(dose)
        parts.append(say("plan.notes.times_a_day", number=figures(often.low, often.high)))
    days = dose.days_a_week
    named = words.listed(map(words.weekday, own_days(days.high, plan_days)))
    on_days = f" ({named})" if named else ""
    parts.append(say("plan.notes.days_a_week", n=days.high, number=figures(days.low, days.high)) + on_days)
    if pick.star:
        parts.append(say("plan.notes.star"))
    return ", ".join(parts)


def _amount(dose: Dose, words: InterfaceWords) -> str:
    sets = dose.sets or Count(1, 1)
    if dose.duration:
        number = figures(dose.duration.low, dose.duration.high)
        one = words.say("plan.notes.seconds", number=number)
    elif isinstance(dose.repetitions, AsComfortable):
        one = words.say("plan.notes.most", number=dose.repetitions.up_to)
    else:
        count = dose.repetitions or Count(1, 1)
        one = figures(count.low, count.high)
    return f"{figures(sets.low, sets.high)} x {one}"


def figures(low: int, high: int) -> str:
    """Write a number or a range with a plain hyphen."""
    return str(low) if low == high else f"{low}-{high}"
