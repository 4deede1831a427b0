"""What a check says, in the words of the form: labels for keys and choices for values, as the desk shows them.

The checks speak to whoever writes the files: `rest:`, `sides: both`, clinic.yml. At the desk nobody sees a file, so
`FormWords` puts the form's own label in place of each key, found in the same data the form is built from.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from limberleaf.desk.write.form.fields import Form, form_layout, form_of
from limberleaf.desk.write.kinds import target_of
from limberleaf.desk.write.words import DeskWords, desk_words
from limberleaf.findings import Finding
from limberleaf.library.yaml.source import Loc

_QUOTED = re.compile(r"`([^`]+)`")
_WRITE = re.compile(r"\b(W|w)rite `([a-z_]+:[^`]*)`")
_KEYS = re.compile(r"(?P<keys>[a-z_]+(?:: [a-z_]+)*):?(?: (?P<value>[^:`]+))?")
_SPACED_NAME = re.compile(r"(?<=under )“([a-z ]+)”")
_NAMED = re.compile(r"“([a-z_]+)”")
_BLANK = re.compile(r"\{([a-z_]+)\}")
_QUOTE = re.compile(r"“[^”]*”")
_LISTS = re.compile(r" \((?:CERT|PEMAT-P|CCI) [^)]*\)")
_TICKED = re.compile(r"(“[^”]*): true”")
_BARE = re.compile(r"(?<![{\w`])[a-z]+(?:_[a-z]+)+(?![}\w`])")


@dataclass(frozen=True)
class _Named:
    path: tuple[str, ...]
    label: str
    options: Mapping[str, str]


class FormWords:
    """The words of one kind's form, to say findings in."""

    def __init__(self, kind: str, words: DeskWords) -> None:
        self.words = words
        self._own = _names(kind, words.language)
        layout = form_layout()
        others = [other for other in layout["sections"] if other != kind]
        self._all = [*self._own, *(one for other in others for one in _names(other, words.language))]
        self._figure: Mapping[str, str] = layout["figure_labels"]
        self._files: Mapping[str, str] = layout["files"]
        self._left_out: Sequence[str] = layout["left_out"]

    def where(self, loc: Loc) -> str:
        """Give the way to a field in labels: “Easier › When”, “Steps 2”; "" for the whole entry."""
        if loc[:1] == ("figure",):
            panel = next((step for step in loc if isinstance(step, int)), None)
            label = self._label(("figure",))
            return label if panel is None else f"{label} › {self._script('panel', number=panel + 1)}"
        parts: list[str] = []
        way: list[str] = []
        for step in loc:
            if isinstance(step, str):
                way.append(step)
                parts.append(self._label(tuple(way)))
            elif parts:
                parts[-1] += f" {step + 1}"
        return " › ".join(parts)

    def say(self, text: str, loc: Loc = (), *, shape: bool = False) -> str:
        """Give a message or a hint with labels for its keys; `shape`: names in quotation marks are keys too."""
        for gone in self._left_out:
            text = text.replace(gone, "")
        text = _WRITE.sub(lambda found: self._filled_in(found[1], found[2]), text)
        text = _QUOTED.sub(lambda found: self._quoted(found[1], loc), text)
        text = _SPACED_NAME.sub(lambda found: self._name(found[1].replace(" ", "_"), loc) or found[0], text)
        if shape:
            text = _NAMED.sub(lambda found: self._name(found[1], loc) or found[0], text)
        text = _BARE.sub(lambda found: self._bare(found[0], loc), text)
        for file, name in self._files.items():
            text = text.replace(file, self.words.say(name))
        text = _TICKED.sub(r"\1”", _LISTS.sub("", text))
        return self._with_blanks(text).strip()

    def _with_blanks(self, text: str) -> str:
        """Call blanks as their buttons do: “hold” for {hold}; in words that somebody wrote without more quotes."""
        text = _QUOTE.sub(lambda quote: _BLANK.sub(self._blank, quote[0]), text)
        return _BLANK.sub(lambda found: self._blank(found, "“{}”"), text)

    def _blank(self, found: re.Match[str], form: str = "{}") -> str:
        label = self.words.known_blank(found[1])
        return form.format(label) if label else found[0]

    def _bare(self, name: str, loc: Loc) -> str:
        blank = self.words.known_blank(name)
        return self._name(name, loc) or self._value(name) or (f"“{blank}”" if blank else name)

    def _filled_in(self, capital: str, written: str) -> str:
        """Say “choose” or “fill in” where a finding says to write a key."""
        verb = self.words.say("findings.choose" if ": " in written else "findings.fill_in")
        return f"{verb[0].upper() if capital == 'W' else verb[0]}{verb[1:]} `{written}`"

    def _quoted(self, written: str, loc: Loc) -> str:
        if written.startswith("limberleaf review --retire"):
            return f"“{self._script('retire')}”"
        if written.startswith("limberleaf review"):
            return f"“{self._script('approve')}”"
        found = _KEYS.fullmatch(written)
        if not found:
            return f"“{written}”"
        keys, value = found["keys"].split(": "), found["value"]
        if not written.endswith(":") and len(keys) > 1 and value is None:
            keys, value = keys[:-1], keys[-1]
        labels = [self._name(key, loc) for key in keys]
        if not all(labels):
            return self._value(written) or f"“{written}”"
        name = ": ".join(one.strip("“”") for one in labels)
        if value is None or value == "...":
            return f"“{name}”"
        return f"“{name}: {self._option(keys[-1], value, loc)}”"

    def _name(self, key: str, loc: Loc) -> str:
        """Give the label of a key in quotation marks; of several with that name the one nearest to the place."""
        if key in self._figure and (loc[:1] == ("figure",) or not self._near(key, loc)):
            return f"“{self._script(self._figure[key])}”"
        found = self._near(key, loc)
        return f"“{found.label}”" if found else ""

    def _near(self, key: str, loc: Loc) -> _Named | None:
        way = tuple(step for step in loc if isinstance(step, str))
        for names in (self._own, self._all):
            found = [one for one in names if one.path[-1] == key]
            if found:
                return max(found, key=lambda one: (_shared(one.path, way), -len(one.path)))
        return None

    def _option(self, key: str, value: str, loc: Loc) -> str:
        if key == "posture":
            return self.words.posture(value)
        if key in self._figure:
            return self.words.option(key, value)
        found = self._near(key, loc)
        if found and value in found.options:
            return found.options[value]
        return self._value(value).strip("“”") or value

    def _value(self, value: str) -> str:
        """Give the label of a choice of any field, by its value alone."""
        found = next((one.options[value] for one in self._all if value in one.options), "")
        return f"“{found}”" if found else ""

    def _label(self, path: tuple[str, ...]) -> str:
        own = next((one.label for one in self._own if one.path == path), "")
        return own or self.words.field(".".join(path))

    def _script(self, name: str, **values: object) -> str:
        text = self.words.script()[name]
        return text.format(**values) if values else text


