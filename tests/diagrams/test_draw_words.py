"""Alternative text: the same facts as the picture, in every language that has figure words."""

from __future__ import annotations

import re

import pytest
from drawing_help import KNEE, NAMES, demo, solved

from limberleaf.diagrams import describe
from limberleaf.diagrams.body.skeleton import load_data, skeleton
from limberleaf.diagrams.language.words import part_rows, posture_rows, prop_rows
from limberleaf.diagrams.sides import languages

SORE = {"affected": "sore", "other": "other"}


def test_languages() -> None:
    assert {"en", "nl", "ar"} <= set(languages())
    with pytest.raises(ValueError, match="there are ar, en, nl"):
        describe(solved(KNEE), "tlh", SORE)


def motion_words() -> set[str]:
    words = set()
    for motion in skeleton().motions:
        joint = motion.joint.removesuffix("_left").removesuffix("_right")
        for word in (motion.word, motion.opposite):
            words.add(f"{joint}.{word.removesuffix('_left').removesuffix('_right')}")
    return {word for word in words if not word.startswith("root")}


@pytest.mark.parametrize("lang", languages())
def test_every_word_is_there(lang: str) -> None:
    words = load_data(f"words/{lang}")
    assert words["language"] == lang
    assert set(posture_rows()) <= set(words["postures"])
    assert set(prop_rows()) <= set(words["props"])
    assert set(part_rows()) <= set(words["parts"])
    assert motion_words() <= set(words["motions"])
    for name, row in part_rows().items():
        assert ("{side}" in words["parts"][name]["one"]) == bool(row.get("paired")), name
        assert ("both" in words["parts"][name]) == bool(row.get("paired")), name
    for name, row in words["motions"].items():
        joint = name.split(".")[0]
        sided = joint not in {"lumbar", "thoracic", "neck", "pelvis"}
        assert ("both_more" in row) == sided, name
        assert ("{side}" in row["more"]) or not sided, name
    for name in ("side_bend", "rotation"):
        assert "{side}" in words["motions"][f"neck.{name}"]["more"]


def test_english_says_posture_side_and_degrees() -> None:
    assert describe(solved(KNEE), "en", SORE) == [
        "You sit on a chair.",
        f"Your sore knee straightens, from {bent(KNEE)} to 5 degrees.",
    ]
    left = describe(solved(KNEE, "left"), "en", {"affected": "left", "other": "right"})
    assert left[1].startswith("Your left knee straightens")


def bent(mapping: dict) -> int:  # type: ignore[type-arg]
    return round(solved(mapping).poses[0].posed.angles["knee_right.flexion"])


def test_dutch_and_arabic() -> None:
    dutch = describe(solved(KNEE), "nl", {"affected": "pijnlijke", "other": "andere"})
    assert dutch[0] == "U zit op een stoel."
    assert dutch[1].startswith("Uw pijnlijke knie strekt, van ")
    left = describe(solved(KNEE, "left"), "nl", {"affected": "linker", "other": "rechter"})
    assert left[1].startswith("Uw linkerknie strekt, van ")
    arabic = describe(solved(KNEE), "ar", {"affected": "المصابة", "other": "الأخرى"})
    assert arabic[1].startswith("تنبسط الركبة المصابة")


def test_both_sides_are_one_sentence() -> None:
    mapping = {"poses": [{"posture": "standing"}, {"joints": {"both": {"shoulder": {"flexion": 120}}}}]}
    text = describe(solved(mapping), "en", SORE)[1]
    assert text.count("Both arms lift forward") == 1
    assert "sore" not in text


def test_a_new_posture_is_named() -> None:
    mapping = {"poses": [{"posture": "sitting_on_edge"}, {"posture": "standing"}]}
    assert describe(solved(mapping), "en", SORE)[1].startswith("You stand up straight.")


def test_contacts_props_and_highlight_are_described() -> None:
    mapping = {
        "props": [{"kind": "wall"}],
        "poses": [
            {"posture": "split_stance", "lead": "other", "contacts": [{"part": "both hands", "on": "wall"}]}
        ],
        "highlight": "affected calf",
    }
    text = describe(solved(mapping), "en", SORE)[0]
    assert "Both hands are on the wall." in text
    assert text.endswith("You feel it in your sore calf.")
    towel = {
        "props": [{"kind": "towel", "form": "rolled", "under": "affected knee"}],
        "poses": [{"posture": "supine"}],
    }
    assert "with a rolled towel" in describe(solved(towel), "en", SORE)[0]


@pytest.mark.parametrize("lang", languages())
@pytest.mark.parametrize("name", NAMES)
def test_every_figure_reads_as_whole_sentences(name: str, lang: str) -> None:
    """No gap left open, no doubled stop, one text for each panel, short enough for a screen reader's patience."""
    texts = describe(demo(name), lang, {"affected": "SIDE", "other": "OTHER"})
    assert len(texts) == len(demo(name).poses)
    for text in texts:
        assert not re.search(r"[{}_]|\.\.|  |None", text)
        assert text.endswith(".")
        assert 2 <= len(text.split()) <= 75


