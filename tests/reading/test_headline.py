"""The headline band, its sample, and the plain sentences that explain it."""

import re
from pathlib import Path

import pytest

from limberleaf.reading import Block, WordChoices, explain, read

PROSE = Path(__file__).parent / "prose"
EASY = "The sun was hot. Tom ran to the pond. He had a red boat. The boat was big. " * 8
HARD = (
    "Comprehensive multidisciplinary rehabilitation incorporating progressive resistance exercise demonstrably"
    " improves functional outcomes in individuals with symptomatic osteoarthritis. "
) * 8


def _paragraphs(name: str) -> list[Block]:
    lines = (PROSE / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    return [Block("prose", line) for line in lines if line.strip()]


def test_under_a_hundred_words_of_prose_nothing_is_graded_but_counts_are_shown() -> None:
    reading = read([Block("prose", "Bend your knee. " * 33)])
    assert reading.headline.words == 99
    assert reading.headline.grade is None
    assert reading.headline.text.startswith("Too short to grade: 99 words in 33 sentences")
    assert reading.counts.prose.words == 99
    assert read([Block("prose", "Bend your knee. " * 34)]).headline.grade is not None


def test_steps_do_not_make_up_for_missing_prose() -> None:
    reading = read([Block("step", "Bend your knee slowly.")] * 60)
    assert not reading.headline.graded
    assert reading.counts.steps.words == 240
    assert "easy" in reading.steps_headline.text


def test_a_band_is_two_or_three_whole_grades_with_the_reading_age_beside_it() -> None:
    for name, width in (("falls", 2), ("heart", 2)):
        headline = read(_paragraphs(name)).headline
        low, high = headline.grade
        assert high - low == width
        assert headline.age == (low + 5, high + 5)
        assert headline.text == (
            f"About {low + 5} to {high + 5} years (US grade {low} to {high}), "
            f"from {headline.words} words in {headline.sentences} sentences."
        )
        assert not re.search(r"\d\.\d", headline.text)


def test_a_large_sample_narrows_the_band() -> None:
    blocks = [block for path in sorted(PROSE.glob("*.txt")) for block in _paragraphs(path.stem)]
    low, high = read(blocks).headline.grade
    assert high - low == 1


def test_easy_and_hard_texts_lie_far_apart() -> None:
    easy, hard = read([Block("prose", EASY)]).headline, read([Block("prose", HARD)]).headline
    assert easy.grade == (1, 4)
    assert easy.text.startswith("Age 9 or younger (US grade 4 or lower), from ")
    assert hard.grade[0] >= 14
    assert hard.text.startswith(("About", "Adults"))
    assert (easy.level, hard.level) == ("very easy", "very hard")


def test_general_leaflets_lie_in_the_grades_they_are_written_for() -> None:
    """Own leaflets at Flesch-Kincaid 5 to 7: the band holds or touches that grade for each."""
    for path in sorted(PROSE.glob("*.txt")):
        reading = read(_paragraphs(path.stem))
        low, high = reading.headline.grade
        assert low - 1.5 <= reading.measures["flesch_kincaid"] <= high + 1.5, path.stem


def test_the_four_parts_are_shown_as_grades() -> None:
    parts = read(_paragraphs("falls")).headline.parts
    assert set(parts) == {"smog", "new_dale_chall", "rare_words", "sentence_length"}
    assert all(1 <= grade <= 16 for grade in parts.values())


@pytest.mark.parametrize(
    ("text", "target", "verdict"), [(EASY, 6, "within"), (HARD, 6, "above"), (HARD, 15, "around")]
)
def test_against_a_target(text: str, target: int, verdict: str) -> None:
    assert read([Block("prose", text)]).headline.against(target) == verdict


def test_a_short_text_is_against_no_target() -> None:
    assert read([Block("prose", "Rest.")]).headline.against(6) == "unknown"


def test_harder_words_or_longer_sentences_never_make_a_text_easier() -> None:
    base = read([Block("prose", EASY)]).headline
    rarer = read([Block("prose", EASY.replace("pond", "estuary").replace("boat", "catamaran"))]).headline
    longer = read([Block("prose", EASY.replace(". He", " and he").replace(". The", " and the"))]).headline
    assert sum(rarer.parts.values()) > sum(base.parts.values())
    assert sum(longer.parts.values()) > sum(base.parts.values())


def test_an_explanation_names_the_hardest_sentences_and_what_to_write_instead() -> None:
    hard = (
        "The utilisation of approximately three sets prior to walking is recommended in order to facilitate"
        " quadriceps activation."
    )
    blocks = [*_paragraphs("falls"), Block("prose", hard, ("about", 3)), Block("step", "Bend your knee.")]
    explanation = explain(read(blocks))
    assert explanation.summary.startswith("About ")
    assert len(explanation.hardest) == 3
    first = explanation.hardest[0]
    assert first.text == hard
    assert first.key == ("about", 3)
    assert dict(first.instead)["prior to"] == "“before”"
    assert "utilisation" in first.hard
    assert "These three sentences are why:" in explanation.lines
    assert any("Steps: easy" in line for line in explanation.lines)


def test_an_easy_text_has_no_sentence_to_blame() -> None:
    assert explain(read([Block("prose", EASY)])).lines[-1] == "No sentence stands out as hard."


def test_in_a_text_of_the_lowest_band_the_hardest_sentence_is_not_blamed() -> None:
    text = (
        EASY
        + "Build the strength at the front of your thigh, so that stairs and chairs feel easier to manage."
    )
    assert "The hardest sentence:" in explain(read([Block("prose", text)])).lines


def test_an_explanation_tells_the_band_without_explained_terms() -> None:
    text = "Osteoarthritis makes the joint stiff, and osteoarthritis can make it sore. " * 12
    words = WordChoices(explained={"osteoarthritis": "stiff, sore joints"})
    lines = explain(read([Block("prose", text)], words=words)).lines
    assert any(line.startswith("Without explained terms and names (osteoarthritis):") for line in lines)
