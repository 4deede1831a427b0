"""What the plan and follow-along pages read: one script a language, and one beside each exercise.

A plan page loads only the exercises of its plan, so it stays as light in a library of a thousand. The files are
scripts that hand over plain data, because a copy opened from a disk can load nothing else. Addresses in them are
relative to the root of the site.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from limberleaf.clinical import cautions
from limberleaf.clinical.dosage.dose import LONG_MINUTES, assumptions
from limberleaf.clinical.dosage.pain import BANDS, band_line, bands
from limberleaf.clinical.dosage.usual import plan_size
from limberleaf.library import Exercise, Side
from limberleaf.library.models.exercise import AsComfortable, Dose
from limberleaf.library.models.values import Count, Duration
from limberleaf.library.translate import in_language
from limberleaf.pages import links
from limberleaf.pages.assets import asset_address
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer, edition_of
from limberleaf.pages.passage import Run
from limberleaf.pages.views.exercise_view import SIDES, position_name, side_words
from limberleaf.pages.views.sign_view import sign_places
from limberleaf.plan import write_fragment
from limberleaf.plan.limits import choices, limits
from limberleaf.plan.model import rules
from limberleaf.plan.order import place_of
from limberleaf.plan.ready import ready_sets, set_plan
from limberleaf.plan.resolve import note_texts, replacement_of
from limberleaf.words import interface_words

Rich = list[str | list[str] | dict[str, str | int]]
"""A text as runs: words, [words, address] for a link, {"blank": name} for a number of the dose ("begins": 1 where it
begins a sentence), which the page fills from the plan's own dose."""

DATA = "plan.js"
_SCRIPTS = ("view", "making", "qr", "calendar")
"""Scripts that the plan page loads when they are needed: what the patient sees, what a clinician makes a plan with."""


def language_data(edition: LanguageEdition) -> str:
    """Give what is the same for all exercises of a language: words, rules, cautions."""
    renderer = edition.renderer("")
    phrases = edition.words.phrases
    clinic = edition.clinic
    pain = bands(None, clinic)
    data = {
        "language": edition.language,
        "direction": edition.words.direction,
        "marks": ["، ", "؛ "] if edition.words.direction == "rtl" else [", ", "; "],
        "words": {name: phrases[name] for name in ("dose", "plan", "follow")},
        "days": phrases["chart"]["days"],
        "date": edition.words.date_parts(),
        "clinic": edition.name,
        "phone": clinic.phone,
        "find": [
            asset_address(name)
            for name in (
                "finder-core.js",
                f"plan-titles-{edition.language}.js",
                f"finder-{edition.language}.js",
            )
        ],
        "notes": note_texts(edition.context.library, edition.language),
        "sets": _sets(edition),
        "move_seconds": assumptions()["move_seconds"],
        "waking_hours": assumptions()["waking_hours"],
        "long_minutes": LONG_MINUTES,
        "weeks": rules()["weeks"],
        "size": {name: _smallest(name) for name in ("many", "too_many")},
        "scripts": {name: asset_address(f"plan-{name}.js") for name in _SCRIPTS},
        "site": edition.context.site,
        "plan": edition.at(links.PLAN),
        "main": _main(edition),
        "names_files": edition.context.name_files,
        "pain": [band_line(name, pain, clinic, edition.words, edition.language) for name in BANDS],
        **_codes(edition),
        **_cautions(edition, renderer),
    }
    return f"limberleafPlan({_json(data)});\n"


def plan_titles(edition: LanguageEdition) -> str:
    """Give the title of every exercise by its code, for looking one up by words while a plan is made."""
    renderer = edition.renderer("")
    titles = {code: renderer.plain(one.title) for code, one in edition.exercises.items()}
    return f"limberleafTitles({_json(titles)});\n"


def _sets(edition: LanguageEdition) -> list[list[str]]:
    """Give name, title, for whom and plan of each ready set."""
    library, language = edition.context.library, edition.language
    return [
        [
            name,
            one.title.in_language(language),
            one.for_whom.in_language(language),
            write_fragment(set_plan(library, one)),
        ]
        for name, one in ready_sets(library).items()
    ]


def _main(edition: LanguageEdition) -> dict[str, str] | None:
    """Tell where the clinic's main language is, for exercises that are not in this one; None in the main one."""
    if edition.is_first:
        return None
    main = edition_of(edition.context, edition.clinic.language)
    return {
        "language": main.language,
        "direction": main.words.direction,
        "name": edition.words.locale.languages.get(main.language, main.words.say("language_name")),
        "data": asset_address(f"plan-{main.language}.js"),
        "plan": main.at(links.PLAN),
    }


def _facts(
    edition: LanguageEdition, exercise: Exercise, renderer: TextRenderer, language: str
) -> dict[str, Any]:
    """Give what is said of an exercise in the words of the clinic and of this program: they are in every language."""
    needed = [need.item for need in exercise.equipment if not need.optional]
    items = edition.equipment.items
    words = interface_words(language)
    reviewed = edition.context.library.exercises[exercise.code].entry.review.reviewed
    facts: dict[str, Any] = {
        "reviewed": words.day(reviewed) if reviewed else "",
        "position": words.lookup("positions").get(exercise.position)
        or position_name(edition, exercise.position),
        "needs": [
            items[name].name.in_language(language) if name in items else name.replace("_", " ")
            for name in needed
        ],
        "never": [
            rich(renderer, never.in_language(language))
            for name in needed
            if name in items and (never := items[name].never)
        ],
    }
    if exercise.feelings.bands:
        own = exercise.feelings.bands
        facts["pain"] = [band_line(name, own, edition.clinic, words, language) for name in BANDS]
    return facts


