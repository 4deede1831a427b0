"""Scripts reach the page shorter than they were written, and say the same."""

from __future__ import annotations

import pytest
from pygments.lexers import JavascriptLexer
from pygments.token import Comment

from limberleaf.pages.assets import HOME, JOINED, shortened, static_assets


@pytest.mark.parametrize(
    ("written", "short"),
    [
        ("  var a = 1; // one, two;\n  go(a);\n", "var a=1;\ngo(a);"),
        ('say("a = b, { c }"); // don\'t\n', 'say("a = b, { c }");\n'),
        ("if (a) {\n  b = a + +c - d / 2;\n}\nvar e\n", "if(a){b=a + +c-d/2;}\nvar e\n"),
        ("x = /[/ ,'\"] { 2}/gi; y = 'it\\'s , so';\n", "x=/[/ ,'\"] { 2}/gi;y='it\\'s , so';"),
        ("try { go(); } catch { /* gone */ }\n", "try{go();}catch{}\n"),
        (
            "/* Words\n   of a file. */\nvar f = function () { return `a , ${b} ;`; };\n",
            "var f=function(){return `a , ${b} ;`;};",
        ),
    ],
)
def test_a_script_is_shortened_without_touching_its_texts(written: str, short: str) -> None:
    assert shortened(written.encode()).decode() == short


def _tokens(script: bytes) -> list[str]:
    found = JavascriptLexer().get_tokens(script.decode())
    return [text.strip() for kind, text in found if kind not in Comment and text.strip()]


@pytest.mark.parametrize("name", [name for name in static_assets() if name.endswith(".js")])
def test_what_is_served_has_the_tokens_of_its_source(name: str) -> None:
    """Pygments reads both."""
    written = b"".join((HOME / "assets" / part).read_bytes() for part in JOINED.get(name, (name,)))
    assert _tokens(static_assets()[name]) == _tokens(written)
