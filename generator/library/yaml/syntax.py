"""What is wrong with a file that cannot be read as YAML, in the words of who typed it."""

from __future__ import annotations

import re

import yaml

from limberleaf.findings import Finding, Place

_BEGINS_WITH_BLANK = re.compile(r"\s*(?:- +)?(?:[a-z_]+: +)?\{[a-z_]+\}")

_MISTAKES = {
    "merge-conflict": (
        "A merge stopped here and left both versions in the file.",
        "Keep the version that was approved and delete the other with the lines <<<<<<<, ======= and >>>>>>>.",
    ),
    "tab-in-indent": ("There is a tab where spaces are needed.", "Use spaces, two for each level."),
    "colon-in-text": (
        "A colon followed by a space ends a key, so this line cannot be read.",
        'Put the whole sentence in double quotes: "Remember: sit tall."',
    ),
    "text-in-braces": (
        "Inside { } or [ ] this text needs quotes.",
        'Put it in double quotes, as in {when: "Your {affected} knee bends."}, or give each key its own line.',
    ),
    "text-begins-with-blank": (
        "A text that begins with a blank needs quotes.",
        'Put the whole text in double quotes: "{sets}, {times_a_day}."',
    ),
}
"""What people most likely typed, by code: what is wrong, and how to write it instead."""


def syntax_finding(path: str, text: str, error: yaml.YAMLError) -> Finding:
    """Give the finding for a text that is no YAML: the mistake people made most likely, and how to write it instead."""
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    problem = str(getattr(error, "problem", None) or getattr(error, "reason", None) or error)
    mistake = _mistake(text, problem, line, column)
    if mistake:
        code, line, column = mistake
        return Finding("error", code, *_MISTAKES[code], Place(path, line, column))
    if isinstance(error, yaml.reader.ReaderError):
        position = getattr(error, "position", 0)
        before = text[:position]
        line, column = before.count("\n") + 1, position - (before.rfind("\n") + 1) + 1
        problem = "there is a control character in the text"
    if "expected a single document" in problem or "but found another document" in problem:
        problem = "the file holds more than one document"
    return Finding(
        "error",
        "yaml-syntax",
        f"The file cannot be read as YAML: {problem}.",
        "Look at this line and the one before it: indentation, a missing quote or a missing dash.",
        Place(path, line, column),
    )


def _mistake(text: str, problem: str, line: int, column: int) -> tuple[str, int, int] | None:
    """Tell the code, line and column of a common mistake, from what the parser complained of and where."""
    lines = text.splitlines()
    conflict = next((at for at, one in enumerate(lines, 1) if one.startswith("<<<<<<< ")), 0)
    if conflict:
        return "merge-conflict", conflict, 1
    written = lines[line - 1] if line <= len(lines) else ""
    if "\t" in written[: len(written) - len(written.lstrip())] or "'\\t'" in problem:
        return "tab-in-indent", line, written.find("\t") + 1 or column
    if "mapping values are not allowed" in problem:
        return "colon-in-text", line, column
    if "expected ',' or" in problem:
        return "text-in-braces", line, column
    if _BEGINS_WITH_BLANK.match(written):
        return "text-begins-with-blank", line, written.find("{") + 1
    return None
