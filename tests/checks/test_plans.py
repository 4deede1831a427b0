"""The clinic's notes and ready sets: one slip a case in a copy of the demo, found at its line of plans.yml."""

from __future__ import annotations

import pytest
from checks.test_safety_net import Planted
from conftest import ROOT

from limberleaf.checks.plans import check_plans
from limberleaf.library import load_library

PLANS = "plans.yml"


@pytest.fixture
def plans(tmp_path_factory: pytest.TempPathFactory) -> Planted:
    return Planted(tmp_path_factory.mktemp("plans"))


def found(plans: Planted, find: str, put: str) -> list[tuple[str, int]]:
    file = plans.content / PLANS
    text = file.read_text("utf-8")
    assert find in text
    file.write_text(text.replace(find, put, 1), "utf-8")
    library = load_library(plans.content)
    return [
        (one.code, one.place.line)
        for one in [*library.findings, *check_plans(library)]
        if one.place.path == PLANS
    ]


def line_of(text: str) -> int:
    lines = (ROOT / "content" / PLANS).read_text("utf-8").splitlines()
    return 1 + next(number for number, line in enumerate(lines) if text in line)


FIRST = "- {exercise: kn-09}"


@pytest.mark.parametrize(
    ("find", "put", "code"),
    [
        ("collection: stiff-sore-knees", "collection: stiff-sore-kneees", "unknown-collection"),
        ("note_names: [note-03]", "note_names: [note-33]", "unknown-note"),
        (FIRST, "- {exercise: kn-99}", "unknown-exercise"),
        (FIRST, "- {exercise: kn-03}", "twice-in-set"),
        (FIRST, "- {exercise: kn-09, sets: 99}", "set-dose-not-allowed"),
        (FIRST, "- {exercise: kn-09, tempo: fast}", "unknown-key"),
        ("weeks: 4", "weeks: 99", "wrong-value"),
        (FIRST, f"{FIRST}\n      - {{exercise: sh-01}}", "set-order"),
    ],
)
def test_a_slip_in_a_set_is_named_at_its_line(plans: Planted, find: str, put: str, code: str) -> None:
    named = [one for one in found(plans, find, put) if one[0] == code]
    assert named
    near = line_of(find)
    assert all(near <= line <= near + 1 for _, line in named)


def test_a_note_that_a_language_lacks_is_named(plans: Planted) -> None:
    dutch = next(
        line
        for line in (ROOT / "content" / PLANS).read_text("utf-8").splitlines(keepends=True)
        if line.startswith("    nl: ")
    )
    assert ("plan-text-not-translated", line_of("note-01:") + 1) in found(plans, dutch, "")


def test_the_demo_has_nothing_to_name(plans: Planted) -> None:
    assert found(plans, "sets:\n", "sets:\n") == []
