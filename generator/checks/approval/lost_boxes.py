"""Which pages lost which caution box by an edit of a caution's rules, or of what an exercise is called by them.

Said from the edit on until a second person has confirmed it, so that a yes to a rule is a yes to the pages it leaves.
"""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

from pydantic import ValidationError

from limberleaf.clinical.cautions import applies, published_cautions, rule_fits
from limberleaf.clinical.governance.approval import Part, lock_of, now, parts
from limberleaf.clinical.governance.difference import differences
from limberleaf.findings import Finding
from limberleaf.library import Caution, Exercise, Library
from limberleaf.library.models.groups import Rule
from limberleaf.library.yaml.source import Loc
from limberleaf.store.nodes import each

MATCHED = ("applies_to", "everywhere", "region", "kind", "position", "equipment", "tags", "cautions")
"""What decides which boxes a page carries."""

MOST_NAMED = 8

Change = tuple[Loc, Any]


def check_lost_boxes(library: Library) -> Iterator[Finding]:
    """Say which pages lost which box, at the rule or the word that did it."""
    lock = lock_of(library)
    for part in parts(library, each) if lock else ():
        approved = lock.entries.get(part.name) if lock else None
        if approved is None or not isinstance(part.entry, Caution | Exercise):
            continue
        changes: list[Change] = [(one.loc, one.old) for one in approved.waiting]
        fields = now(part.entry).fields
        before, present = ({name: one.get(name) for name in MATCHED} for one in (approved.fields, fields))
        if before != present:
            changes += [(one.loc, one.old) for one in differences(before, present, "en")]
        for loc, old in changes:
            if loc[0] in MATCHED and (says := _lost(library, part, loc, old)):
                yield Finding(
                    "warning",
                    "box-off-pages",
                    says,
                    "Was that meant? If not, put the rule back as it was; if so, a second person confirms it "
                    f"(`limberleaf review --confirm --only {part.name}`).",
                    part.source.place(loc),
                )


def _lost(library: Library, part: Part, loc: Loc, old: Any) -> str:
    if isinstance(part.entry, Caution):
        return _by_rule(library, part.entry, loc, old)
    return _by_exercise(library, part.entry, loc, old)


def _by_rule(library: Library, caution: Caution, loc: Loc, old: Any) -> str:
    try:
        rules = [
            Rule.model_validate(one)
            for one in (old if isinstance(old, list) else [old])
            if isinstance(one, dict)
        ]
    except ValidationError:
        return ""
    everywhere = loc[0] == "everywhere" and old is True
    lost = [
        code
        for code, loaded in library.published().items()
        if (everywhere or any(rule_fits(rule, loaded.entry) for rule in rules))
        and not applies(caution, loaded.entry)
    ]
    if not lost:
        return ""
    more = " ..." * (len(lost) > MOST_NAMED)
    return f"The box “{caution.title}” is gone from {len(lost)} pages: {', '.join(lost[:MOST_NAMED])}{more}."


def _by_exercise(library: Library, exercise: Exercise, loc: Loc, old: Any) -> str:
    name = str(loc[0])
    before: Any = old
    if name == "equipment":
        item = old.get("item") if isinstance(old, dict) else old if loc[-1] == "item" else None
        before = [*exercise.equipment, SimpleNamespace(item=item)]
    elif name in ("tags", "cautions"):
        gone = old if isinstance(old, list) else [] if old is None else [old]
        before = [*getattr(exercise, name), *gone]
    was = exercise.model_copy(update={name: before})
    lost = [
        one.title for one in published_cautions(library) if applies(one, was) and not applies(one, exercise)
    ]
    return (
        "This page no longer has the box " + " and ".join(f"“{title}”" for title in lost) + "."
        if lost
        else ""
    )
