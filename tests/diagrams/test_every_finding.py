"""Every finding a figure can get: reported for an author's figure that has the fault, not for a near one without it.

The figures stand in findings.yml. Two tests read the source of `diagrams`: a code or a refusal without a row there
fails, so that no check comes without its two figures.
"""

import ast
import json
import re
from functools import cache
from pathlib import Path

import pytest
from pydantic import ValidationError

from limberleaf import diagrams
from limberleaf.data_files import safe_load
from limberleaf.diagrams import figure
from limberleaf.diagrams.language.spec import FigureSpec

TABLE = safe_load((Path(__file__).parent / "findings.yml").read_text("utf-8"))
ROWS = TABLE["findings"]
SOURCES = sorted(Path(diagrams.__file__).parent.rglob("*.py"))


def _row_names(rows, key):
    return [f"{row[key]}: {row['check']}" if "check" in row else row[key] for row in rows]


def _problems(row, affected):
    """Give the findings of a row's faulty figure, which is solved once for the tests that look at them."""
    return _solved(json.dumps(row["bad"]), affected)


@cache
def _solved(mapping, affected):
    return figure(json.loads(mapping), affected=affected).problems


@pytest.mark.parametrize("affected", ["right", "left"])
@pytest.mark.parametrize("row", ROWS, ids=_row_names(ROWS, "code"))
def test_a_finding_comes_when_due_and_only_then(row, affected):
    problems = _problems(row, affected)
    place = tuple(int(word) if word.isdigit() else word for word in row["place"].split())
    found = [p for p in problems if p.code == row["code"] and p.path == place]
    assert found, problems
    fitting = [p for p in found if all(words in p.message for words in row["says"])]
    assert fitting, [p.message for p in found]
    assert any(all(words in p.hint for words in row["way_out"]) for p in fitting), [p.hint for p in fitting]
    assert {p.severity for p in fitting} == {row["severity"]}
    assert figure(row["good"], affected=affected).problems == ()


@pytest.mark.parametrize("affected", ["right", "left"])
@pytest.mark.parametrize("row", ROWS, ids=_row_names(ROWS, "code"))
def test_findings_are_sentences_in_an_authors_words(row, affected):
    """Whole sentences; affected and other instead of left and right; no names of our own for parts and joints."""
    for problem in _problems(row, affected):
        for text in (problem.message, problem.hint):
            assert re.match(r"[A-Z0-9'`]", text), text
            assert text.endswith((".", "?")), text
            assert not re.search(
                r"\b(left|right|thorax|shank|girdle|spine_\d|mid)\b|_| is is |\bNone\b",
                re.sub("`[^`]*`|in_front_of", "", text),
            ), text


@pytest.mark.parametrize("row", TABLE["refusals"], ids=_row_names(TABLE["refusals"], "says"))
def test_what_cannot_be_read_is_refused_in_plain_words(row):
    with pytest.raises(ValidationError) as caught:
        FigureSpec.model_validate(row["bad"])
    assert row["says"] in str(caught.value)
    FigureSpec.model_validate(row["good"])


def _raised_codes():
    """Return every code that a Problem is made with, and where."""
    for source in SOURCES:
        for node in ast.walk(ast.parse(source.read_text("utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name == "Problem":
                first = [*node.args, *(k.value for k in node.keywords if k.arg == "code")][0]
                assert isinstance(first, ast.Constant), f"{source.name}:{node.lineno}: write the code out"
                yield first.value, f"{source.name}:{node.lineno}"


def test_every_code_in_the_source_has_its_two_figures():
    raised = dict(_raised_codes())
    assert len(raised) > 15
    known = {row["code"] for row in ROWS}
    assert {code: place for code, place in raised.items() if code not in known} == {}
    assert known - set(raised) == set(), "rows for codes that are never raised"


def _refusals():
    """Return the longest fixed words of every refusal: what the spec files raise and the reasons words.py returns."""
    for source in (s for s in SOURCES if s.name in ("spec.py", "spec_joints.py", "words.py")):
        for node in ast.walk(ast.parse(source.read_text("utf-8"))):
            raised = isinstance(node, ast.Raise) and source.name != "words.py"
            reason = isinstance(node, ast.Return) and node.value and source.name == "words.py"
            raised_value = node.exc if raised else node.value if reason else None
            texts = (
                [n.value for n in ast.walk(raised_value) if isinstance(n, ast.Constant)]
                if raised_value
                else []
            )
            longest = max((text for text in texts if isinstance(text, str)), key=len, default="")
            if len(longest.split()) > 3:
                yield longest, f"{source.name}:{node.lineno}"


def test_every_refusal_in_the_source_has_its_two_figures():
    refusals = dict(_refusals())
    assert len(refusals) > 9
    messages = [row["says"] for row in TABLE["refusals"]]
    assert {words: place for words, place in refusals.items() if not any(words in t for t in messages)} == {}


def _on_one_leg(contact):
    kind = next((k for k in ("worktop", "wall", "chair", "doorway", "stick", "weight", "ball")
                 if k in str(contact.get("on") or contact.get("holding"))), None)  # fmt: skip
    pose = {"posture": "standing", "joints": {"other": {"hip": {"flexion": 30}, "knee": {"flexion": 70}}}}
    return {"props": [{"kind": kind}] if kind else [], "poses": [{**pose, "contacts": [contact]}]}


@pytest.mark.parametrize("contact", TABLE["steady"]["holds"], ids=str)
def test_a_hand_on_something_steady_is_a_hold(contact):
    problems = figure(_on_one_leg(contact)).problems
    assert [p for p in problems if p.code in ("hold-steady", "off-balance", "contact-open")] == []


@pytest.mark.parametrize("contact", TABLE["steady"]["does_not_hold"], ids=str)
def test_a_hand_on_what_moves_with_the_body_is_no_hold(contact):
    assert "hold-steady" in {p.code for p in figure(_on_one_leg(contact)).problems}
