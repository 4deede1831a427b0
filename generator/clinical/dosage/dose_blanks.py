"""The words that fill the blanks for a dose's numbers, so that a text can never say another number than the dose.

The plan page fills the same blanks in the browser (pages/assets/plan-dose.js); both are held to one table of cases.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from limberleaf.clinical.dosage.dose import days_words, number_words, often_words, plural_of, time_words
from limberleaf.library.models.exercise import AsComfortable, Dose
from limberleaf.library.models.values import Count, Duration
from limberleaf.words import InterfaceWords


class DoseBlanks(Mapping[str, str]):
    """The words of every blank that a dose has a number for, worked out when the first blank is filled."""

    def __init__(self, dose: Dose, words: InterfaceWords) -> None:
        self._dose, self._words = dose, words

    @cached_property
    def _blanks(self) -> Mapping[str, str]:
        return blanks(self._dose, self._words)

    def __getitem__(self, name: str) -> str:
        """Give the words of a blank."""
        return self._blanks[name]

    def __iter__(self) -> Iterator[str]:
        """Name the blanks."""
        return iter(self._blanks)

    def __len__(self) -> int:
        """Count the blanks."""
        return len(self._blanks)


def blanks(dose: Dose, words: InterfaceWords) -> Mapping[str, str]:
    """Give the words of every blank that the dose has a number for (names: `library.text.DOSE_BLANKS`)."""
    found = {"times_a_day": often_words(dose, words), "days_a_week": days_words(dose, words)}
    if dose.sets:
        found["sets"] = words.say(
            "dose.blanks.sets", n=plural_of(dose.sets), number=number_words(dose.sets, words)
        )
        found["sets_count"] = number_words(dose.sets, words)
    if isinstance(dose.repetitions, AsComfortable):
        most = dose.repetitions.up_to
        found["repetitions"] = words.say("dose.blanks.most", n=most, number=most)
        found["repetitions_count"] = str(most)
    elif dose.repetitions:
        number = number_words(dose.repetitions, words)
        found["repetitions"] = words.say(
            "dose.blanks.repetitions", n=plural_of(dose.repetitions), number=number
        )
        found["repetitions_count"] = number
    if dose.duration:
        found["duration"] = time_words(dose.duration, words)
    if dose.rest:
        found["rest"] = time_words(dose.rest, words)
    tempo = dose.tempo
    times: Mapping[str, Duration | None] = {
        "hold": dose.hold,
        "out": tempo.out if tempo else None,
        "pause": tempo.pause if tempo else None,
        "back": tempo.back if tempo else None,
    }
    for name, time in times.items():
        if time and time.high:
            found[name] = time_words(time, words)
            found[f"{name}_count"] = number_words(Count(time.low, time.high), words)
    return found
