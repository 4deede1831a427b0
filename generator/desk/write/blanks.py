"""The blanks a text may hold, as buttons: what each is called, and what the page will say in its place."""

from __future__ import annotations

from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.desk.write.entry_state import EntryState
from limberleaf.desk.write.words import LANGUAGES, DeskWords, desk_words
from limberleaf.library import Exercise, Translation
from limberleaf.library.text import DOSE_BLANKS, PLACEHOLDERS


def blanks_data(state: EntryState, words: DeskWords) -> list[dict[str, str]]:
    """Give the blanks of an entry: name, label, what it becomes, and its group (side, pain, dose or clinic).

    Numbers of the dose are there once the dose has them; sides only where a page is about one side.
    """
    library, entry = state.library, state.shown
    if library.clinic is None or state.target.kind == "clinic":
        return []
    if isinstance(entry, Translation):
        loaded = library.exercises.get(entry.translates.code)
        exercise = loaded.entry if loaded else None
    else:
        exercise = entry if isinstance(entry, Exercise) else None
    language = state.target.language or library.settings.language
    values = placeholders_for(library, exercise, None, language)
    sides = {"affected": values.affected_word, "other": values.sides.other}
    both = f"{values.sides.left} / {values.sides.right}"
    found = []
    for name in (*PLACEHOLDERS, *DOSE_BLANKS):
        if name in sides:
            if exercise is None or exercise.sides == "both":
                continue
            group, becomes = "side", f"{sides[name]} / {both}"
        elif name in DOSE_BLANKS:
            group, becomes = "dose", "" if _has_dummies(state) else values.dose.get(name, "")
        else:
            group = "pain" if name in ("acceptable_pain", "settle_time") else "clinic"
            becomes = values.values.get(name, "")
        if becomes:
            after = desk_words(language).after(name) if language in LANGUAGES else ""
            found.append(
                {"name": name, "label": words.blank(name), "becomes": becomes, "group": group, "after": after}
            )
    return found


def _has_dummies(state: EntryState) -> bool:
    return any(one[0] == "dose" for part in state.partial for one in part.completed.added)
