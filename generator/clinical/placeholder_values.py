"""The placeholders of a page: the words that fill the blanks of its texts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from limberleaf.clinical.dosage.dose_blanks import DoseBlanks
from limberleaf.clinical.dosage.pain import BANDS, acceptable_pain, band_numbers
from limberleaf.library import Library
from limberleaf.library.models.clinic import Clinic
from limberleaf.library.models.exercise import Exercise
from limberleaf.library.models.record import Side
from limberleaf.library.text import PlaceholderValues, SideWords
from limberleaf.words import interface_words


@dataclass(frozen=True)
class Titles(Mapping[str, str]):
    """The titles links show, by code or id, in one language; looked up only when a text asks."""

    library: Library
    language: str

    def __getitem__(self, name: str) -> str:
        translation = self.library.translations.get((name, self.language))
        if translation and translation.entry.status == "approved":
            return translation.entry.title
        for folder in ("exercises", "ladders", "collections"):
            loaded = getattr(self.library, folder).get(name)
            if loaded is not None:
                words = self.library.group_translations.get((folder, name, self.language))
                approved = words is not None and words.entry.status == "approved"
                return str(words.entry.title if words and approved else loaded.entry.title)
        raise KeyError(name)

    def __iter__(self) -> Iterator[str]:
        yield from self.library.exercises
        yield from self.library.ladders
        yield from self.library.collections

    def __len__(self) -> int:
        return sum(1 for _ in self)


def side_words(language: str) -> SideWords:
    """Give how a language says the sides."""
    sides = interface_words(language).lookup("sides")
    return SideWords(sides["left"], sides["right"], sides["other"], joined=bool(sides.get("joined")))


def practitioner(clinic: Clinic, language: str) -> str:
    """Say who teaches the exercises: the clinic's own words, or neutral ones."""
    if clinic.practitioner:
        return clinic.practitioner.in_language(language)
    return interface_words(language).say("record.practitioner")


def placeholders_for(
    library: Library, exercise: Exercise | None, side: Side | None, language: str
) -> PlaceholderValues:
    """Give the placeholders of an exercise's page for a side (None: either), or of any other page (exercise None).

    Pass the exercise in the page's language (`in_language`), so that its own neutral word is used, and with the dose
    the patient is given, so that its blanks say the same numbers as the table of the dose.
    """
    clinic = library.settings
    neutral = exercise.affected_word if exercise else interface_words(language).say("sides.affected")
    values = {
        "phone": clinic.phone,
        "emergency_number": clinic.emergency.number,
        "emergency_place": clinic.emergency.place.in_language(language),
        "urgent_number": clinic.urgent.number,
        "urgent_name": clinic.urgent.name.in_language(language),
        "acceptable_pain": str(acceptable_pain(exercise, clinic)),
        "settle_time": clinic.settle_time.in_language(language),
        "practitioner": practitioner(clinic, language),
        **{f"{name}_pain": band_numbers(name, exercise, clinic, language) for name in BANDS},
    }
    words = DoseBlanks(exercise.dose, interface_words(language)) if exercise else {}
    return PlaceholderValues(side, neutral, side_words(language), values, Titles(library, language), words)
