"""The finder: every exercise of an edition as a plain list, the choices to narrow it, and the index for typing.

The list is whole without a script. The script hides what does not fit and orders the rest; it knows an exercise by
its code, and takes titles from the list itself, so the index holds only what the list does not show.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.data_files import safe_load
from limberleaf.library import Exercise
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer
from limberleaf.pages.passage import Passage
from limberleaf.pages.views.exercise_view import position_name
from limberleaf.pages.views.ladder_view import CardView, card
from limberleaf.pages.views.record_view import RecordView, record_view


@dataclass(frozen=True)
class FilterChoice:
    """One value of a filter, as the script knows it and as people read it."""

    value: str
    label: str


@dataclass(frozen=True)
class Filter:
    """A filter of the finder: its name in the address, its label, its choices."""

    name: str
    label: str
    choices: list[FilterChoice]


@dataclass(frozen=True)
class Group:
    """A body part with its ladders and its exercises."""

    label: str
    ladders: list[GroupLink]
    cards: list[CardView]


@dataclass(frozen=True)
class GroupLink:
    """A link to a collection or a ladder, with what it is about."""

    title: str
    href: str
    words: Passage


@dataclass(frozen=True)
class FinderView:
    """All that the finder shows."""

    clinic: str
    collections: list[GroupLink]
    filters: list[Filter]
    kit: list[FilterChoice]
    groups: list[Group]
    count: int
    record: RecordView


def finder_view(edition: LanguageEdition, url: str) -> FinderView:
    """Make the view of the finder."""
    renderer = edition.renderer(url)
    groups = [
        Group(
            label,
            _ladders(edition, renderer, region),
            [card(edition, renderer, one.code) for one in exercises],
        )
        for region, label, exercises in _by_region(edition)
    ]
    return FinderView(
        clinic=edition.name,
        collections=[
            GroupLink(renderer.plain(one.title), renderer.to(name) or "", renderer.write(one.summary))
            for name, one in edition.collections.items()
        ],
        filters=_filters(edition),
        kit=_kit(edition),
        groups=groups,
        count=len(edition.exercises),
        record=record_view(edition, None, url),
    )


def _ladders(edition: LanguageEdition, renderer: TextRenderer, region: str) -> list[GroupLink]:
    own = {name: one for name, one in edition.ladders.items() if one.region == region}
    return [
        GroupLink(renderer.plain(one.title), renderer.to(name) or "", renderer.write(one.aim))
        for name, one in own.items()
    ]


def finder_index(edition: LanguageEdition) -> str:
    """Write the finder's index as a script that hands it over, so that it also loads from a disk.

    One row an exercise: code, body part, position, kind (as places in `regions`, `positions`, `kinds`), what it
    needs, ladders, collections (places in `kit`, `ladders`, `collections`), everyday words, aim.
    """
    found: dict[str, dict[str, int]] = {
        name: {} for name in ("regions", "positions", "kinds", "kit", "ladders", "collections")
    }

    def at(name: str, value: str) -> int:
        return found[name].setdefault(value, len(found[name]))

    rows = [
        [
            code,
            at("regions", one.region),
            at("positions", one.position),
            at("kinds", one.kind),
            [at("kit", need.item) for need in one.equipment if not need.optional],
            [at("ladders", place.ladder.id) for place in edition.places[code]],
            [at("collections", name) for name in edition.collections_of[code]],
            ", ".join(one.synonyms),
            one.aim.rstrip("."),
        ]
        for _, _, exercises in _by_region(edition)
        for one in exercises
        for code in (one.code,)
    ]
    lists = {name: list(values) for name, values in found.items()}
    index = {
        **lists,
        "names": _names(edition, lists),
        "synonyms": _synonyms(edition),
        "idle": _common_words(edition.language).get("idle", []),
        "rows": rows,
    }
    return f"limberleafFinder({json.dumps(index, ensure_ascii=False, separators=(',', ':'))});\n"


def _names(edition: LanguageEdition, lists: Mapping[str, list[str]]) -> dict[str, list[str]]:
    """Give the words a reader may type for the values of each list."""
    collections, ladders = edition.collections, edition.ladders
    return {
        "regions": [edition.words.say(f"regions.{name}") for name in lists["regions"]],
        "positions": [position_name(edition, name) for name in lists["positions"]],
        "kinds": [edition.words.say(f"kinds.{name}") for name in lists["kinds"]],
        "kit": [_item_name(edition, name) for name in lists["kit"]],
        "ladders": [
            _title_and_synonyms(ladders[name].title, ladders[name].synonyms) for name in lists["ladders"]
        ],
        "collections": [
            _title_and_synonyms(collections[name].title, collections[name].synonyms)
            for name in lists["collections"]
        ],
    }


def _title_and_synonyms(title: str, synonyms: Iterable[str]) -> str:
    return ", ".join([title, *synonyms])


def _synonyms(edition: LanguageEdition) -> dict[str, list[str]]:
    """Give what typed words mean: those every clinic has, and over them the library's own."""
    words = edition.context.library.words
    own = dict(words.entry.synonyms) if words and edition.is_first else {}
    return {**_common_words(edition.language).get("means", {}), **own}


@cache
def _common_words(language: str) -> dict[str, Any]:
    """Read what every clinic's readers type (data/finder_words.yml): `means` by word, and `idle` words."""
    text = files("limberleaf.pages").joinpath("data/finder_words.yml").read_text("utf-8")
    return dict(safe_load(text).get(language, {}))


def _by_region(edition: LanguageEdition) -> list[tuple[str, str, list[Exercise]]]:
    groups = []
    for region, label in edition.words.lookup("regions").items():
        own = [one for one in edition.exercises.values() if one.region == region]
        if own:
            groups.append((region, label, sorted(own, key=lambda one: one.code)))
    return groups


def _filters(edition: LanguageEdition) -> list[Filter]:
    words, exercises = edition.words, edition.exercises.values()
    regions, kinds = {one.region for one in exercises}, {one.kind for one in exercises}
    positions = {one.position for one in exercises}
    known = [*words.lookup("positions"), *sorted(positions)]
    choices = {
        "problem": [FilterChoice(name, one.title) for name, one in edition.collections.items()],
        "part": [
            FilterChoice(name, label) for name, label in words.lookup("regions").items() if name in regions
        ],
        "position": [
            FilterChoice(name, position_name(edition, name))
            for name in dict.fromkeys(known)
            if name in positions
        ],
        "ladder": [FilterChoice(name, one.title) for name, one in edition.ladders.items()],
        "kind": [FilterChoice(name, label) for name, label in words.lookup("kinds").items() if name in kinds],
    }
    return [Filter(name, words.say(f"finder.{name}"), own) for name, own in choices.items() if own]


def _kit(edition: LanguageEdition) -> list[FilterChoice]:
    used = {need.item for one in edition.exercises.values() for need in one.equipment if not need.optional}
    listed = [name for name in edition.equipment.items if name in used]
    return [
        FilterChoice(name, _item_name(edition, name)) for name in [*listed, *sorted(used.difference(listed))]
    ]


def _item_name(edition: LanguageEdition, name: str) -> str:
    item = edition.equipment.items.get(name)
    return item.name.in_language(edition.language) if item else name.replace("_", " ")
