"""A few planted faults of every kind, in every run: those that could hurt are named before anybody approves them."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from conftest import ROOT

sys.path.insert(0, str(Path(__file__).parent))
from plant import Bench
from planted import all_faults, sampled

AFTER = 98
"""Per cent of faults that are still named once one person has approved them all with the same reason."""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return Bench(ROOT / "content", tmp_path_factory.mktemp("faults"), quick=True)


def test_planted_faults_are_named(bench: Bench) -> None:
    assert bench.clean == set()
    outcomes = [bench.plant(fault) for fault in sampled(all_faults(ROOT / "content"), 1)]
    unnamed = [
        f"{one.fault.path}: {one.fault.kind}, {one.fault.what}" for one in outcomes if one.before != "named"
    ]
    assert len(outcomes) > 35
    assert unnamed == []
    after = sum(one.after == "named" for one in outcomes)
    assert 100 * after >= AFTER * len(outcomes)
