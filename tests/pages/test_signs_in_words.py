"""The signs drawn in each picture of the demo and the words that stand for it say the same, in every language."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from conftest import Demo

from limberleaf.data_files import safe_load
from limberleaf.diagrams import describe, solve_figure
from limberleaf.library import Exercise, load_library

WORDS = Path(__file__).parents[2] / "diagrams" / "data" / "words"
PICTURE = re.compile(r"<svg aria-labelledby.*?</svg>(?=\s*<figcaption)", re.S)
PATH = "{http://www.w3.org/2000/svg}path"


def drawn_signs(svg: ElementTree.Element) -> set[str]:
    """Read the signs that say how it moves from what is drawn: parts by name, arrows by their heads."""
    found = set()
    for element in svg.iter():
        name = element.get("id", "").rpartition("-")[2]
        if name in ("press", "rest"):
            found.add(name)
        if element.get("id", "").endswith("other-side"):
            found.add("other_side")
        if name == "arrow":
            filled = [one for one in element.iter(PATH) if one.get("fill") and not one.get("stroke")]
            if any(one.get("d", "").count("z") == 2 for one in filled):
                found.add("to_and_fro")
    return found


def said_signs(text: str, words: dict[str, str | dict[str, str]]) -> set[str]:
    """Read the same from the words: the parts of a sentence that hold whatever part of the body is named."""
    found = set()
    for sign, row in words.items():
        for sentence in [row] if isinstance(row, str) else row.values():
            fixed = [re.escape(piece) for piece in re.split(r"\{\w+\}", sentence)]
            pattern = r"[^.]+?".join(fixed)
            if re.search(pattern, text, re.I):
                found.add(sign)
    return found


def pictures(demo: Demo, exercise: Exercise) -> Iterator[ElementTree.Element]:
    page = (demo.site / exercise.code / "index.html").read_text("utf-8")
    for svg in PICTURE.findall(page):
        yield ElementTree.fromstring(svg)  # noqa: S314 - made here


def test_what_the_signs_say_is_said_in_words_and_nothing_else_is(demo: Demo) -> None:
    words = {
        language: safe_load((WORDS / f"{language}.yml").read_text("utf-8"))["signs"]
        for language in ("en", "nl", "ar")
    }
    sides = {"affected": "left", "other": "right"}
    seen: Counter[str] = Counter()
    exercises = [loaded.entry for loaded in load_library(demo.content).exercises.values()]
    assert len(exercises) == 69
    for exercise in exercises:
        drawn = [drawn_signs(svg) for svg in pictures(demo, exercise)]
        solved = solve_figure(exercise.drawn, "left")
        for language, signs_of in words.items():
            texts = describe(solved, language, sides, in_turn=exercise.sides == "each")
            assert len(texts) == len(drawn) > 0
            for signs, text in zip(drawn, texts, strict=True):
                assert said_signs(text, signs_of) == signs, (exercise.code, language, text)
        seen.update(sign for signs in drawn for sign in signs)
    assert set(seen) == {
        "to_and_fro",
        "press",
        "rest",
        "other_side",
    }  # the demo has no round, and holds by its doses


def test_rest_positions_carry_the_sign_of_rest_and_no_other_figure_does(demo: Demo) -> None:
    exercises = [loaded.entry for loaded in load_library(demo.content).exercises.values()]
    resting = {
        one.code for one in exercises if any("rest" in drawn_signs(svg) for svg in pictures(demo, one))
    }
    assert resting == {one.code for one in exercises if one.kind == "rest_position"} != set()
