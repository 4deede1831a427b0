"""An exercise entry as what its page shows, in the order the page shows it.

What does not depend on the side (dose, boxes, places in ladders) is worked out once and shared by the page for
either side and the left and right ones.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from limberleaf.clinical import cautions
from limberleaf.clinical.cautions import Box
from limberleaf.clinical.dosage import dose, pain
from limberleaf.clinical.dosage.dose import Cell
from limberleaf.library import Exercise, Side
from limberleaf.pages.assets import asset_address
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer
from limberleaf.pages.links import FOLLOW, PLAN, exercise_address, picture_address
from limberleaf.pages.passage import Passage
from limberleaf.pages.views.media_view import MediaView, media_view
from limberleaf.pages.views.record_view import RecordView, record_view
from limberleaf.pages.views.sign_view import SignView, beside_panels
from limberleaf.plan import Pick, Plan, write_fragment
from limberleaf.plan.model import rules
from limberleaf.store.trace import shared_property

BANDS: tuple[tuple[pain.BandName, str], ...] = (
    ("carry_on", "fine"),
    ("ease_off", "ease_off"),
    ("stop", "stop"),
)
"""The three bands in order, each with the name of its list of feelings."""

SIDES: tuple[Side | None, ...] = (None, "left", "right")


@dataclass(frozen=True)
class NeedView:
    """A piece of equipment, what does as well, and what must not be used."""

    name: str
    optional: bool
    instead: Passage | None
    never: Passage | None


@dataclass(frozen=True)
class PlaceView:
    """The place of the exercise in a ladder: the first step is 1."""

    title: str
    href: str
    step: int
    count: int


@dataclass(frozen=True)
class PanelOnPage:
    """A panel of the figure with its caption filled."""

    svg: Markup
    caption: Passage
    signs: Sequence[SignView] = ()


@dataclass(frozen=True)
class SideLink:
    """A link of the switch between either side, left and right."""

    label: str
    href: str
    current: bool


@dataclass(frozen=True)
class BandView:
    """One band of feelings: its name (carry_on, ease_off, stop), its pain line, its feelings, what to do."""

    name: str
    pain: str
    feelings: list[Passage]
    action: Passage | None


@dataclass(frozen=True)
class PartView:
    """One caution of a box: its title and its signs."""

    title: Passage
    signs: list[Passage]


@dataclass(frozen=True)
class BoxView:
    """A caution box of a tier, filled for the page; `parts` are its signs caution by caution."""

    tier: str
    title: Passage
    signs: list[Passage]
    action: Passage
    parts: list[PartView]


@dataclass(frozen=True)
class WayView:
    """A way to another exercise: easier, harder or instead."""

    name: str
    code: str
    title: str
    href: str
    thumbnail: str
    when: Passage


@dataclass(frozen=True)
class PlanLinks:
    """What puts the exercise into a plan, and the link that follows it along.

    `own` are the scripts that show a plan's own dose on this page, in the order they are loaded.
    """

    code: str
    side: str
    plan: str
    follow: str
    own: list[str]


@dataclass(frozen=True)
class ExerciseView:
    """All that an exercise page shows."""

    code: str
    title: str
    side: Side | None
    side_name: str
    aim: Passage
    position: str
    needs: list[NeedView]
    time: str
    places: list[PlaceView]
    panels: list[PanelOnPage]
    wide: bool
    """Whether the panels are wider than high and are set one below the other, so that none is shrunk."""
    motion: str | None
    motion_alt: str
    media: MediaView | None
    switch: list[SideLink]
    plan: PlanLinks
    working_side: Passage | None
    base_side: Passage | None
    in_short: list[Passage]
    needs_clearance: bool
    not_approved: bool
    suits: list[Passage]
    leave_out_if: list[Passage]
    setup: list[Passage]
    steps: list[Passage]
    dose_words: str
    cells: Sequence[Cell]
    total: str
    bands: list[BandView]
    boxes: list[BoxView]
    ways: list[WayView]
    watch_for: list[Passage]
    record: RecordView


@dataclass(frozen=True)
class SharedParts:
    """What the three pages of an exercise have in common."""

    edition: LanguageEdition
    exercise: Exercise

    @shared_property
    def position(self) -> str:
        """Give the starting position in the reader's words."""
        return position_name(self.edition, self.exercise.position)

    @shared_property
    def cells(self) -> Sequence[Cell]:
        """Give the dose as numbers with labels."""
        return dose.table(self.exercise.dose, self.exercise.sides, self.edition.words)

    @shared_property
    def dose_words(self) -> str:
        """Give the dose in sentences."""
        return dose.spoken(self.exercise.dose, self.exercise.sides, self.edition.words)

    @shared_property
    def total(self) -> str:
        """Give the sums the reader would have to do."""
        return dose.total_line(self.exercise.dose, self.exercise.sides, self.edition.words)

    @shared_property
    def time(self) -> str:
        """Give the time one go takes."""
        return dose.time_needed(self.exercise.dose, self.exercise.sides, self.edition.words)

    @shared_property
    def boxes(self) -> list[Box]:
        """Give the caution boxes, blanks not filled."""
        return cautions.boxes(self.edition.context.library, self.exercise, self.edition.language)

    @shared_property
    def pain_lines(self) -> dict[str, str]:
        """Give the pain line of each band."""
        edition = self.edition
        bands = pain.bands(self.exercise, edition.clinic)
        return {
            name: pain.band_line(name, bands, edition.clinic, edition.words, edition.language)
            for name, _ in BANDS
        }


