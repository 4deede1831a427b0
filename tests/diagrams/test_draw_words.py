"""Alternative text: the same facts as the picture, in every language that has figure words."""

from __future__ import annotations

import re

import pytest
from drawing_help import KNEE, NAMES, demo, solved

from diagrams import describe
from diagrams.body import load_data, skeleton
from diagrams.describe import languages
from diagrams.words import part_rows, posture_rows, prop_rows

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


def test_contacts_props_and_highlight_are_told() -> None:
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
