"""The library as CSV, as an index to search in, and as plain text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from limberleaf.exchange import csv_table
from limberleaf.open_data.model import CollectionData, ExerciseData, LadderData, LibraryData

COLUMNS = (
    "code", "title", "url", "region", "kind", "position", "sides", "aim", "dose", "equipment", "reviewed", "due",
    "version",
)  # fmt: skip


def csv_row(one: ExerciseData) -> str:
    """Give an exercise as a row (RFC 4180, UTF-8)."""
    needs = "; ".join(need.name for need in one.equipment)
    days = ((day.isoformat() if day else "") for day in (one.record.reviewed, one.record.due))
    row = (
        one.code, one.title, one.url, one.region, one.kind, one.position, one.sides, one.aim, one.dose.words, needs,
        *days, str(one.record.version),
    )  # fmt: skip
    return csv_table.csv_text(COLUMNS, [dict(zip(COLUMNS, row, strict=True))]).removeprefix(csv_head())


def csv_head() -> str:
    """Give the row of names that the rows stand under."""
    return csv_table.csv_text(COLUMNS, [])


def search_row(one: ExerciseData | LadderData | CollectionData) -> dict[str, Any]:
    """Give what a search of others needs: an address, a title and the words that should find it."""
    if isinstance(one, ExerciseData):
        kind, needs = "exercise", (need.name for need in one.equipment)
        words = [one.title, one.aim, one.position, *one.synonyms, *needs]
    elif isinstance(one, LadderData):
        kind, words = "ladder", [one.title, one.aim]
    else:
        kind, words = "collection", [one.title, one.summary]
    return {"url": one.url, "title": one.title, "kind": kind, "text": " ".join(words)}


def plain_text(one: ExerciseData, data: LibraryData) -> str:
    """Give an exercise as text, in the order of its page: what to do, how much, what to feel, when to get help."""
    parts: list[list[str]] = [[f"# {one.title} ({one.code.upper()})", "", one.aim], [one.dose.words]]
    lists = (
        one.leave_out_if,
        [need.name for need in one.equipment],
        one.setup,
        one.steps,
        one.fine,
        one.ease_off,
        one.stop,
    )
    names = ("leave_out_if", "equipment", "setup", "steps", "fine", "ease_off", "stop")
    for name, lines in zip(names, lists, strict=True):
        if lines:
            parts.append([f"## {name.replace('_', ' ')}", *(f"- {line}" for line in lines)])
    for box in one.cautions:
        parts.append(
            [
                f"## {box.tier.replace('_', ' ')}: {box.title}",
                *(f"- {sign}" for sign in box.signs),
                box.action,
            ]
        )
    reviewed = one.record.reviewed.isoformat() if one.record.reviewed else ""
    parts.append([data.notice, f"{data.clinic} · {one.url} · {reviewed} · {one.record.version}"])
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def text_list(head: LibraryData, lines: Sequence[str]) -> str:
    """Give the list of the plain texts, in the form of llms.txt: a title, a summary, links by heading."""
    return "\n".join([f"# {head.clinic}", "", f"> {head.notice}", "", "## Exercises", "", *lines]) + "\n"
