"""What people type in the finder is answered: a list of queries with the exercises that answer them, in Chromium.

The measure is the mean reciprocal rank (Voorhees 1999, the TREC-8 question answering track report): 1 when the first
result answers, 1/2 when the second does, 0 when none does.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from browser.conftest import Visit

pytestmark = pytest.mark.browser

QUERIES = yaml.safe_load((Path(__file__).parent / "finder_queries.yml").read_text("utf-8"))
NEVER_LOST = (
    "dizzy",
    "headache",
    "osteoarthritis",
    "glute",
    "core",
    "after knee replacement",
    "KN 3",
    "stares",
)
"""What a clinician and a patient typed once and got nothing, or the wrong ones, for."""


def test_queries_are_answered_near_the_top(visit: Callable[..., Visit]) -> None:
    page = visit().open("")
    found = page.evaluate(
        """queries => {
            const box = document.querySelector("form.finder").elements.q;
            return queries.map(query => {
                box.value = query;
                box.dispatchEvent(new Event("input", {bubbles: true}));
                return Array.from(document.querySelectorAll("#hits li[data-code]"), one => one.dataset.code);
            });
        }""",
        [str(query) for query in QUERIES],
    )
    ranks = {
        query: next((1 / at for at, code in enumerate(codes, 1) if code in wanted), 0.0)
        for (query, wanted), codes in zip(QUERIES.items(), found, strict=True)
    }
    assert len(ranks) >= 80
    assert {query: ranks[query] for query in NEVER_LOST} == dict.fromkeys(NEVER_LOST, 1.0)
    assert sum(ranks.values()) / len(ranks) >= 0.9, {query: rank for query, rank in ranks.items() if rank < 1}
