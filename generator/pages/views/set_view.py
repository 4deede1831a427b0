"""A ready set as a page for clinicians: who it is for, its exercises with their doses, links into a plan."""

from __future__ import annotations

from dataclasses import dataclass

from limberleaf.clinical.dosage.dose import spoken
from limberleaf.library.models.plans import ReadySet
from limberleaf.pages import links
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.views.ladder_view import CardView, card
from limberleaf.pages.views.record_view import RecordView, record_view
from limberleaf.plan.limits import dose_of, sides_of
from limberleaf.plan.model import PickSide
from limberleaf.plan.ready import ready_sets, set_plan

SIDES: tuple[PickSide, ...] = ("left", "right", "turn")


@dataclass(frozen=True)
class SetExerciseView:
    """An exercise of the set and its dose in words, as the set has it."""

    card: CardView
    dose: str


@dataclass(frozen=True)
class UseView:
    """A link that puts the set into the plan being made, for one side where that matters."""

    words: str
    href: str


@dataclass(frozen=True)
class SetView:
    """All that the page of a set shows; a set that is no longer in use shows why."""

    title: str
    for_whom: str
    weeks: str
    exercises: list[SetExerciseView]
    notes: list[str]
    uses: list[UseView]
    several_sides: bool
    retired: str
    record: RecordView


@dataclass(frozen=True)
class SetDoor:
    """A link to a set, with who it is for."""

    title: str
    href: str
    words: str


def set_view(edition: LanguageEdition, ready: ReadySet, url: str) -> SetView:
    """Make the view of a set's page."""
    say, language = edition.words.say, edition.language
    renderer = edition.renderer(url)
    library = edition.context.library
    plan = set_plan(library, ready)
    shown = [(pick, edition.exercises[pick.code]) for pick in plan.picks if pick.code in edition.exercises]
    sided = any(one.sides == "one" for _, one in shown)
    notes = library.plans.entry.notes if library.plans else {}
    uses = [
        UseView(
            say(f"plan.make.sides.{side}"),
            links.add_link(renderer.href(edition.at(links.PLAN)), set_plan(library, ready, side)),
        )
        for side in SIDES
    ]
    if not sided:
        uses = [UseView(say("set.use"), links.add_link(renderer.href(edition.at(links.PLAN)), plan))]
    return SetView(
        title=ready.title.in_language(language),
        for_whom=ready.for_whom.in_language(language),
        weeks=say("set.weeks", n=ready.weeks, number=ready.weeks),
        exercises=[
            SetExerciseView(
                card(edition, renderer, pick.code),
                spoken(dose_of(pick, one), sides_of(pick, one), edition.words),
            )
            for pick, one in shown
        ],
        notes=[notes[name].in_language(language) for name in ready.note_names if name in notes],
        uses=[] if ready.retired_because else uses,
        several_sides=sided,
        retired=ready.retired_because or "",
        record=record_view(edition, None, url),
    )


def set_doors(edition: LanguageEdition, url: str, collection: str) -> list[SetDoor]:
    """Give the sets that are offered on a collection's page."""
    renderer, language = edition.renderer(url), edition.language
    return [
        SetDoor(
            one.title.in_language(language),
            renderer.href(edition.at(links.set_address(name))),
            one.for_whom.in_language(language),
        )
        for name, one in ready_sets(edition.context.library).items()
        if one.collection == collection
    ]
