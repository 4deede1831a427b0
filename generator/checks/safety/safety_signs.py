"""Warning signs: every page carries those of its region and situation, in a tier that is urgent enough, and no other
text tells people to do less about them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, cast

from limberleaf.checks.clinic import LATER
from limberleaf.checks.texts import texts_of
from limberleaf.checks.together import together
from limberleaf.clinical.cautions import cautions_for
from limberleaf.clinical.coverage import published_entries
from limberleaf.clinical.signs import (
    at_least,
    box_tier,
    carried,
    cautions_of,
    declares_signs,
    required_for,
    signs,
    signs_in,
    wanted_tier,
)
from limberleaf.findings import Finding, Place, did_you_mean
from limberleaf.library import Caution, Library, Loaded
from limberleaf.library.models.groups import TIERS, Tier
from limberleaf.library.prose import ProsePage
from limberleaf.library.yaml.source import Loc, Source
from limberleaf.store.nodes import each

_ACTS = re.compile(
    r"\{emergency_number\}|\{emergency_place\}|\b(?:today|now|at once|straight away)\b|nobody has checked",
    re.IGNORECASE,
)
_SOFT = re.compile(
    r"\b(?:call|phone|ring|tell|ask|see) us\b|\bnext visit\b|\bdoes not settle\b|\bgo (?:one step )?back\b"
    r"|\brest\b|\btomorrow\b|\bdo less\b|\bease off\b|\btry again\b|\bcarry on\b|\bwait\b",
    re.IGNORECASE,
)

ANOTHER_STEP = ("easier", "when", "move_on_when", "step_back_when", "start_here_if", "suits")
"""Keys under which a line leads to another exercise and to nobody who helps."""

_IN_ACTION = re.compile(r"[^.!?]+")


def _boxes(library: Library) -> Iterator[Finding]:
    if library.settings.language != "en":
        return
    for lowered in library.settings.review.lowered:
        yield from _reason(library, lowered.sign, lowered.by)
    for caution in library.cautions.values():
        if caution.entry.is_published:
            yield from library.read_cache.cached(("covers", caution.entry.id), (caution,), _covers, caution)


def _unread_box(library: Library) -> bool:
    """Tell whether a caution could not be read: it may be the box that a page lacks. A translation is no such box."""
    return any("." not in name for name in library.unread("cautions"))


def _other_texts(library: Library) -> Iterator[Finding]:
    if library.settings.language != "en":
        return
    for _, loaded in each(library.exercises):
        if loaded.entry.status != "retired":
            yield from library.read_cache.cached(
                ("late", loaded.source.path), (loaded,), _texts_of_one, loaded
            )
    for entries in (library.ladders, library.collections):
        for _, group in each(cast("Mapping[str, Loaded[Any]]", entries)):
            yield from library.read_cache.cached(("late", group.source.path), (group,), _texts_of_one, group)
    for page in library.pages.values():
        if not page.language:
            yield from library.read_cache.cached(("late", page.source.path), (page,), _texts_of_page, page)


def _reason(library: Library, sign: str, by: str) -> Iterator[Finding]:
    assert library.clinic is not None  # noqa: S101 - settings were read, or nothing is checked
    place = library.clinic.source.place(("review", "lowered"))
    if sign not in signs():
        yield Finding(
            "error", "sign-unknown", f"No sign is called “{sign}”.", did_you_mean(sign, signs()), place
        )
    if by not in library.settings.review.approvers:
        yield Finding(
            "error",
            "lowered-by-stranger",
            f"“{by}” may not lower a sign: it is not one of the approvers.",
            "Let one of the roles under `approvers:` answer for it.",
            place,
        )


def _covers(loaded: Loaded[Caution]) -> Iterator[Finding]:
    caution = loaded.entry
    here = " ".join(caution.signs)
    for index, name in enumerate(caution.covers):
        sign = signs().get(name)
        place = loaded.source.place(("covers", index))
        if sign is None:
            yield Finding(
                "error", "sign-unknown", f"No sign is called “{name}”.", did_you_mean(name, signs()), place
            )
        elif not sign.pattern.search(here):
            yield Finding(
                "error",
                "sign-not-said",
                f"This box is there for “{name.replace('-', ' ')}”, but none of its signs says it any more.",
                f"Say it in plain words under `signs:`. Source: {sign.source}.",
                loaded.source.place(("signs",), key=True),
            )
        elif not at_least(caution.tier, sign.tier):
            yield Finding(
                "error",
                "sign-in-low-tier",
                f"“{name.replace('-', ' ')}” is in a box of the tier {caution.tier.replace('_', '-')}; it needs "
                f"{sign.tier.replace('_', '-')}.",
                f"Raise the tier, or say in clinic.yml under `review: lowered:` why not here. Source: {sign.source}.",
                loaded.source.place(("tier",)),
            )
    if caution.tier == "ease_off":
        for index, text in enumerate(caution.signs):
            tier = box_tier(text)
            if tier:
                yield _too_late(text, tier, loaded.source.place(("signs", index)), "ease off")
    action = caution.action or ""
    for sentence in _IN_ACTION.findall(action):
        tier = box_tier(sentence)
        if tier and not _ACTS.search(sentence):
            yield _too_late(
                sentence, tier, loaded.source.place(("action",)), "nothing that says now or today"
            )
    if action and caution.tier != "ease_off" and (LATER.search(action) or not _ACTS.search(action)):
        yield Finding(
            "error",
            "action-too-late",
            f"This {caution.tier.replace('_', '-')} box does not say now or today.",
            "Say what to do now, or leave `action:` out: the clinic's words serve.",
            loaded.source.place(("action",)),
        )


def _pages(library: Library) -> Iterator[Finding]:
    if library.settings.language != "en" or not declares_signs(library) or _unread_box(library):
        return
    missing: dict[tuple[str, Tier | None], list[str]] = {}
    for code, loaded in library.published().items():
        has = carried(cautions_of(library, loaded.entry))
        for name in required_for(loaded.entry):
            wanted = wanted_tier(library, signs()[name])
            if wanted is not None and (name not in has or not at_least(has[name], wanted)):
                missing.setdefault((name, has.get(name)), []).append(code)
    for (name, tier), codes in missing.items():
        sign = signs()[name]
        few = ", ".join(codes[:4]) + (f" and {len(codes) - 4} more" if len(codes) > 4 else "")
        says = f"only in a box of the tier {tier.replace('_', '-')}" if tier else "in no box"
        yield Finding(
            "error",
            "sign-missing",
            f"The warning sign “{name.replace('-', ' ')}” is {says} on the page of {few}; it belongs under "
            f"{sign.tier.replace('_', '-')}.",
            f"Let a caution of that tier say it under `covers:` and reach these pages. Source: {sign.source}.",
            _nearest(library, name, codes[0]),
        )


def _in_two_tiers(library: Library) -> Iterator[Finding]:
    """Say lines about one and the same sign that stand in boxes of two tiers on one page."""
    if library.settings.language != "en":
        return
    pages: dict[tuple[str, int, str], list[str]] = {}
    for kind, name, loaded in published_entries(library):
        tiers: dict[str, dict[Tier, tuple[str, int]]] = {}
        for caution in cautions_for(library, loaded.entry):
            for index, line in enumerate(caution.signs):
                if sign := _only_sign(line):
                    tiers.setdefault(sign, {}).setdefault(caution.tier, (caution.id, index))
        for sign, found in tiers.items():
            if len(found) > 1:
                at = found[max(found, key=TIERS.index)]
                page = name if kind == "exercises" else f"{kind}/{name}"
                pages.setdefault((*at, sign), []).append(page)
    for (caution_id, index, sign), names in pages.items():
        few = ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
        yield Finding(
            "error",
            "sign-in-two-tiers",
            f"“{sign.replace('-', ' ')}” is in this box and in a more urgent one on the page of {few}: two answers to "
            "one sign.",
            "Let this caution not reach those pages (`applies_to:`), or say in the line what makes it another sign.",
            library.cautions[caution_id].source.place(("signs", index)),
        )


@cache
def _only_sign(line: str) -> str:
    """Give the sign a line is about when it names one alone; a line that joins several is a sign of its own."""
    named = [sign.name for sign in signs_in(line)]
    return named[0] if len(named) == 1 else ""


def _nearest(library: Library, name: str, code: str) -> Place:
    """Give where to fix it: a caution that declares the sign, or the first page that lacks it."""
    for loaded in library.cautions.values():
        if name in loaded.entry.covers and loaded.entry.status != "retired":
            return loaded.source.place(("applies_to",), key=True)
    return library.exercises[code].source.place(("code",))


def _texts_of_one(loaded: Loaded[Any]) -> Iterator[Finding]:
    for loc, text in texts_of(loaded.entry):
        yield from _late(text, loc, loaded.source)


def _texts_of_page(page: ProsePage) -> Iterator[Finding]:
    for match in re.finditer(r"[^\n.!?]+[.!?]?", page.markdown):
        yield from _late(match[0], ("markdown",), page.source, page.place(match.start()))


def _no_action(text: str, tier: Tier, place: Place) -> Finding:
    names = ", ".join(sign.name.replace("-", " ") for sign in signs_in(text) if not sign.momentary)
    blank = "{emergency_number}" if tier == "emergency" else "{phone}"
    return Finding(
        "error",
        "stop-without-action",
        f"“{text}” speaks of {names}, which is for the {tier.replace('_', '-')} box; under it the page would say "
        "“if it does not settle, call us”.",
        f"Say in the line what to do: “... Call {blank} {'now' if tier == 'emergency' else 'today'}.”",
        place,
    )


def _late(text: str, loc: Loc, source: Source, place: Place | None = None) -> Iterator[Finding]:
    """Say a sign of an emergency or same-day box where a text only slows down, carries on or calls some time."""
    tier = box_tier(text)
    if tier is None or _ACTS.search(text):
        return
    keys = [step for step in loc if isinstance(step, str)]
    if loc[0] == "leave_out_if":
        return
    if loc[:2] == ("feelings", "stop"):
        yield _no_action(text, tier, source.place(loc))
        return
    slows = {"fine": "carry on", "ease_off": "ease off", "come_back_when": "come back some time"}
    how = next((slows[key] for key in keys if key in slows), None)
    if how is None and (soft := _SOFT.search(text)):
        how = soft[0]
    if how is None and keys[-1] in ANOTHER_STEP:
        how = "another step"
    if how is None:
        return
    yield _too_late(text, tier, place or source.place(loc), how)


def _too_late(text: str, tier: Tier, place: Place, how: str) -> Finding:
    names = ", ".join(sign.name.replace("-", " ") for sign in signs_in(text) if not sign.momentary)
    return Finding(
        "error",
        "sign-too-late",
        f"“{text.strip()}” speaks of {names}, which is for the {tier.replace('_', '-')} box; here it only says: {how}.",
        "Take it out here; the box says it with the right action. Or say in the line itself to call now or today.",
        place,
    )


check_signs = together(_boxes, _pages, _in_two_tiers, _other_texts)
"""Say signs that a page lacks or carries in too low a tier, and texts that make too little of one."""
