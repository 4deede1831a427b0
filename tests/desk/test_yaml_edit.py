"""Changing an entry's text: only the lines that changed differ, in every file of the demo, for every kind of edit."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

import pytest
import yaml

from limberleaf.library.yaml.source import compose
from limberleaf.library.yaml.yaml_edit import CannotEditError, edited, plain_values

CONTENT = Path(__file__).parents[2] / "content"
FILES = sorted(CONTENT.rglob("*.yml"))
Loc = tuple[str | int, ...]


def value_of(text: str) -> Any:
    node = compose(text)
    assert node is not None
    return plain_values(node)


def leaves(value: Any, loc: Loc = ()) -> Iterator[Loc]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, (*loc, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from leaves(item, (*loc, index))
    else:
        yield loc


def lists(value: Any, loc: Loc = ()) -> Iterator[Loc]:
    if isinstance(value, list):
        yield loc
    if isinstance(value, dict | list):
        for key, item in value.items() if isinstance(value, dict) else enumerate(value):
            yield from lists(item, (*loc, key))


def at(value: Any, loc: Loc) -> Any:
    for step in loc:
        value = value[step]
    return value


def put(value: Any, loc: Loc, new: object) -> None:
    at(value, loc[:-1])[loc[-1]] = new


def changes(before: str, after: str) -> tuple[list[str], list[str]]:
    """Give the lines that went and those that came, line ends included."""
    old, new = before.splitlines(keepends=True), after.splitlines(keepends=True)
    gone: list[str] = []
    come: list[str] = []
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag != "equal":
            gone += old[i1:i2]
            come += new[j1:j2]
    return gone, come


def make(text: str, change: Callable[[Any], None]) -> tuple[Any, str]:
    value = value_of(text)
    change(value)
    after = edited(text, value)
    assert value_of(after) == value
    return value, after


def form_of(file: Path) -> str:
    """Give a file as it is, as another system writes it, or without a last line break: a third of the files each."""
    text = file.read_text("utf-8")
    return (text, text.replace("\n", "\r\n"), text.rstrip("\n"))[FILES.index(file) % 3]


def some(places: Iterator[Loc], file: Path, number: int) -> list[Loc]:
    """Give a few places of a file, other ones in each file."""
    every = list(places)
    return [every[(FILES.index(file) + step * 13) % len(every)] for step in range(number)] if every else []


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_an_edit_that_changes_nothing_changes_nothing(file: Path) -> None:
    text = form_of(file)
    assert edited(text, value_of(text)) == text


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_a_changed_text_or_number_is_one_line(file: Path) -> None:
    text = form_of(file)
    for loc in some(leaves(value_of(text)), file, 3):
        was = at(value_of(text), loc)
        if isinstance(was, bool):
            continue
        new = "7" if str(was).isdigit() else f"{was} #1: it's {{new}}, “so”"
        _, after = make(text, lambda value, loc=loc, new=new: put(value, loc, new))  # type: ignore[misc]
        gone, come = changes(text, after)
        assert (len(gone), len(come)) in ((1, 1), (0, 0) if was == new else (1, 1)), loc


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_an_item_added_removed_or_moved_touches_its_own_lines(file: Path) -> None:
    text = form_of(file)
    for loc in some(lists(value_of(text)), file, 2):
        items = at(value_of(text), loc)
        if not items:
            continue
        _, after = make(text, lambda value, loc=loc: at(value, loc).insert(1, "A line: new"))  # type: ignore[misc]
        gone, come = changes(text, after)
        assert len(come) == 1
        assert len(gone) <= 1
        if len(items) < 2 or items[0] == items[1]:
            continue
        _, after = make(text, lambda value, loc=loc: at(value, loc).pop(0))  # type: ignore[misc]
        gone, come = changes(text, after)
        assert len(come) <= 1
        first = [line.strip() for line in gone]
        assert len(first) <= 8, first
        _, after = make(text, lambda value, loc=loc: at(value, loc).append(at(value, loc).pop(0)))  # type: ignore[misc]
        gone, come = changes(text, after)
        stripped = (sorted(line.strip() for line in side) for side in (gone, come))
        assert len(gone) == len(come) == 1 or len(set(map(tuple, stripped))) == 1, "lines only move"


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_a_key_added_or_taken_out_touches_its_own_lines(file: Path) -> None:
    text = form_of(file)
    before = value_of(text)
    for name in list(before)[FILES.index(file) % 5 :: 6]:

        def add(value: Any, name: str = name) -> None:
            items = list(value.items())
            value.clear()
            for key, item in items:
                value[key] = item
                if key == name:
                    value["new_key"] = ["A sentence that stands alone.", "And: another."]

        _, after = make(text, add)
        gone, come = changes(text, after)
        ends = [line.rstrip("\r\n") for line in gone]
        assert len(come) - len(gone) == 3
        assert ends == [line.rstrip("\r\n") for line in come[: len(ends)]], "at most a last line gets its end"
        if len(before) > 1:
            _, after = make(text, lambda value, name=name: value.pop(name))  # type: ignore[misc]
            gone, come = changes(text, after)
            assert not come
            assert gone[0].startswith(f"{name}:")


COMMENTED = """# A head that says who may change this.
title: 'One'   # why it is called so
steps:
    # before the first
    - First one   # beside it

    - "Second: one"
    - >-
      Third one
      goes on.
