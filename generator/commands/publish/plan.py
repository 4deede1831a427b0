"""`limberleaf plan`: make a plan's link, or say what is in one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, get_args

import click

from limberleaf.commands.shared import content_option, read_library
from limberleaf.output import Ledger

if TYPE_CHECKING:
    from limberleaf.library import Library
    from limberleaf.plan import Pick, Plan, Resolved
    from limberleaf.plan.typed import TypedPlan

Function = TypeVar("Function", bound=Callable[..., object])


def _output_options(function: Function) -> Function:
    for option in reversed(
        [
            click.option("--notes", is_flag=True, help="Print lines for the clinical record instead."),
            click.option(
                "--message",
                is_flag=True,
                help="Print a text to send to the patient instead: it names no exercise.",
            ),
            click.option(
                "--calendar",
                type=click.Path(path_type=Path, dir_okay=False),
                help="Write reminders as an iCalendar file.",
            ),
            click.option(
                "--start",
                type=click.DateTime(["%Y-%m-%d"]),
                help="First day of the reminders (default: today).",
            ),
            click.option("--link-in-calendar", is_flag=True, help="Put the plan's link into the reminders."),
            click.option(
                "--qr",
                type=click.Path(path_type=Path, dir_okay=False),
                help="Write the link's QR code as SVG.",
            ),
            click.option(
                "--language", help="The language of the plan's page (default: the library's first)."
            ),
            content_option,
        ]
    ):
        function = option(function)
    return function


@click.group(name="plan")
def command() -> None:
    """Make a plan as a link, or say what is in one.

    A plan is a list of exercises with side and dose. It is carried in the link and nowhere else; the link names no
    person.
    """


@command.command(name="make")
@click.argument("exercises", nargs=-1, metavar="[EXERCISE...]")
@click.option(
    "--weeks", type=click.IntRange(1, 52), help="For how many weeks (default: those of the set, else 6)."
)
@click.option("--days", metavar="DAYS", help="Days for what is not done every day: mon,wed,fri.")
@click.option(
    "--review", type=click.DateTime(["%Y-%m-%d"]), help="The day when you look at the plan together again."
)
@click.option("--note", "notes_named", multiple=True, metavar="NAME", help="A note of plans.yml: note-03.")
@click.option("--set", "ready", metavar="NAME", help="Begin with a ready set of plans.yml.")
@click.option("--star", metavar="CODE", help="The one to do if the patient only does one.")
@click.option("--keep-order", is_flag=True, help="Keep the order given; else few ups and downs.")
@click.option(
    "--stops/--no-stops", help="Tell the patient to stop what the ladders say is done (default: not)."
)
@_output_options
def make_command(
    exercises: Sequence[str],
    *,
    weeks: int | None,
    star: str | None,
    days: str | None,
    review: datetime | None,
    notes_named: tuple[str, ...],
    ready: str | None,
    keep_order: bool,
    stops: bool,
    language: str | None,
    content: Path,
    **outputs: Any,
) -> None:
    """Make the link of a plan.

    Each EXERCISE is a code, with a side and changed numbers where wanted: kn-03, kn-03:left, or
    kn-03:left:sets=2,repetitions=10. Sides are left, right and turn (one side, then the other). Times are in
    seconds. What the plan page takes is taken here too: kn-03r 2x10 5s kn-06l 3d 4w mon wed 2027-01-04 note-03.
    """
    from limberleaf.plan.model import rules
    from limberleaf.plan.resolve import make, weeks_short

    library = read_library(content)
    picks = _set_picks(library, ready, star) if ready else []
    typed = None if any(":" in text for text in exercises) else _typed(" ".join(exercises), library, language)
    picks = _joined(
        picks, [_pick(text, library, star) for text in (_options(typed, library) if typed else exercises)]
    )
    if not picks:
        raise click.UsageError("Name at least one exercise, such as kn-03:left, or a set with --set.")
    if star and not any(pick.star for pick in picks):
        raise click.BadParameter(f"{star} is not among the exercises", param_hint="--star")
    if len(picks) > rules()["most_picks"]:
        raise click.ClickException(f"A plan holds no more than {rules()['most_picks']} exercises.")
    if typed and typed.weeks > rules()["weeks"]["most"]:
        raise click.BadParameter(f"a plan runs for {rules()['weeks']['most']} weeks at most")
    number = weeks or (typed and typed.weeks) or _weeks(library, ready)
    plan = make(library, picks, number, ordered=not keep_order, stops=stops)
    every = (*notes_named, *(typed.notes if typed else ()))
    named = _known(every, library.plans.entry.notes if library.plans else {}, "--note")
    plan = replace(
        plan,
        days=_days(days) or (typed.days if typed else ()),
        review=review.date() if review else typed.review if typed else None,
        notes=_with_set(library, ready, named),
    )
    if needed := weeks_short(plan, date.today()):
        click.echo(
            f"Warning: begun today, the {plan.weeks} weeks are over before the day of the review; "
            f"--weeks {needed} lasts until then.",
            err=True,
        )
    if plan.review and plan.review < date.today():
        click.echo(f"Warning: the day of the review, {plan.review}, is past.", err=True)
    _give(plan, library, _language(library, language), **outputs)


def _joined(picks: list[Pick], named: Sequence[Pick]) -> list[Pick]:
    """Put what was named into a plan; a code that is there already changes its entry, and that is said."""
    from limberleaf.plan.typed import put

    for pick in named:
        picks, changed = put(picks, pick)
        if changed:
            click.echo(
                f"Note: {pick.code} was in the plan already; that entry has what was named last.", err=True
            )
    return picks


def _typed(text: str, library: Library, language: str | None) -> TypedPlan:
    """Read exercises and what is for the whole plan as they are typed on the plan page."""
    from limberleaf.plan.typed import LONGEST, read_typed
    from limberleaf.words import interface_words

    if len(text) > LONGEST:
        raise click.BadParameter(
            f"no more than {LONGEST} signs can be typed for a plan; none of it was taken"
        )
    words = interface_words(_language(library, language))
    days = [words.weekday(day) for day in range(1, 8)]
    typed = read_typed(text, words.phrases["chart"]["days"], days)
    if unread := [*typed.rest, *([typed.last.typed] if typed.last.typed else [])]:
        raise click.BadParameter(
            f"“{unread[0]}” is not understood. Behind a code: 2x (sets), 2x10, x10 (repeats), 10s, 2/day, 3d (days a "
            "week); anywhere: 4w (weeks), mon wed, 2027-01-04 (review), note-03."
        )
    return typed


def _options(typed: TypedPlan, library: Library) -> list[str]:
    """Give what was typed in the longer form: kn-03:left:sets=2. One without a side takes that of the one before."""
    from limberleaf.plan.typed import numbers_of

    forms: list[str] = []
    sides: list[tuple[str, str]] = []
    for one in typed.picks:
        loaded = library.exercises.get(one.code)
        changes, spread = numbers_of(one, loaded.entry) if loaded else (one.changes, "")
        if spread:
            raise click.BadParameter(
                f"{one.code}: a plan holds one number of repeats, not {spread}; leave it out for the usual one"
            )
        side: str = one.side
        sided = loaded is not None and loaded.entry.sides == "one"
        if side == "none" and sided and sides and one.code not in dict(sides):
            side = sides[-1][1]
        sides.append((one.code, side))
        forms.append(
            ":".join(
                [
                    one.code,
                    *([] if side == "none" else [side]),
                    ",".join(f"{name}={n}" for name, n in changes.items()),
                ]
            )
        )
    return forms


DAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
SHORTEST_DAY = 3
"""Letters by which a day is known: mon, tues."""


def _days(text: str | None) -> tuple[int, ...]:
    written = [word.strip() for word in text.lower().split(",")] if text else []
    days = {
        word: [day for day in DAY_NAMES if len(word) >= SHORTEST_DAY and day.startswith(word)]
        for word in written
    }
    if unknown := [word for word, found in days.items() if not found]:
        known = ", ".join(day[:SHORTEST_DAY] for day in DAY_NAMES)
        raise click.BadParameter(f"“{unknown[0]}” is no day; choose from {known}", param_hint="--days")
    return tuple(sorted({DAY_NAMES.index(found[0]) + 1 for found in days.values()}))


def _known(names: Sequence[str], known: Mapping[str, object], option: str) -> tuple[str, ...]:
    from limberleaf.findings import did_you_mean
    from limberleaf.plan.model import rules

    for name in names:
        if name not in known:
            raise click.BadParameter(
                f"plans.yml has no “{name}”. {did_you_mean(name, list(known))}", param_hint=option
            )
    if len(names) > rules()["most_notes"]:
        raise click.BadParameter(
            f"a plan holds no more than {rules()['most_notes']} notes", param_hint=option
        )
    return tuple(dict.fromkeys(names))


def _set_picks(library: Library, name: str, star: str | None) -> list[Pick]:
    from limberleaf.plan.ready import set_pick

    _known([name], library.plans.entry.sets if library.plans else {}, "--set")
    assert library.plans is not None  # noqa: S101 - else the name was refused
    picks = [set_pick(one) for one in library.plans.entry.sets[name].exercises]
    return [replace(pick, star=pick.code == star) for pick in picks]


def _weeks(library: Library, name: str | None) -> int:
    from limberleaf.plan.model import rules

    return library.plans.entry.sets[name].weeks if name and library.plans else rules()["weeks"]["usual"]


def _with_set(library: Library, name: str | None, notes: tuple[str, ...]) -> tuple[str, ...]:
    from limberleaf.plan.model import rules

    own = library.plans.entry.sets[name].note_names if name and library.plans else []
    return tuple(dict.fromkeys([*own, *notes]))[: rules()["most_notes"]]


@command.command(name="read")
@click.argument("link")
@click.option("--format", "form", type=click.Choice(("text", "json")), default="text", show_default=True)
@_output_options
def read_command(link: str, form: str, language: str | None, content: Path, **outputs: Any) -> None:
    """Say what is in a plan's LINK, and what has changed since it was made.

    Exits with 1 when the link is not a whole plan.
    """
    from limberleaf.plan import read_fragment
    from limberleaf.words import interface_words

    library = read_library(content)
    chosen = _language(library, language)
    reading = read_fragment(link.rpartition("#")[2])
    if reading.plan is None:
        code = reading.trouble.code if reading.trouble else "no_plan"
        raise click.ClickException(interface_words(chosen).say(f"plan.troubles.{code}"))
    if form == "json":
        from pydantic_core import to_json

        click.echo(to_json(reading.plan, indent=2).decode())
        return
    _give(reading.plan, library, chosen, **outputs)


def _language(library: Library, language: str | None) -> str:
    known = library.settings.languages
    if language is not None and language not in known:
        raise click.BadParameter(f"choose from {', '.join(known)}", param_hint="--language")
    return language or library.settings.language


def _pick(text: str, library: Library, star: str | None) -> Pick:
    from limberleaf.findings import did_you_mean
    from limberleaf.plan import Pick
    from limberleaf.plan.limits import limits, refused
    from limberleaf.plan.model import PickSide
    from limberleaf.plan.resolve import replacement_of

    code, _, rest = text.lower().partition(":")
    loaded = library.exercises.get(code)
    if loaded is None:
        raise click.BadParameter(f"there is no exercise {code}. {did_you_mean(code, library.published())}")
    exercise = loaded.entry
    if not exercise.is_published:
        after = replacement_of(library, code)
        hint = f" Use {after} instead." if after else ""
        raise click.BadParameter(f"{code} is {exercise.status.replace('_', ' ')}, not approved.{hint}")
    words = [word for word in rest.replace(":", ",").split(",") if word]
    asked = next((word for word in words if "=" not in word), "none")
    sides: tuple[PickSide, ...] = get_args(PickSide)
    side = next((known for known in sides if known == asked), None)
    if side is None or (side != "none" and exercise.sides != "one"):
        takes = "left, right or turn" if exercise.sides == "one" else "no side"
        raise click.BadParameter(f"{code} takes {takes}, not “{asked}”")
    changes = dict(_change(code, word) for word in words if "=" in word)
    pick = Pick(code, side, exercise.review.version, changes, code == star)
    for name in refused(pick, exercise):
        bound = limits(exercise).get(name)
        allowed = f"takes {bound.low} to {bound.high} for {name}" if bound else f"has no {name} to change"
        raise click.BadParameter(f"{code} {allowed}")
    return pick


def _change(code: str, word: str) -> tuple[str, int]:
    from limberleaf.plan.model import FIELDS

    name, _, number = word.partition("=")
    if name not in FIELDS.values() or not number.isdecimal() or len(number) > 4:
        raise click.BadParameter(
            f"{code}: write {', '.join(FIELDS.values())} and a whole number, as in sets=2"
        )
    return name, int(number)


def _give(
    plan: Plan,
    library: Library,
    language: str,
    *,
    notes: bool,
    message: bool,
    calendar: Path | None,
    start: datetime | None,
    link_in_calendar: bool,
    qr: Path | None,
) -> None:
    from limberleaf.pages.links import PLAN, in_language
    from limberleaf.pages.qr import qr_svg
    from limberleaf.plan import resolve, write_fragment

    fragment = write_fragment(plan)
    page = in_language(PLAN, language, library.settings.language)
    link = f"{library.settings.site}{page}#{fragment}"
    resolved = resolve(plan, library, language)
    if message:
        lines = [_message(library, language, link)]
    else:
        lines = (_notes if notes else _in_words)(resolved, library, language, link)
    for line in lines:
        click.echo(line)
    if calendar:
        day = start.date() if start else date.today()
        text = _calendar(resolved, language, day, fragment, link if link_in_calendar else "")
        Ledger(library.root).write(calendar, text)
    if qr:
        Ledger(library.root).write(qr, qr_svg(link))


def _titles(library: Library, codes: Sequence[str]) -> dict[str, str]:
    return {code: library.exercises[code].entry.title for code in codes if code in library.exercises}


def _notes(resolved: Resolved, library: Library, language: str, link: str) -> list[str]:
    from limberleaf.plan.notes import notes
    from limberleaf.plan.resolve import note_texts
    from limberleaf.words import interface_words

    titles, texts = _titles(library, resolved.stop), note_texts(library, language)
    return notes(resolved, interface_words(language), titles, texts, link)


def _message(library: Library, language: str, link: str) -> str:
    from limberleaf.plan.notes import message
    from limberleaf.words import interface_words

    clinic = library.settings
    return message(interface_words(language), clinic.name.in_language(language), clinic.phone, link)


def _calendar(resolved: Resolved, language: str, start: date, seed: str, link: str) -> str:
    from limberleaf.plan.calendar import calendar, reminders_of
    from limberleaf.words import interface_words

    reminders = reminders_of(resolved, interface_words(language), start, seed, link)
    return calendar(reminders, datetime.now(UTC))


def _in_words(resolved: Resolved, library: Library, language: str, link: str) -> list[str]:
    """Say a plan for people: exercises, doses, time, what to stop, remarks, and the link last."""
    from limberleaf.clinical.dosage.dose import about, spoken
    from limberleaf.plan.remarks import days_in_words, remarks_in_words
    from limberleaf.plan.resolve import notes_of
    from limberleaf.words import interface_words

    words = interface_words(language)
    lines = []
    for number, one in enumerate(resolved.chosen, 1):
        side = words.say(f"plan.sides.{one.pick.side}") if one.exercise.sides == "one" else ""
        star = f" [{words.say('plan.star')}]" if one.pick.star else ""
        lines.append(
            f"{number}. {one.pick.code.upper()} {one.exercise.title}{f' ({side})' if side else ''}{star}"
        )
        lines.append(f"   {spoken(one.dose, one.sides, words)}")
    weeks = resolved.plan.weeks
    total = words.say("plan.day_total", time=about(resolved.day, words))
    lines.append(f"{total[:1].upper()}{total[1:]}, {words.say('plan.weeks', n=weeks, number=weeks)}.")
    plan = resolved.plan
    lines += days_in_words(resolved, words)
    lines += notes_of(plan, library, language)
    if plan.review:
        lines.append(words.say("plan.review", day=words.date_with_weekday(plan.review)))
    if resolved.stop:
        named = ", ".join(
            f"{code.upper()} {title}" for code, title in _titles(library, resolved.stop).items()
        )
        lines.append(f"{words.say('plan.stop_title')}: {named}")
    lines += [f"! {line}" for line in remarks_in_words(resolved, library, words)]
    return [*lines, link]
