"""The place of every character of a YAML text, compared with an independent reader: ruamel.yaml, in pure Python.

ruamel.yaml says nothing of characters, so it is asked by experiment: one letter of the file is changed, and the
letter of the value that changes with it was written there.
"""

from __future__ import annotations

from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from limberleaf.library.yaml.source import read_source

MARK = "Ω"
LETTERS = "abcdeñ"


def independent(text: str) -> Any:
    reader = YAML(typ="safe", pure=True)
    return reader.load(StringIO(text))["key"]


def place_of(text: str, value: str, offset: int, folder: Path) -> tuple[int, int]:
    file = folder / "entry.yml"
    file.write_bytes(text.encode())
    source, values, findings = read_source(file, folder)
    assert not findings
    assert values["key"] == value
    place = source.place(("key",), offset=offset)
    return place.line, place.column


def compared(text: str, folder: Path) -> int:
    """Compare each letter of the value; give how many were compared."""
    value = independent(text)
    count = 0
    for index, letter in enumerate(text):
        if letter not in LETTERS or index < text.index("key:") + 4:
            continue
        try:
            changed = independent(text[:index] + MARK + text[index + 1 :])
        except YAMLError:
            continue  # the letter was part of an escape
        if not isinstance(changed, str) or len(changed) != len(value):
            continue
        differ = [at for at, (one, other) in enumerate(zip(value, changed, strict=True)) if one != other]
        if len(differ) != 1 or changed[differ[0]] != MARK or value[differ[0]] != letter:
            continue
        line = text.count("\n", 0, index) + 1
        assert place_of(text, value, differ[0], folder) == (line, index - text.rfind("\n", 0, index)), repr(
            text
        )
        count += 1
    return count


FORMS = {
    "plain": "key: abc dea\n",
    "plain with a backslash": "key: a\\bc d\\e\n",
    "plain over lines": "key: abc\n  dea\n\n\n  bcd\n  ea\n",
    "double quoted": 'key: "abc dea"\n',
    "an escape by number": 'key: "a\\u00e9bc \\x41 de\\U0001F600a"\n',
    "escapes by letter": 'key: "a\\tb \\"c\\" d\\\\e \\/ a"\n',
    "a continued line": 'key: "abc \\\n  dea\\\n  bc\\\n  \\ de"\n',
    "double quoted over lines": 'key: "abc\n  dea\n\n  bcd"\n',
    "single quoted": "key: 'ab''c d\\e ''a'\n",
    "single quoted over lines": "key: 'abc  \n  de''a\n\n\n  bcd'\n",
    "literal": "key: |\n  abc\n   dea\n\n  b\\cd\n",
    "literal, kept": "key: |+\n  abc\n\n  dea\n\n",
    "literal, stated indent": "key: |2-\n    abc\n  dea\n",
    "folded": "key: >\n  abc\n  dea\n\n  bcd\n    eab\n  cde\n  abc\n",
    "folded with a comment": "key: >-  # abc\n\n\n  abc\n  dea\n",
    "an anchor": "key: &abc abc dea\n",
    "a tag": "key: !!str abc dea\n",
    "an anchor and a tag on a line of their own": 'key: &a !!str  # abc\n  "abc dea"\n',
    "in braces": "{other: a, key: abc dea, last: [b]}\n",
    "carriage returns": 'key: "abc\r\n  dea\r\n\r\n  bcd"\r\n',
    "beyond the basic plane": 'other: "😀😀"\nkey: "😀abc 😀dea"\n',
}


@pytest.mark.parametrize("form", FORMS)
def test_each_letter_of_a_form_is_found_where_it_was_written(form: str, tmp_path: Path) -> None:
    assert compared(FORMS[form], tmp_path) >= 5


WORDS = st.lists(st.text(LETTERS, min_size=1, max_size=4), min_size=1, max_size=6)
BREAK = st.sampled_from([" ", "  ", "\n  ", "\n\n  ", " \n  ", "\n\n\n   "])
ESCAPED = st.sampled_from(["\\\n  ", "\\n", "\\t", "\\u0041", "\\x41", "\\\\", '\\"', "\\\n\n  "])


@st.composite
def entries(draw: st.DrawFn) -> str:
    """Write a text in any of the five styles, over lines, with what each style allows."""
    style = draw(st.sampled_from(["", "'", '"', "|", ">"]))
    words = draw(WORDS)
    before = draw(st.sampled_from(["", "other: 'é😀'\n", "# ñ\n", "\n"]))
    properties = draw(st.sampled_from(["", "&anchor ", "!!str ", "&a !!str "]))
    if style in ("|", ">"):
        chomp = draw(st.sampled_from(["", "-", "+"]))
        lines = "".join(
            draw(st.sampled_from(["  ", "   ", "\n  ", "  "]))
            + word
            + draw(st.sampled_from(["", " ", " b"]))
            + "\n"
            for word in ["a", *words]
        )
        lines = "  " + lines.lstrip(" \n") if lines.startswith(("   ", "\n")) else lines
        return f"{before}key: {properties}{style}{chomp}\n{lines}" + draw(
            st.sampled_from(["", "\n", "last: b\n"])
        )
    joins = {"": BREAK, "'": st.one_of(BREAK, st.just("''")), '"': st.one_of(BREAK, ESCAPED)}[style]
    text = words[0] + "".join(draw(joins) + word for word in words[1:])
    return f"{before}key: {properties}{style}{text}{style}\nlast: b\n"


@given(text=entries())
@settings(max_examples=60, deadline=None)
def test_any_text_s_letters_are_found_where_they_were_written(
    text: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    compared(text, tmp_path_factory.getbasetemp())


def test_a_place_in_a_prose_page_s_head_is_that_of_the_file(tmp_path: Path) -> None:
    from limberleaf.library.prose import read_prose

    (tmp_path / "about.md").write_text(
        '---  \ntitle: "Ab\\u0063 def"\ndescription: |\n  One\n  two\n---\nBody\n'
    )
    page, findings = read_prose(tmp_path / "about.md", tmp_path)
    assert page is not None, findings
    assert str(page.source.place(("title",), offset=3)) == "about.md:2:17"
    assert str(page.source.place(("description",), offset=4)) == "about.md:5:3"
