"""Every rule against its own examples; marks, switches and covers."""

from typing import Any

import pytest

from limberleaf.reading import Block, Mark, Rule, SwitchedOff, WordChoices, read, rules
from limberleaf.reading.blocks import KINDS
from limberleaf.reading.rules.model import CHECKS


def _block(rule: Rule, example: Any) -> Block:
    """An example as a block: a mapping names its kind; a bare text is prose, or the rule's only kind."""
    if isinstance(example, dict):
        ((kind, text),) = example.items()
        return Block(kind, text)
    kind = "prose" if "prose" in rule.scope else next(kind for kind in ("step", *KINDS) if kind in rule.scope)
    return Block(kind, example)


def _marks(rule: Rule, example: Any) -> list[Mark]:
    lang = "en" if rule.langs & {"en", "any"} else min(rule.langs)
    return [mark for mark in read([_block(rule, example)], lang=lang).marks if mark.rule == rule.id]


HITS = [pytest.param(rule, text, id=f"{rule.id}-{n}") for rule in rules() for n, text in enumerate(rule.hit)]
PASSES = [
    pytest.param(rule, text, id=f"{rule.id}-{n}") for rule in rules() for n, text in enumerate(rule.passes)
]


@pytest.mark.parametrize(("rule", "example"), HITS)
def test_a_rule_marks_its_hit_examples(rule: Rule, example: Any) -> None:
    marks = _marks(rule, example)
    assert marks
    text = _block(rule, example).text
    for mark in marks:
        assert 0 <= mark.start < mark.end <= len(text)
        assert "{" not in mark.message + mark.suggestion
        assert mark.suggestion


@pytest.mark.parametrize(("rule", "example"), PASSES)
def test_a_rule_leaves_its_pass_examples_alone(rule: Rule, example: Any) -> None:
    assert _marks(rule, example) == []


def test_every_rule_is_whole() -> None:
    assert len({rule.id for rule in rules()}) == len(rules()) >= 22
    for rule in rules():
        assert rule.check in CHECKS
        assert rule.hit, rule.id
        assert rule.passes, rule.id
        assert rule.source, rule.id
        assert rule.title, rule.id
        assert rule.scope <= set(KINDS)


def test_every_check_asked_for_is_a_rule() -> None:
    """The list of checks of the reading design, each by its rule."""
    assert {rule.id for rule in rules()} >= {
        "hard-sentence",
        "long-sentence",
        "long-paragraph",
        "hard-word",
        "jargon",
        "explain-term",
        "one-instruction",
        "step-verb",
        "passive",
        "noun-from-verb",
        "double-negative",
        "number-word",
        "abbreviation",
        "vague-dose",
        "the-patient",
        "left-and-right",
        "mixed-spelling",
        "harsh-wording",
    }


@pytest.mark.parametrize(
    ("block", "rule", "marked"),
    [
        (Block("prose", "Rest now. Utilise a chair."), "plain-words", "Utilise"),
        (Block("prose", "First, “the patient” rests."), "the-patient", "the patient"),
        (Block("step", "Bend your left knee and straighten your right leg."), "left-and-right", "right"),
        (Block("step", "Hold for five seconds."), "number-word", "five"),
        (Block("dose", "Do it regularly."), "vague-dose", "regularly"),
        (Block("prose", "Your ROM – see above – grows."), "abbreviation", "ROM"),
        (Block("step", "Perform a slow rotation of the trunk."), "noun-from-verb", "Perform a slow rotation"),
        (Block("prose", "It’s fine. The leg should be lifted by you."), "passive", "be lifted"),
        (Block("prose", "Ça va? Keep non-weight-bearing."), "jargon", "non-weight-bearing"),
        (Block("step", "Stand tall, then step forward."), "one-instruction", "step"),
        (Block("prose", "Warm up.\n\nIt is not uncommon."), "double-negative", "not uncommon"),
    ],
)
def test_a_mark_covers_the_very_words(block: Block, rule: str, marked: str) -> None:
    (mark,) = [mark for mark in read([block]).marks if mark.rule == rule]
    assert block.text[mark.start : mark.end] == marked


