"""Ladders, collections and cautions in another language: the same entry with other words.

A file `knee-strength.nl.yml` beside `knee-strength.yml` holds only the words; the order of its steps, questions and
signs is that of the original.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, Field

from limberleaf.library.models.groups import Caution, Collection, Ladder, Question
from limberleaf.library.models.record import Record, Review, Status
from limberleaf.library.models.values import Ident, Text, Texts
from limberleaf.library.text import read_aloud

Group = TypeVar("Group", Ladder, Collection, Caution)


class GroupTranslates(Record):
    """Which words a translation was made from."""

    id: Ident = Field(description="The name of what it translates.")
    version: int = Field(ge=1, strict=False, description="The version it was made from.")
    fingerprint: Text = Field(
        description="Of the words it translates; `limberleaf check` prints the present one."
    )


class GroupWords(Record):
    """What the translations of ladders, collections and cautions share."""

    translates: GroupTranslates = Field(
        description="Which entry, which version and which words were translated."
    )
    status: Status = Field("draft", description="Only `approved` is published.")
    review: Review = Field(description="Who owns the translation, who approved it and when.")
    title: Text = Field(description="The title.")


class RungWords(Record):
    """The rules of one step."""

    start_here_if: Text = Field(description="Who begins at this step.")
    move_on_when: Text | None = Field(None, description="When to move on.")
    step_back_when: Text = Field(description="When to go one step back.")
    same_or_less_because: Text | None = Field(
        None, description="Why this step asks no more than the one before."
    )


class WayWords(Record):
    """When to go to another ladder."""

    when: Text = Field(description="The sign that this ladder is the wrong one.")


class LadderWords(GroupWords):
    """The words of a ladder."""

    aim: Text = Field(description="One sentence: where it leads.")
    steps: list[RungWords] = Field(description="The rules of each step, in order.")
    if_you_cannot: WayWords | None = Field(None, description="When to go to the other ladder.")
    synonyms: list[Text] = Field(
        default_factory=list, description="Everyday words for the finder, in this language."
    )


class CollectionWords(GroupWords):
    """The words of a collection."""

    summary: Text = Field(description="One or two sentences for the finder and the head of the page.")
    about: Texts = Field(description="What is going on, paragraph by paragraph.")
    before_you_start: list[Text] = Field(
        default_factory=list, description="What to know before the first exercise."
    )
    questions: list[Question] = Field(default_factory=list, description="Questions people ask, with answers.")
    come_back_when: list[Text] = Field(default_factory=list, description="When to see the clinic again.")
    synonyms: list[Text] = Field(
        default_factory=list, description="Everyday words for the finder, in this language."
    )


class CautionWords(GroupWords):
    """The words of a caution."""

    signs: Texts = Field(description="The warning signs, in the order of the original.")
    action: Text | None = Field(
        None, description="Only where the original has words of its own for what to do."
    )


GROUP_WORDS: Mapping[str, type[GroupWords]] = {
    "ladders": LadderWords,
    "collections": CollectionWords,
    "cautions": CautionWords,
}
"""The model of a translation, by its folder."""

_WRITTEN: Mapping[str, tuple[str, ...]] = {
    "ladders": ("title", "aim"),
    "collections": ("title", "summary", "about", "before_you_start", "questions", "come_back_when"),
    "cautions": ("title", "signs", "action"),
}
_RUNG = ("start_here_if", "move_on_when", "step_back_when", "same_or_less_because")


def digest_of(words: Mapping[str, Any], *, to_the_letter: bool) -> str:
    """Give 12 hexadecimal digits for words; without `to_the_letter` punctuation, case and spacing count for nothing."""
    plain = json.loads(json.dumps(words, default=_as_plain, ensure_ascii=False))
    text = json.dumps(plain if to_the_letter else read_aloud(plain), ensure_ascii=False, sort_keys=True)
    return hashlib.blake2b(text.encode(), digest_size=6).hexdigest()


def _as_plain(value: Any) -> Any:
    return value.model_dump() if isinstance(value, BaseModel) else str(value)


def group_fingerprint(
    folder: str, entry: Ladder | Collection | Caution, *, to_the_letter: bool = False
) -> str:
    """Give 12 hexadecimal digits that change when the words change; see `digest_of`."""
    words: dict[str, Any] = {name: getattr(entry, name) for name in _WRITTEN[folder]}
    if isinstance(entry, Ladder):
        words["steps"] = [[getattr(rung, name) for name in _RUNG] for rung in entry.steps]
        words["if_you_cannot"] = entry.if_you_cannot.when if entry.if_you_cannot else None
    return digest_of(words, to_the_letter=to_the_letter)


def with_group_words(original: Group, words: GroupWords) -> Group:
    """Put the words of a translation into the entry; what it leaves out stays away rather than foreign."""
    update: dict[str, Any] = {
        name: getattr(words, name)
        for name in words.__class__.model_fields  # a page sees entries through a view of another type
        if name not in ("translates", "status")
    }
    if isinstance(original, Ladder) and isinstance(words, LadderWords):
        update["steps"] = [
            rung.model_copy(update={name: getattr(own, name) for name in _RUNG})
            for rung, own in zip(original.steps, words.steps, strict=False)
        ]
        way = original.if_you_cannot
        update["if_you_cannot"] = (
            way.model_copy(update={"when": words.if_you_cannot.when}) if way and words.if_you_cannot else None
        )
    return original.model_copy(update=update)
