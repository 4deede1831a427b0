"""The engine's sentence, word and syllable counts against handout texts counted by hand, block by block."""

from pathlib import Path

import pytest
import yaml

from limberleaf.reading import Block, read
from limberleaf.reading.words.lexicon import lexicon

TEXTS = sorted((Path(__file__).parent / "handcounted").glob("*.yml"))


def _load(path: Path) -> dict:
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def _pairs(counted: list[str]) -> list[list[tuple[str, int]]]:
    """Sentences as (word, syllables) pairs; the last slash parts the two, since 3/10 is a word."""
    return [
        [(word, int(number)) for word, _, number in (entry.rpartition("/") for entry in sentence.split())]
        for sentence in counted
    ]


def test_there_are_at_least_ten_texts() -> None:
    assert len(TEXTS) >= 10


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_the_hand_count_adds_up(path: Path) -> None:
    for block in _load(path)["blocks"]:
        pairs = _pairs(block["counted"])
        assert len(pairs) == block["sentences"], block["text"]
        assert sum(len(sentence) for sentence in pairs) == block["words"], block["text"]
        assert sum(number for sentence in pairs for _, number in sentence) == block["syllables"], block[
            "text"
        ]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_sentences_words_and_syllables_are_as_counted_by_hand(path: Path) -> None:
    text = _load(path)
    blocks = [Block(block["kind"], block["text"]) for block in text["blocks"]]
    reading = read(blocks)
    known = lexicon("en")
    for index, block in enumerate(text["blocks"]):
        found = [
            [(token.text, known.facts(token.text).syllables) for token in sentence.words]
            for sentence in reading.sentences
            if sentence.block == index
        ]
        assert found == _pairs(block["counted"])
    assert reading.counts.all.sentences == sum(block["sentences"] for block in text["blocks"])
    assert reading.counts.all.words == sum(block["words"] for block in text["blocks"])
