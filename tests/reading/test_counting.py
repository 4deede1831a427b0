"""Sentences, words and samples: the counting rules as printed, the odd cases, and any text at all."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limberleaf.reading import Block, counting_rules, read
from limberleaf.reading.blocks import KINDS
from limberleaf.reading.words.tokens import sentences_of, words_of


@pytest.mark.parametrize("rule", counting_rules(), ids=lambda rule: rule.rule[:40])
def test_a_printed_counting_rule_is_the_one_used(rule) -> None:
    counts = read([Block("prose", rule.example)]).counts.all
    assert {name: getattr(counts, name) for name in rule.counts} == dict(rule.counts)


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        ("Hold for 2.5 seconds. Rest.", ["Hold for 2.5 seconds.", "Rest."]),
        ("Use a support, e.g. A chair.", ["Use a support, e.g. A chair."]),
        ("The U.S. Office agreed.", ["The U.S. Office agreed."]),
        ("She lives in the U.S. They came too.", ["She lives in the U.S.", "They came too."]),
        ("Call at 5 p.m. Then rest.", ["Call at 5 p.m.", "Then rest."]),
        ("Call at 5 p.m. Monday.", ["Call at 5 p.m. Monday."]),
        ("Hold for 10. Lower.", ["Hold for 10.", "Lower."]),
        ("1. Lift. 2. Lower.", ["Lift.", "2.", "Lower."]),
        ("Ask Mr. Hale. He knows.", ["Ask Mr. Hale.", "He knows."]),
        ("See fig. 3 first.", ["See fig. 3 first."]),
        ("Ready? Go! Rest...", ["Ready?", "Go!", "Rest..."]),
        ("Rest ... then go on.", ["Rest ... then go on."]),
        ("He said “stop.” Then he sat.", ["He said “stop.”", "Then he sat."]),
        ("Lift\n\nLower", ["Lift", "Lower"]),
        ("- Lift\n- Lower", ["Lift", "Lower"]),
        ("Lift your leg\nand hold it.", ["Lift your leg\nand hold it."]),
        ("Wait 5 min. Then walk.", ["Wait 5 min.", "Then walk."]),
        ("You can (if you like) rest. Go on.", ["You can (if you like) rest.", "Go on."]),
        ("...", []),
        ("", []),
    ],
)
def test_sentences(text: str, sentences: list[str]) -> None:
    assert [text[found.start : found.end] for found in sentences_of(text)] == sentences


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("hip-width apart", ["hip-width", "apart"]),
        ("30-60, 30–60, 3/10, 10:30, 2.5, 1,000", ["30-60", "30–60", "3/10", "10:30", "2.5", "1,000"]),
        ("90° or 50% of 20kg", ["90°", "or", "50%", "of", "20kg"]),
        ("lift–lower and lift — lower", ["lift", "lower", "and", "lift", "lower"]),
        ("Don't, it’s OK", ["Don't", "it’s", "OK"]),
        ("e.g. p.m. U.S.A.", ["e.g.", "p.m.", "U.S.A."]),
        ("see www.example.org/a, or a.b@example.org.", ["see", "www.example.org/a", "or", "a.b@example.org"]),
        ("3 × 10 & rest", ["3", "×", "10", "&", "rest"]),
        ("left/right", ["left/right"]),
        ("• Lift", ["Lift"]),
        ("2) Lift", ["Lift"]),
    ],
)
def test_words(text: str, words: list[str]) -> None:
    assert [token.text for token in words_of(text)] == words


def test_prose_and_steps_are_counted_apart_and_the_rest_is_left_out() -> None:
    blocks = [
        Block("heading", "Heel raises"),
        Block("prose", "Strong calves help you walk."),
        Block("step", "Rise onto your toes."),
        Block("bullet", "You can stand on both feet."),
        Block("bullet", "a firm chair"),
        Block("caution", "Stop if it hurts."),
        Block("dose", "3 sets of 10"),
    ]
    reading = read(blocks)
    counts = reading.counts
    assert (counts.prose.words, counts.steps.words, counts.left_out.words) == (5 + 6 + 4, 4, 2 + 3 + 4)
    assert counts.all.words == 28
    assert counts.all.sentences == 7
    assert reading.left_out == (0, 4, 6)


def test_raw_counts_add_up_over_the_parts() -> None:
    counts = read(
        [Block("prose", "Walk each day."), Block("step", "Bend slowly."), Block("dose", "5 times")]
    ).counts
    for name, total in counts.all.as_dict().items():
        if name != "unique_polysyllables":
            assert total == sum(getattr(part, name) for part in (counts.prose, counts.steps, counts.left_out))


def test_an_empty_text_is_read_without_a_fuss() -> None:
    for blocks in ([], [Block("prose", "")], [Block("step", "…")]):
        reading = read(blocks)
        assert reading.counts.all.words == 0
        assert reading.measures == {}
        assert not reading.headline.graded
        assert reading.marks == ()


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(KINDS), st.text(max_size=120)), max_size=4))
def test_any_text_is_read_and_every_place_is_true(pieces: list[tuple[str, str]]) -> None:
    blocks = [Block(kind, text) for kind, text in pieces]  # type: ignore[arg-type]
    reading = read(blocks)
    for sentence in reading.sentences:
        text = blocks[sentence.block].text
        assert 0 <= sentence.start < sentence.end <= len(text)
        for token in sentence.words:
            assert text[token.start : token.end] == token.text
            assert sentence.start <= token.start < token.end <= sentence.end
    for mark in reading.marks:
        assert 0 <= mark.start < mark.end <= len(blocks[mark.block].text)


@settings(max_examples=100, deadline=None)
@given(st.text(alphabet="abe .!?\n-'’1,(“–/", max_size=60))
def test_text_made_of_awkward_marks(text: str) -> None:
    tokens = [token for sentence in sentences_of(text) for token in sentence.words]
    assert tokens == words_of(text)


@pytest.mark.parametrize(
    ("copied", "meant"),
    [
        ("At fi rst, bend it a bit.", "At first, bend it a bit."),
        ("Ask for speci fi c help.", "Ask for specific help."),
        ("It may be diffi cult to do.", "It may be difficult to do."),
        ("Keep it fl at on the floor.", "Keep it flat on the floor."),
        ("Your offi ce chair is fine.", "Your office chair is fine."),
        ("The staff are kind. Take it off and rest.", "The staff are kind. Take it off and rest."),
    ],
)
def test_words_parted_at_joined_letters_are_one(copied: str, meant: str) -> None:
    """PDF readers often put a space behind fi, fl and ff."""
    assert read([Block("prose", copied)]).counts == read([Block("prose", meant)]).counts


def test_a_short_line_without_a_stop_is_a_heading() -> None:
    blocks = [Block("prose", "What causes bursitis"), Block("prose", "It comes from pressure. Rest helps.")]
    reading = read(blocks)
    assert reading.left_out == (0,)
    assert (reading.counts.prose.words, reading.counts.left_out.words) == (6, 3)
    assert [mark.rule for mark in reading.marks] == []
    assert read(blocks[:1]).counts.prose.words == 3, "alone it is what somebody tries out"


@pytest.mark.parametrize("piece", ["a.", "a-", ".", "a, ", "not ", "1-", "x@", "\n ", "lift and "])
def test_a_hostile_text_takes_no_longer_than_its_length_asks(piece: str) -> None:
    """20 kB of the worst sort is read in a second or two of processor time, not in minutes."""
    started = time.process_time()
    read([Block("step", piece * (20_000 // len(piece)))])
    assert time.process_time() - started < 3


def test_one_endless_sentence_is_counted_and_its_steps_rated_but_no_grade_is_claimed() -> None:
    reading = read([Block("step", "lift " * 1200), Block("prose", "walk " * 1200)])
    assert reading.steps_headline.level == "hard"
    assert reading.counts.prose.words == 1200
    assert not reading.headline.graded
