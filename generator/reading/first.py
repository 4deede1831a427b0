"""The few marks an editor should see first, out of all that were found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache

from limberleaf.reading.marks import Level, Mark
from limberleaf.reading.tables import load_yaml
from limberleaf.reading.words.tokens import Sentence

MOST_AT_FIRST = 3
_LEVELS: Mapping[Level, int] = {"error": 0, "warning": 1, "note": 2}


@cache
def _order() -> Mapping[str, int]:
    return {rule: place for place, rule in enumerate(load_yaml("first_marks.yml")["order"])}


def first_marks(
    marks: Iterable[Mark], sentences: Sequence[Sentence], most: int = MOST_AT_FIRST
) -> tuple[Mark, ...]:
    """The marks that matter most to a reader, gravest first: one a rule and one a sentence as long as there are others.

    Three marks of one kind, or three on one sentence, would tell an editor the same thing three times.
    """
    ranked = sorted(
        marks, key=lambda mark: (_LEVELS[mark.level], _order()[mark.rule], mark.block, mark.start)
    )
    homes = {id(mark): _home(mark, sentences) for mark in ranked}
    chosen: list[Mark] = []
    for other_rule, other_sentence in ((True, True), (False, True), (False, False)):
        for mark in ranked:
            taken_rule = other_rule and any(mark.rule == one.rule for one in chosen)
            taken_home = other_sentence and any(homes[id(mark)] == homes[id(one)] for one in chosen)
            if len(chosen) < most and not taken_rule and not taken_home and mark not in chosen:
                chosen.append(mark)
    return tuple(chosen)


def _home(mark: Mark, sentences: Sequence[Sentence]) -> tuple[int, int]:
    """Which sentence a mark stands in."""
    starts = [one.start for one in sentences if one.block == mark.block and one.start <= mark.start]
    return mark.block, max(starts, default=0)
