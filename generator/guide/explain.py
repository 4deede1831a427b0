"""What each code of a finding means: what is wrong and for whom, the way out, an example, the keys it stands at.

findings/ holds a file a topic; severity and example of a reading rule are those of the rule itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.data_files import safe_load
from limberleaf.findings import Severity
from limberleaf.library.guide import Key
from limberleaf.reading import rules

TOPICS = (
    "files", "shape", "references", "words", "unsafe", "reading", "dose", "figure", "ladders", "cautions",
    "translation", "approval", "changes", "clinic", "publish", "tables",
)  # fmt: skip
"""The files of findings/, in the order of the guide."""


@dataclass(frozen=True)
class Explanation:
    """One code: `wrong` says what is wrong and for whom, `way_out` what to do, `at` the keys it stands at.

    `at` holds names as `limberleaf guide` takes them (`exercise dose.hold`) and is empty where the finding stands at
    any text, at a whole file or outside the entries; `example` is something that causes it.
    """

    code: str
    severities: tuple[Severity, ...]
    wrong: str
    way_out: str
    topic: str
    example: str = ""
    at: tuple[str, ...] = ()


@cache
def explanations() -> Mapping[str, Explanation]:
    """Give every code that the program can say, topic by topic."""
    levels = {rule.id: rule for rule in rules()}
    found: dict[str, Explanation] = {}
    for name in TOPICS:
        topic: dict[str, Any] = safe_load(
            files(__package__).joinpath(f"findings/{name}.yml").read_text("utf-8")
        )
        for code, own in topic["findings"].items():
            row = {**topic, **own}
            stated: Any = row["is"] if "is" in row else levels[code].level
            severities: list[Severity] = [stated] if isinstance(stated, str) else stated  # type: ignore[list-item]
            example = (
                row["example"] if "example" in row else _first(levels[code].hit) if code in levels else ""
            )
            found[code] = Explanation(
                code,
                tuple(severities),
                row["wrong"],
                row["do"],
                topic["title"],
                example.strip(),
                tuple(row.get("at", ())),
            )
    return found


def explained_at(key: Key) -> list[Explanation]:
    """Give what can be said of a key; where nothing is said of a key itself, what is said of the one it belongs to."""
    return [*_by_form(key), *_by_place(key)]


def rule_words() -> dict[str, tuple[str, str]]:
    """Give what is wrong and the way out by code, for reports that describe each rule."""
    return {code: (one.wrong, one.way_out) for code, one in explanations().items()}


def _by_place(key: Key) -> list[Explanation]:
    plain = key.paths[0]
    while plain:
        if found := [one for one in explanations().values() if f"{key.kind} {plain}" in one.at]:
            return found
        plain = plain.rpartition(".")[0]
    return []


def _by_form(key: Key) -> Iterator[Explanation]:
    """Give what comes of the form of a key alone."""
    if key.required:
        yield explanations()["missing-key"]
    if key.form.startswith("one of"):
        yield explanations()["not-a-choice"]


def _first(examples: tuple[Any, ...]) -> str:
    """Give the first example of a reading rule, which may name the kind of text it stands in."""
    return str(next(iter(examples[0].values())) if isinstance(examples[0], Mapping) else examples[0])
