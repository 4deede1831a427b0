"""Interface words by language: everything a page says that is not in an entry.

One YAML file a language beside this module. A phrase is a text, or texts by plural category chosen by the value named
`n`. What Unicode's CLDR knows of a language (direction, plural categories, dates) comes from Babel by the file's
`locale`, or by the language itself; page scripts ask the browser's own CLDR (`Intl.PluralRules`) for the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, get_day_names, get_month_names

from limberleaf.data_files import safe_load

BASE = "en"
"""The language whose file is complete: what another language does not say yet is said in this one."""


@dataclass(frozen=True)
class InterfaceWords:
    """The phrases of one language; `missing` names those that its file lacks, which are English."""

    language: str
    phrases: Mapping[str, Any]
    missing: tuple[str, ...] = ()

    @property
    def locale(self) -> Locale:
        """Give the CLDR locale: `locale` of the word file, else the language's own."""
        return locale_of(str(self.phrases.get("locale", self.language)))

    @property
    def direction(self) -> Literal["ltr", "rtl"]:
        """Give the direction the language is written in."""
        return "rtl" if self.locale.text_direction == "rtl" else "ltr"

    def say(self, key: str, **values: object) -> str:
        """Give the phrase at `key` (dots lead inside) with its values; KeyError when there is none."""
        phrase: Any = self.phrases
        for step in key.split("."):
            phrase = phrase[step]
        if isinstance(phrase, Mapping):
            category = self.plural_category(int(str(values["n"])))
            phrase = phrase.get(category, phrase["other"])
        return str(phrase).format(**values) if values else str(phrase)

    def lookup(self, key: str) -> Mapping[str, str]:
        """Give the group of phrases at `key`."""
        group: Any = self.phrases
        for step in key.split("."):
            group = group[step]
        return dict(group)

    def day(self, day: date) -> str:
        """Write a calendar day with the month's name, as the locale does: 14 September 2026."""
        return format_date(day, "long", locale=self.locale)

    def listed(self, words: Iterable[str]) -> str:
        """Give words in a row, with the comma of the language's script."""
        return ("، " if self.direction == "rtl" else ", ").join(words)

    def weekday(self, day: int) -> str:
        """Name a day of the week, 1 Monday to 7 Sunday, as it stands in a sentence."""
        return str(get_day_names("wide", "format", self.locale)[day - 1])

    def date_with_weekday(self, day: date) -> str:
        """Write a calendar day with its weekday, as the locale does: Monday, 7 December 2026."""
        return format_date(day, "full", locale=self.locale)

    def date_parts(self) -> dict[str, Any]:
        """Give what a script needs to write `date_with_weekday`: a phrase with blanks, and the names to fill in.

        The phrase is CLDR's pattern (UTS 35, date field symbols) with `{weekday}`, `{day}`, `{month}` and `{year}`.
        """
        months = get_month_names("wide", "format", self.locale)
        return {
            "pattern": _DATE_FIELD.sub(_blank, self.locale.date_formats["full"].pattern),
            "weekdays": [self.weekday(day) for day in range(1, 8)],
            "months": [str(months[month]) for month in range(1, 13)],
        }

    def plural_category(self, number: int) -> str:
        """Give the plural category of a whole number (Unicode CLDR, plurals.xml)."""
        return str(self.locale.plural_form(number))


_DATE_FIELD = re.compile(r"'([^']*)'|E+|[ML]+|d+|y+")
_FIELDS = {"E": "weekday", "M": "month", "L": "month", "d": "day", "y": "year"}


def _blank(field: re.Match[str]) -> str:
    """Give a blank for a field of a date pattern; quoted words stay, two quotes are one."""
    return f"{{{_FIELDS[field[0][0]]}}}" if field[1] is None else field[1] or "'"


@cache
def locale_of(language: str) -> Locale:
    """Give what CLDR knows of a language tag such as `nl`, `en-GB` or `en_GB`; one unknown to it is read as English."""
    try:
        return Locale.parse(language.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return Locale.parse(BASE)


def known_languages() -> list[str]:
    """Give the languages there are interface words for."""
    return sorted(file.name[:-4] for file in files(__package__).iterdir() if file.name.endswith(".yml"))


@cache
def interface_words(language: str) -> InterfaceWords:
    """Read the phrases of a language; FileNotFoundError when there are none."""
    own = _read(language)
    if language == BASE:
        return InterfaceWords(language, own)
    missing: list[str] = []
    phrases = _completed(own, _read(BASE), (), missing)
    phrases["locale"] = own.get("locale", language)
    return InterfaceWords(language, phrases, tuple(missing))


def _read(language: str) -> Mapping[str, Any]:
    phrases: Mapping[str, Any] = safe_load(files(__package__).joinpath(f"{language}.yml").read_text("utf-8"))
    return phrases


def _completed(
    own: Mapping[str, Any], base: Mapping[str, Any], path: tuple[str, ...], missing: list[str]
) -> dict[str, Any]:
    """Give `own` with what it lacks taken from `base`; the names of what was lacking are added to `missing`."""
    done = dict(own)
    for name, phrase in base.items():
        here = (*path, str(name))
        if name not in own:
            done[name] = phrase
            if here != ("locale",):
                missing.append(".".join(here))
        elif isinstance(phrase, Mapping) and isinstance(own[name], Mapping) and not is_plural(phrase):
            done[name] = _completed(own[name], phrase, here, missing)
    return done


def is_plural(phrase: Mapping[str, Any]) -> bool:
    """Tell whether a mapping is one phrase by plural category, and not a group of phrases."""
    return "other" in phrase and set(phrase) <= PLURAL_CATEGORIES


PLURAL_CATEGORIES = frozenset({"zero", "one", "two", "few", "many", "other"})
"""The names of CLDR's plural categories."""
