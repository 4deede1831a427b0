"""What is printed: sheets with the pictures alone, large and small, and a form with the words for consent."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from html import escape
from typing import Any

from limberleaf.comprehension.shown import Shown, orders, size_for
from limberleaf.data_files import data_of
from limberleaf.words import interface_words

_STYLE = (
    "body{font:12pt/1.4 Arial,'Liberation Sans','Noto Sans Arabic',sans-serif;color:#000;background:#fff;margin:1.5cm}"
    "section{break-after:page}figure{margin:0;break-inside:avoid}figcaption,h2{font-size:14pt;font-weight:700}"
    "img{max-width:100%;max-height:22cm}.small{display:flex;flex-wrap:wrap;gap:1cm}.small figure{max-width:8cm}"
    ".small img{width:auto}.answer{border-bottom:1pt solid #000;height:1.1cm}li{margin:.2cm 0}"
    ".two{display:grid;gap:.3cm 1cm;grid-template-columns:1fr 1fr}.two div{break-inside:avoid}"
)


@cache
def ask_data() -> Mapping[str, Any]:
    """Give the categories, limits and words of the kit."""
    data: Mapping[str, Any] = data_of("limberleaf.comprehension", "ask.yml")
    return data


def papers_in(language: str) -> Mapping[str, Any]:
    """Give the words of the papers in a language, in English where there are none."""
    words: Mapping[str, Any] = ask_data()["papers"].get(language) or ask_data()["papers"]["en"]
    return words


def sheets_html(shown: Sequence[Shown], language: str) -> str:
    """Give the picture sheets: one picture a page, then all of them small and grey. No word but their numbers."""
    words = papers_in(language)
    full = "".join(f"<section>{_figure(one.number, 'pictures', words)}</section>\n" for one in shown)
    small = "".join(_figure(one.number, "small", words) for one in shown)
    return _document(
        words["sheet"], language, f'{full}<h2>{escape(words["small"])}</h2>\n<div class="small">{small}</div>'
    )


def _figure(number: str, folder: str, words: Mapping[str, Any]) -> str:
    name = f"{words['picture']} {number}"
    return f'<figure><figcaption>{number}</figcaption><img src="{folder}/{number}.png" alt="{escape(name)}"></figure>'


def form_html(shown: Sequence[Shown], language: str, people: int, seed: int) -> str:
    """Give a form for each person: what is said first, the order of the pictures, a line for each answer."""
    words = papers_in(language)
    forms = (_form(person, order, words) for person, order in orders(shown, people, seed))
    return _document(words["form"], language, "".join(forms))


def _form(person: int, order: Sequence[str], words: Mapping[str, Any]) -> str:
    lines = "".join(f"<li>{escape(line)}</li>" for line in words["consent_lines"])
    small = f" ({escape(words['small'])})" if size_for(person) == "small" else ""
    answers = "".join(
        f'<div><b>{escape(words["picture"])} {number}</b><div class="answer"></div><div class="answer"></div></div>'
        for number in order
    )
    return (
        f"<section><h2>{escape(words['person'])}: {person}{small}</h2><h2>{escape(words['consent'])}</h2>"
        f"<ul>{lines}</ul>"
        f"<p>☐ {escape(words['agreed'])}</p><p><b>{escape(words['ask'])}</b></p><p>{escape(words['rule'])}</p>"
        f'<p>{escape(words["order"])}: {", ".join(order)}</p><div class="two">{answers}</div></section>\n'
    )


def _document(title: str, language: str, body: str) -> str:
    direction = interface_words(language).direction
    return (
        f'<!doctype html>\n<html lang="{language}" dir="{direction}"><head><meta charset="utf-8">'
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head>\n<body>\n{body}\n</body></html>\n"
    )


def about_lines() -> Iterator[str]:
    """Give the lines of the sheet that says how the tables are filled in."""
    yield "One row for each person and picture. `person` is a number, never a name. Nothing about anybody's health."
    yield "`answer` holds the words as they were said. Leave it empty when nothing was said."
    yield "Raters: two people who did not ask sort each answer alone, without talking, into one category:"
    for name, meaning in ask_data()["categories"].items():
        yield f"{name}: {meaning}"
    yield "After ISO 9186-1 (from memory). In doubt between two, take the worse; say why under `note`."
