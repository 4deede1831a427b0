"""The small values entries are written with: texts, counts and ranges, durations, pain bands, texts by language.

Each is a pydantic type that reads the short form a clinician writes (`8-12`, `3 s`, `0-3`) and knows its JSON
Schema, so that editors complete it while typing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, GetCoreSchemaHandler, GetJsonSchemaHandler, StringConstraints
from pydantic_core import CoreSchema, core_schema

from limberleaf.library.yaml.source import WrittenNumber


def _as_written(value: object) -> object:
    return value.written if isinstance(value, WrittenNumber) else value


Text = Annotated[
    str,
    BeforeValidator(_as_written, json_schema_input_type=str | int),
    StringConstraints(strip_whitespace=True, min_length=1, strict=True),
]
"""A text for people; a bare number counts as written, so `number: 0800` keeps its zero."""

Texts = Annotated[list[Text], Field(min_length=1)]
"""A list of at least one text."""

Ident = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$")]
"""A name in lower case with hyphens, as in file names and addresses."""

Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_-]*$")]
"""A key of a list or a tag: lower case, digits, hyphens and underscores."""

Code = Annotated[str, StringConstraints(pattern=r"^[a-z]{2,4}-[0-9]{2,3}$")]
"""The code of an exercise, which is its address: two to four letters, a hyphen, two or three digits."""

ANY_LANGUAGE = "*"


def _by_language(value: object) -> object:
    value = _as_written(value)
    return {ANY_LANGUAGE: value} if isinstance(value, str) else value


class _Written:
    """What the short forms share: a pattern for the schema, a reader, and equality by value."""

    pattern: str
    example: str

    @classmethod
    def read(cls, value: object) -> Any:
        """Read the written form; raise ValueError with plain words."""
        raise NotImplementedError

    @classmethod
    def __get_pydantic_core_schema__(cls, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(cls.read)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": ["string", "integer"], "pattern": cls.pattern, "examples": [cls.example]}


_RANGE = r"(?P<low>\d{1,4})(?:\s*[-–]\s*(?P<high>\d{1,4}))?"


@dataclass(frozen=True)
class _Range(_Written):
    """What a count and a time share: two ends, which are the same for one number."""

    low: int
    high: int

    @property
    def is_range(self) -> bool:
        """Tell a range from a single number."""
        return self.low != self.high

    @staticmethod
    def _ends(match: re.Match[str]) -> tuple[int, int]:
        low = int(match["low"])
        high = int(match["high"] or low)
        if high < low:
            raise ValueError(f"the range runs backwards; write {high}-{low}")
        return low, high


@dataclass(frozen=True)
class Count(_Range):
    """A whole number or a range of whole numbers: `10` or `8-12`."""

    pattern = r"^[0-9]{1,4}( ?[-–] ?[0-9]{1,4})?$"
    example = "8-12"

    @classmethod
    def read(cls, value: object) -> Count:
        """Read `10` or `8-12`; the low end comes first and both are at least 0."""
        if isinstance(value, Count):
            return value
        match = re.fullmatch(_RANGE, str(value).strip())
        if not match:
            raise ValueError("write a whole number such as 10, or a range such as 8-12")
        return cls(*cls._ends(match))


_UNITS = {"s": 1, "min": 60, "h": 3600}


@dataclass(frozen=True)
class Duration(_Range):
    """A time or a range of times, in seconds: `3 s`, `20-30 s`, `10 min`, `1 h`."""

    pattern = r"^[0-9]{1,4}( ?[-–] ?[0-9]{1,4})? ?(s|min|h)$"
    example = "30 s"

    @classmethod
    def read(cls, value: object) -> Duration:
        """Read a number or range and its unit (s, min, h)."""
        if isinstance(value, Duration):
            return value
        match = re.fullmatch(rf"{_RANGE}\s*(?P<unit>s|min|h)", str(value).strip())
        if not match or not isinstance(value, str):
            raise ValueError(
                "write one number or range and its unit (s, min or h), such as 3 s, 20-30 s, 10 min or 1 h"
            )
        low, high = cls._ends(match)
        unit = _UNITS[match["unit"]]
        return cls(low * unit, high * unit)


@dataclass(frozen=True)
class Span(_Written):
    """A stretch of the calendar: `14 days`, `6 weeks`, `3 months` or `2 years`."""

    number: int
    unit: str

    pattern = r"^[0-9]{1,3} (day|week|month|year)s?$"
    example = "2 years"

    @classmethod
    def read(cls, value: object) -> Span:
        """Read a number and a calendar unit."""
        if isinstance(value, Span):
            return value
        match = re.fullmatch(r"(\d{1,3})\s*(day|week|month|year)s?", str(value).strip())
        if not match:
            raise ValueError("write a number and days, weeks, months or years, such as 2 years")
        return cls(int(match[1]), match[2])


@dataclass(frozen=True)
class Band(_Written):
    """A band of whole pain scores, both ends in it: `0-3`."""

    low: int
    high: int

    pattern = r"^([0-9]|10) ?[-–] ?([0-9]|10)$"
    example = "0-3"

    @classmethod
    def read(cls, value: object) -> Band:
        """Read `0-3`; scores run from 0 to 10."""
        if isinstance(value, Band):
            return value
        match = re.fullmatch(r"(\d{1,2})(?:\s*[-–]\s*(\d{1,2}))?", str(value).strip())
        if not match or isinstance(value, bool):
            raise ValueError("write two scores from 0 to 10, such as 0-3")
        low, high = int(match[1]), int(match[2] or match[1])
        if not low <= high <= 10:
            raise ValueError("the scores run from 0 to 10, the lower one first")
        return cls(low, high)


class _LocalText(dict[str, str]):
    """A text, or the same text in several languages."""

    def in_language(self, language: str) -> str:
        """Give the text in `language`, else the one for every language, else the first."""
        return self.get(language) or self.get(ANY_LANGUAGE) or next(iter(self.values()))

    @classmethod
    def __get_pydantic_core_schema__(cls, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        inner = handler.generate_schema(Mapping[str, Text])
        return core_schema.no_info_before_validator_function(
            _by_language, core_schema.no_info_after_validator_function(cls, inner)
        )

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        texts = {"type": "object", "additionalProperties": {"type": "string"}}
        return {"anyOf": [{"type": "string"}, texts]}


LocalText = _LocalText
