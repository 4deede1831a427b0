"""The library in one language as plain typed data; the JSON Schema of `LibraryData` is published beside it.

`SCHEMA_VERSION` rises when a key is renamed, taken away or changes its meaning; a new key does not raise it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from limberleaf.clinical.cautions import Box
from limberleaf.clinical.dosage import dose as doses
from limberleaf.clinical.placeholder_values import practitioner
from limberleaf.library import Exercise
from limberleaf.library.models.values import Count, Duration
from limberleaf.pages import links
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer
from limberleaf.pages.views.exercise_view import SharedParts, position_name

FOLDER = "data/"
"""The folder of the site for all files of this package."""
SCHEMA_VERSION = 1
SCHEMA_PATH = f"{FOLDER}schema/library-{SCHEMA_VERSION}.schema.json"


class _Data(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Range(_Data):
    """A number or a range of numbers; times are in seconds."""

    low: int = Field(description="The lower end, or the number itself.")
    high: int = Field(description="The higher end; the same as low for one number.")


class DoseData(_Data):
    """How much and how often."""

    words: str = Field(description="The dose in words, as the page says it.")
    sets: Range | None = Field(None, description="How many rounds.")
    repetitions: Range | None = Field(
        None, description="How many in a round; the most for as many as comfortable."
    )
    as_many_as_comfortable: bool = Field(False, description="True: repetitions is a ceiling and no aim.")
    duration_seconds: Range | None = Field(None, description="Of a timed dose.")
    hold_seconds: Range | None = Field(None, description="How long each one is held.")
    rest_seconds: Range | None = Field(None, description="Rest between rounds.")
    times_a_day: Range = Field(description="How often on a day.")
    days_a_week: Range = Field(description="On how many days of a week.")


class WayData(_Data):
    """A way to another exercise."""

    exercise: str = Field(description="Its code.")
    when: str = Field(description="When to take it.")


class NeedData(_Data):
    """Something the exercise needs."""

    item: str = Field(description="Its name in the library.")
    name: str = Field(description="What it is called.")
    optional: bool = Field(description="True: the exercise can be done without it.")


class CautionData(_Data):
    """A caution box as pages show it."""

    tier: str = Field(description="emergency, same_day or ease_off.")
    title: str = Field(description="Its heading.")
    signs: list[str] = Field(description="The warning signs.")
    action: str = Field(description="What to do, by this clinic's routes.")


class RecordData(_Data):
    """When the words were reviewed."""

    version: int = Field(description="Counts up with every major edit.")
    reviewed: date | None = Field(description="The day of the last full review.")
    due: date | None = Field(description="The day the next review is due.")


class ExerciseData(_Data):
    """One exercise."""

    code: str = Field(description="Its code, which never changes.")
    url: str = Field(description="Its page; left/ and right/ below it where sides is one.")
    title: str = Field(description="What it is called.")
    region: str = Field(description="The part of the body, by name.")
    kind: str = Field(description="What it trains, by name.")
    position: str = Field(description="The posture it starts in, in words.")
    sides: str = Field(description="one, each or both.")
    aim: str = Field(description="What it is for.")
    needs_clearance: bool = Field(description="True: only when a clinician says so.")
    suits: list[str] = Field(description="Who it is for.")
    leave_out_if: list[str] = Field(description="When not to do it.")
    equipment: list[NeedData] = Field(description="What is needed.")
    setup: list[str] = Field(description="How to get ready.")
    steps: list[str] = Field(description="What to do.")
    dose: DoseData = Field(description="How much to do, and how often.")
    fine: list[str] = Field(description="Feelings that are fine.")
    ease_off: list[str] = Field(description="Feelings that mean: do less.")
    stop: list[str] = Field(description="Feelings that mean: stop.")
    in_short: list[str] = Field(description="The three lines to remember.")
    watch_for: list[str] = Field(description="Common mistakes.")
    easier: WayData | None = Field(description="One step back.")
    harder: WayData | None = Field(description="One step on.")
    instead: WayData | None = Field(description="Another way to the same aim.")
    cautions: list[CautionData] = Field(
        description="The boxes on its page. Never show the exercise without them."
    )
    synonyms: list[str] = Field(description="Everyday words for it.")
    record: RecordData = Field(description="When it was reviewed.")


class RungData(_Data):
    """One step of a ladder."""

    exercise: str = Field(description="The code of the exercise.")
    start_here_if: str = Field(description="Who begins here.")
    move_on_when: str | None = Field(description="When to move on; none on the last step.")
    step_back_when: str = Field(description="When to go one step back.")


class LadderData(_Data):
    """An ordered progression."""

    id: str = Field(description="Its name, which never changes.")
    url: str = Field(description="Its page.")
    title: str = Field(description="What it is called.")
    aim: str = Field(description="Where it leads.")
    region: str = Field(description="The part of the body, by name.")
    steps: list[RungData] = Field(description="From the easiest to the hardest.")
    record: RecordData = Field(description="When it was reviewed.")


class CollectionData(_Data):
    """A page for a problem."""

    id: str = Field(description="Its name, which never changes.")
    url: str = Field(description="Its page.")
    title: str = Field(description="The problem in a patient's words.")
    summary: str = Field(description="In one or two sentences.")
    region: str = Field(description="The part of the body, by name.")
    ladders: list[str] = Field(description="Names of its ladders.")
    exercises: list[str] = Field(description="Codes of all its exercises, those of its ladders too.")
    record: RecordData = Field(description="When it was reviewed.")


class LibraryData(_Data):
    """A clinic's library in one language, as its pages say it."""

    schema_version: int = Field(description="The version of this form.")
    site: str = Field(description="The address of the site.")
    language: str = Field(description="The language of all texts.")
    clinic: str = Field(description="Who publishes it.")
    notice: str = Field(description="What must stand wherever the texts are shown.")
    exercises: list[ExerciseData] = Field(description="All published exercises, by code.")
    ladders: list[LadderData] = Field(description="All published ladders, by name.")
    collections: list[CollectionData] = Field(description="All published collections, by name.")