def descriptions(*poses: dict, lang: str = "en", **figure: object) -> list[str]:  # type: ignore[type-arg]
    return describe(solved({"poses": list(poses), **figure}), lang, SORE)


def test_the_first_panel_tells_where_the_author_leaves_the_posture() -> None:
    straight = {"hip": {"flexion": 0}, "knee": {"flexion": 0}}
    text = descriptions({"posture": "crook_lying", "joints": {"affected": straight}})[0]
    assert "Your sore knee straightens, to 0 degrees." in text
    assert "other" not in text


def test_sides_of_a_posture_are_described() -> None:
    assert descriptions({"posture": "side_lying", "lead": "affected"})[0].startswith(
        "You lie on your other side"
    )
    assert descriptions({"posture": "side_lying", "lead": "other"})[0].startswith("You lie on your sore side")
    assert descriptions({"posture": "split_stance", "lead": "other"})[0].startswith(
        "You stand with your other foot in front"
    )
    text = descriptions({"posture": "half_kneeling", "lead": "affected"})[0]
    assert text.startswith("You kneel on your other knee with your sore foot in front")


def test_a_lean_is_described_and_nobody_stands_up_straight_with_it() -> None:
    lean = {"lean": "trunk", "forward": 40}
    text = descriptions({"posture": "standing", "directions": [lean]})[0]
    assert text.startswith("You stand. Your body leans forward, to 40 degrees.")
    change = descriptions({"posture": "sitting"}, {"directions": [lean]})[1]
    assert "Your body leans forward, to 40 degrees." in change


def test_small_stated_movements_of_the_neck_are_described() -> None:
    nod = descriptions({"posture": "sitting"}, {"joints": {"neck": {"flexion": 3}}})[1]
    assert nod == "Your head bends forward, from 0 to 3 degrees."


def test_the_back_as_a_whole_is_not_called_the_lower_back() -> None:
    text = descriptions({"posture": "sitting"}, {"joints": {"trunk": {"flexion": 40}}})[1]
    assert text.startswith("Your back rounds, from 0 to 40 degrees.")


def test_what_a_band_goes_round_and_what_the_hands_hold_is_described() -> None:
    band = {"kind": "band", "around": "affected foot", "held_by": "both hands"}
    text = descriptions({"posture": "long_sitting"}, props=[band])[0]
    assert "The stretchy band goes round your sore foot." in text
    assert "Both hands hold the stretchy band." in text


def test_hips_that_lift_lying_on_the_side() -> None:
    assert describe(demo("side-plank-knees"), "en", SORE)[1].startswith("Your hips lift.")


def test_a_stool_is_no_chair() -> None:
    assert descriptions({"posture": "sitting"}, props=[{"kind": "stool"}])[0] == "You sit on a stool."


def test_plural_parts_take_a_plural_verb() -> None:
    wall = [{"part": "affected fingertip", "on": "wall"}]
    assert (
        "The fingertips of your sore hand are on the wall."
        in descriptions({"posture": "standing", "contacts": wall}, props=[{"kind": "wall"}])[0]
    )


@pytest.mark.parametrize("name", NAMES)
def test_both_sides_are_described_alike(name: str) -> None:
    """The mirrored figure says the same of the affected and the other side, leaning and lifting included."""
    assert describe(demo(name, "left"), "en", SORE) == describe(demo(name), "en", SORE)


@pytest.mark.parametrize(
    ("movement", "said"),
    [
        ("to_and_fro", "It goes to and fro."),
        ("round", "It goes round and round."),
        ("press", "Your sore foot presses down and does not move."),
        ("hold", "You stay like that."),
        ("rest", "Your sore leg only rests there: it does not move or press."),
    ],
)
def test_words_say_what_the_sign_of_a_movement_says(movement: str, said: str) -> None:
    figure = solved({**KNEE, "arrow": "affected foot", "movement": movement})
    first, last = describe(figure, "en", {"affected": "sore", "other": "other"})
    assert said in last
    assert said not in first


def test_words_say_which_way_a_press_goes() -> None:
    pressing = solved({**KNEE, "arrow": "both knees", "movement": "press", "press": "in"})
    assert "Both knees press inward and do not move." in describe(pressing, "en", SORE)[-1]
    assert "duwen naar binnen" in describe(pressing, "nl", SORE)[-1]
    assert "إلى الداخل" in describe(pressing, "ar", SORE)[-1]


def test_words_say_that_the_other_side_comes_after() -> None:
    said = "Then the other side does the same."
    for in_turn in (False, True):
        texts = describe(solved(KNEE), "en", {"affected": "sore", "other": "other"}, in_turn=in_turn)
        assert (said in texts[-1]) is in_turn
        assert said not in texts[0]
