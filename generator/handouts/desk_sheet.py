"""The desk sheet: every address of a library with its title and a code to scan, for the wall or the desk.

The same rows make an HTML file to print and a PDF. A row without a picture of its own needs none: the clinician knows
the exercise by its title, the patient scans.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from limberleaf.handouts.typeset import Handout
from limberleaf.pages.qr import qr_svg
from limberleaf.words import InterfaceWords


@dataclass(frozen=True)
class Row:
    """One address: the group it is printed under, its title, code and link."""

    group: str
    title: str
    code: str
    link: str
    short: str
    """The address as a person types it."""


def groups_of(rows: Iterable[Row]) -> list[tuple[str, list[Row]]]:
    """Put rows under their groups, both in the order they come."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        groups.setdefault(row.group, []).append(row)
    return list(groups.items())


def desk_sheet(rows: Sequence[Row], clinic: str, words: InterfaceWords, paper: str) -> Handout:
    """Give the sheet as a handout to be set as a PDF."""
    data = {
        "title": words.say("desk_sheet.title"),
        "clinic": clinic,
        "language": words.language,
        "paper": paper.lower() if paper == "A4" else "us-letter",
        "hint": words.say("desk_sheet.hint"),
        "words": {"page": words.say("desk_sheet.page"), "scan": words.say("desk_sheet.scan")},
        "groups": [
            {"name": name, "rows": [{**asdict(row), "qr": qr_svg(row.link)} for row in group]}
            for name, group in groups_of(rows)
        ],
    }
    return Handout("desk-sheet", "desk_sheet", data)


def desk_sheet_html(rows: Sequence[Row], clinic: str, words: InterfaceWords, paper: str) -> str:
    """Give the sheet as one HTML file without a script or anything from outside."""
    folder = files(__package__).joinpath("html")
    style = folder.joinpath("desk_sheet.css").read_text("utf-8").replace("PAPER", paper)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    page = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return page.from_string(folder.joinpath("desk_sheet.html").read_text("utf-8")).render(
        language=words.language,
        direction=words.direction,
        title=words.say("desk_sheet.title"),
        hint=words.say("desk_sheet.hint"),
        clinic=clinic,
        style=Markup(style),  # noqa: S704 - our own style sheet
        digest=digest,
        groups=[
            (name, [(row, Markup(qr_svg(row.link))) for row in group])  # noqa: S704 - drawn by segno
            for name, group in groups_of(rows)
        ],
        scan=words.say("desk_sheet.scan"),
    )
