"""Scripts reach the page shorter than they were written, and say the same."""

from __future__ import annotations

import pytest
from pygments.lexers import JavascriptLexer
from pygments.token import Comment

from limberleaf.pages.assets import HOME, JOINED, static_assets
from limberleaf.pages.shorten import shortened


@pytest.mark.parametrize(
    ("written", "short"),
    [
        ("  var a = 1; // one, two;\n  go(a);\n", "var a=1;go(a);"),
        ('say("a = b, { c }"); // don\'t\n', 'say("a = b, { c }");'),
        ("if (a) {\n  b = a + +c - d / 2;\n}\nvar e\n", "if(a){b=a+ +c-d/2;}\nvar e\n"),
        ("x = /[/ ,'\"] { 2}/gi; y = 'it\\'s , so';\n", "x=/[/ ,'\"] { 2}/gi;y='it\\'s , so';"),
        ("try { go(); } catch { /* gone */ }\n", "try{go();}catch{}\n"),
        (
            "/* Words\n   of a file. */\nvar f = function () { return `a , ${b} ;`; };\n",
            "var f=function(){return`a , ${b} ;`;};",
        ),
        # a regular expression that begins with a space, a comment behind it; a template over lines
        ("if (/ /.test(a)) { // a day,\n  go();\n}\n", "if(/ /.test(a)){go();}\n"),
        ("a = `\n  // kept\n  /* and */ b`;\n", "a=`\n  // kept\n  /* and */ b`;"),
        ("return /\\/[/*]/ in b\nc\n.d()\n", "return/\\/[/*]/ in b\nc.d()\n"),
        ("a = b / c / d[1] / 2;\n", "a=b/c/d[1]/2;"),
    ],
)
def test_a_script_is_shortened_without_touching_its_texts(written: str, short: str) -> None:
    assert shortened(written) == short


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("a();\nif (b) /c/.test(d);\n", "line 2: a slash that may divide"),
        ("a = `b ${`c`}`;\n", "line 1: a template within a template"),
        ("a = 1;\nb = 'c;\n", "line 2: a text or template that does not end"),
        ("a = /b\n", "line 1: a regular expression that does not end"),
    ],
)
def test_what_cannot_be_told_for_certain_is_refused(written: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        shortened(written)


def _tokens(script: bytes) -> list[str]:
    found = JavascriptLexer().get_tokens(script.decode())
    return [text.strip() for kind, text in found if kind not in Comment and text.strip()]


@pytest.mark.parametrize("name", [name for name in static_assets() if name.endswith(".js")])
def test_what_is_served_has_the_tokens_of_its_source(name: str) -> None:
    """Pygments reads both."""
    written = b"".join((HOME / "assets" / part).read_bytes() for part in JOINED.get(name, (name,)))
    assert _tokens(static_assets()[name]) == _tokens(written)
