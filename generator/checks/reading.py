"""How hard the words are: the reading engine's marks as findings, and pages above the clinic's target."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from limberleaf.checks.wording import Wording, choices_with, word_choices, wordings
from limberleaf.findings import Finding, did_you_mean
from limberleaf.library import Library
from limberleaf.reading import WordChoices, read, rules
from limberleaf.store import Store, code_key, content_key


def check_reading(library: Library, store: Store) -> Iterator[Finding]:
    """Find hard wording in every entry, and entries above the clinic's reading target."""
    yield from _unknown_rules(library)
    clinic = word_choices(library)
    for page in wordings(library):
        given = (page, library.clinic, library.words)
        yield from library.read_cache.cached(("reading", page.source.path), given, _look, page, clinic, store)


def _unknown_rules(library: Library) -> Iterator[Finding]:
    if library.clinic is None or not library.settings.reading.switched_off:
        return
    known = [rule.id for rule in rules()]
    for index, off in enumerate(library.settings.reading.switched_off):
        if off.rule not in known:
            yield Finding(
                "error",
                "unknown-reading-rule",
                f"There is no reading rule “{off.rule}” to switch off.",
                f"{did_you_mean(off.rule, known)} Or take the line out.",
                library.clinic.source.place(("reading", "switched_off", index, "rule")),
            )


def _look(page: Wording, clinic: WordChoices, store: Store) -> Iterator[Finding]:
    own = choices_with(clinic, page.switched_off)
    key = _key(page, own)
    result = store.read([key]).get(key)
    if result is None:
        result = _read(page, own)
        store.keep({key: result})
    yield from _findings(page, result, own.target_grade)


def _key(page: Wording, choices: WordChoices) -> str:
    words = [str(vars_of) for vars_of in _fields(choices)]
    blocks = [(passage.kind, passage.text.plain) for passage in page.passages]
    return content_key("reading", code_key("limberleaf.reading"), page.language, blocks, words)


def _fields(choices: WordChoices) -> Iterator[object]:
    for name in type(choices).__dataclass_fields__:
        value = getattr(choices, name)
        yield name, sorted(value) if isinstance(value, frozenset) else value


def _read(page: Wording, choices: WordChoices) -> dict[str, Any]:
    """Read one page; plain values, so that they can be kept."""
    reading = read([passage.block for passage in page.passages], page.language, choices)
    return {
        "headline": reading.headline.text,
        "against": reading.headline.against(choices.target_grade),
        "marks": [
            [mark.rule, mark.level, mark.block, mark.start, mark.message, mark.suggestion]
            for mark in reading.marks
        ],
    }


def _findings(page: Wording, result: dict[str, Any], target: int) -> Iterator[Finding]:
    if result["against"] == "above":
        yield Finding(
            "warning",
            "reading-above-target",
            f"The prose reads at: {result['headline']} The clinic's target is grade {target}.",
            "Shorten the sentences and swap the hard words named below.",
            page.source.place(),
        )
    for rule, level, block, start, message, suggestion in result["marks"]:
        yield Finding(
            level,
            rule,
            message,
            suggestion or "Say it more plainly.",
            page.place(block, start),
        )
