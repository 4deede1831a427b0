"""An example of every key: cut out of entries that the models accept, and holding the key it is there for."""

from __future__ import annotations

from typing import Any

import pytest
from click.testing import CliRunner

from limberleaf.cli import main
from limberleaf.guide.examples import JOINTS, example, example_texts
from limberleaf.library.guide import Key, keys
from limberleaf.library.models.exercise import Exercise
from limberleaf.library.schemas import SCHEMAS
from limberleaf.library.shape import shape
from limberleaf.library.yaml.source import read_written


@pytest.mark.parametrize("kind", SCHEMAS)
def test_the_entries_that_examples_are_cut_out_of_are_whole_and_right(kind: str) -> None:
    texts = example_texts(kind)
    assert texts
    for text in texts:
        source, value, findings = read_written("example.yml", text)
        entry, wrong = shape(SCHEMAS[kind], value, source)
        assert [one.line() for one in [*findings, *wrong]] == []
        assert entry is not None


def read(text: str) -> Any:
    """Read YAML as entries are read: `on` is a word."""
    return read_written("example.yml", text)[1]


def values_at(value: Any, steps: list[str]) -> list[Any]:
    """Give what stands at the end of a path, through every item of a list and every name."""
    if not steps:
        return [value]
    if isinstance(value, list):
        return [found for one in value for found in values_at(one, steps)]
    if not isinstance(value, dict):
        return []
    inner = list(value.values()) if steps[0] == "NAME" else [value[steps[0]]] if steps[0] in value else []
    return [found for one in inner for found in values_at(one, steps[1:])]


def holds(key: Key) -> bool:
    """Tell whether the example of a key, read as YAML, has a value at its path."""
    return any(
        found not in (None, [], {}) for found in values_at(read(example(key)), key.paths[0].split("."))
    )


@pytest.mark.parametrize("kind", SCHEMAS)
def test_every_key_has_an_example_with_that_key(kind: str) -> None:
    assert [key.path for key in keys(kind) if not holds(key)] == []


def test_examples_of_joints_are_poses_that_the_models_take() -> None:
    main = read(example_texts("exercise")[0])
    joints = [key for key in keys("exercise") if key.path.startswith(f"{JOINTS}.")]
    assert len(joints) > 100
    poses = [read(example(key))["figure"]["poses"][0] for key in joints]
    for pose in poses:
        main["figure"]["poses"] = [{"posture": "sitting", **pose}]
        Exercise.model_validate({**main, "figure": {"poses": main["figure"]["poses"]}})


def test_a_key_is_shown_with_its_example_and_the_list_of_a_kind_without() -> None:
    shown = CliRunner().invoke(main, ["guide", "clinic", "pain_bands"]).output
    assert (
        shown.count("pain_bands: {carry_on: 0-3, ease_off: 4-5, stop: 6-10}") == 1
    )  # one line for four keys
    assert shown.count("\nclinic pain_bands.") == 3
    assert "For example:" not in CliRunner().invoke(main, ["guide", "clinic"]).output
