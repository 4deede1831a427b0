"""A few planted faults of every kind, in every run: those that could hurt are named before anybody approves them."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from part import copy_part

sys.path.insert(0, str(Path(__file__).parent))
from plant import Bench
from planted import all_faults, sampled

AFTER = 98
"""Per cent of faults that are still named once one person has approved them all with the same reason."""


FIT_NOBODY = {"caution-covers-nothing", "rule-covers-nothing"}
"""What is said of a part of the demo without a fault: some of its cautions are for exercises that are elsewhere."""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    part = copy_part(tmp_path_factory.mktemp("part"))
    return Bench(part, tmp_path_factory.mktemp("faults"), quick=True)


def test_planted_faults_are_named(bench: Bench) -> None:
    assert {code for code, _, _ in bench.clean} == FIT_NOBODY
    outcomes = [bench.plant(fault) for fault in sampled(all_faults(bench.content), 1)]
    unnamed = [
        f"{one.fault.path}: {one.fault.kind}, {one.fault.what}" for one in outcomes if one.before != "named"
    ]
    assert len(outcomes) > 35
    assert unnamed == []
    after = sum(one.after == "named" for one in outcomes)
    assert 100 * after >= AFTER * len(outcomes)
