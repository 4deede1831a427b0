"""What changed between two states of an entry, item by item, and what each change means for a patient.

A review that only says "steps changed" is signed unread. Here each line that went, came or says something else is one
difference with its kind: a stop rule removed, a "not" dropped, a number or a side changed, a tier lowered.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher
from typing import Any

from limberleaf.clinical.governance.change_kinds import (
    HELP,
    KEEPS_SAFE,
    KEPT_BY,
    LEAST_ANGLE,
    LEAST_LEFT,
    LEAST_TURN,
    LESS_CAREFUL,
    LINES,
    MAY_BE_CUT,
    MOST_MOVED,
    NAMES_ALONE,
    NOT_FOR_PATIENTS,
    PLACES_OF_PROPS,
    SIGNS,
    UNORDERED,
    WEAKENS,
)
from limberleaf.clinical.governance.fact_words import (
    WordChange,
    moved_between_clauses,
    only_cut_elsewhere,
    word_change,
)
from limberleaf.clinical.governance.places import NOTHING, name_of, place_first, place_in_words, show
from limberleaf.clinical.governance.search_words import changed_search_words
from limberleaf.clinical.text_facts import (
    TextFacts,
    condition_turned,
    facts_of,
    held_by_hands,
    other_safety_words,
    plainly,
    safety_words_in,
    stop_moved,
    turned_words,
    words_of,
)
from limberleaf.library.models.groups import TIERS
from limberleaf.library.yaml.source import Loc

_LINK = re.compile(r"\[\[([^\]|]*)")
_SENTENCE_END = re.compile(r"[.!?؟]+(?:\s|$)")


@dataclass(frozen=True)
class Difference:
    """One change: where, its kind (kebab-case), plain words, whether it matters for safety, and the values.

    A line that came has no `old` value, one that went no `new` one.
    """

    loc: Loc
    kind: str
    says: str
    safety: bool = True
    old: Any = field(default=None, hash=False)
    new: Any = field(default=None, hash=False)

    @property
    def weakens(self) -> bool:
        """Tell whether it can take a safeguard away, so that a yes alone does not approve it."""
        return self.kind in WEAKENS or self.kind.endswith("-removed")


def differences(before: Mapping[str, Any], after: Mapping[str, Any], language: str) -> list[Difference]:
    """Give what changed between two sets of plain fields, in the order of their names."""
    found: list[Difference] = []
    for name in dict.fromkeys([*after, *before]):
        old, new = before.get(name), after.get(name)
        if name == "synonyms":
            found += _search_words(old, new)
        elif name == KEPT_BY:
            found += _keeper(old, new)
        else:
            for one in _changed(old, new, (name,), language):
                found.append(replace(one, kind="record", safety=False) if name in NOT_FOR_PATIENTS else one)
    return found


def _search_words(old: Any, new: Any) -> Iterator[Difference]:
    for one in changed_search_words(old, new):
        loc: Loc = ("synonyms", *one.loc)
        yield Difference(loc, "record", one.says, safety=one.new is not None, old=one.old, new=one.new)


def _keeper(old: Any, new: Any) -> Iterator[Difference]:
    if old and old != new:  # locks of before say no keepers
        message = f"It was kept by {old}, now by {new}: who keeps it approves nothing in it."
        yield Difference((KEPT_BY,), "record", message, old=old, new=new)


def _changed(old: Any, new: Any, loc: Loc, language: str) -> Iterator[Difference]:
    if old == new or (old in (None, [], {}, False) and new in (None, [], {}, False)):
        return
    if isinstance(old, list) and isinstance(new, list) and not _is_range(old, new):
        yield from _lists(old, new, loc, language)
    elif isinstance(old, dict) and isinstance(new, dict):
        if loc[0] == "applies_to":
            message = f"It shows elsewhere: by {show(old)} before, by {show(new)} now."
            yield Difference(loc, "reach", message, old=old, new=new)
            return
        if "joints" in loc and len(old) == len(new) and len(old.keys() - new.keys()) == 1:
            message = f"{place_first(loc)} goes another way: {show(old)} became {show(new)}."
            yield Difference(loc, "direction", message, old=old, new=new)
            return
        for key in dict.fromkeys([*new, *old]):
            yield from _changed(old.get(key), new.get(key), (*loc, key), language)
    elif isinstance(old, str) and isinstance(new, str):
        yield replace(_text(old, new, loc, language), old=old, new=new)
    elif isinstance(old, list) and not new and not _is_range(old, [0, 0]):
        yield from _lists(old, [], loc, language)
    elif isinstance(new, list) and not old and not _is_range(new, [0, 0]):
        yield from _lists([], new, loc, language)
    else:
        yield replace(_value(old, new, loc, language), old=_kept(old), new=_kept(new))


def _kept(value: Any) -> Any:
    return None if value in NOTHING else value


def _value(old: Any, new: Any, loc: Loc, language: str) -> Difference:
    if loc[-1] == "support":
        may = "may now be held for balance" if new else "may no longer be held for balance"
        return Difference(loc, "support" if new else "value", f"{place_first(loc[:-1])} {may}.")
    kind = _kind_of_value(loc)
    if loc == ("needs_clearance",) and not new:
        kind = "clearance-dropped"
    turn = None
    if "joints" in loc and all(isinstance(one, int | float) for one in (old or 0, new or 0)):
        turn = abs((old or 0) - (new or 0))
        kind = "angle" if turn >= LEAST_ANGLE else kind
    if kind == "value" and new in NOTHING and isinstance(old, str | dict):
        kind = "text-removed" if loc[0] != "figure" else kind
    is_safety = turn is None or turn >= LEAST_TURN or None in (old, new) or old * new < 0
    return Difference(loc, kind, _value_in_words(old, new, loc, language), safety=is_safety)


def _value_in_words(old: Any, new: Any, loc: Loc, language: str) -> str:
    if isinstance(old, bool) or isinstance(new, bool):
        old, new = bool(old), bool(new)  # the lock leaves out what is no
    words = [show(one.get(language, one) if isinstance(one, dict) else one) for one in (old, new)]
    place = place_first(loc)
    if old in NOTHING:
        return f"{place} is new: “{words[1]}”."
    if new in NOTHING:
        return f"{place} was taken away: “{words[0]}”."
    return f"{place} was {words[0]}, now it is {words[1]}."


def _is_range(old: Sequence[Any], new: Sequence[Any]) -> bool:
    return all(len(side) == 2 and all(isinstance(end, int) for end in side) for side in (old, new))


def _kind_of_value(loc: Loc) -> str:
    if "bands" in loc or "pain_bands" in loc:
        return "band-moved"
    if loc[0] == "figure" and str(loc[-1]).endswith(("lead", "_affected", "_other")):
        return "side"
    if loc in (("kind",), ("region",), ("position",)):
        return "reach"
    if loc[0] == "figure" and "props" in loc and loc[-1] in PLACES_OF_PROPS:
        return "thing-moved"
    if loc == ("sides",):
        return "side"
    if loc[-1] in ("number", "phone"):
        return "number"
    if loc[0] == "sets" and loc[-1] == "exercise":
        return "other-exercise"
    return "dose" if loc[0] == "dose" else "value"


def _lists(old: list[Any], new: list[Any], loc: Loc, language: str) -> Iterator[Difference]:
    stem, called = LINES.get(loc, ("line", "line"))
    if loc[0] == "sets" and loc[-1] == "exercises":
        called = f"part of the ready set “{loc[1]}”"
    keys = [[_key(item) for item in side] for side in (old, new)]
    if keys[0] != keys[1] and sorted(keys[0]) == sorted(keys[1]):
        if loc in UNORDERED:
            return
        place = place_in_words(loc)
        place = f"`{place}`" if place == name_of(loc) else place
        message = f"The order of {place} changed: {_moved(old, new)}."
        yield Difference(loc, "order", message, old=old, new=new)
        return
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, keys[0], keys[1], autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        if loc in MAY_BE_CUT and only_cut_elsewhere(old[i1:i2], new[j1:j2], language):
            was, now = (" / ".join(lines) for lines in (old[i1:i2], new[j1:j2]))
            message = f"Lines were cut elsewhere, and every word stays: “{was}” became “{now}”."
            yield Difference((*loc, j1), "wording", message, safety=False, old=was, new=now)
            continue
        pairs = min(i2 - i1, j2 - j1) if loc not in NAMES_ALONE else 0
        for step in range(pairs):
            yield from _changed(old[i1 + step], new[j1 + step], (*loc, j1 + step), language)
        for item in old[i1 + pairs : i2]:
            message = f"The {called} “{show(item)}” was taken away."
            yield Difference(loc, f"{stem}-removed", message, old=item)
        for at in range(j1 + pairs, j2):
            message = f"A {called} is new: “{show(new[at])}”."
            yield Difference((*loc, at), f"{stem}-added", message, new=new[at])


def _moved(old: list[Any], new: list[Any]) -> str:
    """Say of each line that stands elsewhere what it came after and what it comes after now."""
    keys = [[_key(item) for item in side] for side in (old, new)]
    steps = SequenceMatcher(None, keys[0], keys[1], autojunk=False).get_opcodes()
    said = []
    for at in [at for tag, _, _, j1, j2 in steps if tag in ("insert", "replace") for at in range(j1, j2)][
        :MOST_MOVED
    ]:
        was = keys[0].index(keys[1][at])
        said.append(f"“{show(new[at])}” {_stood(old, was)} before, and {_stood(new, at)} now")
    return "; ".join(said)


def _stood(lines: list[Any], at: int) -> str:
    return f"came after “{show(lines[at - 1])}”" if at else "came first"


def _key(value: Any) -> str:
    """Write a value so that equal ones are alike, in whatever order their keys were written."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_key(value[key])}" for key in sorted(value)) + "}"
    return show(value)


