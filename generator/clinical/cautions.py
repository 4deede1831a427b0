"""Which cautions a page carries, and the boxes they make.

A caution is written once. Its rules are matched against an exercise's region, kind, position, equipment and tags;
what an exercise names itself comes on top. The cautions of a page are merged into few boxes: one for each tier,
apart from those that ask the reader to do something else or count only within a time window.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from limberleaf.library import Library
from limberleaf.library.models.exercise import Exercise
from limberleaf.library.models.groups import TIERS, Caution, Collection, Ladder, Rule, Tier
from limberleaf.library.models.values import Span
from limberleaf.library.translate import group_in_language
from limberleaf.store.nodes import seen
from limberleaf.words import InterfaceWords, interface_words

Entry = Exercise | Ladder | Collection


@dataclass(frozen=True)
class Part:
    """One caution inside a box."""

    id: str
    title: str
    signs: tuple[str, ...]


@dataclass(frozen=True)
class Box:
    """A caution box. Texts still hold their {placeholders}: the page fills them with its placeholders.

    `title`, `signs` and `action` say everything; `parts` are the same signs under the title of each caution.
    """

    tier: Tier
    title: str
    signs: tuple[str, ...]
    action: str
    ids: tuple[str, ...]
    parts: tuple[Part, ...] = ()


def rule_fits(rule: Rule, exercise: Exercise) -> bool:
    """Tell whether every key of the rule fits the exercise, by any of its values."""
    return (
        (not rule.region or exercise.region in rule.region)
        and (not rule.kind or exercise.kind in rule.kind)
        and (not rule.position or exercise.position in rule.position)
        and (not rule.equipment or any(need.item in rule.equipment for need in exercise.equipment))
        and (not rule.tag or any(tag in rule.tag for tag in exercise.tags))
    )


def applies(caution: Caution, exercise: Exercise) -> bool:
    """Tell whether a caution covers an exercise: everywhere, by rule, or named by the exercise."""
    return (
        caution.everywhere
        or caution.id in exercise.cautions
        or any(rule_fits(rule, exercise) for rule in caution.applies_to)
    )


def published_cautions(library: Library) -> list[Caution]:
    """Give the approved cautions, by tier and then by name."""
    found = [loaded.entry for loaded in library.cautions.values() if loaded.entry.is_published]
    return sorted(found, key=lambda caution: (TIERS.index(caution.tier), caution.id))


def cautions_for(library: Library, entry: Entry) -> list[Caution]:
    """Give the cautions that cover an exercise, a ladder or a collection, by tier and then by name.

    A ladder or collection carries the emergency and same-day cautions of all its published exercises, so that
    nobody has to open every page to meet them. Of the ease-off ones it carries those that cover its whole region
    or that it names; the others are shown where they matter, on the exercises.
    """
    every = published_cautions(library)
    if isinstance(entry, Exercise):
        return [caution for caution in every if applies(caution, entry)]
    exercises = list(exercises_of(library, entry))
    named = set(entry.cautions) if isinstance(entry, Collection) else set()
    return [
        caution
        for caution in every
        if caution.everywhere
        or caution.id in named
        or any(_covers_region(rule, entry.region) for rule in caution.applies_to)
        or (caution.tier != "ease_off" and any(applies(caution, exercise) for exercise in exercises))
    ]


def _covers_region(rule: Rule, region: str) -> bool:
    others = (rule.kind, rule.position, rule.equipment, rule.tag)
    return region in rule.region and not any(others)


def exercises_of(library: Library, group: Ladder | Collection) -> Iterator[Exercise]:
    """Give the published exercises of a ladder, or of a collection and its ladders, each once."""
    codes: dict[str, None] = {}
    if isinstance(group, Ladder):
        codes.update(dict.fromkeys(rung.exercise for rung in group.steps))
    else:
        for ident in group.ladders:
            ladder = seen(library.ladders, ident)
            codes.update(dict.fromkeys(ladder.step_codes if ladder else ()))
        codes.update(dict.fromkeys(group.exercises))
    for code in codes:
        loaded = seen(library.exercises, code)
        if loaded and loaded.is_published:
            yield loaded.entry


def boxes(library: Library, entry: Entry, language: str) -> list[Box]:
    """Give the boxes of an exercise, ladder or collection: emergency, same day, ease off."""
    return merged(library, cautions_for(library, entry), language)


def all_boxes(library: Library, language: str) -> list[Box]:
    """Give the boxes of the get-help page: every approved caution, each with its own signs.

    In a tier what is on every page comes first: it is the most urgent (chest pain, short of breath).
    """
    ordered = sorted(published_cautions(library), key=lambda one: (TIERS.index(one.tier), not one.everywhere))
    return merged(library, ordered, language)


def merged(library: Library, cautions: Iterable[Caution], language: str) -> list[Box]:
    """Merge cautions of the same tier, action and time window into one box, by tier."""
    words = interface_words(language)
    groups: dict[tuple[Tier, str, Span | None], list[Caution]] = {}
    for original in cautions:
        # A box in the wrong language is still better than none; `caution-not-translated` stops the build.
        caution = group_in_language(library, "cautions", original, language) or original
        groups.setdefault((caution.tier, action_of(library, caution, language), caution.within), []).append(
            caution
        )
    ordered = sorted(groups.items(), key=lambda item: TIERS.index(item[0][0]))
    return [_box(tier, action, within, group, words) for (tier, action, within), group in ordered]


def action_of(library: Library, caution: Caution, language: str) -> str:
    """Give what to do: the caution's own words, else the clinic's for its tier."""
    if caution.action:
        return caution.action
    action: str = getattr(library.settings.actions, caution.tier).in_language(language)
    return action


def _box(tier: Tier, action: str, within: Span | None, group: list[Caution], words: InterfaceWords) -> Box:
    title = _title_of_one(group[0], words) if len(group) == 1 else words.say(f"cautions.merged.{tier}")
    if within:
        title = words.say("cautions.within", title=title, span=span_words(within, words))
    signs = dict.fromkeys(sign for caution in group for sign in caution.signs)
    parts = tuple(Part(caution.id, caution.title, tuple(caution.signs)) for caution in group)
    return Box(tier, title, tuple(signs), action, tuple(caution.id for caution in group), parts)


def _title_of_one(caution: Caution, words: InterfaceWords) -> str:
    """Give the title of a box of one caution: what it is about, and that its signs say when to get help.

    A title may only say for whom the box is ("If you are pregnant"): an order before it would send all
    of them for help.
    """
    if caution.tier == "ease_off" or caution.title.startswith(words.say(f"tiers.{caution.tier}")):
        return caution.title
    return words.say(f"cautions.one.{caution.tier}", title=caution.title)


def span_words(span: Span, words: InterfaceWords) -> str:
    """Write a stretch of the calendar: `14 days`, `1 week`, `2 years`."""
    return words.say(f"review.spans.{span.unit}", n=span.number)
