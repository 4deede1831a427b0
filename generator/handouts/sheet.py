"""An exercise on paper: the view of its page, turned into data for the templates.

The view is the one the web page is made from, so the two cannot say different things. Only what is of no use on
paper is left out: the switch between sides, the buttons, thumbnails, the motion.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal
from urllib.parse import urljoin

from limberleaf.handouts.labels import RECORD, exercise_labels
from limberleaf.handouts.rich import rich, rich_all
from limberleaf.handouts.tick import TickChart, tick_chart
from limberleaf.handouts.typeset import Handout
from limberleaf.library import Dose, Exercise, Side
from limberleaf.library.models.exercise import Sides
from limberleaf.library.models.values import LocalText
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer
from limberleaf.pages.links import exercise_address
from limberleaf.pages.views.exercise_view import BoxView, ExerciseView, SharedParts, exercise_view, side_words
from limberleaf.pages.views.record_view import RecordView
from limberleaf.pages.views.sign_view import signs_data

PAPERS = {"A4": "a4", "Letter": "us-letter"}
"""The clinic's paper, as typst calls it."""

Print = Literal["page", "large", "larger"]
"""`page`: 12 pt on both sides of a sheet. `large`: 18 pt, one column. `larger`: the same at 24 pt."""

POINTS: Mapping[Print, int] = {"large": 18, "larger": 24}
"""Size of large print in points."""

_VIEW_BOX = re.compile(r'viewBox="(?:[-\d.]+)[ ,]+(?:[-\d.]+)[ ,]+(?P<width>[\d.]+)[ ,]+(?P<height>[\d.]+)"')


@dataclass(frozen=True)
class Choice:
    """An exercise someone chose: its code, its side, and dose and sides of its own when the clinician changed them."""

    code: str
    side: Side | None = None
    dose: Dose | None = None
    sides: Sides | None = None


@dataclass(frozen=True)
class Chosen:
    """A choice in an edition: the exercise as it is to be done, and its page's view."""

    edition: LanguageEdition
    choice: Choice
    exercise: Exercise
    view: ExerciseView
    url: str

    @property
    def address(self) -> str:
        """Give the whole address of the exercise's page."""
        return self.edition.context.site + self.url

    @property
    def name(self) -> str:
        """Give the file name of its handout, without its ending."""
        return self.url.strip("/").replace("/", "-")

    @property
    def side(self) -> Side | None:
        """Give the side of the page; None for an exercise that has no sided pages."""
        return self.choice.side if self.exercise.sides == "one" else None


def choose(edition: LanguageEdition, choice: Choice) -> Chosen:
    """Look up a choice; KeyError when the exercise has no page in the edition."""
    exercise = edition.exercises[choice.code]
    changes = {name: value for name in ("dose", "sides") if (value := getattr(choice, name))}
    if changes:
        exercise = exercise.model_copy(update=changes)
    side = choice.side if exercise.sides == "one" else None
    url = edition.at(exercise_address(choice.code, side))
    return Chosen(edition, choice, exercise, exercise_view(SharedParts(edition, exercise), side, url), url)


def exercise_handout(edition: LanguageEdition, choice: Choice, print_: Print = "page") -> Handout:
    """Give the sheet of an exercise: both sides of the paper at 12 pt, or large print."""
    chosen = choose(edition, choice)
    data = {
        **document_data(edition, sheet_title(chosen)),
        "sheet": sheet_data(chosen),
        "large": print_ in POINTS,
        "points": POINTS.get(print_, 12),
    }
    return Handout(
        name=chosen.name if print_ == "page" else f"{chosen.name}-{print_}",
        template="large" if print_ in POINTS else "sheet",
        data=data,
        reviewed=chosen.exercise.review.reviewed,
        source=edition.context.library.exercises[choice.code].source.path,
    )


def sheet_title(chosen: Chosen) -> str:
    """Give the title of an exercise with its side, as the page has it."""
    if not chosen.view.side_name:
        return chosen.view.title
    return chosen.edition.words.say(
        "exercise.title_sided", title=chosen.view.title, side=chosen.view.side_name
    )


def document_data(edition: LanguageEdition, title: str) -> dict[str, Any]:
    """Give what every template needs: title, language, paper, the clinic, the words."""
    clinic = edition.clinic
    colours = clinic.face.colours if clinic.face else None
    return {
        **({"accent": colours.main} if colours else {}),
        "title": title,
        "lang": edition.language,
        "dir": edition.words.direction,
        "paper": PAPERS[clinic.paper],
        "clinic": {
            "name": _said(edition, clinic.name),
            "short": _said(edition, clinic.short_name),
            "place": _said(edition, clinic.place),
            "phone": clinic.phone,
            "hours": _said(edition, clinic.hours),
        },
        "words": exercise_labels(edition),
    }


def _said(edition: LanguageEdition, text: LocalText) -> dict[str, str]:
    """Give a text of the settings and its language: the clinic's own where the edition's has none."""
    language = edition.language if edition.language in text else edition.clinic.language
    return {"t": text.in_language(edition.language), "lang": language}