dose: {sets: 3,  hold: 3 s}  # two spaces are meant
poses:
- posture: sitting   # no indent here
  caption: Sit.
- joints: {affected: {knee: {flexion: 5}}}
tags: [a,
       b, c]
"""


@pytest.mark.parametrize(
    ("change", "gone", "come"),
    [
        (lambda v: v.update(title="Don't"), ["title: 'One'   # why it is called so"],
         ["title: 'Don''t'   # why it is called so"]),
        (lambda v: v["steps"].insert(1, "Two"), [], ["    - Two"]),
        (lambda v: v["steps"].pop(0), ["    - First one   # beside it"], []),
        (lambda v: v["steps"].__setitem__(2, "Third."), ["    - >-", "      Third one", "      goes on."],
         ["    - Third."]),
        (lambda v: v["dose"].update(sets=2), ["dose: {sets: 3,  hold: 3 s}  # two spaces are meant"],
         ["dose: {sets: 2,  hold: 3 s}  # two spaces are meant"]),
        (lambda v: v["dose"].pop("sets"), ["dose: {sets: 3,  hold: 3 s}  # two spaces are meant"],
         ["dose: {hold: 3 s}  # two spaces are meant"]),
        (lambda v: v["poses"][0].update(lead="other"), [], ["  lead: other"]),
        (lambda v: v["poses"][0].pop("posture"), ["- posture: sitting   # no indent here", "  caption: Sit."],
         ["- caption: Sit."]),
        (lambda v: v["poses"].append({"caption": "Up: now"}), [], ['- {caption: "Up: now"}']),
        (lambda v: v["poses"].pop(0), ["- posture: sitting   # no indent here", "  caption: Sit."], []),
        (lambda v: v["tags"].remove("b"), ["tags: [a,", "       b, c]"], ["tags: [a, c]"]),
        (lambda v: v["tags"].append("d"), ["       b, c]"], ["       b, c, d]"]),
        (lambda v: v.update(title=True), ["title: 'One'   # why it is called so"],
         ["title: true   # why it is called so"]),
    ],
)  # fmt: skip
def test_comments_spaces_and_quotes_stay(
    change: Callable[[Any], None], gone: list[str], come: list[str]
) -> None:
    for text in (COMMENTED, COMMENTED.replace("\n", "\r\n")):
        value = copy.deepcopy(value_of(text))
        change(value)
        after = edited(text, value)
        went, came = changes(text, after)
        assert [line.rstrip("\r\n") for line in went] == gone
        assert [line.rstrip("\r\n") for line in came] == come
        assert ("\r\n" in text) == ("\r\n" in after)


@pytest.mark.parametrize(
    "words",
    ["no", "0800", "null", "~", "- a", "a: b", "#x", "it's", '"q"', "a, b}", "{sets}", "x\ty", "two\nlines", "true",
     "\u2028", "&a", "*b", "!c", "%d", "@e", "", " a "],
)  # fmt: skip
def test_any_words_come_back_as_they_were_typed(words: str) -> None:
    for key in ("title", "steps", "dose", "tags"):
        value = value_of(COMMENTED)
        if key == "title":
            value[key] = words
        elif key == "dose":
            value[key]["hold"] = words
        else:
            value[key][0] = words
        assert value_of(edited(COMMENTED, value)) == value


def test_a_file_that_cannot_be_read_is_not_written() -> None:
    with pytest.raises(CannotEditError, match="cannot be read"):
        edited("title: [", {"title": "x"})
    with pytest.raises(yaml.YAMLError):
        compose("title: [")
