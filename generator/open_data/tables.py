"""The library as CSV, as an index to search in, and as plain text."""

from __future__ import annotations

from typing import Any

from limberleaf.exchange import csv_table
from limberleaf.open_data.model import ExerciseData, LibraryData

COLUMNS = (
    "code", "title", "url", "region", "kind", "position", "sides", "aim", "dose", "equipment", "reviewed", "due",
    "version",
)  # fmt: skip


def csv_text(data: LibraryData) -> str:
    """Give one row for each exercise (RFC 4180, UTF-8)."""
    rows: list[dict[str, str]] = []
    for one in data.exercises:
        needs = "; ".join(need.name for need in one.equipment)
        days = ((day.isoformat() if day else "") for day in (one.record.reviewed, one.record.due))
        row = (
            one.code, one.title, one.url, one.region, one.kind, one.position, one.sides, one.aim, one.dose.words, needs,
            *days, str(one.record.version),
        )  # fmt: skip
        rows.append(dict(zip(COLUMNS, row, strict=True)))
    return csv_table.csv_text(COLUMNS, rows)


def search_index(data: LibraryData) -> list[dict[str, Any]]:
    """Give what a search of others needs: an address, a title and the words that should find it."""
    found: list[dict[str, Any]] = []
    for one in data.exercises:
        words = [one.title, one.aim, one.position, *one.synonyms, *(need.name for need in one.equipment)]
        found.append({"url": one.url, "title": one.title, "kind": "exercise", "text": " ".join(words)})
    for ladder in data.ladders:
        found.append(
            {
                "url": ladder.url,
                "title": ladder.title,
                "kind": "ladder",
                "text": f"{ladder.title} {ladder.aim}",
            }
        )
    for page in data.collections:
        text = f"{page.title} {page.summary}"
        found.append({"url": page.url, "title": page.title, "kind": "collection", "text": text})
    return found


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


def text_list(data: LibraryData, text_address: dict[str, str]) -> str:
    """Give the list of the plain texts, in the form of llms.txt: a title, a summary, links by heading."""
    lines = [f"# {data.clinic}", "", f"> {data.notice}", "", "## Exercises", ""]
    lines += [f"- [{one.title}]({text_address[one.code]}): {one.aim}" for one in data.exercises]
    return "\n".join(lines) + "\n"
