"""A ladder as a page: the strip of its figures, then each step with its rules to start, move on and step back."""

from __future__ import annotations

from dataclasses import dataclass

from limberleaf.clinical import cautions
from limberleaf.clinical.dosage import dose
from limberleaf.clinical.ladders import kept_beside
from limberleaf.library import Ladder
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer
from limberleaf.pages.links import PLAN, add_link, picture_address
from limberleaf.pages.passage import Passage
from limberleaf.pages.views.exercise_view import BoxView, box_view, position_name
from limberleaf.pages.views.record_view import RecordView, record_view
from limberleaf.plan.ready import step_plan


@dataclass(frozen=True)
class CardView:
    """A link to an exercise with its thumbnail and the facts that set it apart from others."""

    code: str
    title: str
    href: str
    thumbnail: str
    position: str
    kind: str
    time: str


@dataclass(frozen=True)
class RungView:
    """A step of a ladder; `number` counts from 1."""

    number: int
    card: CardView
    start_here_if: Passage
    move_on_when: Passage | None
    step_back_when: Passage
    replaces: list[CardView]
    keeps: list[CardView]
    same_or_less_because: Passage | None
    add: str


@dataclass(frozen=True)
class LadderView:
    """All that a ladder page shows."""

    title: str
    aim: Passage
    rungs: list[RungView]
    across_title: str
    across_href: str
    across_when: Passage | None
    boxes: list[BoxView]
    record: RecordView


def card(edition: LanguageEdition, renderer: TextRenderer, code: str) -> CardView:
    """Make the card of an exercise that has a page."""
    exercise = edition.exercises[code]
    return CardView(
        code=code.upper(),
        title=renderer.plain(exercise.title),
        href=renderer.to(code) or "",
        thumbnail=renderer.href(picture_address(code, "thumb.svg")),
        position=position_name(edition, exercise.position),
        kind=edition.words.say(f"kinds.{exercise.kind}"),
        time=dose.time_needed(exercise.dose, exercise.sides, edition.words),
    )


def _add_step(edition: LanguageEdition, renderer: TextRenderer, ladder: Ladder, index: int) -> str:
    """Give the link that puts a step, with what goes on beside it, into the plan being made."""
    plan = step_plan(edition.context.library, ladder, index, edition.exercises)
    return add_link(renderer.href(edition.at(PLAN)), plan)


def ladder_view(edition: LanguageEdition, ladder: Ladder, url: str) -> LadderView:
    """Make the view of a ladder page."""
    renderer = edition.renderer(url)
    rungs = []
    for number, rung in enumerate(ladder.steps, 1):
        if rung.exercise not in edition.exercises:
            continue
        rungs.append(
            RungView(
                number=number,
                card=card(edition, renderer, rung.exercise),
                start_here_if=renderer.write(rung.start_here_if),
                move_on_when=renderer.write(rung.move_on_when) if rung.move_on_when else None,
                step_back_when=renderer.write(rung.step_back_when),
                replaces=[
                    card(edition, renderer, code) for code in rung.replaces if code in edition.exercises
                ],
                keeps=[
                    card(edition, renderer, code)
                    for code in kept_beside(ladder, number - 1)
                    if code in edition.exercises
                ],
                same_or_less_because=(
                    renderer.write(rung.same_or_less_because) if rung.same_or_less_because else None
                ),
                add=_add_step(edition, renderer, ladder, number - 1),
            )
        )
    across = ladder.if_you_cannot
    across_href = renderer.to(across.go_to) if across else None
    boxes = cautions.boxes(edition.context.library, ladder, edition.language)
    return LadderView(
        title=renderer.plain(ladder.title),
        aim=renderer.write(ladder.aim),
        rungs=rungs,
        across_title=edition.ladders[across.go_to].title
        if across and across.go_to in edition.ladders
        else "",
        across_href=across_href or "",
        across_when=renderer.write(across.when) if across and across_href else None,
        boxes=[box_view(box, renderer) for box in boxes],
        record=record_view(edition, ladder.review, url),
    )
