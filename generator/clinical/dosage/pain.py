"""The pain bands of a page: the clinic's, unless the exercise has its own."""

from __future__ import annotations

from typing import Literal

from limberleaf.clinical.dosage.dose import number_words
from limberleaf.library.models.clinic import Clinic
from limberleaf.library.models.exercise import Exercise, PainBands
from limberleaf.library.models.values import Count
from limberleaf.words import InterfaceWords, interface_words

BandName = Literal["carry_on", "ease_off", "stop"]
BANDS: tuple[BandName, ...] = ("carry_on", "ease_off", "stop")
WORST = 10


def bands(exercise: Exercise | None, clinic: Clinic) -> PainBands:
    """Give the bands that count for an exercise; without one, the clinic's."""
    return (exercise.feelings.bands if exercise else None) or clinic.pain_bands


def acceptable_pain(exercise: Exercise | None, clinic: Clinic) -> int:
    """Give the highest score that is fine to carry on with."""
    return bands(exercise, clinic).carry_on.high


def band_numbers(name: BandName, exercise: Exercise | None, clinic: Clinic, language: str) -> str:
    """Say the scores of a band as words that fit into a sentence: "0 to 3"."""
    band = getattr(bands(exercise, clinic), name)
    return number_words(Count(band.low, band.high), interface_words(language))


def band_line(name: BandName, bands: PainBands, clinic: Clinic, words: InterfaceWords, lang: str) -> str:
    """Say a band in words: "Pain of 0 to 3 out of 10."; the middle band with the time it may take to settle."""
    band = getattr(bands, name)
    if name == "stop" and band.high == WORST:
        return words.say("feelings.pain_or_more", low=band.low)
    line = words.say("feelings.pain", number=number_words(Count(band.low, band.high), words))
    if name == "ease_off":
        line += " " + words.say("feelings.settle", time=clinic.settle_time.in_language(lang))
    return line
