"""Says in plain sentences why a text is hard: the band, the hardest sentences, and what to write instead."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

from limberleaf.reading.marks import Mark
from limberleaf.reading.reading import Reading
from limberleaf.reading.rules.sentences import hard_words, length_without_list, sentence_weight
from limberleaf.reading.scores.costs import Cost, costs
from limberleaf.reading.scores.headline import LOWEST
from limberleaf.reading.words.text import Line

MOST = 3
LIGHTEST = 16  # a sentence under this weight is no reason for a high grade
_WHY = {1: "This sentence is why:", 2: "These two sentences are why:", 3: "These three sentences are why:"}


@dataclass(frozen=True, slots=True)
class HardSentence:
    """One of the hardest sentences: where it is, how many words, its hard words and what to write instead of them."""

    block: int
    start: int
    end: int
    key: Hashable
    text: str
    words: int
    hard: tuple[str, ...]
    instead: tuple[tuple[str, str], ...]

    def reason(self) -> str:
        """Why it is hard, and what would help."""
        reasons = [f"{self.words} words"]
        if self.hard:
            reasons.append("hard words: " + ", ".join(self.hard))
        advice = [f"“{word}”: {say}" for word, say in self.instead]
        if self.words > 20:
            advice.insert(0, "split it")
        return "; ".join(reasons) + "." + (f" Try: {'; '.join(advice)}." if advice else "")


@dataclass(frozen=True, slots=True)
class Explanation:
    """The summary line, the hardest sentences, what words and lengths cost, and all of it as plain sentences."""

    summary: str
    hardest: tuple[HardSentence, ...]
    costs: tuple[Cost, ...]
    lines: tuple[str, ...]


def explain(reading: Reading, most: int = MOST) -> Explanation:
    """Why a text has its band: up to `most` of its hardest sentences with reasons and easier words."""
    lines = [line for line in reading.text.lines if line.kind != "heading"]
    weights = {id(line): sentence_weight(line, reading.text) for line in lines}
    heavy = sorted(
        (line for line in lines if weights[id(line)] >= LIGHTEST), key=lambda line: -weights[id(line)]
    )
    hardest = tuple(_describe(line, reading) for line in heavy[:most])
    report = [reading.headline.text]
    if reading.without_terms and reading.without_terms.headline.grade != reading.headline.grade:
        names = ", ".join(reading.without_terms.terms)
        report.append(f"Without explained terms and names ({names}): {reading.without_terms.headline.text}")
    if reading.steps_headline.words:
        report.append(reading.steps_headline.text)
    spent = costs(reading.text, reading.counts.prose) if reading.headline.parts else ()
    report.extend(cost.text for cost in spent)
    if hardest:
        report.append(_lead(reading, len(hardest)))
        report.extend(f"“{sentence.text}” {sentence.reason()}" for sentence in hardest)
    elif lines:
        report.append("No sentence stands out as hard.")
    return Explanation(reading.headline.text, hardest, spent, tuple(report))


def _lead(reading: Reading, count: int) -> str:
    """The words before the sentences: they are to blame only where the text is graded above the lowest band."""
    grade = reading.headline.grade
    if grade is None or grade[1] <= LOWEST:
        return "The hardest sentence:" if count == 1 else f"The {count} hardest sentences:"
    return _WHY.get(count, f"These {count} sentences are why:")


def _describe(line: Line, reading: Reading) -> HardSentence:
    hard = tuple(hard_words(line, reading.text))
    begin, end = line.sentence.start, line.sentence.end
    instead: dict[str, str] = {}
    for mark in reading.marks:
        if mark.block == line.block and begin <= mark.start < end:
            say = _easier(mark)
            if say:
                instead.setdefault(line.source(mark.start, mark.end), say)
    return HardSentence(
        block=line.block,
        start=begin,
        end=end,
        key=reading.blocks[line.block].key,
        text=" ".join(line.source(begin, end).split()),
        words=length_without_list(line),
        hard=hard,
        instead=tuple(instead.items()),
    )


def _easier(mark: Mark) -> str:
    """What to write instead of a marked word, when the rule knows."""
    if mark.rule in ("jargon", "plain-words", "harsh-wording", "noun-from-verb", "abbreviation"):
        return mark.suggestion.removeprefix("Say ").rstrip(".")
    if mark.rule == "explain-term":
        return "explain it, " + mark.suggestion.removeprefix("Add what it means: ").rstrip(".")
    return ""
