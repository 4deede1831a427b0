"""What is known about each written word: syllables, letters, how common it is, and whether readers know it.

One `Lexicon` belongs to a language and a clinic's word choices; it remembers every word it has met.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from weakref import WeakKeyDictionary

from limberleaf.reading.blocks import NO_CHOICES, WordChoices
from limberleaf.reading.tables import load_grouped, load_words
from limberleaf.reading.words.languages import language
from limberleaf.reading.words.syllables import SyllableCounter, SyllableRoute, digits_sounded
from limberleaf.reading.words.vowels import syllables_by_vowels

_SUFFIXES = (
    "ly",
    "less",
    "ful",
    "ness",
    "able",
    "y",
    "like",
    "wards",
    "free",
    "en",
    "ish",
    "er",
    "or",
    "ing",
)
_PREFIXES = ("un", "re", "over", "under", "out", "non", "dis", "mis", "pre", "self", "anti")
SHORTEST_PART = 3  # letters of a part of a compound written as one word (tail-bone)
UNLISTED_ZIPF = 3.0  # the table ends at 3.3; what is not in it is called rare
UNCOMMON_BELOW = (
    4.5  # from here down a word of three or more syllables is called hard; common practice, no source
)
HARD_BELOW = 3.6  # from here down a shorter word is called hard too; common practice, no source
RARE_BELOW = 4.0  # fewer than ten uses in a million words; common practice, no source


@dataclass(frozen=True, slots=True)
class WordFacts:
    """Facts on one written word.

    - `syllables` as read aloud; `flesch` with numerals as one syllable (Flesch 1948); `digits` with
      numerals digit by digit (Kincaid et al. 1975)
    - `letters` letters and digits (Coleman & Liau 1975); `long` 7 or more letters (Björnsson 1968); `strokes`
      letters, digits and inner marks (Smith & Senter 1967)
    - `zipf` 0-8, None for numbers; `easy` on the easy-word list by the New Dale-Chall rules; `familiar`
      easy or known to adults; `hard` neither familiar nor common; `rare` not easy and under zipf 4;
      `fog_hard` hard by Gunning
    - `name` one of the clinic's names; `parts` the lower-case pieces between hyphens with their offsets; `cut` more
      than one of them
    """

    lower: str
    syllables: int
    flesch: int
    digits: int
    letters: int
    long: bool
    strokes: int
    number: bool
    zipf: float | None
    easy: bool
    familiar: bool
    hard: bool
    fog_hard: bool
    rare: bool
    name: bool
    parts: tuple[tuple[str, int, int], ...]
    cut: bool = False


@cache
def common_words() -> Mapping[str, int]:
    """The common English words (zipf 3.3 and above, no names) -> zipf tenths."""
    return load_grouped("words_en.txt")


@cache
def shipped_easy_words() -> frozenset[str]:
    """Limberleaf's own easy-word list (`data/easy_words_en.txt`); not the Dale-Chall list."""
    return load_words("easy_words_en.txt")


@cache
def _known_words() -> frozenset[str]:
    return load_words("known_words_en.txt")


@cache
def _medicines() -> tuple[tuple[str, ...], frozenset[str]]:
    words = load_words("medicines_en.txt")
    endings = tuple(sorted(word[1:] for word in words if word.startswith("-")))
    return endings, frozenset(word for word in words if not word.startswith("-"))


def is_medicine(word: str) -> bool:
    """Whether a lower-case word is the name of a medicine, by list or by the ending of its name."""
    endings, names = _medicines()
    word = word.removesuffix("'s")
    one = word.removesuffix("s")
    if word in names or one in names:
        return True
    return len(one) > 6 and word not in common_words() and (word.endswith(endings) or one.endswith(endings))


@lru_cache(maxsize=20_000)
def inflected_stems(word: str) -> tuple[str, ...]:
    """Words that `word` may be a regular form of, by the endings Chall & Dale 1995 call familiar."""
    stems: list[str] = []
    for ending in ("s", "es", "d", "ed", "ing", "r", "er", "st", "est"):
        if not word.endswith(ending) or len(word) - len(ending) < 2:
            continue
        base = word[: -len(ending)]
        stems.append(base)
        if ending == "ing":
            stems.append(base + "e")
        if ending in ("ing", "ed", "er", "est") and len(base) > 2 and base[-1] == base[-2]:
            stems.append(base[:-1])
        if ending in ("es", "ed", "er", "est") and base.endswith("i"):
            stems.append(base[:-1] + "y")
    return tuple(stems)