def exercise_view(shared: SharedParts, side: Side | None, url: str) -> ExerciseView:
    """Make the view of an exercise page; `url` is the page's own address."""
    edition, exercise = shared.edition, shared.exercise
    renderer = edition.renderer(url, exercise, side)
    panels, alts = _figure(edition, exercise, side, renderer)
    motion = edition.context.figures.motion(exercise, side, edition.language, side_words(renderer))
    return ExerciseView(
        code=exercise.code.upper(),
        title=renderer.plain(exercise.title),
        side=side,
        side_name=edition.words.say(f"exercise.side_{side}") if side else "",
        aim=renderer.write(exercise.aim),
        position=shared.position,
        needs=needs(edition, exercise, renderer),
        time=shared.time,
        places=_places(edition, exercise, renderer),
        panels=panels,
        wide=any(_is_wide(panel.svg) for panel in panels),
        motion=renderer.href(picture_address(exercise.code, "motion.svg", side)) if motion else None,
        motion_alt=" ".join(alts),
        media=media_view(edition, exercise.code, side, renderer),
        switch=_switch(edition, exercise, side, renderer),
        plan=plan_links(edition, renderer, exercise.code, side),
        working_side=renderer.write(exercise.working_side) if exercise.working_side else None,
        base_side=renderer.write(exercise.base_side) if exercise.base_side else None,
        in_short=renderer.write_all(exercise.in_short),
        needs_clearance=exercise.needs_clearance,
        not_approved=not exercise.is_published,
        suits=renderer.write_all(exercise.suits),
        leave_out_if=renderer.write_all(exercise.leave_out_if),
        setup=renderer.write_all(exercise.setup),
        steps=renderer.write_all(exercise.steps),
        dose_words=shared.dose_words,
        cells=shared.cells,
        total=shared.total,
        bands=_bands(shared, renderer),
        boxes=[box_view(box, renderer) for box in shared.boxes],
        ways=_ways(edition, exercise, renderer),
        watch_for=renderer.write_all(exercise.watch_for),
        record=record_view(edition, exercise.review, url, exercise.code),
    )


def plan_links(edition: LanguageEdition, renderer: TextRenderer, code: str, side: Side | None) -> PlanLinks:
    """Give the links of an exercise to the plan and follow-along pages."""
    version = edition.context.library.exercises[code].entry.review.version
    alone = write_fragment(Plan((Pick(code, side or "none", version),), rules()["weeks"]["usual"]))
    plan, follow = (renderer.href(edition.at(address)) for address in (PLAN, FOLLOW))
    scripts = ("plan-dose.js", f"plan-{edition.language}.js")
    addresses = [*map(asset_address, scripts), edition.at(f"{code}/plan.js"), asset_address("plan-own.js")]
    own = [renderer.href(address) for address in addresses]
    return PlanLinks(code, side or "none", plan, f"{follow}#{alone}", own)