def _shared(path: tuple[str, ...], way: tuple[str, ...]) -> int:
    same = 0
    for one, other in zip(path, way, strict=False):
        if one != other:
            break
        same += 1
    return same


@cache
def _names(kind: str, language: str) -> tuple[_Named, ...]:
    sections = form_of(kind, desk_words(language))
    return tuple(one for section in sections for field in section["fields"] for one in _walked(field, ()))


def _walked(field: Form, above: tuple[str, ...]) -> Iterator[_Named]:
    path = (*above, field["key"])
    options: Any = dict(field.get("options", ()))
    yield _Named(path, field["label"], options)
    for inner in field.get("fields", ()):
        yield from _walked(inner, path)


@cache
def form_words(kind: str, words: DeskWords) -> FormWords:
    """Give the words of a kind's form."""
    return FormWords(kind, words)


SHAPE_CODES = frozenset(
    {"missing-key", "empty-value", "empty-list", "unknown-key", "not-a-choice", "wrong-type", "wrong-form",
     "wrong-length", "wrong-value", "not-possible"}
)  # fmt: skip
"""Findings that name keys in quotation marks."""


def in_form_words(found: Finding) -> Finding:
    """Give a finding as the desk's pages show it: in the words of the form, where the desk writes the file."""
    target = target_of(found.place.path)
    if target is None:
        return found
    form, shape = form_words(target.kind, desk_words("en")), found.code in SHAPE_CODES
    return replace(
        found, message=form.say(found.message, shape=shape), hint=form.say(found.hint, shape=shape)
    )