def sheet_data(chosen: Chosen) -> dict[str, Any]:
    """Give an exercise as the templates take it."""
    view, page, edition = chosen.view, chosen.address, chosen.edition
    return {
        "id": chosen.name,
        "code": view.code,
        "title": view.title,
        "side": view.side_name,
        "not_approved": view.not_approved,
        "aim": rich(view.aim, page),
        "position": view.position,
        "time": view.time,
        "needs": _needs_data(view, page),
        "places": _places_data(view, edition),
        "panels": panels_data(chosen),
        "working_side": rich(view.working_side, page),
        "base_side": rich(view.base_side, page),
        "in_short": rich_all(view.in_short, page),
        "leave_out_if": rich_all(view.leave_out_if, page),
        "needs_clearance": view.needs_clearance,
        "suits": rich_all(view.suits, page),
        "setup": rich_all(view.setup, page),
        "steps": rich_all(view.steps, page),
        "cells": [{"number": cell.number, "label": cell.label} for cell in view.cells],
        "dose_words": view.dose_words,
        "total": view.total,
        "changed": chosen.choice.dose is not None,
        "bands": _bands_data(view, page),
        "boxes": boxes_data(view.boxes, page),
        "ways": _ways_data(view, page),
        "watch_for": rich_all(view.watch_for, page),
        "chart": chart_data(tick_chart(chosen.exercise.dose), edition),
        "record": record_data(edition, view.record, chosen.url),
    }


def _needs_data(view: ExerciseView, page: str) -> list[dict[str, Any]]:
    return [
        {
            "name": need.name,
            "optional": need.optional,
            "instead": rich(need.instead, page),
            "never": rich(need.never, page),
        }
        for need in view.needs
    ]


def _places_data(view: ExerciseView, edition: LanguageEdition) -> list[dict[str, Any]]:
    return [
        {
            "title": place.title,
            "step": place.step,
            "count": place.count,
            "words": edition.words.say("ladders.step_of", step=place.step, count=place.count),
        }
        for place in view.places
    ]


def _bands_data(view: ExerciseView, page: str) -> list[dict[str, Any]]:
    return [
        {
            "name": band.name,
            "pain": band.pain,
            "feelings": rich_all(band.feelings, page),
            "action": rich(band.action, page),
        }
        for band in view.bands
    ]


def _ways_data(view: ExerciseView, page: str) -> list[dict[str, Any]]:
    return [
        {
            "name": way.name,
            "code": way.code,
            "title": way.title,
            "to": urljoin(page, way.href),
            "when": rich(way.when, page),
        }
        for way in view.ways
    ]


def panels_data(chosen: Chosen) -> list[dict[str, Any]]:
    """Give the figure's panels: SVG, alternative text, caption, and width and height in units of the SVG."""
    edition, exercise, side = chosen.edition, chosen.exercise, chosen.side
    renderer = edition.renderer(chosen.url, exercise, side)
    panels = edition.context.figures.panels(exercise, side, edition.language, side_words(renderer))
    return [
        {
            "svg": panel.svg,
            "alt": panel.alt,
            "caption": rich(shown.caption, chosen.address),
            "signs": signs_data(shown.signs),
            **dict(zip(("wide", "high"), extent(panel.svg), strict=True)),
        }
        for panel, shown in zip(panels, chosen.view.panels, strict=True)
    ]


def aspect(svg: str) -> float:
    """Give a drawing's width divided by its height, from its view box."""
    width, height = extent(svg)
    return round(width / height, 4)


def extent(svg: str) -> tuple[float, float]:
    """Give a drawing's width and height in its own units, from its view box."""
    match = _VIEW_BOX.search(svg)
    return (float(match["width"]), float(match["height"])) if match else (1.0, 1.0)


def boxes_data(boxes: list[BoxView], page: str) -> list[dict[str, Any]]:
    """Give caution boxes as the templates take them."""
    return [
        {
            "tier": box.tier,
            "title": rich(box.title, page),
            "signs": rich_all(box.signs, page),
            "action": rich(box.action, page),
            "parts": [
                {"title": rich(part.title, page), "signs": rich_all(part.signs, page)} for part in box.parts
            ],
        }
        for box in boxes
    ]


def chart_data(chart: TickChart, edition: LanguageEdition) -> dict[str, Any]:
    """Give a tick chart with its words."""
    say = edition.words.say
    return {
        "rows": [chart.rows.low, chart.rows.high],
        "days": [chart.days.low, chart.days.high],
        "weeks": [say("chart.week", number=number) for number in range(1, chart.weeks + 1)],
        "unit": chart.unit,
        "day_names": [say("handout.day", number=number) for number in range(1, chart.days.high + 1)],
        "hint": " ".join(
            [
                say(f"handout.chart_{chart.unit}"),
                *([say("handout.chart_extra")] if chart.has_extras else []),
            ]
        ),
    }


def record_data(edition: LanguageEdition, record: RecordView, url: str) -> dict[str, Any]:
    """Give the foot of a handout: the page's own, with its QR code as a drawing of its own."""
    say = edition.words.say
    renderer: TextRenderer = edition.renderer(url)
    page = edition.context.site + url
    rows = [
        (name, str(getattr(record, name)))
        for name in ("reviewed_by", "reviewed", "due", "code", "version")
        if getattr(record, name)
    ]
    return {
        "statement": rich(renderer.write(say("record.statement")), page),
        "rows": [{"label": say(f"record.{name}"), "value": value} for name, value in rows],
        "labels": {name: say(f"record.{name}") for name in RECORD},
        "code": record.code,
        "version": record.version,
        "reviewed": record.reviewed,
        "address": record.address,
        "to": page,
        "qr": standalone(str(record.qr)),
    }


def standalone(svg: str) -> str:
    """Give an inline SVG the name space a file of its own needs."""
    return svg if "xmlns=" in svg else svg.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
