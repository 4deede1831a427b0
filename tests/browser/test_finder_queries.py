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


@pytest.mark.parametrize("language", sorted(QUERIES))
def test_queries_are_answered_near_the_top(visit: Callable[..., Visit], language: str) -> None:
    page = visit().open("" if language == "en" else f"{language}/")
    queries = QUERIES[language]
    found = page.evaluate(
        """queries => {
            const box = document.querySelector("form.finder").elements.q;
            return queries.map(query => {
                box.value = query;
                box.dispatchEvent(new Event("input", {bubbles: true}));
                return Array.from(document.querySelectorAll("#hits li[data-code]"), one => one.dataset.code);
            });
        }""",
        [str(query) for query in queries],
    )
    ranks = {
        query: next((1 / at for at, code in enumerate(codes, 1) if code in wanted), 0.0)
        for (query, wanted), codes in zip(queries.items(), found, strict=True)
    }
    if language == "en":
        assert {query: ranks[query] for query in NEVER_LOST} == dict.fromkeys(NEVER_LOST, 1.0)
    assert sum(ranks.values()) / len(ranks) >= 0.9, {query: rank for query, rank in ranks.items() if rank < 1}


def test_there_are_enough_queries_in_each_language() -> None:
    assert sum(map(len, QUERIES.values())) >= 150
    assert all(len(queries) >= 15 for queries in QUERIES.values())


def test_a_slip_never_beats_a_word_that_is_there(visit: Callable[..., Visit]) -> None:
    """Every word of every title, typed as it is, finds each exercise that has the word or one that begins so."""
    page = visit().open("")
    wrong = page.evaluate(
        """() => {
            const L = limberleaf, box = document.querySelector("form.finder").elements.q, wrong = [];
            const items = [...document.querySelectorAll("li[data-code]")];
            const titles = items.map(one => L.fold(one.querySelector("a").textContent).split(/[^\\p{L}]+/u));
            const words = new Set(titles.flat().filter(word => word.length > 3));
            for (const word of words) {
                box.value = word;
                box.dispatchEvent(new Event("input", {bubbles: true}));
                const hits = [...document.querySelectorAll("#hits li[data-code]")].map(one => items.indexOf(one));
                const having = titles.map((title, at) => title.some(one => one.startsWith(word)) ? at : -1)
                    .filter(at => at >= 0);
                if (having.length < 48 && !having.every(at => hits.includes(at))) wrong.push(word);
            }
            return wrong;
        }"""
    )
    assert wrong == []
