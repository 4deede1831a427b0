"""What goes in: blocks that know what they are, and the choices a clinic makes about words."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, TypeAlias

Kind: TypeAlias = Literal["heading", "prose", "step", "bullet", "caution", "dose"]
KINDS: tuple[Kind, ...] = ("heading", "prose", "step", "bullet", "caution", "dose")


@dataclass(frozen=True, slots=True)
class Block:
    """One piece of text as the patient reads it: placeholders filled, no markup.

    `key` is the caller's own name for the place (a path into the entry); it comes back with every mark.
    """

    kind: Kind
    text: str
    key: Hashable = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"unknown kind of block {self.kind!r}: use one of {', '.join(KINDS)}")


@dataclass(frozen=True, slots=True)
class SwitchedOff:
    """A rule switched off in place, with the reason.

    It covers marks of `rule` that touch `text` (None: any text) in blocks whose key is `key` (None: any
    block).
    """

    rule: str
    reason: str
    text: str | None = None
    key: Hashable = None

    def __post_init__(self) -> None:
        if not self.reason.strip():
            raise ValueError(f"the rule {self.rule!r} is switched off without a reason: say why")


def _empty() -> Mapping[str, str]:
    return MappingProxyType({})


def _no_counts() -> Mapping[str, int]:
    return MappingProxyType({})


@dataclass(frozen=True, eq=False)
class WordChoices:
    """What a clinic says about words. Everything is lower case except `names` and `abbreviations`.

    - `explained`: term -> its explanation, given elsewhere in the library (glossary): never a hard or
      unexplained word.
    - `names`: proper names (places, the service) left out when scores are shown without names.
    - `preferred`: words to avoid -> words to use instead; they join the shipped jargon list.
    - `syllables`: the clinic's own counts.
    - `easy`: words its readers know; they join the easy-word list.
    - `easy_list`: a whole list that takes the place of the shipped one (for instance the Dale-Chall 3,000),
      with its name.
    - `abbreviations`: abbreviation -> its long form; known to readers, never flagged.
    - `target_grade`: the US grade the clinic aims at. `spelling`: "uk", "us" or None (only mixing is
      flagged).
    """

    explained: Mapping[str, str] = field(default_factory=_empty)
    names: frozenset[str] = frozenset()
    preferred: Mapping[str, str] = field(default_factory=_empty)
    syllables: Mapping[str, int] = field(default_factory=_no_counts)
    easy: frozenset[str] = frozenset()
    easy_list: frozenset[str] | None = None
    easy_list_name: str | None = None
    abbreviations: Mapping[str, str] = field(default_factory=_empty)
    spelling: Literal["uk", "us"] | None = None
    target_grade: int = 6
    switched_off: tuple[SwitchedOff, ...] = ()


NO_CHOICES = WordChoices()
