"""What goes in: blocks that know what they are, and the choices a clinic makes about words."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field, replace
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


LONGEST_HEADING = 8  # words
_ENDS = (".", "!", "?", "…", ":", ";", ",", "؟", "۔", "،")


def with_headings(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    """The blocks, with each short line of prose that ends without a mark taken for the heading it is.

    A single block stays what it is: somebody tries a few words.
    """
    if len(blocks) < 2:
        return blocks
    return tuple(replace(block, kind="heading") if _is_heading(block) else block for block in blocks)


def _is_heading(block: Block) -> bool:
    text = block.text.strip()
    if block.kind != "prose" or not text or "\n" in text or len(text.split()) > LONGEST_HEADING:
        return False
    return text[0].isupper() and not text.rstrip("\"'”’»)]").endswith(_ENDS)


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
