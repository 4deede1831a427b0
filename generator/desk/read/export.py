"""The overview as CSV (RFC 4180) and as JSON, one row a page."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from limberleaf.clinical.governance.review import safe_cell
from limberleaf.desk.read.overview import Overview, Row


def record_of(row: Row) -> Mapping[str, Any]:
    """Give a row as plain values: days as year-month-day, bands as two numbers, unknown as None."""
    entry, total = row.entry, row.sum
    grade, age = total.grade or (None, None), total.age or (None, None)
    review = entry.review
    return {
        "kind": entry.kind,
        "name": entry.name,
        "language": entry.language,
        "title": entry.title,
        "path": entry.path,
        "collections": list(entry.collections),
        "status": entry.status,
        "owner": entry.owner or None,
        "version": review.version if review else None,
        "reviewed": review.reviewed.isoformat() if review and review.reviewed else None,
        "due": entry.due.isoformat() if entry.due else None,
        "days_left": entry.days_left,
        "review_state": entry.state,
        "grade_low": grade[0],
        "grade_high": grade[1],
        "age_low": age[0],
        "age_high": age[1],
        "level": total.level,
        "against_target": total.against,
        "reading": total.text,
        "prose_words": total.prose_words,
        "prose_sentences": total.prose_sentences,
        "words": total.words,
        "sentences": total.sentences,
        "hard_words": total.hard_words,
        "marks": total.marks,
        "rules_switched_off": total.switched_off,
        "errors": row.errors,
        "warnings": row.warnings,
        "notes": row.notes,
    }


def as_csv(view: Overview) -> str:
    """Write the overview as CSV; several collections are joined by a space, unknown is empty."""
    out = io.StringIO(newline="")
    rows = [record_of(row) for row in view.rows]
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(rows[0] if rows else ["kind", "name"])
    for row in rows:
        writer.writerow([_cell(value) for value in row.values()])
    return out.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, list):
        return " ".join(value)
    return safe_cell(value) if isinstance(value, str) else "" if value is None else value


def as_json(view: Overview, clinic: str, today: date) -> str:
    """Write the overview as JSON: the day it was made for, the target, totals, and all pages."""
    return (
        json.dumps(
            {
                "clinic": clinic,
                "today": today.isoformat(),
                "target_grade": view.target,
                "totals": asdict(view.totals),
                "pages": [record_of(row) for row in view.rows],
            },
            ensure_ascii=False,
            indent=2,
        )
        + "\n"
    )
