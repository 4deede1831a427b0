"""Counting what two raters sorted: agreement beyond chance, the share right of each figure, dangerous misreadings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from limberleaf.agreement import Agreement, Share, agreement, share
from limberleaf.comprehension.answers import Answer, categories
from limberleaf.comprehension.papers import ask_data


class ScoreError(ValueError):
    """Two ratings that cannot be counted together; the text says why and a way out."""


@dataclass(frozen=True)
class FigureScore:
    """What came out for one figure in one size. `counts` are how many answers fell in each category."""

    code: str
    side: str
    figure: str
    size: str
    counts: Mapping[str, int]

    @property
    def asked(self) -> int:
        """Give how many people were asked."""
        return sum(self.counts.values())

    @property
    def right(self) -> Share:
        """Give the share of right answers with Wilson's interval; those without an answer count as not right."""
        return share(self.counts["right"], self.asked)

    @property
    def dangerous(self) -> Share:
        """Give the share of dangerous misreadings."""
        return share(self.counts["dangerous"], self.asked)

    @property
    def verdict(self) -> str:
        """Say in a word how it stands: `understood`, `doubtful`, `not understood`, or `dangerous`."""
        data = ask_data()
        if self.dangerous.value > data["most_dangerous"]:
            return "dangerous"
        if self.right.value >= data["understood"]:
            return "understood"
        return "doubtful" if self.right.value >= data["doubtful"] else "not understood"


@dataclass(frozen=True)
class Score:
    """All that was counted: agreement of the raters, each figure, dangerous answers, and what they disagree on."""

    people: int
    agreement: Agreement
    figures: tuple[FigureScore, ...]
    dangerous: tuple[tuple[str, Answer], ...]
    differing: tuple[tuple[str, Answer, Answer], ...]


def score(one: Sequence[Answer], two: Sequence[Answer], key: Mapping[str, Mapping[str, str]]) -> Score:
    """Count two ratings of the same answers. Where raters differ, the worse category counts until they settle it.

    Raises ScoreError where the two are not of the same answers.
    """
    first = {(answer.person, answer.picture): answer for answer in one}
    second = {(answer.person, answer.picture): answer for answer in two}
    lacking = sorted(first.keys() ^ second.keys())
    if lacking or not first:
        where = (
            f"person {lacking[0][0]}, picture {lacking[0][1]} is in one of them only"
            if lacking
            else "none is there"
        )
        raise ScoreError(f"The two raters must have sorted the same answers: {where}.")
    other = next((place for place in first if first[place].said != second[place].said), None)
    if other:
        raise ScoreError(
            f"The answer of person {other[0]} to picture {other[1]} is not the same in both files. "
            "Only `category` and `note` may differ."
        )
    places = sorted(first)
    order = categories()
    settled = {place: max(first[place].category, second[place].category, key=_badness) for place in places}
    counts: dict[tuple[str, str], Counter[str]] = {}
    for place in places:
        counts.setdefault((place[1], first[place].size), Counter(dict.fromkeys(order, 0)))[
            settled[place]
        ] += 1
    figures = [
        FigureScore(key[number]["code"], key[number]["side"], key[number]["figure"], size, dict(found))
        for (number, size), found in counts.items()
    ]
    return Score(
        len({person for person, _ in places}),
        agreement([first[place].category for place in places], [second[place].category for place in places]),
        tuple(sorted(figures, key=lambda one: (one.code, one.size))),
        tuple((key[place[1]]["code"], first[place]) for place in places if settled[place] == "dangerous"),
        tuple(
            (key[place[1]]["code"], first[place], second[place])
            for place in places
            if first[place].category != second[place].category
        ),
    )


def _badness(category: str) -> int:
    return ("right", "none", "dont_know", "wrong", "dangerous").index(category)