def _text(old: str, new: str, loc: Loc, language: str) -> Difference:
    if loc == ("tier",) and old in TIERS and new in TIERS:
        lower = TIERS.index(new) > TIERS.index(old)
        message = f"The tier was {old}, now it is {new}: people are sent to get help {'later' if lower else 'sooner'}."
        return Difference(loc, "tier-lowered" if lower else "tier-raised", message)
    if loc[0] == "figure" and "contacts" in loc:
        return Difference(
            loc, "contact-moved", f"{place_first(loc)} was {old}, now it is {new}: other parts bear or hold."
        )
    if " " not in old and " " not in new:
        return Difference(loc, _kind_of_value(loc), f"{place_first(loc)} was {old}, now it is {new}.")
    spoken = language if not isinstance(loc[-1], str) or len(loc[-1]) != 2 else loc[-1]
    one, two = plainly(old, spoken), plainly(new, spoken)
    if _LINK.findall(old) != _LINK.findall(new):
        return Difference(loc, "link", f"A link leads elsewhere: “{old}” became “{new}”.")
    facts = facts_of(one, spoken), facts_of(two, spoken)
    kind, what = _kind_of_text(*facts) or _kind_of_words(one, two, spoken)
    if kind == "wording" and facts[0].stressed != facts[1].stressed:
        kind, what = "number", "A word such as “one” or “once” came or went"
    keeps_safe = KEEPS_SAFE & set(map(str, loc)) or HELP & safety_words_in(old, spoken)
    degrees = bool(SIGNS & set(map(str, loc)))
    if kind == "wording" and keeps_safe and word_change(one, two, spoken, degrees=degrees):
        kind, what = "safety-line", "A line that is there for safety has other words"
    return Difference(loc, kind, f"{what}: “{old}” became “{new}”.", safety=kind != "wording")


