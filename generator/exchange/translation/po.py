"""Units as a PO file (GNU gettext): the place as context, notes as comments, what must be checked as fuzzy."""

from __future__ import annotations

from collections.abc import Sequence

import polib

from limberleaf.exchange.sheet import TableError
from limberleaf.exchange.translation.units import Unit


def po_text(units: Sequence[Unit], source_language: str, language: str) -> str:
    """Write units as one catalogue; the same library gives the same bytes, so it carries no time."""
    catalogue = polib.POFile(wrapwidth=0)
    catalogue.metadata = {
        "Project-Id-Version": "limberleaf",
        "Language": language,
        "X-Source-Language": source_language,
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=UTF-8",
        "Content-Transfer-Encoding": "8bit",
    }
    for unit in units:
        entry = polib.POEntry(
            msgctxt=unit.id, msgid=unit.source, msgstr=unit.target, comment=unit.note,
            occurrences=[(unit.path, str(unit.line))] if unit.path else [],
        )  # fmt: skip
        if "{" in unit.source:
            entry.flags.append("python-brace-format")
        if unit.state in ("stale", "reused"):
            entry.flags.append("fuzzy")
            if unit.like and unit.like != unit.source:
                entry.previous_msgid = unit.like
        if unit.state == "stale":
            entry.comment += (
                "\nThe original changed since this was translated: compare, change, then take fuzzy away."
            )
        catalogue.append(entry)
    return str(catalogue) + "\n"


def read_po(name: str, data: bytes) -> tuple[str, list[Unit]]:
    """Give the language and the units of a catalogue; TableError when it is none."""
    try:
        catalogue = polib.pofile(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise TableError(f"{name} is not in UTF-8. Save it as UTF-8 in your tool.") from None
    except (OSError, ValueError) as error:
        raise TableError(f"{name} cannot be read as PO: {error}.") from None
    language = catalogue.metadata.get("Language", "")
    if not language:
        raise TableError(f"{name} does not say its language (a line “Language:” in its head).")
    return language.replace("_", "-").split("-")[0].lower(), [
        _unit(entry) for entry in catalogue if entry.msgctxt and not entry.obsolete
    ]


def _unit(entry: polib.POEntry) -> Unit:
    folder, _, rest = entry.msgctxt.partition(".")
    name, _, key = rest.partition(".")
    loc = tuple(int(step) - 1 if step.isdigit() else step for step in key.split("."))
    state = "new" if not entry.msgstr else "reused" if "fuzzy" in entry.flags else "done"
    return Unit(folder, name, loc, entry.msgid, entry.msgstr, state)