_PRINT_MARKS = re.compile("[\u00ad\u200b-\u200d\u2060\ufeff\ufb00-\ufb06]")
_LIGATURES = dict(
    zip(
        "\ufb00\ufb01\ufb02\ufb03\ufb04\ufb05\ufb06",
        ("ff", "fi", "fl", "ffi", "ffl", "st", "st"),
        strict=True,
    )
)


def _without_print_marks(text: str) -> str:
    """A word without soft hyphens, signs of no width and spaces inside, joined letters written out."""
    text = text.replace(" ", "")
    if text.isascii():
        return text
    return _PRINT_MARKS.sub(lambda match: _LIGATURES.get(match.group(), ""), text)


@cache
def _without_apostrophe() -> Mapping[str, str]:
    """Common words as they look when the apostrophe got lost (dont), where that is no word of its own (were, well)."""
    words = common_words()
    lost = {word.replace("'", ""): word for word in words if "'" in word}
    return {plain: word for plain, word in lost.items() if plain not in words}


def _is_hard(syllables: int, zipf: float | None, *, familiar: bool) -> bool:
    if familiar or zipf is None:
        return False
    return zipf < HARD_BELOW or (syllables >= 3 and zipf < UNCOMMON_BELOW)


def _parts(text: str) -> tuple[tuple[str, int, int], ...]:
    pattern = r"\S+" if text[:1].isnumeric() else r"[^-‐‑/]+"
    return tuple(
        (_without_print_marks(match.group()).lower().replace("’", "'"), match.start(), match.end())
        for match in re.finditer(pattern, text)
    )


_NO_WORD = WordFacts(
    lower="",
    syllables=0,
    flesch=0,
    digits=0,
    letters=0,
    long=False,
    strokes=0,
    number=False,
    zipf=None,
    easy=True,
    familiar=True,
    hard=False,
    fog_hard=False,
    rare=False,
    name=False,
    parts=(),
)


class _Memory(dict[str, WordFacts]):
    """Facts on the words met so far; a new word is looked up when it is asked for."""

    def __init__(self, look_up: Callable[[str], WordFacts]) -> None:
        super().__init__()
        self._look_up = look_up

    def __missing__(self, word: str) -> WordFacts:
        found = self[word] = self._look_up(word)
        return found


