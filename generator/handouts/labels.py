"""The interface words a template prints, picked by name from the language's words."""

from __future__ import annotations

from typing import Any

from limberleaf.pages.language_edition import LanguageEdition

EXERCISE = (
    "position", "time", "need", "need_nothing", "optional", "or", "never", "working_side", "base_side",
    "in_short", "leave_out_if", "needs_clearance", "suits", "get_ready", "do_it", "how_much", "feel",
    "boxes", "ways", "when", "watch_for", "not_approved",
)  # fmt: skip
RECORD = ("try_first", "qr", "reviewed_by", "reviewed", "due", "code", "version", "address")


def exercise_labels(edition: LanguageEdition) -> dict[str, Any]:
    """Give the words around an exercise."""
    say = edition.words.say
    return {
        **{name: say(f"exercise.{name}") for name in EXERCISE},
        "bands": edition.words.lookup("exercise.bands"),
        "way": edition.words.lookup("exercise.way"),
        "more": say("cautions.more"),
        "signs": say("figure.signs.title"),
        **edition.words.lookup("handout"),
    }
