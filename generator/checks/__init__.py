"""The checks: a file or a folder for each family, each a function from a library to findings.

`CHECKS` lists those that need only the library. What depends on the day is given `today`, so that the same
library and day always give the same findings.

In order: baseline.py (findings an old library starts with), texts.py and wording.py (the words of an entry, with
their places), together.py (a check of several parts), kept_checks.py (what is asked again after an edit), each.py
(checks that look at one exercise alone), references.py, record.py, clinic.py, equipment.py, face.py, media.py,
own_files.py and own_styles.py (what a clinic brings of its own), plans.py, cut_sentences.py, approval/, meaning/,
numbers/, safety/, translation/, and what needs the store or figures: reading.py, figures.py, ladders.py.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from functools import partial

from limberleaf.checks.approval.review import UNDATED, check_due, check_review
from limberleaf.checks.clinic import check_clinic
from limberleaf.checks.cut_sentences import check_cut_sentences
from limberleaf.checks.equipment import check_equipment
from limberleaf.checks.face import check_face
from limberleaf.checks.figures import check_figures, pose_order
from limberleaf.checks.kept_checks import Job, findings_of
from limberleaf.checks.ladders import check_rungs, check_ways
from limberleaf.checks.meaning.agreement import check_agreement
from limberleaf.checks.meaning.drawn_sides import check_drawn_sides
from limberleaf.checks.meaning.facts import check_facts
from limberleaf.checks.meaning.ladder_numbers import check_ladder_numbers
from limberleaf.checks.meaning.ladder_words import check_ladder_words
from limberleaf.checks.meaning.lines import check_lines
from limberleaf.checks.meaning.movement import check_movement
from limberleaf.checks.meaning.placing import check_placing
from limberleaf.checks.meaning.said_numbers import check_said_numbers
from limberleaf.checks.meaning.sides import check_sides
from limberleaf.checks.meaning.situation import check_situation
from limberleaf.checks.meaning.steps import check_steps
from limberleaf.checks.meaning.straight import check_straight
from limberleaf.checks.media import check_media
from limberleaf.checks.numbers.impossible import check_impossible
from limberleaf.checks.numbers.pain_numbers import check_pain_numbers
from limberleaf.checks.numbers.ranges import check_doses
from limberleaf.checks.numbers.typed_numbers import check_dose_numbers
from limberleaf.checks.numbers.weights import check_weights
from limberleaf.checks.plans import check_plans
from limberleaf.checks.reading import check_reading
from limberleaf.checks.record import check_record
from limberleaf.checks.references import check_references
from limberleaf.checks.safety.cautions import check_cautions
from limberleaf.checks.safety.safety_signs import check_signs
from limberleaf.checks.safety.search_words import check_search_words
from limberleaf.checks.safety.unsafe_words import check_unsafe_words
from limberleaf.checks.together import Check, Together
from limberleaf.checks.translation.same_facts import check_same_facts
from limberleaf.checks.translation.translations import check_translations
from limberleaf.figures import Figures
from limberleaf.findings import Finding, in_order
from limberleaf.library import Library
from limberleaf.store import Store

DatedCheck = Callable[[Library, date | None], Iterable[Finding]]

CHECKS: tuple[Check, ...] = (
    check_references,
    check_cut_sentences,
    check_cautions,
    check_doses,
    check_dose_numbers,
    check_pain_numbers,
    check_sides,
    check_agreement,
    check_record,
    check_translations,
    check_same_facts,
    check_unsafe_words,
    check_search_words,
    check_impossible,
    check_facts,
    check_clinic,
    check_face,
    check_equipment,
    check_plans,
    check_media,
    check_signs,
    check_lines,
    check_steps,
    check_movement,
    check_straight,
    check_placing,
    check_said_numbers,
    check_weights,
    check_drawn_sides,
    check_situation,
    check_ladder_words,
    check_ladder_numbers,
)
DATED_CHECKS: tuple[DatedCheck, ...] = (check_review,)


def check_library(
    library: Library, today: date | None = None, *, store: Store | None = None, figures: Figures | None = None
) -> list[Finding]:
    """Give all findings on a library, those of reading it among them, in the order of files and lines.

    Without a clinic file there is nothing to check against, so only the findings of reading are given. Without
    `today` nothing is reported as overdue. Readings and figures are kept in `store` between runs.
    """
    store = store or Store()
    figures = figures or Figures(store)
    return in_order([*check_without_drawing(library, today, store), *check_drawings(library, figures)])


def check_without_drawing(library: Library, today: date | None, store: Store) -> list[Finding]:
    """Give the findings that need no drawn figure, those of reading the library among them."""
    findings = list(library.findings)
    if library.clinic is not None:
        jobs: dict[str, Job] = {
            f"{part.__module__}.{part.__qualname__}": part
            for check in (*CHECKS, *UNDATED)
            for part in (check.parts if isinstance(check, Together) else (check,))
        }
        jobs["check_due"] = partial(check_due, today=today)
        jobs["check_reading"] = partial(_read, store)
        findings += findings_of(library, "checks", jobs, today, store)
        library.read_cache.save()
    return findings


def check_drawings(library: Library, figures: Figures) -> list[Finding]:
    """Give the findings on drawn figures and on steps whose poses are compared; waits for what is being drawn."""
    if library.clinic is None:
        return []
    jobs: dict[str, Job] = {
        "check_figures": lambda library: check_figures(library, figures),
        "check_rungs": lambda library: check_rungs(library, pose_order(library, figures)),
        "check_ways": check_ways,
    }
    findings = findings_of(library, "drawings", jobs, None, library.read_cache.store)
    library.read_cache.save()
    return findings


def _read(store: Store, library: Library) -> Iterable[Finding]:
    return check_reading(library, store)
