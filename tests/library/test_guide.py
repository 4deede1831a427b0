"""Every key that an entry may hold says what it means and which form it takes, and can be asked for."""

from __future__ import annotations

import json

import pytest
import yaml
from click.testing import CliRunner
from conftest import ROOT

from limberleaf.cli import main
from limberleaf.library.guide import find_keys, keys
from limberleaf.library.schemas import SCHEMAS


@pytest.mark.parametrize("kind", SCHEMAS)
def test_no_key_is_without_a_meaning_and_a_form(kind: str) -> None:
    assert [key.name for key in keys(kind) if len(key.meaning) < 5 or not key.form] == []


def test_every_key_of_the_demo_is_in_the_guide() -> None:
    """The demo's own files name the keys, not the models the guide is made from."""
    known = {key.paths[0] for key in keys("exercise")}
    entry = yaml.safe_load((ROOT / "content/exercises/knee/kn-03.yml").read_text("utf-8"))
    used = set(_paths(entry, ""))
    assert len(used) > 30
    assert {path for path in used - known if not path.startswith("figure.poses.joints.")} == set()


def _paths(value: object, path: str) -> list[str]:
    if isinstance(value, list):
        return [found for one in value for found in _paths(one, path)]
    if not isinstance(value, dict):
        return []
    here = [f"{path}.{name}".lstrip(".") for name in value]
    return here + [
        found for name, one in value.items() for found in _paths(one, f"{path}.{name}".lstrip("."))
    ]


def guide(*words: str) -> str:
    done = CliRunner().invoke(main, ["guide", *words])
    assert done.exit_code == 0, done.output
    return done.output


def test_a_path_gives_the_key_and_those_below_it() -> None:
    output = guide("dose")
    assert "exercise dose  (must be there)" in output
    assert "How long to hold each one" in output
    assert "exercise dose.tempo.pause  (may be left out)" in output


def test_a_kind_and_a_path_give_one_key_with_what_it_is_by_itself() -> None:
    assert 'by itself: "A4"' in guide("clinic", "paper")
    assert "one of: A4, Letter" in guide("clinic", "paper")


def test_the_last_part_of_a_path_is_enough() -> None:
    assert {key.kind for key in find_keys("move_on_when")} == {"ladder", "ladder-translation"}


def test_scripts_read_the_guide_as_json() -> None:
    rows = json.loads(guide("--format", "json", "caution"))
    assert {"path", "meaning", "form", "required"} <= set(rows[0])
    assert "tier" in [row["path"] for row in rows]


def test_a_key_that_does_not_exist_is_answered_with_the_nearest() -> None:
    done = CliRunner().invoke(main, ["guide", "repetition"])
    assert done.exit_code == 1
    assert "Did you mean “repetitions”?" in done.output
