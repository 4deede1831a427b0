"""Interface words by language: everything a page says that is not in an entry.

One YAML file a language beside this module. A phrase is a text, or texts by plural category (CLDR 46: English and
Dutch `one`/`other`, Arabic `zero`/`one`/`two`/`few`/`many`/`other`) chosen by the value named `n`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

DIRECTIONS = {"ar": "rtl"}


@dataclass(frozen=True)
class InterfaceWords:
    """The phrases of one language."""

    language: str
    phrases: Mapping[str, Any]

    @property
    def direction(self) -> str:
        """Give `ltr` or `rtl`."""
        return DIRECTIONS.get(self.language, "ltr")

    def say(self, key: str, **values: object) -> str:
        """Give the phrase at `key` (dots lead inside) with its values; KeyError when there is none."""
        phrase: Any = self.phrases
        for step in key.split("."):
            phrase = phrase[step]
        if isinstance(phrase, Mapping):
            category = plural_category(self.language, int(str(values["n"])))
            phrase = phrase.get(category, phrase["other"])
        return str(phrase).format(**values) if values else str(phrase)

    def lookup(self, key: str) -> Mapping[str, str]:
        """Give the group of phrases at `key`."""
        group: Any = self.phrases
        for step in key.split("."):
            group = group[step]
        return dict(group)

    def day(self, day: date) -> str:
        """Write a calendar day with the month's name: 14 September 2026."""
        month = self.phrases["months"][day.month - 1]
        return self.say("day", day=day.day, month=month, year=day.year)


def plural_category(language: str, number: int) -> str:
    """Give the CLDR plural category of a whole number (Unicode CLDR 46, plurals.xml)."""
    if language != "ar":
        return "one" if number == 1 else "other"
    if number <= 2:
        return ("zero", "one", "two")[number]
    hundreds = number % 100
    if 3 <= hundreds <= 10:
        return "few"
    return "many" if hundreds >= 11 else "other"


def known_languages() -> list[str]:
    """Give the languages there are interface words for."""
    return sorted(file.name[:-4] for file in files(__package__).iterdir() if file.name.endswith(".yml"))


@cache
def interface_words(language: str) -> InterfaceWords:
    """Read the phrases of a language; FileNotFoundError when there are none."""
    text = files(__package__).joinpath(f"{language}.yml").read_text("utf-8")
    loader = yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader
    return InterfaceWords(language, yaml.load(text, loader))  # noqa: S506 - a safe loader, chosen above