def _codes(edition: LanguageEdition) -> dict[str, list[str]]:
    """Name the exercises a plan can load in this language, retired ones too, and those of other languages only."""
    library = edition.context.library
    retired = {code for code, loaded in library.exercises.items() if loaded.entry.status == "retired"}
    own = edition.exercises.keys() | {
        code for code in retired if in_language(library, code, edition.language)
    }
    return {"codes": sorted(own), "foreign": sorted((library.published().keys() | retired) - own)}


def _smallest(size: str) -> int:
    return next(number for number in range(1, rules()["most_picks"] + 1) if plan_size(number) == size)


def _json(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def _cautions(edition: LanguageEdition, renderer: TextRenderer) -> dict[str, Any]:
    library, language = edition.context.library, edition.language
    every = cautions.published_cautions(library)
    kinds: dict[tuple[object, ...], int] = {}
    boxes: list[list[Any]] = []
    found = []
    for caution in every:
        (alone,) = cautions.merged(library, [caution], language)
        key = (caution.tier, alone.action, caution.within)
        if key not in kinds:
            kinds[key] = len(boxes)
            two = cautions.merged(library, [caution, caution], language)
            boxes.append([caution.tier, rich(renderer, two[0].title), rich(renderer, alone.action)])
        found.append(
            [
                caution.id,
                kinds[key],
                rich(renderer, alone.title),
                _all(renderer, alone.signs),
                rich(renderer, alone.parts[0].title),
            ]
        )
    return {"boxes": boxes, "cautions": found}


def exercise_data(edition: LanguageEdition, exercise: Exercise) -> str:
    """Give an exercise: its facts, and its texts for either side, left and right."""
    library = edition.context.library
    renderer = edition.renderer("", exercise)
    entry = library.exercises[exercise.code].entry
    data = {
        "version": entry.review.version,
        "clearance": exercise.needs_clearance,
        **_facts(edition, exercise, renderer, edition.language),
        "sides": exercise.sides,
        "place": place_of(exercise.position),
        "dose": dose_data(exercise.dose),
        "limits": {name: _pair(bound) for name, bound in limits(exercise).items()},
        "choices": choices(exercise),
        "replaces": [code for code in edition.replaced.get(exercise.code, ()) if code in edition.exercises],
        "cautions": [caution.id for caution in cautions.cautions_for(library, exercise)],
        "thumb": links.picture_address(exercise.code, "thumb.svg"),
        "texts": {
            side or "none": _texts(edition, exercise, side)
            for side in (SIDES if exercise.sides == "one" else (None,))
        },
    }
    if edition.is_first:
        lacking = [one for one in edition.clinic.languages if not in_language(library, exercise.code, one)]
        data["in"] = {one: _facts(edition, exercise, renderer, one) for one in lacking}
    return f"limberleafExercise({_json(exercise.code)},{_json(data)});\n"


def gone_data(edition: LanguageEdition, exercise: Exercise) -> str:
    """Give what is left of a retired exercise: its name, why it went, what replaces it."""
    renderer = edition.renderer("", exercise)
    after = replacement_of(edition.context.library, exercise.code)
    successor = edition.exercises.get(after) if after else None
    data = {
        "gone": True,
        "title": renderer.plain(exercise.title),
        "because": rich(renderer, exercise.retired_because) if exercise.retired_because else [],
        "after": after if successor else None,
        "after_title": successor.title if successor else "",
    }
    return f"limberleafExercise({_json(exercise.code)},{_json(data)});\n"


def dose_data(dose: Dose) -> dict[str, Any]:
    """Give a dose as plain data: pairs of numbers, seconds for times, parts it does not have left out."""
    data: dict[str, Any] = {}
    for name in ("sets", "repetitions", "duration", "hold", "rest", "times_a_day", "every", "days_a_week"):
        value = getattr(dose, name)
        if isinstance(value, AsComfortable):
            data["most"] = value.up_to
        elif value is not None:
            data[name] = _pair(value)
    if dose.tempo:
        parts = (dose.tempo.out, dose.tempo.pause, dose.tempo.back)
        data["tempo"] = [_pair(part) if part else None for part in parts]
    return data


def _pair(value: Count | Duration) -> list[int]:
    return [value.low, value.high]


def _texts(edition: LanguageEdition, exercise: Exercise, side: Side | None) -> dict[str, Any]:
    renderer = edition.renderer("", exercise, side)
    address = links.exercise_address(exercise.code, side)
    panels = edition.context.figures.panels(exercise, side, edition.language, side_words(renderer))
    return {
        "title": renderer.plain(exercise.title),
        "href": renderer.href(edition.at(address)),
        "panels": [
            [
                links.picture_address(exercise.code, f"panel-{number}.svg", side),
                panel.alt,
                rich(renderer, panel.caption),
                names,
            ]
            for number, (panel, names) in enumerate(zip(panels, sign_places(exercise), strict=False), 1)
        ],
        "short": _all(renderer, exercise.in_short),
        "setup": _all(renderer, exercise.setup),
        "steps": _all(renderer, exercise.steps),
        "leave": _all(renderer, exercise.leave_out_if),
        "ease": _all(renderer, exercise.feelings.ease_off),
        "stop": _all(renderer, exercise.feelings.stop),
    }


def _all(renderer: TextRenderer, texts: Iterable[str]) -> list[Rich]:
    return [rich(renderer, text) for text in texts]


def rich(renderer: TextRenderer, text: str) -> Rich:
    """Fill a text and give it as runs; numbers to call and links to pages keep their address."""
    return [_run(run) for run in renderer.write(text).runs]


def _run(run: Run) -> str | list[str] | dict[str, str | int]:
    if run.kind == "dose":
        return {"blank": run.blank, **({"begins": 1} if run.begins else {})}
    return [run.text, run.href] if run.href else run.text
