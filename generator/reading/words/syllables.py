"""How many syllables an English word has, and by which route the answer was found.

The story in order: a clinic's own count wins; hand-counted clinical words follow; then the exceptions table
derived from the CMU Pronouncing Dictionary; then the American form of a British spelling; an inflection of
a listed word (knees -> knee, gliding -> glide); capitals that spell no word are read letter by letter; and
at last the spelling rules. The exceptions table holds only the words that the later routes get wrong, so it
stays small.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from limberleaf.reading.tables import load_grouped, load_lines, load_yaml

_VOWEL_GROUP = re.compile(r"[aeiouy]+")
_INITIALS = re.compile(r"(?:[^\W\d_]\.)+[^\W\d_]?\.?")
_NONE: Mapping[str, int] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class SyllableRoute:
    """A count, the route that gave it, and a plain sentence that says why."""

    count: int
    route: str
    reason: str


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], int, str], ...]:
    rows = load_yaml("syllable_rules.yml")["patterns"]
    return tuple((re.compile(row["pattern"]), row["add"], next(iter(row["example"]))) for row in rows)


@cache
def _exceptions() -> Mapping[str, int]:
    return load_grouped("syllables_exceptions.txt")


@cache
def _clinical() -> Mapping[str, int]:
    return load_grouped("syllables_clinical.txt")


@cache
def spelling_pairs() -> Mapping[str, str]:
    """British spelling -> American spelling, for the words where they differ."""
    return dict(line.split() for line in load_lines("spelling_pairs.txt"))


@cache
def american_spellings() -> Mapping[str, str]:
    """American spelling -> British spelling."""
    return {american: british for british, american in spelling_pairs().items()}


@cache
def either_spelling() -> frozenset[str]:
    """All words that have a British and an American spelling."""
    return frozenset(spelling_pairs()) | frozenset(american_spellings())


def by_rules(word: str) -> int:
    """Syllables of a lower-case word from its spelling alone (`data/syllable_rules.yml`)."""
    count = len(_VOWEL_GROUP.findall(word))
    for pattern, add, _ in _patterns():
        if pattern.search(word):
            count += add
    return max(count, 1)


def _stems(word: str) -> Iterator[tuple[str, int]]:
    """Possible stems of a regular inflection, each with the syllables its ending adds."""
    if word.endswith("s") and not word.endswith("ss") and len(word) > 3:
        if word.endswith("ies"):
            yield word[:-3] + "y", 0
        hissing = word.endswith(("ses", "zes", "xes", "ches", "shes", "ces", "ges"))
        if hissing:
            yield word[:-2], 1
            yield word[:-1], 1
        else:
            yield word[:-1], 0
            if word.endswith("oes"):
                yield word[:-2], 0
    if word.endswith("ed") and len(word) > 4:
        for stem in _verb_stems(word[:-2]):
            yield stem, int(stem.rstrip("e").endswith(("t", "d")))
        if word.endswith("ied"):
            yield word[:-3] + "y", 0
    if word.endswith("ing") and len(word) > 5:
        for stem in _verb_stems(word[:-3]):
            yield stem, 0 if re.search(r"[^aeiouylr]le$", stem) else 1
    if word.endswith("ly") and len(word) > 5 and not word.endswith("lly"):
        yield word[:-2], 1


def _verb_stems(base: str) -> Iterator[str]:
    yield base + "e"
    yield base
    if len(base) > 2 and base[-1] == base[-2]:
        yield base[:-1]


def _known(word: str, exceptions: Mapping[str, int]) -> SyllableRoute | None:
    count = _clinical().get(word)
    if count is not None:
        return SyllableRoute(count, "clinical", f"“{word}” is in the table of clinical words counted by hand")
    count = exceptions.get(word)
    if count is not None:
        return SyllableRoute(count, "table", f"“{word}” is in the table derived from the CMU dictionary")
    return None


def table_route(word: str, exceptions: Mapping[str, int]) -> SyllableRoute | None:
    """The answer of the tables for a lower-case word or its stem; None when only the rules can say."""
    found = _known(word, exceptions)
    if found:
        return found
    american = spelling_pairs().get(word)
    if american and (found := _known(american, exceptions)):
        return SyllableRoute(found.count, "british", f"counted as its American spelling “{american}”")
    for stem, extra in _stems(word):
        if found := _known(stem, exceptions):
            reason = f"“{stem}” has {found.count} in the table; the ending adds {extra}"
            return SyllableRoute(found.count + extra, "inflection", reason)
    return None


def _spelled_out(token: str) -> int:
    token = token.removesuffix("s")
    return sum(3 if letter in "wW" else 1 for letter in token if letter.isalpha()) + digits_sounded(token)


def digits_sounded(token: str) -> int:
    """Syllables of the digits said one by one, as Kincaid et al. 1975 count numerals (1918 is four)."""
    digits = [unicodedata.decimal(character) for character in token if character.isdecimal()]
    return sum(_number_words().units[digit] for digit in digits)


def number_read_aloud(number: int) -> int:
    """Syllables of a whole number as people say it, “and” left out (104: one hundred four)."""
    table = _number_words()
    if number < 20:
        return table.units[number]
    if number < 100:
        return table.tens[number // 10] + (table.units[number % 10] if number % 10 else 0)
    size = next(size for size in (1_000_000, 1000, 100) if number >= size)
    rest = number_read_aloud(number % size) if number % size else 0
    return number_read_aloud(number // size) + table.sizes[size] + rest


@dataclass(frozen=True, slots=True)
class _NumberWords:
    units: list[int]
    tens: list[int]
    sizes: Mapping[int, int]


@cache
def _number_words() -> _NumberWords:
    return _NumberWords(**load_yaml("syllable_rules.yml")["numbers"])


class SyllableCounter:
    """Counts syllables of written English words.

    `own` holds a clinic's own counts (lower case); `ordinary` decides whether a lower-case word is a common
    one, so that STOP in capitals is not read letter by letter; `lookup=False` uses the spelling rules
    alone; `exceptions` takes the place of the shipped table, for building it.
    """

    def __init__(
        self,
        own: Mapping[str, int] = _NONE,
        ordinary: Callable[[str], bool] = lambda _: False,
        *,
        lookup: bool = True,
        exceptions: Mapping[str, int] | None = None,
    ) -> None:
        self._own = own
        self._ordinary = ordinary
        self._lookup = lookup
        self._exceptions = _exceptions() if exceptions is None else exceptions

    def count(self, token: str) -> int:
        """Syllables of one written word; parts of a hyphenated word are added up."""
        return self.why(token).count

    def why(self, token: str) -> SyllableRoute:
        """The count and its route: own, number, clinical, table, british, inflection, letters, rules."""
        word = token.lower().replace("’", "'").strip("'")
        own = self._own.get(word)
        if own is not None:
            return SyllableRoute(own, "own", f"“{word}” is counted as {own} in the clinic's own list")
        parts = [part for part in re.split(r"[-‐‑–/.,:&+]", token) if part]
        if len(parts) > 1 and not _INITIALS.fullmatch(token):
            return self._parts(parts)
        if any(character.isdecimal() for character in token):
            return self._number(token)
        if self._read_as_letters(token, word):
            count = _spelled_out(token)
            return SyllableRoute(count, "letters", f"“{token}” is read letter by letter")
        return self._word(word)

    def _parts(self, parts: list[str]) -> SyllableRoute:
        routes = [self.why(part) for part in parts]
        counts = " + ".join(f"{part} {route.count}" for part, route in zip(parts, routes, strict=True))
        return SyllableRoute(sum(route.count for route in routes), "parts", f"counted part by part: {counts}")

    def _number(self, token: str) -> SyllableRoute:
        total = 0
        for run in re.findall(r"\d+|[^\W\d_]+", token):
            if run.isdecimal():
                total += number_read_aloud(int(run)) if len(run) < 9 else digits_sounded(run)
            else:
                total += self.why(run).count
        return SyllableRoute(max(total, 1), "number", f"“{token}” is read aloud as a number")

    def _read_as_letters(self, token: str, word: str) -> bool:
        if _INITIALS.fullmatch(token):
            return True
        letters = token[:-1] if token.endswith("s") else token
        if not (len(letters) > 1 and letters.isupper() and letters.isalpha()):
            return False
        if word in _acronyms_read_as_words():
            return False
        return not re.search("[AEIOUY]", letters) or not (
            self._ordinary(word) or table_route(word, self._exceptions)
        )

    def _word(self, word: str) -> SyllableRoute:
        if self._lookup and (found := table_route(word, self._exceptions)):
            return found
        if word.endswith("'s"):
            base = self._word(word[:-2])
            extra = int(bool(re.search(r"(?:s|x|z|ch|sh|ce|ge|se|ze)$", word[:-2])))
            return SyllableRoute(base.count + extra, base.route, f"{base.reason}; ’s adds {extra}")
        bare = word if word.endswith("n't") else word.replace("'", "")
        plain = bare if bare.isascii() else _without_accents(bare)
        like = ", ".join(example for pattern, _, example in _patterns() if pattern.search(plain))
        reason = f"“{word}” is counted by the spelling rules" + (f" (as in {like})" if like else "")
        return SyllableRoute(by_rules(plain), "rules", reason)


def _without_accents(word: str) -> str:
    """The word in plain letters, a bar where an accent shows that a vowel is sounded apart (na|ive, cafe|)."""
    marked = re.sub("(?<=[aeiou])(?=[ïëöü])", "|", word).replace("é", "e|")
    return unicodedata.normalize("NFD", marked).encode("ascii", "ignore").decode() or word


@cache
def _acronyms_read_as_words() -> frozenset[str]:
    return frozenset(load_yaml("syllable_rules.yml")["acronyms_said_as_words"])
