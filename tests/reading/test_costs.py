"""What words and long sentences cost the grade is what the grade would be without them."""

from pathlib import Path

import pytest

from limberleaf.reading import Block, Reading, explain, read

PROSE = Path(__file__).parent / "prose"
PLAIN = (
    "You can walk each day. Rest when it hurts. Go a bit more each week. Call us if it does not help. " * 5
)


def _middle(reading: Reading) -> float:
    assert reading.headline.parts
    return sum(reading.headline.parts.values()) / len(reading.headline.parts)


def test_words_cost_what_plain_ones_in_their_place_would_save() -> None:
    """The same text with an easy short word for each hard one has the grade less the cost."""
    hard = PLAIN + "The oscillation is fine. An inhibitor is fine. A catheter is fine."
    easy = PLAIN + "The walk is fine. A walk is fine. A walk is fine."
    (cost,) = explain(read([Block("prose", hard)])).costs
    assert set(cost.words) == {"oscillation", "inhibitor", "catheter"}
    assert cost.text.startswith("These three words cost")
    assert _middle(read([Block("prose", hard)])) - _middle(read([Block("prose", easy)])) == pytest.approx(
        cost.grades, abs=1e-9
    )


def test_a_long_sentence_costs_what_two_short_ones_would_save() -> None:
    long = "You can walk to the shop and back and sit on the wall for a bit " * 2
    one = read([Block("prose", PLAIN + long.strip() + ".")])
    two = read(
        [
            Block(
                "prose",
                PLAIN + long.strip()[: len(long) // 2 - 1] + ". " + long.strip()[len(long) // 2 :] + ".",
            )
        ]
    )
    (cost,) = [cost for cost in explain(one).costs if not cost.words]
    assert cost.text.startswith("1 sentence of more than 25 words costs")
    assert _middle(one) - _middle(two) == pytest.approx(cost.grades, abs=1e-9)


def test_costs_stand_dearest_first_in_the_explanation() -> None:
    for path in sorted(PROSE.glob("*.txt")):
        told = explain(read([Block("prose", line) for line in path.read_text("utf-8").splitlines() if line]))
        assert [cost.grades for cost in told.costs] == sorted(
            (cost.grades for cost in told.costs), reverse=True
        )
        assert all(cost.text in told.lines and cost.grades >= 0.05 for cost in told.costs)
        assert told.costs, path.stem


def test_a_text_that_is_not_graded_has_no_costs() -> None:
    assert explain(read([Block("prose", "The oscillation is fine.")])).costs == ()
    assert explain(read([Block("prose", "Buig de knie. " * 60)], lang="nl")).costs == ()
