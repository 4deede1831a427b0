"""Units back into translation files: checked one by one, written all together or not at all."""

from __future__ import annotations

import copy
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from limberleaf.exchange.entries import CannotEditError, Change, edited, new_text, plain_value
from limberleaf.exchange.translation.library_units import Item, item_units, items
from limberleaf.exchange.translation.units import WHOLE, Unit, put_target, target_of
from limberleaf.exchange.trial import tried
from limberleaf.findings import Finding, Place, has_errors
from limberleaf.library import Library

_BLANKS = re.compile(r"\{[^{}]*\}|\[\[[^\]|]*")
HEAD = (
    "# From a translator's file. A registered clinician who speaks the language must approve it before use.\n"
)


@dataclass
class Result:
    """What a translator's file would do."""

    language: str
    changes: list[Change] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    same: int = 0


def bring_in(library: Library, language: str, units: Sequence[Unit], name: str) -> Result:
    """Compare a translator's units with the library. Only units that the translator confirmed are taken."""
    result = Result(language)
    by_entry: dict[tuple[str, str], list[Unit]] = {}
    for unit in units:
        by_entry.setdefault((unit.folder, unit.name), []).append(unit)
    there = {(item.folder, item.name): item for item in items(library, language)}
    for key, mine in by_entry.items():
        if key not in there:
            near = get_close_matches(key[1], [one for _, one in there], n=1)
            _say(
                result, name, mine[0], "unknown-entry", f"There is no “{key[1]}” in {key[0]} of this library.",
                f"Is it “{near[0]}” now?" if near else "Take it out of the file.",
            )  # fmt: skip
            continue
        _entry(there[key], mine, name, result)
    if result.changes and not has_errors(result.findings):
        _try(library, result)
    return result


def _say(
    result: Result, name: str, unit: Unit, code: str, message: str, hint: str, severity: Any = "error"
) -> None:
    result.findings.append(Finding(severity, code, message, hint, Place(f"{name} unit {unit.id}")))


def _entry(item: Item, mine: Sequence[Unit], name: str, result: Result) -> None:
    present = {unit.loc: unit for unit in item_units(item)}
    before = plain_value(item.translation.source.text) if item.translation else {}
    value: dict[str, Any] = copy.deepcopy(before)
    confirmed: set[tuple[str | int, ...]] = set()
    wrong = len(result.findings)
    for unit in mine:
        now = present.get(unit.loc)
        if now is None or now.source != unit.source:
            _say(
                result, name, unit, "original-changed", f"“{unit.source[:60]}” is not what the entry says any more.",
                "Write a fresh file, bring your work into it with your tool's memory, and confirm it there.",
                "warning",
            )  # fmt: skip
            continue
        if unit.state != "done" or not _sound(result, name, unit):
            continue
        confirmed.add(unit.loc)
        if unit.target != target_of(unit.loc, before):
            put_target(unit.loc, value, unit.target)
    if any(finding.severity == "error" for finding in result.findings[wrong:]):
        return
    open_units = [unit for loc, unit in present.items() if loc not in confirmed]
    _file(item, before, value, open_units, name, result)


def _sound(result: Result, name: str, unit: Unit) -> bool:
    wanted, found = (sorted(_BLANKS.findall(text)) for text in (unit.source, unit.target))
    unknown = [blank for blank in found if blank not in wanted]
    if unknown:
        _say(
            result, name, unit, "unknown-blank", f"{unknown[0]} stands in the translation and not in the original.",
            f"The original has {', '.join(wanted) or 'none'}; keep their letters as they are.",
        )  # fmt: skip
        return False
    lost = [blank for blank in dict.fromkeys(wanted) if blank not in found]
    if lost:
        _say(
            result, name, unit, "blank-left-out", f"{', '.join(lost)} of the original is not in the translation.",
            "Say it there too, unless the sentence tells it in another way.", "warning",
        )  # fmt: skip
    return True


def _file(
    item: Item, before: dict[str, Any], value: dict[str, Any], open_units: list[Unit], name: str,
    result: Result,
) -> None:  # fmt: skip
    missing = [unit for unit in open_units if unit.loc[-1] not in WHOLE]
    who = "code" if item.folder == "exercises" else "id"
    made_from = {who: item.name, "version": item.source.entry.review.version, "fingerprint": item.fingerprint}
    if not open_units and item.is_stale:
        value["translates"] = {**value.get("translates", {}), **made_from}
    if value == before:
        result.same += 1
        return
    if item.translation is None:
        if missing:
            result.findings.append(
                Finding(
                    "note", "translation-not-whole",
                    f"{item.name}: {len(missing)} of its texts are not confirmed yet, so no file was made.",
                    "Translate and confirm them all; a page is in one language or it is not there.",
                    Place(f"{name} unit {missing[0].id}"),
                )
            )  # fmt: skip
            return
        value = {
            "translates": made_from, "status": "draft", **value,
            "review": {"owner": "Translation team", "version": 1},
        }  # fmt: skip
        path = f"{item.source.source.path.removesuffix('.yml')}.{result.language}.yml"
        result.changes.append(Change(path, None, new_text(value, HEAD)))
        result.lines.append(f"{path}  new draft")
        return
    source = item.translation.source
    if _has_gap(value):
        result.findings.append(
            Finding(
                "error", "translation-has-a-gap", "A line before a confirmed one of the same list is not confirmed.",
                "Confirm the lines of a list from the first on, so that each stands beside its own original.",
                Place(source.path),
            )
        )  # fmt: skip
        return
    try:
        text = edited(source.text, value)
    except CannotEditError as error:
        result.findings.append(
            Finding("error", "cannot-edit", str(error), "Change it in the file itself.", Place(source.path))
        )
        return
    result.changes.append(Change(source.path, source.text, text))
    result.lines.append(f"{source.path}  changed")


def _has_gap(value: Any) -> bool:
    if isinstance(value, dict):
        return any(map(_has_gap, value.values()))
    return isinstance(value, list) and any(item is None or _has_gap(item) for item in value)


def _try(library: Library, result: Result) -> None:
    for path, loc, finding in tried(library, result.changes):
        where = ".".join(map(str, loc))
        shown = Finding(
            finding.severity, finding.code, f"{where}: {finding.message}", finding.hint, Place(path)
        )
        result.findings.append(shown)