def test_marks_carry_the_key_and_index_of_their_block() -> None:
    blocks = [Block("prose", "Rest.", ("aim",)), Block("step", "Utilise a chair.", ("steps", 0))]
    (mark,) = [mark for mark in read(blocks).marks if mark.rule == "plain-words"]
    assert (mark.block, mark.key) == (1, ("steps", 0))


def test_a_replacement_fits_in_place() -> None:
    text = "Utilise a chair prior to standing."
    marks = [mark for mark in read([Block("prose", text)]).marks if mark.replacement]
    for mark in reversed(marks):
        text = text[: mark.start] + mark.replacement + text[mark.end :]
    assert text == "Use a chair before standing."


def test_a_replacement_takes_the_form_of_the_word() -> None:
    (mark,) = [
        mark for mark in read([Block("prose", "She utilises a chair.")]).marks if mark.rule == "plain-words"
    ]
    assert mark.suggestion == "Say “uses”."
    assert mark.replacement == "uses"


def test_a_hard_sentence_names_its_hard_words() -> None:
    text = (
        "Progressive resistance training of the quadriceps mechanism is generally considered beneficial for"
        " individuals with degenerative joint conditions."
    )
    (mark,) = [mark for mark in read([Block("prose", text)]).marks if mark.rule == "hard-sentence"]
    assert "degenerative" in mark.reasons
    assert "joint" not in mark.reasons


def test_a_very_long_sentence_is_an_error_and_a_long_one_a_warning() -> None:
    word = "walk and "
    levels = {
        count: [
            mark.level
            for mark in read([Block("prose", word * (count // 2) + "rest.")]).marks
            if mark.rule == "long-sentence"
        ]
        for count in (24, 28, 38)
    }
    assert levels == {24: [], 28: ["warning"], 38: ["error"]}


def test_a_switched_off_mark_is_kept_with_its_reason() -> None:
    switch = SwitchedOff("plain-words", "The clinic's own word", text="utilise a chair")
    reading = read([Block("prose", "Utilise a chair.")], words=WordChoices(switched_off=(switch,)))
    assert [mark.rule for mark in reading.marks] == []
    assert [(mark.rule, mark.off) for mark in reading.switched_off] == [
        ("plain-words", "The clinic's own word")
    ]
    assert reading.unused_switches == ()


def test_a_switch_reaches_only_its_text_its_key_and_its_rule() -> None:
    blocks = [Block("prose", "Utilise a chair. Commence now.", "a"), Block("prose", "Utilise a mat.", "b")]
    by_text = read(
        blocks, words=WordChoices(switched_off=(SwitchedOff("plain-words", "x", text="Commence"),))
    )
    assert [blocks[mark.block].text[mark.start : mark.end] for mark in by_text.switched_off] == ["Commence"]
    by_key = read(blocks, words=WordChoices(switched_off=(SwitchedOff("plain-words", "x", key="b"),)))
    assert {mark.key for mark in by_key.switched_off} <= {"b"}
    other = read(blocks, words=WordChoices(switched_off=(SwitchedOff("passive", "x"),)))
    assert other.switched_off == ()
    assert len(other.unused_switches) == 1


def test_a_switch_without_a_reason_is_refused() -> None:
    with pytest.raises(ValueError, match="without a reason"):
        SwitchedOff("passive", "  ")


def test_a_trade_word_is_marked_once_not_by_three_rules() -> None:
    marks = read([Block("step", "Perform knee flexion.")]).marks
    over_flexion = [mark.rule for mark in marks if mark.start <= 13 < mark.end]
    assert "hard-word" not in over_flexion
    assert "jargon" in over_flexion


def test_an_unknown_kind_of_block_is_refused_in_plain_words() -> None:
    with pytest.raises(ValueError, match="unknown kind of block 'table': use one of heading, prose"):
        Block("table", "x")  # type: ignore[arg-type]