def schema_address(site: str) -> str:
    """Give the address of the JSON Schema of this version."""
    return site + SCHEMA_PATH


def schema(site: str) -> dict[str, Any]:
    """Give the JSON Schema (draft 2020-12) of `LibraryData`."""
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": schema_address(site)}
    return {**LibraryData.model_json_schema(), **head}


def library_head(edition: LanguageEdition) -> LibraryData:
    """Give what the data of a language say once, with no page yet."""
    clinic = edition.clinic
    return LibraryData(
        schema_version=SCHEMA_VERSION,
        site=edition.context.site,
        language=edition.language,
        clinic=edition.name,
        notice=edition.words.say(
            "record.statement",
            emergency_number=clinic.emergency.number,
            emergency_place=clinic.emergency.place.in_language(edition.language),
            practitioner=practitioner(clinic, edition.language),
        ),
        exercises=[],
        ladders=[],
        collections=[],
    )


def page_address(edition: LanguageEdition, address: str) -> str:
    """Give the whole address of a page of this language."""
    return edition.context.site + edition.at(address)


def exercise_data(shared: SharedParts) -> ExerciseData:
    """Give one exercise for either side."""
    edition, exercise = shared.edition, shared.exercise
    address = links.exercise_address(exercise.code)
    renderer = edition.renderer(edition.at(address), exercise)

    def texts(written: Sequence[str]) -> list[str]:
        return [renderer.plain(one) for one in written]

    ways = {
        name: WayData(exercise=way.exercise, when=renderer.plain(way.when))
        for name, way in exercise.linked_steps.items()
    }
    return ExerciseData(
        code=exercise.code,
        url=page_address(edition, address),
        title=renderer.plain(exercise.title),
        region=exercise.region,
        kind=exercise.kind,
        position=position_name(edition, exercise.position),
        sides=exercise.sides,
        aim=renderer.plain(exercise.aim),
        needs_clearance=exercise.needs_clearance,
        suits=texts(exercise.suits),
        leave_out_if=texts(exercise.leave_out_if),
        equipment=[_need(edition, need.item, need.optional) for need in exercise.equipment],
        setup=texts(exercise.setup),
        steps=texts(exercise.steps),
        dose=_dose(edition, exercise),
        fine=texts(exercise.feelings.fine),
        ease_off=texts(exercise.feelings.ease_off),
        stop=texts(exercise.feelings.stop),
        in_short=texts(exercise.in_short),
        watch_for=texts(exercise.watch_for),
        easier=ways.get("easier"),
        harder=ways.get("harder"),
        instead=ways.get("instead"),
        cautions=[_caution(box, renderer) for box in shared.boxes],
        synonyms=list(exercise.synonyms),
        record=_record(exercise),
    )


