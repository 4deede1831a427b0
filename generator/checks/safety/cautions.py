"""Cautions: every page that goes out warns of what is dangerous, says whom to call, and stays readable.

That a rule's box is really on the page is proved on the built page (clinical/coverage.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib.resources import files

from limberleaf.checks.together import together
from limberleaf.clinical.cautions import applies, boxes, rule_fits
from limberleaf.clinical.coverage import published_entries, tiers_without_box
from limberleaf.data_files import safe_load
from limberleaf.findings import Finding, Place, Severity, did_you_mean, nearest
from limberleaf.library import Caution, Exercise, Library, Loaded
from limberleaf.library.yaml.source import Loc
from limberleaf.store.nodes import each

MOST_BOXES = 5
"""Boxes on a page before a note: people skip text between many cards (common practice, no source)."""

CONTACTS = {
    "emergency": ("{emergency_number}", "{emergency_place}"),
    "same_day": ("{phone}", "{urgent_number}"),
    "ease_off": (),
}
"""Blanks of which an action of the tier holds at least one."""

NEEDED: dict[str, tuple[Severity, str]] = {
    "emergency": ("error", "no-emergency-box"),
    "same_day": ("warning", "no-same-day-box"),
}
"""Tiers of which every page carries a box, with the finding on a page that does not."""


@cache
def known_tags() -> frozenset[str]:
    """Read the tags the checks know by themselves (clinical/data/tags.yml)."""
    text = files("limberleaf.clinical").joinpath("data/tags.yml").read_text("utf-8")
    return frozenset(safe_load(text))


def _actions(library: Library) -> Iterator[Finding]:
    if library.clinic is None:
        return
    for tier, contacts in CONTACTS.items():
        for language, text in getattr(library.settings.actions, tier).items():
            if contacts and not any(contact in text for contact in contacts):
                loc: Loc = ("actions", tier, language)
                yield _no_contact(tier, contacts, library.clinic.source.place(loc))
    for loaded in library.cautions.values():
        caution = loaded.entry
        contacts = CONTACTS[caution.tier]
        anyone = (*contacts, "{emergency_number}", "call ")
        if caution.action and contacts and not any(word in caution.action.lower() for word in anyone):
            yield _no_contact(caution.tier, contacts, loaded.source.place(("action",)))


def _no_contact(tier: str, contacts: tuple[str, ...], place: Place) -> Finding:
    return Finding(
        "error",
        "action-without-contact",
        f"This {tier.replace('_', '-')} action does not say whom to call or where to go.",
        f"Use {' or '.join(contacts)}, so that the page shows the clinic's own numbers.",
        place,
    )


def _pages(library: Library) -> Iterator[Finding]:
    language = library.settings.language
    for kind, _, loaded in published_entries(library, each):
        for tier in tiers_without_box(library, loaded.entry, language):
            if tier not in NEEDED:
                continue
            severity, code = NEEDED[tier]
            yield Finding(
                severity,
                code,
                f"No {tier.replace('_', '-')} caution covers this page.",
                "Add its region, kind or tag to the rules of a caution, or name one under `cautions:`.",
                loaded.source.place(),
            )
        count = len(boxes(library, loaded.entry, language))
        if count > MOST_BOXES and kind == "exercises":
            yield Finding(
                "note",
                "many-boxes",
                f"The page carries {count} caution boxes; people skip text between many boxes.",
                "Leave out `action:` where the clinic's own words will do: those cautions share one box.",
                loaded.source.place(),
            )


def _reach(library: Library) -> Iterator[Finding]:
    published = list(library.published().values())
    for loaded in library.cautions.values():
        if loaded.entry.status != "retired" and published:
            yield from _reach_of(library, loaded, published)


def _reach_of(
    library: Library, loaded: Loaded[Caution], published: list[Loaded[Exercise]]
) -> Iterator[Finding]:
    caution = loaded.entry
    covered = [one for one in published if applies(caution, one.entry)]
    named = [name for name, one in library.collections.items() if caution.id in one.entry.cautions]
    if not covered and not named:
        yield Finding(
            "note",
            "caution-covers-nothing",
            "No page carries this caution; it is only on the get-help page.",
            "Look at `applies_to:` if it should cover something.",
            loaded.source.place(("applies_to",), key=True),
        )
    elif not caution.is_published:
        yield Finding(
            "warning",
            "caution-not-approved",
            f"This caution belongs on {len(covered)} pages, but it is not approved, so it is on none.",
            "Get it approved.",
            loaded.source.place(("status",)),
        )
    for index, rule in enumerate(caution.applies_to):
        if covered and not any(rule_fits(rule, one.entry) for one in published):
            yield Finding(
                "note",
                "rule-covers-nothing",
                "This rule fits no exercise that goes out.",
                "All its keys must fit the same exercise. Split it when any one of them should do.",
                loaded.source.place(("applies_to", index)),
            )


def _windows(library: Library) -> Iterator[Finding]:
    for loaded in library.cautions.values():
        yield from _window(loaded)


def _window(loaded: Loaded[Caution]) -> Iterator[Finding]:
    claims = [source.claim for source in loaded.entry.sources]
    if loaded.entry.within and not any("within" in claim or "window" in claim for claim in claims):
        yield Finding(
            "warning",
            "window-without-source",
            "The time window has no source of its own.",
            "Add a source with `claim: within ...`, or leave `within:` out.",
            loaded.source.place(("within",), key=True),
        )
    if not loaded.entry.sources:
        yield Finding(
            "warning",
            "caution-without-source",
            "A caution needs a source for its signs.",
            "Add `sources:`; common_practice and memory are honest answers too.",
            loaded.source.place(),
        )


def _tags(library: Library) -> Iterator[Finding]:
    ruled = {tag for one in library.cautions.values() for rule in one.entry.applies_to for tag in rule.tag}
    known = sorted(known_tags() | ruled)
    for _, loaded in each(library.exercises):
        for index, tag in enumerate(loaded.entry.tags):
            if tag not in known:
                yield Finding(
                    "warning",
                    "unknown-tag",
                    f"No caution and no check knows the tag “{tag}”, so it does nothing.",
                    did_you_mean(tag, known),
                    loaded.source.place(("tags", index)),
                )


def _unused_tags(library: Library) -> Iterator[Finding]:
    used = {tag for one in library.exercises.values() for tag in one.entry.tags}
    for caution in library.cautions.values():
        for index, rule in enumerate(caution.entry.applies_to):
            for at, tag in enumerate(rule.tag):
                if tag not in used and tag not in known_tags():
                    near = nearest(tag, sorted(used | known_tags()))
                    yield Finding(
                        "note",
                        "tag-not-used",
                        f"No exercise carries the tag “{tag}”.",
                        f"Did you mean “{near}”?" if near else "Tag the exercises it should cover.",
                        caution.source.place(("applies_to", index, "tag", at)),
                    )


def _named_ones(library: Library) -> Iterator[Finding]:
    for _, loaded in each(library.exercises):
        bare: Exercise = loaded.entry.model_copy(update={"cautions": []})
        for index, name in enumerate(loaded.entry.cautions):
            caution = library.cautions.get(name)
            if caution and applies(caution.entry, bare):
                yield Finding(
                    "note",
                    "caution-by-rule-anyway",
                    f"“{name}” covers this exercise by its rules already.",
                    "Leave it out here.",
                    loaded.source.place(("cautions", index)),
                )


def _support(library: Library) -> Iterator[Finding]:
    """Say balance work with nothing to hold that cannot move: a chair can tip (sources differ; the safer side)."""
    items = library.equipment.entry.items if library.equipment else {}
    for _, loaded in each(library.exercises):
        exercise = loaded.entry
        if exercise.status == "retired" or exercise.kind != "balance":
            continue
        needs = [need.item for need in exercise.equipment if not need.optional]
        if not any(name in items and items[name].support for name in needs):
            yield Finding(
                "warning",
                "balance-without-support",
                "This is balance work, but nothing is listed that is safe to hold.",
                "Add an item with `support: true` in equipment.yml, such as a worktop; a chair can tip.",
                loaded.source.place(("equipment",) if needs else ("kind",)),
            )


check_cautions = together(_actions, _pages, _reach, _windows, _tags, _unused_tags, _named_ones, _support)
"""Say pages without a box, boxes without a contact, rules that cover nothing, and tags nobody knows."""
