"""Findings for machines: each form has what its reader asks for."""

from __future__ import annotations

import json

from limberleaf.findings import Finding, Place, in_order
from limberleaf.reports import WRITERS, as_github, as_gitlab, as_json, as_sarif, as_text

FINDINGS = [
    Finding(
        "error",
        "unknown-key",
        "“titel” is no key, 100 % sure.",
        "Did you mean “title”?",
        Place("a.yml", 3, 5),
    ),
    Finding("note", "file-not-used", "Not used:\nsee.", "Move it.", Place("b,c.txt")),
]


def test_text_says_place_code_message_and_hint() -> None:
    text = as_text(FINDINGS)
    assert "a.yml:3:5: error [unknown-key] “titel” is no key, 100 % sure.\n    Did you mean “title”?" in text
    assert text.endswith("1 error, 1 note\n")


def test_json_gives_every_part() -> None:
    rows = json.loads(as_json(FINDINGS))
    assert rows[0] == {
        "severity": "error",
        "code": "unknown-key",
        "message": "“titel” is no key, 100 % sure.",
        "hint": "Did you mean “title”?",
        "path": "a.yml",
        "line": 3,
        "column": 5,
    }


def test_sarif_has_what_the_standard_requires() -> None:
    """SARIF 2.1.0 (OASIS): version and runs (3.13), tool.driver.name (3.19), message (3.27.11), levels (3.27.10)."""
    log = json.loads(as_sarif(FINDINGS))
    assert log["version"] == "2.1.0"
    run = log["runs"][0]
    assert run["tool"]["driver"]["name"] == "limberleaf"
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    for result in run["results"]:
        assert result["message"]["text"]
        assert result["level"] in {"none", "note", "warning", "error"}
        assert rules[result["ruleIndex"]] == result["ruleId"]
    region = run["results"][0]["locations"][0]["physicalLocation"]["region"]
    assert region == {"startLine": 3, "startColumn": 5}
    assert "region" not in run["results"][1]["locations"][0]["physicalLocation"]


def test_github_escapes_what_its_commands_reserve() -> None:
    first, second = as_github(FINDINGS).splitlines()
    assert first.startswith("::error file=a.yml,line=3,col=5,title=limberleaf unknown-key::")
    assert "100 %25 sure." in first
    assert "file=b%2Cc.txt,title=" in second
    assert "Not used:%0Asee." in second


def test_gitlab_fingerprints_differ_and_stay() -> None:
    rows = json.loads(as_gitlab(FINDINGS))
    assert len({row["fingerprint"] for row in rows}) == len(rows)
    assert rows == json.loads(as_gitlab(FINDINGS))
    assert {row["severity"] for row in rows} <= {"info", "minor", "major", "critical", "blocker"}


def test_no_findings_is_reported_in_every_form() -> None:
    assert as_text([]) == "No findings.\n"
    for writer in WRITERS.values():
        writer([])


def test_order_is_by_place_and_repeats_are_dropped() -> None:
    again = [FINDINGS[1], FINDINGS[0], FINDINGS[0]]
    assert in_order(again) == FINDINGS
