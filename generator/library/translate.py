"""An exercise in another language: the same entry with other words, and the fingerprint that shows when it is stale."""

from __future__ import annotations

from typing import Any

from limberleaf.library.load import Library
from limberleaf.library.models.exercise import Exercise, Translation
from limberleaf.library.models.group_words import Group, digest_of, with_group_words

_WORDS = (
    "title",
    "aim",
    "affected_word",
    "suits",
    "leave_out_if",
    "working_side",
    "base_side",
    "setup",
    "steps",
    "dose_reason",
    "in_short",
    "watch_for",
)


def fingerprint(exercise: Exercise, *, to_the_letter: bool = False) -> str:
    """Give 12 hexadecimal digits that change when the words (or the dose they speak of) change.

    Punctuation, case and spacing count only `to_the_letter`, as they did in translations made before.
    """
    words: dict[str, Any] = {name: getattr(exercise, name) for name in _WORDS}
    words["feelings"] = [exercise.feelings.fine, exercise.feelings.ease_off, exercise.feelings.stop]
    words["ways"] = {name: way.when for name, way in exercise.linked_steps.items()}
    words["equipment"] = [need.instead for need in exercise.equipment]
    words["captions"] = [pose.caption for pose in exercise.figure.poses]
    words["dose"] = exercise.dose.model_dump(mode="python")
    return digest_of(words, to_the_letter=to_the_letter)


def in_language(library: Library, code: str, language: str) -> Exercise | None:
    """Give the exercise in a language, or None when it is not written (or not approved) in it."""
    original = library.exercises[code].entry
    if language == library.settings.language:
        return original
    loaded = library.translations.get((code, language))
    if loaded is None or loaded.entry.status != "approved":
        return None
    return translated(original, loaded.entry)


def group_in_language(library: Library, folder: str, entry: Group, language: str) -> Group | None:
    """Give a ladder, collection or caution in a language, or None when it is not approved in it."""
    if language == library.settings.language:
        return entry
    loaded = library.group_translations.get((folder, entry.id, language))
    if loaded is None or loaded.entry.status != "approved":
        return None
    return with_group_words(entry, loaded.entry)


def translated(original: Exercise, words: Translation) -> Exercise:
    """Put the words of a translation into the entry; what it leaves out stays away rather than foreign."""
    update: dict[str, Any] = {name: getattr(words, name) for name in _WORDS}
    update["affected_word"] = words.affected_word or original.affected_word
    update["feelings"] = original.feelings.model_copy(
        update={name: getattr(words.feelings, name) for name in ("fine", "ease_off", "stop")}
    )
    for name, way in original.linked_steps.items():
        own = getattr(words, name)
        update[name] = way.model_copy(update={"when": own.when}) if own else None
    update["equipment"] = [
        need.model_copy(update={"instead": words.equipment[i].instead if i < len(words.equipment) else None})
        for i, need in enumerate(original.equipment)
    ]
    captions = words.figure.captions
    poses = [
        pose.model_copy(update={"caption": captions[i] if i < len(captions) else None})
        for i, pose in enumerate(original.figure.poses)
    ]
    update["figure"] = original.figure.model_copy(update={"poses": poses})
    update["synonyms"] = words.synonyms
    update["switched_off"] = words.switched_off
    update["review"] = words.review
    return original.model_copy(update=update)