class Lexicon:
    """Word facts for one language under one clinic's word choices."""

    def __init__(self, lang: str, words: WordChoices = NO_CHOICES) -> None:
        self.lang = lang
        self._english = language(lang).code == "en"
        self._words = words
        self._facts = _Memory(self._look_up)
        self._easy = (words.easy_list if words.easy_list is not None else shipped_easy_words()) | words.easy
        self._names = frozenset(part.lower() for name in words.names for part in name.split())
        self.counter = SyllableCounter(words.syllables, lambda word: word in common_words())

    def facts(self, text: str) -> WordFacts:
        """Facts on a written word."""
        return self._facts[text]

    def facts_of(self, texts: Iterable[str]) -> tuple[WordFacts, ...]:
        """Facts on many written words."""
        return tuple(map(self._facts.__getitem__, texts))

    def zipf(self, word: str) -> float:
        """How common a lower-case word is, 3.0 (rare) to 8; a compound is as rare as its rarest part."""
        table = common_words()
        parts = [part for part in re.split(r"[-‐‑/–&]", word) if part]
        if len(parts) > 1:
            return min(self.zipf(part) for part in parts)
        word = word.removesuffix("'s").strip("'")
        word = _without_apostrophe().get(word, word)
        if word in table:
            return table[word] / 10
        stems = [table[stem] / 10 for stem in inflected_stems(word) if stem in table]
        return max(stems, default=UNLISTED_ZIPF)

    def folded_zipf(self, word: str) -> float:
        """How common a lower-case word is in any of its forms: who knows `protect` knows `protects`."""
        table = common_words()
        stems = [table[stem] / 10 for stem in inflected_stems(word) if stem in table]
        return max([self.zipf(word), *stems])

    def easy(self, word: str) -> bool:
        """Whether a lower-case word is easy: listed, or a regular form or compound of listed words."""
        if word in self._easy or _without_apostrophe().get(word) in self._easy:
            return True
        parts = [part for part in re.split(r"[-‐‑/–&]", word) if part]
        if len(parts) > 1:
            return all(part.isnumeric() or self.easy(part) for part in parts)
        word = word.removesuffix("'s").strip("'")
        return word in self._easy or any(stem in self._easy for stem in inflected_stems(word))

    def familiar(self, word: str) -> bool:
        """Whether adults know a lower-case word: easy, a household word, or made of an easy one (painless)."""
        if (
            self.easy(word)
            or word in _known_words()
            or any(stem in _known_words() for stem in inflected_stems(word))
        ):
            return True
        if any(word.startswith(start) and self.familiar(word[len(start) :]) for start in _PREFIXES):
            return True
        return self._derived(word) or self._compound(word)

    def _derived(self, word: str) -> bool:
        """Made of an easy word by an ending (painless, heaviness, thickened)."""
        for stem in (word, *inflected_stems(word)):
            for ending in _SUFFIXES:
                if stem.endswith(ending) and len(stem) - len(ending) > 2:
                    base = stem[: -len(ending)]
                    y = base[:-1] + "y" if base[-1] == "i" else base
                    single = base[:-1] if base[-1] == base[-2] else base
                    if self.easy(base) or self.easy(base + "e") or self.easy(y) or self.easy(single):
                        return True
                    if ending in ("ness", "ly") and self._derived(base):
                        return True
        return False

    def _compound(self, word: str) -> bool:
        """Two easy words written as one (tailbone, helpline), the first not a mere ending."""
        for cut in range(SHORTEST_PART, len(word) - SHORTEST_PART + 1):
            if word[:cut] in self._easy and (word[cut:] in self._easy or self.easy(word[cut:])):
                return True
        return False

    def _look_up(self, written: str) -> WordFacts:
        text = _without_print_marks(written)
        lower = text.lower().replace("’", "'")
        if not lower:
            return _NO_WORD
        number = any(character.isnumeric() for character in text)
        syllables = self.counter.count(text) if self._english else syllables_by_vowels(lower, self.lang)
        digits = digits_sounded(text)
        zipf = None if number or not self._english else self.zipf(lower)
        easy = number or (self._english and self.easy(lower))
        familiar = easy or (self._english and self.familiar(lower))
        name = lower.removesuffix("'s") in self._names
        parts = _parts(written)
        return WordFacts(
            cut=len(parts) > 1,
            lower=lower,
            syllables=syllables,
            flesch=1 if number else syllables,
            digits=(digits or 1) if number else syllables,
            letters=sum(character.isalnum() for character in text),
            long=not number and sum(character.isalpha() for character in text) >= 7,
            strokes=len(text),
            number=number,
            zipf=zipf,
            easy=easy,
            familiar=familiar,
            hard=_is_hard(
                syllables,
                None if zipf is None else self.folded_zipf(lower),
                familiar=familiar or name or (self._english and is_medicine(lower)),
            ),
            fog_hard=syllables >= 3
            and not number
            and self._english
            and self._hard_by_gunning(lower, syllables),
            rare=zipf is not None and zipf < RARE_BELOW and not easy,
            name=name,
            parts=parts,
        )

    def _hard_by_gunning(self, word: str, syllables: int) -> bool:
        """Three or more syllables, but no compound of short words and not three only by -ed or -es."""
        if re.search(r"[-‐‑]", word):
            return any(self.facts(part).fog_hard for part in re.split(r"[-‐‑]", word) if part)
        return not (syllables == 3 and word.endswith(("ed", "es")) and self._ending_is_sounded(word))

    def _ending_is_sounded(self, word: str) -> bool:
        return any(self.counter.count(stem) == 2 for stem in (word[:-2], word[:-1]))


_LEXICONS: WeakKeyDictionary[WordChoices, dict[str, Lexicon]] = WeakKeyDictionary()


def lexicon(lang: str, words: WordChoices = NO_CHOICES) -> Lexicon:
    """The lexicon of a language and a clinic's choices; it is kept as long as the choices are."""
    mine = _LEXICONS.setdefault(words, {})
    if lang not in mine:
        mine[lang] = Lexicon(lang, words)
    return mine[lang]


def why(word: str, words: WordChoices = NO_CHOICES) -> SyllableRoute:
    """How many syllables an English word has, and by which route that was found."""
    return lexicon("en", words).counter.why(word)
