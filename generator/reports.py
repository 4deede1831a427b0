"""Findings for people and machines: text, JSON, SARIF 2.1.0, and the forms code hosts show as annotations.

Every writer takes the same ordered findings and gives one text; none prints.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from limberleaf.findings import SEVERITIES, Finding

INFORMATION = "https://limberleaf.example/"  # reserved by RFC 2606: the project has no public address yet


def as_text(findings: Sequence[Finding]) -> str:
    """Give one line a finding with its hint below, and a closing count."""
    lines = []
    for finding in findings:
        lines += [finding.line(), f"    {finding.hint}"]
    return "\n".join([*lines, summary(findings)]) + "\n"


def summary(findings: Iterable[Finding]) -> str:
    """Say how many findings there are of each severity."""
    counts = Counter(finding.severity for finding in findings)
    if not counts:
        return "No findings."
    return ", ".join(
        f"{counts[severity]} {severity}{'s' if counts[severity] != 1 else ''}"
        for severity in SEVERITIES
        if counts[severity]
    )


def as_json(findings: Sequence[Finding]) -> str:
    """Give a JSON list, one object a finding."""
    rows = [
        {
            "severity": finding.severity,
            "code": finding.code,
            "message": finding.message,
            "hint": finding.hint,
            "path": finding.place.path,
            "line": finding.place.line,
            "column": finding.place.column,
        }
        for finding in findings
    ]
    return json.dumps(rows, ensure_ascii=False, indent=2) + "\n"


def as_sarif(findings: Sequence[Finding], explained: Mapping[str, tuple[str, str]] | None = None) -> str:
    """Give a SARIF 2.1.0 log (OASIS Standard, 27 March 2020).

    `explained` gives what is wrong and the way out by code, which a reader of the log shows beside the rule.
    """
    codes = sorted({finding.code for finding in findings})
    rules = [_sarif_rule(code, (explained or {}).get(code)) for code in codes]
    driver = {"name": "limberleaf", "informationUri": INFORMATION, "rules": rules}
    log = {
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": driver},
                "columnKind": "unicodeCodePoints",
                "results": [_sarif_result(finding, codes) for finding in findings],
            }
        ],
    }
    return json.dumps(log, ensure_ascii=False, indent=2) + "\n"


def _sarif_rule(code: str, words: tuple[str, str] | None) -> Mapping[str, Any]:
    rule: dict[str, Any] = {"id": code, "name": "".join(part.title() for part in code.split("-"))}
    if words:
        wrong, way_out = words
        help_text = f"{way_out} More: limberleaf guide {code}"
        rule |= {"shortDescription": {"text": wrong}, "help": {"text": help_text}}
    return rule


def _sarif_result(finding: Finding, codes: Sequence[str]) -> Mapping[str, Any]:
    physical: dict[str, Any] = {"artifactLocation": {"uri": finding.place.path}}
    if finding.place.line:
        physical["region"] = {"startLine": finding.place.line, "startColumn": finding.place.column}
    return {
        "ruleId": finding.code,
        "ruleIndex": codes.index(finding.code),
        "level": finding.severity,
        "message": {"text": f"{finding.message} {finding.hint}"},
        "locations": [{"physicalLocation": physical}],
    }


def as_github(findings: Sequence[Finding]) -> str:
    """Give workflow commands, which GitHub and Forgejo show beside the changed lines."""
    names = {"error": "error", "warning": "warning", "note": "notice"}
    lines = []
    for finding in findings:
        place = finding.place
        at = f",line={place.line},col={place.column}" if place.line else ""
        title = _escape(f"limberleaf {finding.code}", in_property=True)
        message = _escape(f"{finding.message} {finding.hint}")
        path = _escape(place.path, in_property=True)
        lines.append(f"::{names[finding.severity]} file={path}{at},title={title}::{message}")
    return "".join(f"{line}\n" for line in lines)


def _escape(text: str, *, in_property: bool = False) -> str:
    text = text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")
    return text.replace(":", "%3A").replace(",", "%2C") if in_property else text


def as_gitlab(findings: Sequence[Finding]) -> str:
    """Give a Code Quality report, which GitLab shows in merge requests."""
    levels = {"error": "major", "warning": "minor", "note": "info"}
    rows = [
        {
            "description": f"{finding.message} {finding.hint}",
            "check_name": finding.code,
            "fingerprint": hashlib.sha256(finding.line().encode()).hexdigest()[:32],
            "severity": levels[finding.severity],
            "location": {"path": finding.place.path, "lines": {"begin": max(finding.place.line, 1)}},
        }
        for finding in findings
    ]
    return json.dumps(rows, ensure_ascii=False, indent=2) + "\n"


WRITERS: Mapping[str, Callable[[Sequence[Finding]], str]] = {
    "text": as_text,
    "json": as_json,
    "sarif": as_sarif,
    "github": as_github,
    "gitlab": as_gitlab,
}
"""The forms `limberleaf check --format` knows."""
