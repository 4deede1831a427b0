"""What patients read of a dose, of the pain bands, and of the sides, in every language there is."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from string import Formatter
from typing import Any

import pytest
import yaml

from limberleaf.clinical.dosage.dose import spoken, table, time_needed, total_line
from limberleaf.clinical.dosage.pain import BANDS, band_line, bands
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.library import Dose, Library, PainBands, load_library
from limberleaf.library.text import PLACEHOLDERS, fill
from limberleaf.words import interface_words

CASES = yaml.safe_load(Path(__file__).with_name("dose_words.yml").read_text("utf-8"))
GROUPS = ("dose", "feelings", "cautions", "ladders", "review")


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_dose_in_words(case: dict[str, Any]) -> None:
    words, dose = interface_words("en"), Dose.model_validate(case["dose"])
    assert spoken(dose, case["sides"], words) == case["spoken"]
    assert total_line(dose, case["sides"], words) == case["total"]
    assert time_needed(dose, case["sides"], words) == case["time"]
    assert [f"{c.number} {c.label}" for c in table(dose, case["sides"], words)] == case["table"]


def phrases(group: Mapping[str, Any], path: str = "") -> dict[str, set[frozenset[str]]]:
    """Give the blanks of each phrase, by its path, whatever plurals a language has."""
    found: dict[str, set[frozenset[str]]] = {}
    for name, value in group.items():
        if isinstance(value, Mapping) and set(value) & {"other"}:
            found[f"{path}.{name}"] = {blanks(text) for text in value.values()}
        elif isinstance(value, Mapping):
            found |= phrases(value, f"{path}.{name}")
        else:
            found[f"{path}.{name}"] = {blanks(value)}
    return found


def blanks(text: str) -> frozenset[str]:
    return frozenset(name for _, name, _, _ in Formatter().parse(text) if name)


@pytest.mark.parametrize("language", ["nl", "ar"])
@pytest.mark.parametrize("group", GROUPS)
def test_every_phrase_is_there_in_every_language(language: str, group: str) -> None:
    ours = phrases(interface_words("en").phrases[group])
    theirs = phrases(interface_words(language).phrases[group])
    assert set(ours) == set(theirs)
    for path, wanted in theirs.items():
        known = frozenset.union(*ours[path])
        assert all(blank <= known for blank in wanted), path
        assert max(wanted, key=len) == known - ({"n"} if "n" not in max(wanted, key=len) else set()), path


@pytest.mark.parametrize("language", ["en", "nl", "ar"])
@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_every_dose_can_be_said_in_every_language(language: str, case: dict[str, Any]) -> None:
    words, dose = interface_words(language), Dose.model_validate(case["dose"])
    lines = [spoken(dose, case["sides"], words), total_line(dose, case["sides"], words)]
    assert all(text and "{" not in text for text in lines)
    assert len(table(dose, case["sides"], words)) == len(case["table"])


def test_dutch_as_it_is_spoken() -> None:
    dose = Dose.model_validate(CASES[0]["dose"])
    assert spoken(dose, "one", interface_words("nl")) == (
        "Doe 3 series van 8 tot 12. Houd elke keer 3 seconden vast. Tel op de heenweg tot 2 en op de terugweg tot 3. "
        "Rust 1 minuut tussen de series. Doe dit 1 keer per dag, op 3 dagen per week."
    )


@pytest.mark.parametrize(
    ("seconds", "phrase"),
    # CLDR 46, Arabic: one, two, few (3-10), many (11-99)
    [
        ("1 s", "ثانية واحدة"),
        ("2 s", "ثانيتين"),
        ("5 s", "5 ثوانٍ"),
        ("30 s", "30 ثانية"),
        ("1-2 s", "1 أو 2 ثوانٍ"),
    ],
)
def test_arabic_seconds_take_their_plural(seconds: str, phrase: str) -> None:
    dose = Dose.model_validate({"repetitions": 5, "hold": seconds, "times_a_day": 1, "days_a_week": 7})
    assert f"لمدة {phrase}." in spoken(dose, "one", interface_words("ar"))


def test_an_exercise_may_have_bands_of_its_own(library: Library) -> None:
    clinic, exercise = library.settings, library.exercises["kn-02"].entry
    own = PainBands.model_validate({"carry_on": "0-2", "ease_off": "3-5", "stop": "6-10"})
    words = interface_words("en")
    changed = exercise.model_copy(update={"feelings": exercise.feelings.model_copy(update={"bands": own})})
    assert bands(exercise, clinic) == clinic.pain_bands
    lines = [band_line(name, bands(changed, clinic), clinic, words, "en") for name in BANDS]
    assert lines == [
        "Pain of 0 to 2 out of 10.",
        "Pain of 3 to 5 out of 10. It should settle within 24 hours.",
        "Pain of 6 or more out of 10.",
    ]
    assert fill("{acceptable_pain}", placeholders_for(library, changed, None, "en")).plain == "2"
    assert fill("{acceptable_pain}", placeholders_for(library, exercise, None, "en")).plain == "3"


SENTENCE = "Lift your {affected} leg past your {other} leg."


@pytest.mark.parametrize(
    ("side", "expected"),
    [
        (None, "Lift your stiff leg past your other leg."),
        ("left", "Lift your left leg past your right leg."),
        ("right", "Lift your right leg past your left leg."),
    ],
)
def test_the_voice_says_the_side(library: Library, side: Any, expected: str) -> None:
    placeholders = placeholders_for(library, library.exercises["kn-02"].entry, side, "en")
    assert fill(SENTENCE, placeholders).plain == expected


def test_dutch_joins_left_and_right_to_the_body_part(library: Library) -> None:
    exercise = library.exercises["kn-02"].entry.model_copy(update={"affected_word": "stijve"})
    text = "Til uw {affected} been langs uw {other} been."
    filled = [
        fill(text, placeholders_for(library, exercise, side, "nl")).plain for side in (None, "left", "right")
    ]
    assert filled == [
        "Til uw stijve been langs uw andere been.",
        "Til uw linkerbeen langs uw rechterbeen.",
        "Til uw rechterbeen langs uw linkerbeen.",
    ]


def test_every_blank_is_filled_and_links_show_titles(library: Library) -> None:
    placeholders = placeholders_for(library, None, None, "en")
    for name in PLACEHOLDERS:
        assert "{" not in fill(f"{{{name}}}", placeholders).plain
    assert fill("[[kn-01]]", placeholders).plain == "Slide your heel in lying"
    assert fill("[[knee-first-steps]]", placeholders).plain == "First steps for a stiff knee"
    assert fill("[[nothing]]", placeholders).plain == "[[nothing]]"
    assert set(placeholders.titles) >= {"kn-01", "knee-first-steps", "stiff-knee"}


@pytest.mark.parametrize(
    ("language", "neutral"), [("en", "a qualified physiotherapist"), ("nl", "een gekwalificeerde")]
)
def test_a_clinic_says_who_teaches_as_its_law_names_them(
    library: Library, language: str, neutral: str
) -> None:
    statement = interface_words(language).say("record.statement")
    assert neutral in fill(statement, placeholders_for(library, None, None, language)).plain
    clinic = library.root / "clinic.yml"
    said = "{en: a registered physiotherapist, nl: een geregistreerde fysiotherapeut}"
    clinic.write_text(f"{clinic.read_text('utf-8')}\npractitioner: {said}\n", "utf-8")
    own = placeholders_for(load_library(library.root), None, None, language)
    assert {"en": "what a registered", "nl": "wat een geregistreerde"}[language] in fill(statement, own).plain