def position_name(edition: LanguageEdition, position: str) -> str:
    """Give a posture's name in the reader's words; a new posture shows its own name, as words."""
    names = edition.words.lookup("positions")
    return names.get(position) or position.replace("_", " ").capitalize()


def needs(edition: LanguageEdition, exercise: Exercise, renderer: TextRenderer) -> list[NeedView]:
    """Give what an exercise needs; the entry's substitute goes before the list's."""
    views = []
    for need in exercise.equipment:
        item = edition.equipment.items.get(need.item)
        name = item.name.in_language(edition.language) if item else need.item.replace("_", " ")
        instead = need.instead or (
            item.instead.in_language(edition.language) if item and item.instead else None
        )
        never = item.never.in_language(edition.language) if item and item.never else None
        views.append(
            NeedView(
                name,
                need.optional,
                renderer.write(instead) if instead else None,
                renderer.write(never) if never else None,
            )
        )
    return views


def box_view(box: Box, renderer: TextRenderer) -> BoxView:
    """Fill a caution box."""
    return BoxView(
        box.tier,
        renderer.write(box.title),
        renderer.write_all(box.signs),
        renderer.write(box.action),
        [PartView(renderer.write(part.title), renderer.write_all(part.signs)) for part in box.parts],
    )


def side_words(renderer: TextRenderer) -> dict[str, str]:
    """Give the words a figure's alternative text says the sides with."""
    return {name: renderer.placeholders.word(name)[0] for name in ("affected", "other")}


def _figure(
    edition: LanguageEdition, exercise: Exercise, side: Side | None, renderer: TextRenderer
) -> tuple[list[PanelOnPage], list[str]]:
    panels = edition.context.figures.panels(exercise, side, edition.language, side_words(renderer))
    signs = beside_panels(edition, exercise)
    shown = [
        PanelOnPage(Markup(panel.svg), renderer.write(panel.caption), beside)  # noqa: S704 - our drawing
        for panel, beside in zip(panels, signs, strict=False)
    ]
    return shown, [panel.alt for panel in panels]


def _is_wide(svg: str) -> bool:
    """Whether a drawn panel is wider than high."""
    sizes = re.search(r'viewBox="\S+ \S+ (\S+) (\S+)"', svg)
    return bool(sizes) and float(sizes[1]) > float(sizes[2])  # type: ignore[index]


def _places(edition: LanguageEdition, exercise: Exercise, renderer: TextRenderer) -> list[PlaceView]:
    return [
        PlaceView(place.ladder.title, renderer.to(place.ladder.id) or "", place.index + 1, place.count)
        for place in edition.places[exercise.code]
    ]


def _switch(
    edition: LanguageEdition, exercise: Exercise, side: Side | None, renderer: TextRenderer
) -> list[SideLink]:
    if exercise.sides != "one":
        return []
    return [
        SideLink(
            edition.words.say(f"side_names.{one or 'none'}"),
            renderer.href(edition.at(exercise_address(exercise.code, one))),
            one == side,
        )
        for one in SIDES
    ]


def _bands(shared: SharedParts, renderer: TextRenderer) -> list[BandView]:
    say = shared.edition.words.say
    return [
        BandView(
            name,
            shared.pain_lines[name],
            renderer.write_all(getattr(shared.exercise.feelings, feelings)),
            None if name == "carry_on" else renderer.write(say(f"exercise.{name}_action")),
        )
        for name, feelings in BANDS
    ]


def _ways(edition: LanguageEdition, exercise: Exercise, renderer: TextRenderer) -> list[WayView]:
    views = []
    for name, way in exercise.linked_steps.items():
        other = edition.exercises.get(way.exercise)
        if other:
            views.append(
                WayView(
                    name,
                    other.code.upper(),
                    renderer.plain(other.title),
                    renderer.to(way.exercise) or "",
                    renderer.href(picture_address(way.exercise, "thumb.svg")),
                    renderer.write(way.when),
                )
            )
    return views