def _need(edition: LanguageEdition, item: str, optional: bool) -> NeedData:
    known = edition.equipment.items.get(item)
    name = known.name.in_language(edition.language) if known else item.replace("_", " ")
    return NeedData(item=item, name=name, optional=optional)


def _caution(box: Box, renderer: TextRenderer) -> CautionData:
    return CautionData(
        tier=box.tier,
        title=renderer.plain(box.title),
        signs=[renderer.plain(sign) for sign in box.signs],
        action=renderer.plain(box.action),
    )


def _range(value: Count | Duration | None) -> Range | None:
    return Range(low=value.low, high=value.high) if value is not None else None


def _dose(edition: LanguageEdition, exercise: Exercise) -> DoseData:
    dose = exercise.dose
    often = doses.times_a_day(dose)
    return DoseData(
        words=doses.spoken(dose, exercise.sides, edition.words),
        sets=_range(dose.sets),
        repetitions=_range(doses.repetitions(dose)) if dose.repetitions is not None else None,
        as_many_as_comfortable=dose.repetitions is not None and not isinstance(dose.repetitions, Count),
        duration_seconds=_range(dose.duration),
        hold_seconds=_range(dose.hold),
        rest_seconds=_range(dose.rest),
        times_a_day=Range(low=often.low, high=often.high),
        days_a_week=Range(low=dose.days_a_week.low, high=dose.days_a_week.high),
    )


def _record(entry: Any) -> RecordData:
    return RecordData(version=entry.review.version, reviewed=entry.review.reviewed, due=entry.review.due)


def ladder_data(edition: LanguageEdition, name: str, renderer: TextRenderer) -> LadderData:
    """Give one ladder."""
    ladder = edition.ladders[name]
    return LadderData(
        id=name,
        url=page_address(edition, links.ladder_address(name)),
        title=renderer.plain(ladder.title),
        aim=renderer.plain(ladder.aim),
        region=ladder.region,
        steps=[
            RungData(
                exercise=rung.exercise,
                start_here_if=renderer.plain(rung.start_here_if),
                move_on_when=renderer.plain(rung.move_on_when) if rung.move_on_when else None,
                step_back_when=renderer.plain(rung.step_back_when),
            )
            for rung in ladder.steps
        ],
        record=_record(ladder),
    )


def collection_data(edition: LanguageEdition, name: str, renderer: TextRenderer) -> CollectionData:
    """Give one collection."""
    one = edition.collections[name]
    return CollectionData(
        id=name,
        url=page_address(edition, links.collection_address(name)),
        title=renderer.plain(one.title),
        summary=renderer.plain(one.summary),
        region=one.region,
        ladders=[ladder for ladder in one.ladders if ladder in edition.ladders],
        exercises=edition.members(one),
        record=_record(one),
    )


def step_titles(edition: LanguageEdition, ladder: LadderData) -> Mapping[str, str]:
    """Give the titles of a ladder's exercises that have a page, by code."""
    codes = dict.fromkeys(step.exercise for step in ladder.steps if step.exercise in edition.exercises)
    return {code: _title(edition, edition.exercises[code]) for code in codes}


def _title(edition: LanguageEdition, exercise: Exercise) -> str:
    address = edition.at(links.exercise_address(exercise.code))
    return edition.renderer(address, exercise).plain(exercise.title)


def plain(data: BaseModel) -> Mapping[str, Any]:
    """Give the plain values of data, days as text."""
    return data.model_dump(mode="json")
