"""The sign-off sheet: what the tool looked at, what only a person can judge, and room for names and a day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from limberleaf.desk.read.entries import DeskEntry
from limberleaf.desk.read.entry_view import Compared, EntryView, RecordTally
from limberleaf.desk.read.tables import load
from limberleaf.findings import SEVERITIES, Finding
from limberleaf.reports import summary


@dataclass(frozen=True)
class Looked:
    """One thing the tool looked at, and what it found."""

    what: str
    found: str
    open: bool


@dataclass(frozen=True)
class Question:
    """A question for a person, the item of the instrument behind it, and what the tool can say to it."""

    item: str
    ask: str
    tool: str


@dataclass(frozen=True)
class QuestionGroup:
    """Questions under one heading."""

    title: str
    questions: tuple[Question, ...]


@dataclass(frozen=True)
class SignOff:
    """All that the sheet shows."""

    entry: DeskEntry
    looked: tuple[Looked, ...]
    open_findings: tuple[Finding, ...]
    groups: tuple[QuestionGroup, ...]
    settled: tuple[str, ...]
    since: Compared | None
    record: tuple[RecordTally, ...]


def sign_off(view: EntryView) -> SignOff:
    """Make the sheet of an entry from its view."""
    answers = {
        line.item: line.because
        for one in view.record
        if one.name == "PEMAT-P"
        for line in one.lines
        if line.state != "not_applicable"
    }
    groups = tuple(_groups(view.entry.kind, answers))
    return SignOff(
        entry=view.entry,
        looked=tuple(_looked(view)),
        open_findings=view.findings,
        groups=groups,
        settled=_settled(view, groups),
        since=view.past.since,
        record=view.record,
    )


def _groups(kind: str, answers: Mapping[str, str]) -> Sequence[QuestionGroup]:
    return [
        QuestionGroup(
            group["title"],
            tuple(
                Question(row["item"], row["ask"], answers.get(row["item"], ""))
                for row in group["questions"]
                if kind in row.get("kinds", [kind])
            ),
        )
        for group in load("sign_off.yml")["groups"]
    ]


def _settled(view: EntryView, groups: Sequence[QuestionGroup]) -> tuple[str, ...]:
    """Name the items the template settles for every page, which are not asked."""
    asked = {question.item for group in groups for question in group.questions}
    lines = [line for one in view.record if one.name == "PEMAT-P" for line in one.lines]
    return tuple(
        line.item for line in lines if line.state == "met" and not line.test and line.item not in asked
    )


def _looked(view: EntryView) -> Sequence[Looked]:
    answer, total = view.answer, view.sum
    sections = [section for section in view.sections if section.marks]
    where = f" ({', '.join(dict.fromkeys(section.title for section in sections))})" if sections else ""
    rows = [
        Looked(
            "Reading level of the prose",
            f"{answer.headline} Target: grade {answer.target}.",
            answer.against == "above",
        ),
        Looked(
            "Marked sentences and words",
            f"{total.marks} open{where}." if total.marks else "None.",
            total.marks > 0,
        ),
        Looked(
            "Rules switched off, with a reason",
            "; ".join(f"{one.title}: {one.off}" for one in view.switched_off) or "None.",
            False,
        ),
        Looked(
            "Dose, sides, cautions, ladders, links, figure, record and review",
            f"{summary(view.findings)}" if view.findings else "No findings.",
            any(one.severity != SEVERITIES[-1] for one in view.findings),
        ),
    ]
    if answer.steps:
        rows.insert(1, Looked("Steps", answer.steps, False))
    rows += [
        Looked(
            f"{one.name} ({one.full_name})",
            f"{one.tally.met} items met, {one.tally.not_met} open, {one.tally.person} for a person, "
            f"{one.tally.not_applicable} not about a page.",
            one.tally.not_met > 0,
        )
        for one in view.record
    ]
    return rows