def _kind_of_text(old: TextFacts, new: TextFacts) -> tuple[str, str] | None:
    sides = [[name for name in one.blanks if name in ("affected", "other")] for one in (old, new)]
    units = ", ".join(sorted(old.units ^ new.units))
    soon = " and ".join(f"“{name}”" for name in sorted(old.urgent - new.urgent))
    kinds = (
        (new.negations < old.negations, "not-dropped", "A “not” (or never, no, only, stop) was dropped"),
        (new.negations > old.negations, "not-added", "A “not” (or never, no, only, stop) came in"),
        (sides[0] != sides[1], "side", "The side changed"),
        (old.numbers != new.numbers, "number", "A number changed"),
        (bool(units), "number", f"A unit or a time changed ({units})"),
        (bool(soon), "urgency-dropped", f"{soon} (how soon to get help) was dropped"),
        (old.blanks != new.blanks, "blank", "A blank changed"),
    )
    return next(((kind, words) for holds, kind, words in kinds if holds), None)


def _kind_of_words(old: str, new: str, language: str) -> tuple[str, str]:
    """Give the kind of a change that leaves the numbers, the sides and every “not” as they were."""
    facts = facts_of(old, language), facts_of(new, language)
    gone, come = other_safety_words(old, new, language, language)
    ended = len(_SENTENCE_END.findall(new)) < len(_SENTENCE_END.findall(old)) and words_of(old) != words_of(
        new
    )
    careless = LESS_CAREFUL & set(come)
    kinds = (
        (len(new) < LEAST_LEFT * len(old), "cut-short", "A good part of the words went"),
        (bool(gone), "word-dropped", f"It no longer speaks of {_quoted(gone)}"),
        (stop_moved(old, new, language), "words-turned", "A stop is put elsewhere: other words belong together"),
        (bool(careless), "carelessness-added", f"It now speaks of {_quoted(careless)}"),
        (ended, "sentence-removed", "A sentence was taken away"),
        ((facts[0].ors - facts[1].ors) * (facts[0].ands - facts[1].ands) < 0, "joins",
         "An “or” became an “and”, or an “and” an “or”"),
    )  # fmt: skip
    found = next(((kind, words) for holds, kind, words in kinds if holds), None)
    if found is None and (turned := turned_words(old, new, language)):
        found = "direction", f"A direction turned round (“{turned[0]}”, “{turned[1]}”)"
    held = held_by_hands(old, language), held_by_hands(new, language)
    if found is None and held[0] != held[1]:
        found = (
            "hands-moved",
            f"The hands were on {_quoted(held[0]) or 'nothing'}, now {_quoted(held[1]) or 'nothing'}",
        )
    if found is None and condition_turned(old, new, language):
        found = "words-turned", "The same words in another order: something else may hold for somebody else"
    if found is None and moved_between_clauses(old, new, language):
        found = "words-turned", "The same words stand in other parts of the line"
    words = word_change(old, new, language)
    if found is None and words.facts:
        found = "fact-words", _said(words)
    return found or ("wording", "The words changed")


def _said(words: WordChange) -> str:
    gone, come = _quoted(words.gone), _quoted(words.come)
    if not gone:
        return f"It now says {come}"
    return f"It no longer says {gone}" + (f" but {come}" if come else "")


def _quoted(names: Collection[str]) -> str:
    return " and ".join(f"“{name.replace('-', ' ')}”" for name in sorted(names))
