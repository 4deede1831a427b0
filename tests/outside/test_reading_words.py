"""The easy-word list and the word table against outside lists."""

from pathlib import Path

import textstat

from limberleaf.reading import WordChoices, read
from limberleaf.reading.blocks import Block
from limberleaf.reading.words.lexicon import Lexicon, common_words, shipped_easy_words
from limberleaf.reading.words.tokens import words_of

PROSE = Path(__file__).parents[1] / "reading/prose"
TEXTS = Path(__file__).parent / "texts"
DALE_CHALL = Path(textstat.__file__).parent / "resources/en/easy_words.txt"


def _dale_chall() -> frozenset[str]:
    """The Dale-Chall list as textstat 0.7.13 carries it; it is not shipped here."""
    return frozenset(DALE_CHALL.read_text(encoding="utf-8").lower().split())


def _judged(texts: list[Path]) -> tuple[list[bool], list[bool]]:
    """Easy or not, word by word, by the own list and by the published one, both with the 1995 inflection rules."""
    own, published = Lexicon("en"), Lexicon("en", WordChoices(easy_list=_dale_chall()))
    words = [token.text for path in texts for token in words_of(path.read_text(encoding="utf-8"))]
    return [own.facts(word).easy for word in words], [published.facts(word).easy for word in words]


def test_easy_words_agree_with_dale_chall_on_running_health_text() -> None:
    """94 % of tokens judged alike; body words that patients know are the rest."""
    own, published = _judged(sorted(PROSE.glob("*.txt")))
    assert sum(a == b for a, b in zip(own, published, strict=True)) / len(own) >= 0.94
    assert own.count(False) <= published.count(False)


def test_the_share_of_hard_words_in_other_prose_is_that_of_dale_chall() -> None:
    """The Gettysburg Address and an abstract: within 2 points of the published list's share."""
    own, published = _judged(sorted(path for path in TEXTS.glob("*.txt")))
    assert abs(own.count(False) - published.count(False)) / len(own) <= 0.02


def test_a_clinic_may_supply_the_dale_chall_list() -> None:
    text = [Block("prose", "The automobile waited beside the wigwam.")]
    words = WordChoices(easy_list=_dale_chall(), easy_list_name="Dale-Chall 1948")
    assert read(text, words=words).counts.prose.hard_words < read(text).counts.prose.hard_words
    assert read(text, words=words).easy_list == "Dale-Chall 1948"
    assert "not the Dale-Chall list" in read(text).easy_list


def test_the_word_table_has_its_size_and_order() -> None:
    """zipf (van Heuven et al. 2014): the commonest words near 7, once in a million words is 3."""
    table = common_words()
    assert 16_000 < len(table) < 20_000
    assert table["the"] >= 75
    assert table["knee"] > table["tendon"] > 30
    assert min(table.values()) >= 33


def test_easy_words_are_a_few_thousand() -> None:
    assert 2000 <= len(shipped_easy_words()) <= 3500
