"""What the checks say of an entry while it is written: all that an approval will show, each at its field."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

import yaml

from limberleaf.checks import CHECKS, DATED_CHECKS
from limberleaf.checks.figures import check_figures, pose_order
from limberleaf.checks.ladders import check_ladders
from limberleaf.checks.reading import check_reading
from limberleaf.checks.safety.cautions import check_cautions
from limberleaf.checks.safety.safety_signs import check_signs
from limberleaf.checks.together import Check
from limberleaf.desk.write.entry_state import EntryState
from limberleaf.desk.write.form.fields import form_layout
from limberleaf.desk.write.form.form_words import SHAPE_CODES, FormWords, form_words
from limberleaf.desk.write.kinds import Target, overlaid
from limberleaf.desk.write.words import DeskWords
from limberleaf.figures import Figures
from limberleaf.findings import SEVERITIES, Finding
from limberleaf.library import Library
from limberleaf.library.yaml.source import Loc, Source, loc_at
from limberleaf.store import Store

APPROVAL_CODES = frozenset(
    {"approval-not-recorded", "major-edit-not-reviewed", "edit-not-recorded", "review-typed", "version-went-down",
     "approved-by-nobody", "approved-not-reviewed", "approved-withdrawn", "lock-missing", "review-overdue"}
)  # fmt: skip
"""Findings that an approval itself answers."""

EMPTY_CODES = frozenset({"missing-key", "empty-value", "empty-list"})
"""Findings that a form answers by filling in a box; their words are about keys and colons of the file."""

WHOLE_LIBRARY: tuple[Check, ...] = (check_signs, check_cautions)
"""Slow checks, over the whole library: they run when typing pauses, not at each letter."""


class EntryFinding(NamedTuple):
    """A finding and the way to its field.

    `slow`: only a look with `whole` sees it. `drawn`: the picture's own part of the form says it too.
    """

    finding: Finding
    loc: tuple[str | int, ...]
    slow: bool = False
    drawn: bool = False


def awaits_approval(found: Finding) -> bool:
    """Tell whether a finding only says that something was not approved yet."""
    return found.code in APPROVAL_CODES or found.code.startswith("changed-")


def findings_of(
    state: EntryState, today: date, figures: Figures, store: Store, *, whole: bool
) -> list[EntryFinding]:
    """Give all findings on the entry; marks on single words are shown apart, beside the words.

    While the entry is not whole the checks read it with something in place of what is missing, and what they say of
    that is left out. Without `whole` the slow checks are too.
    """
    checked = _Checking(state.target, today, figures, store, whole)
    found = [EntryFinding(one, _loc_of(state.source, one)) for one in state.findings]
    if state.entry is not None:
        found += checked.all(state.entry, state.library, state.source)
    elif state.partial:
        several = [
            [
                one
                for one in checked.all(part.entry, part.library, part.source)
                if not part.completed.covers(one.loc)
            ]
            for part in state.partial
        ]
        others = [{(one.finding.code, one.loc) for one in more} for more in several[1:]]
        found += [one for one in several[0] if all((one.finding.code, one.loc) in other for other in others)]
    return sorted(dict.fromkeys(found), key=lambda one: SEVERITIES.index(one.finding.severity))


@dataclass(frozen=True)
class _Checking:
    """The checks over one file; `whole` with those that take their time."""

    target: Target
    today: date
    figures: Figures
    store: Store
    whole: bool

    def all(self, entry: Any, library: Library, source: Source) -> list[EntryFinding]:
        """Give what they say of the entry once it is approved: some look at published entries only."""
        if library.clinic is None:
            return []
        if getattr(entry, "status", "retired") != "retired":
            library = overlaid(library, self.target, source, self._approved(entry, library))
        return [
            EntryFinding(one, _loc_of(source, one), slow, drawn)
            for one, slow, drawn in self._found(library)
            if one.place.path == self.target.path and not awaits_approval(one)
        ]

    def _approved(self, entry: Any, library: Library) -> Any:
        """Give the entry as it will be once a role other than the one that keeps it has approved it today."""
        review = entry.review
        others = [one for one in library.settings.review.approvers if one != review.owner]
        signed = {
            "approved_by": review.approved_by or next(iter(others), None),
            "reviewed": self.today,
            "due": None,
        }
        return entry.model_copy(update={"status": "approved", "review": review.model_copy(update=signed)})

    def _found(self, library: Library) -> Iterator[tuple[Finding, bool, bool]]:
        for check in CHECKS:
            slow = check in WHOLE_LIBRARY
            if self.whole or not slow:
                yield from ((one, slow, False) for one in check(library))
        for dated in DATED_CHECKS:
            yield from ((one, False, False) for one in dated(library, self.today))
        if self.whole:
            yield from ((one, True, True) for one in check_figures(library, self.figures))
            yield from (
                (one, True, False) for one in check_ladders(library, pose_order(library, self.figures))
            )
            for one in check_reading(library, self.store):
                if one.code == "reading-above-target":  # marks on words are shown apart
                    yield one, True, False


def findings_data(kind: str, found: Sequence[EntryFinding], words: DeskWords) -> list[dict[str, Any]]:
    """Give findings as data, each with the way to its field and in terms of the form, not of the file."""
    form = form_words(kind, words)
    return [_data(one, form) for one in found]


def _data(located: EntryFinding, form: FormWords) -> dict[str, Any]:
    found, loc = located.finding, located.loc
    message, hint = found.message, found.hint
    where = form.where(loc)
    if found.code in EMPTY_CODES:
        message, hint = form.words.say("findings.empty", label=where), ""
    else:
        shape = found.code in SHAPE_CODES
        message, hint = form.say(message, loc, shape=shape), form.say(hint, loc, shape=shape)
    hint = " ".join(filter(None, (hint, form.words.about(found.code))))
    return {
        "loc": list(loc),
        "where": where,
        "severity": found.severity,
        "code": found.code,
        "message": message,
        "hint": hint,
        "slow": located.slow,
        "drawn": located.drawn,
    }


def _loc_of(source: Source, found: Finding) -> tuple[str | int, ...]:
    loc = loc_at(source.node, found.place.line, found.place.column)
    leads: Mapping[str, str] = form_layout()["leads"]
    if found.code in leads and loc[:1] in ((), ("code",)):
        return (leads[found.code],)
    if found.code == "record-gap":
        items = found.message.rpartition("(")[2].rstrip(").").split(", ")
        return next(((leads[item],) for item in items if item in leads), () if loc[:1] == ("code",) else loc)
    if found.code == "missing-key":  # its place is that of the mapping that lacks it
        name = found.message.split("”")[0].removeprefix("“")
        return (*_mapping_at(source, loc), name)
    whole = found.place.line == 0 or (found.place.line, found.place.column) == (1, 1)
    return () if whole or loc[:1] in (("code",), ("id",), ("status",)) else loc


def _mapping_at(source: Source, loc: Loc) -> tuple[str | int, ...]:
    """Step up to the innermost mapping on the way to a value."""
    node, deepest = source.node, 0
    for depth, step in enumerate(loc):
        if isinstance(node, yaml.MappingNode):
            deepest = depth
            node = next((child for key, child in node.value if key.value == step), None)
        elif isinstance(node, yaml.SequenceNode) and isinstance(step, int):
            node = node.value[step]
    return tuple(loc[:deepest])
