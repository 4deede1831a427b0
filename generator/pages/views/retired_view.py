"""The page at the address of a retired exercise: a way to what replaces it, or a page that says why it is gone."""

from __future__ import annotations

from dataclasses import dataclass

from limberleaf.library import Exercise, Side
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.passage import Passage
from limberleaf.pages.views.finder_view import GroupLink
from limberleaf.pages.views.record_view import RecordView, record_view


@dataclass(frozen=True)
class RetiredView:
    """All that the page of a retired exercise shows."""

    title: str
    because: Passage | None
    doors: list[GroupLink]
    record: RecordView


def replacement(edition: LanguageEdition, exercise: Exercise, side: Side | None) -> str | None:
    """Give the address of what replaces a retired exercise, along a chain of replacements; None when it has none."""
    seen = {exercise.code}
    code = exercise.replaced_by
    while code and code not in seen:
        if code in edition.exercises:
            return edition.address_of(code, side)
        seen.add(code)
        loaded = edition.context.library.exercises.get(code)
        code = loaded.entry.replaced_by if loaded else None
    return None


def retired_view(edition: LanguageEdition, exercise: Exercise, url: str) -> RetiredView:
    """Make the view of the page that says an exercise was taken away, with the collections it could belong to."""
    renderer = edition.renderer(url, exercise)
    near = [one for one in edition.collections.values() if one.region == exercise.region]
    return RetiredView(
        title=renderer.plain(exercise.title),
        because=renderer.write(exercise.retired_because) if exercise.retired_because else None,
        doors=[
            GroupLink(renderer.plain(one.title), renderer.to(one.id) or "", renderer.write(one.summary))
            for one in near
        ],
        record=record_view(edition, exercise.review, url, exercise.code),
    )
