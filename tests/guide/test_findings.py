"""The words on findings: every code the program can say is explained, nothing else is, and people get at it."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from limberleaf.checks.safety.unsafe_words import unsafe_in
from limberleaf.cli import main
from limberleaf.findings import Place
from limberleaf.guide.explain import explained_at, explanations
from limberleaf.guide.site import topics
from limberleaf.library.guide import find_keys, keys
from limberleaf.library.schemas import SCHEMAS
from limberleaf.reading import rules
from tests.guide.codes_in_source import Traced, traced
from tests.guide.program_source import FOLDERS

READING = {rule.id for rule in rules()}
UNSAFE = {code for code, one in explanations().items() if one.topic == "What no text for a patient may say"}


@pytest.fixture(scope="module")
def made() -> Traced:
    return traced()


def test_every_code_of_the_program_is_explained_and_no_retired_one_is(made: Traced) -> None:
    assert len(made.severities) > 300
    assert set(made.severities) | READING | UNSAFE == set(explanations())


def test_codes_that_cannot_be_traced_come_from_data_that_is_tested_by_itself(made: Traced) -> None:
    """A new way of making codes that the tracing does not follow must fail here, not pass unseen."""
    assert set(made.lost) == {
        "limberleaf.checks.reading",  # reading rules: compared with READING above
        "limberleaf.checks.safety.unsafe_words",  # data/unsafe_words.yml: compared below
        "limberleaf.library.load",  # findings that were kept, made again as they were
    }


def test_every_kind_of_unsafe_words_is_explained_and_its_example_is_found() -> None:
    for code in UNSAFE:
        found = unsafe_in(explanations()[code].example, "en", ("steps", 0), lambda _: Place("a.yml", 1, 1))
        assert code in {one.code for one in found}, code
    data = (FOLDERS["limberleaf"] / "clinical/data/unsafe_words.yml").read_text("utf-8")
    assert set(re.findall(r"^- code: (\S+)", data, re.MULTILINE)) == UNSAFE


def test_severities_are_those_the_program_gives(made: Traced) -> None:
    for code, given in made.severities.items():
        stated = set(explanations()[code].severities)
        assert stated <= given, code
        assert len(given) > 1 or stated == given, code


def test_findings_stand_at_keys_that_exist_and_every_kind_has_some() -> None:
    known = {key.paths[1] for kind in SCHEMAS for key in keys(kind)}
    for one in explanations().values():
        assert set(one.at) <= known, one.code
        assert one.wrong.endswith("."), one.code
        assert one.way_out.endswith((".", "”")), one.code
    assert {name.split(" ")[0] for one in explanations().values() for name in one.at} >= set(SCHEMAS) - {
        "words"
    }


def test_every_key_with_search_words_says_that_none_may_name_an_emergency() -> None:
    known = {key.paths[1] for kind in SCHEMAS for key in keys(kind)}
    assert set(explanations()["search-word-urgent"].at) == {one for one in known if one.endswith(" synonyms")}


def test_a_finding_is_explained_in_the_terminal() -> None:
    said = " ".join(CliRunner().invoke(main, ["guide", "gate-above-dose"]).output.split())
    one = explanations()["gate-above-dose"]
    assert one.wrong in said
    assert one.way_out in said
    assert "Stands at: exercise harder.when, ladder steps.move_on_when." in said
    row = json.loads(CliRunner().invoke(main, ["guide", "gate-above-dose", "--format", "json"]).output)
    assert row["severities"] == ["error"]
    listed = CliRunner().invoke(main, ["guide", "findings"]).output.split()
    assert [code for code in explanations() if code not in listed] == []


def test_a_key_says_which_findings_it_can_cause() -> None:
    said = CliRunner().invoke(main, ["guide", "dose.hold"]).output
    assert {"slider-held", "hold-not-told"} <= set(re.findall(r"[a-z]+(?:-[a-z]+)+", said))
    deep = find_keys("figure.poses.joints.affected.knee.flexion")[0]
    assert "joint-beyond-range" in {one.code for one in explained_at(deep)}


def test_check_says_where_findings_are_explained_and_sarif_carries_the_words(tmp_path: Path) -> None:
    (tmp_path / "content").mkdir()
    call = ["check", "--content", str(tmp_path / "content")]
    assert CliRunner().invoke(main, call).output.endswith("limberleaf guide no-clinic-file\n")
    log = json.loads(CliRunner().invoke(main, [*call, "--format", "sarif"]).output)
    rule = log["runs"][0]["tool"]["driver"]["rules"][0]
    assert rule["shortDescription"]["text"] == explanations()[rule["id"]].wrong
    assert explanations()[rule["id"]].way_out in rule["help"]["text"]


def calls_in_messages() -> list[tuple[str, str]]:
    """Give every call of the program that a text in the source names, with NAME where a value is put in."""
    found = set()
    for folder in FOLDERS.values():
        for file in sorted(folder.rglob("*.py")):
            text = file.read_text("utf-8")
            if "`limberleaf " not in text:
                continue
            for node in ast.walk(ast.parse(text)):
                if isinstance(node, ast.JoinedStr):
                    whole = "".join(
                        str(part.value) if isinstance(part, ast.Constant) else "NAME" for part in node.values
                    )
                elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                    whole = node.value
                else:
                    continue
                found |= {(file.name, call) for call in re.findall(r"`limberleaf ([a-z][^`\n]*)`", whole)}
    rows = [(f"{one.code}", text) for one in explanations().values() for text in (one.wrong, one.way_out)]
    found |= {(code, call) for code, text in rows for call in re.findall(r"`limberleaf ([a-z][^`]*)`", text)}
    return sorted(found)


def test_every_call_a_message_names_is_one_the_program_takes() -> None:
    calls = calls_in_messages()
    assert len(calls) > 30
    for where, call in calls:
        words = call.split()
        command: click.Command = main
        while isinstance(command, click.Group) and words and not words[0].startswith("-"):
            inner = command.get_command(click.Context(command), words.pop(0))
            assert inner is not None, (where, call)
            command = inner
        options = {name for option in command.params for name in option.opts}
        assert [one for one in words if one.startswith("--") and one not in options] == [], (where, call)
        if call.startswith("guide ") and (asked := words[0]) not in (
            "NAME",
            "KIND",
            "KEY",
            "CODE",
            "[KEY]",
            "--site",
        ):
            assert asked in topics() or asked in explanations() or find_keys(asked), (where, call)
