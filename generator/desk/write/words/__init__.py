"""The words of the desk's own interface, one file a language; English stands in for what a language lacks."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.data_files import safe_load
from limberleaf.words import interface_words

LANGUAGES = ("en", "nl")


class DeskWords:
    """The words of one language."""

    def __init__(self, language: str, words: Mapping[str, Any], english: Mapping[str, Any]) -> None:
        self.language, self._words, self._english = language, words, english

    def say(self, name: str, **values: object) -> str:
        """Give the words of a name such as `kinds.exercise`, its blanks filled; KeyError for a name that is none."""
        found = _find(self._words, name) or _find(self._english, name)
        if found is None:
            raise KeyError(name)
        return found.format(**values) if values else found

    def field(self, path: str) -> str:
        """Give the label of a field: its own, that of its last name, or the name itself."""
        last = path.rpartition(".")[2]
        return self._maybe("fields", path.replace(".", "/")) or self._maybe("fields", last) or _spaced(last)

    def help(self, path: str) -> str:
        """Give what is said below a field in place of its model's description; "" where that serves."""
        return self._maybe("help", path.replace(".", "/"))

    def option(self, path: str, value: str) -> str:
        """Give the label of a choice."""
        last = path.rpartition(".")[2]
        return self._maybe("options", f"{last}/{value}") or self._maybe("options", value) or _spaced(value)

    def blank(self, name: str) -> str:
        """Give what the button of a blank is called."""
        return self._maybe("blanks", name) or _spaced(name).lower()

    def known_blank(self, name: str) -> str:
        """Give what the button of a blank is called; "" for what is no blank."""
        return self._maybe("blanks", name)

    def place(self, name: str) -> str:
        """Give the name of a place on a thing or below the body."""
        return self._maybe("places", name) or name

    def places(self) -> list[str]:
        """Name the places that have words of their own."""
        return list(self._words.get("places", {}))

    def after(self, name: str) -> str:
        """Give what follows a blank in a sentence, such as “out of 10”; "" for most."""
        return self._maybe("after", name)

    def record(self, path: str) -> str:
        """Give the name of a file that the tool itself keeps, such as the record of approvals; "" for others."""
        return self._maybe("records", path.replace(".", "/"))

    def about(self, code: str) -> str:
        """Give what the desk adds to a finding, by its code; "" for most."""
        return self._maybe("about", code)

    def item(self, path: str) -> str:
        """Give what one line of a list is called."""
        return self._maybe("items", path.rpartition(".")[2]) or self.say("items.line")

    def joint(self, name: str) -> str:
        """Give the name of a joint."""
        return self._maybe("joints", name) or _spaced(name)

    def motion(self, word: str, joint: str = "") -> str:
        """Give the name of a motion, that of its joint where the joint has one."""
        return self._maybe("motions", f"{joint}/{word}") or self._maybe("motions", word) or _spaced(word)

    def posture(self, name: str) -> str:
        """Give the name of a posture, as pages call it where they do."""
        try:
            return interface_words(self.language).say(f"positions.{name}")
        except KeyError:
            return self._maybe("postures", name) or _spaced(name)

    def prop(self, name: str) -> str:
        """Give the name of a thing besides the body."""
        return self._maybe("props", name) or _spaced(name)

    def put(self, way: str, value: str, kind: str) -> str:
        """Say to put a thing of a kind somewhere: “Put it behind”; "" where that is said in no other words."""
        put = self._maybe("put", f"{way}_{value}") or self._maybe("put", way)
        return put.format(thing=self.prop(kind).lower())

    def suggested(self) -> Mapping[str, list[str]]:
        """Give sentences to choose from, by field: in the language of the entries and not of the desk."""
        found: Mapping[str, list[str]] = self._words.get("suggest", {})
        return found

    def script(self) -> Mapping[str, str]:
        """Give the words the page's script needs."""
        return {**self._english["script"], **self._words.get("script", {})}

    def _maybe(self, group: str, name: str) -> str:
        for words in (self._words, self._english):
            found = words.get(group, {}).get(name)
            if isinstance(found, str):
                return found
        return ""


def _find(words: Mapping[str, Any], name: str) -> str | None:
    found: Any = words
    for step in name.split("."):
        found = found.get(step) if isinstance(found, Mapping) else None
    return found if isinstance(found, str) else None


def _spaced(name: str) -> str:
    return name.replace("_", " ").capitalize()


@cache
def desk_words(language: str) -> DeskWords:
    """Give the desk's words in a language; English for one it does not speak."""
    english = _read("en")
    return (
        DeskWords(language, _read(language), english)
        if language in LANGUAGES
        else DeskWords("en", english, english)
    )


@cache
def _read(language: str) -> Mapping[str, Any]:
    return dict(
        safe_load(files("limberleaf.desk.write.words").joinpath(f"{language}.yml").read_text("utf-8"))
    )
