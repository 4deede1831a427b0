"""The readability formulas, unchanged from their papers, as functions of plain counts.

Every function takes whole counts of one sample and returns the paper's own scale. They raise
`ZeroDivisionError` on an empty sample; `measures.py` asks them only when there are words. Sources are named
at each formula; counting rules that belong to a paper (numerals, proper names, inflections) are applied
where words are counted, not here.
"""

from __future__ import annotations

from math import sqrt

# English


def flesch_reading_ease(words: int, sentences: int, syllables: int) -> float:
    """Flesch 1948, J. Applied Psychology 32:221-233. 0-100, higher is easier; may leave the range."""
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def flesch_kincaid(words: int, sentences: int, syllables: int) -> float:
    """Kincaid, Fishburne, Rogers, Chissom 1975. US grade."""
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def smog(polysyllables: int, sentences: int) -> float:
    """McLaughlin 1969, formula D, J. Reading 12:639-646. US grade for full understanding.

    Written for 30 sentences; for fewer the average per sentence times 30 takes the place of the count
    (NIH/CUNY instructions), which is the same as scaling by 30/sentences.
    """
    return 3.1291 + 1.0430 * sqrt(polysyllables * 30 / sentences)


def gunning_fog(words: int, sentences: int, hard_words: int) -> float:
    """Gunning 1952.

    US grade; hard words by his rule (3+ syllables, no names, easy compounds or -ed/-es forms).
    """
    return 0.4 * (words / sentences + 100 * hard_words / words)


def coleman_liau(words: int, sentences: int, letters: int) -> float:
    """Coleman & Liau 1975, J. Applied Psychology 60:283-284, short form with rounded coefficients. US grade."""
    return 0.0588 * (100 * letters / words) - 0.296 * (100 * sentences / words) - 15.8


def ari(words: int, sentences: int, strokes: int) -> float:
    """Automated Readability Index: Smith & Senter 1967, AMRL-TR-66-220.

    US grade; strokes are letters, digits, marks.
    """
    return 4.71 * strokes / words + 0.5 * words / sentences - 21.43


def dale_chall(words: int, sentences: int, hard_words: int) -> float:
    """Dale & Chall 1948, for every share of hard words (the step at 5 % is a later addition, not theirs)."""
    return 0.1579 * (100 * hard_words / words) + 0.0496 * words / sentences + 3.6365


def new_dale_chall(words: int, sentences: int, hard_words: int) -> float:
    """Chall & Dale 1995.

    Predicted cloze score; higher is easier; `new_dale_chall_grade` reads their table.
    """
    return 64 - 0.95 * (100 * hard_words / words) - 0.69 * words / sentences


def forcast(monosyllables: float, words: int) -> float:
    """Caylor, Sticht, Fox, Ford 1973: 20 - (one-syllable words in 150) / 10.

    US grade; made for forms and lists.
    """
    return 20 - monosyllables * 150 / words / 10


def lix(words: int, sentences: int, long_words: int) -> float:
    """Björnsson 1968: words a sentence plus per cent of words of 7 or more letters. 20-60."""
    return words / sentences + 100 * long_words / words


def rix(sentences: int, long_words: int) -> float:
    """Anderson 1983, J. Reading 26:490-496: long words (7 or more letters) a sentence."""
    return long_words / sentences


# Other languages


def flesch_douma(words: int, sentences: int, syllables: int) -> float:
    """Dutch: Douma 1960. 0-100, higher is easier."""
    return 206.835 - 0.93 * words / sentences - 77 * syllables / words


def brouwer(words: int, sentences: int, syllables: int) -> float:
    """Dutch: Brouwer 1963, leesindex A. 0-100, higher is easier."""
    return 195 - 2 * words / sentences - 67 * syllables / words


def amstad(words: int, sentences: int, syllables: int) -> float:
    """German: Amstad 1978. 0-100, higher is easier."""
    return 180 - words / sentences - 58.5 * syllables / words


def wiener_sachtext(
    words: int, sentences: int, *, polysyllables: int, long_words: int, monosyllables: int, formula: int = 1
) -> float:
    """German: Neue Wiener Sachtextformel 1-4, Bamberger & Vanecek 1984. School grade 4-15."""
    poly, long, mono = (100 * count / words for count in (polysyllables, long_words, monosyllables))
    length = words / sentences
    if formula == 1:
        return 0.1935 * poly + 0.1672 * length + 0.1297 * long - 0.0327 * mono - 0.875
    if formula == 2:
        return 0.2007 * poly + 0.1682 * length + 0.1373 * long - 2.779
    if formula == 3:
        return 0.2963 * poly + 0.1905 * length - 1.1144
    if formula == 4:
        return 0.2744 * poly + 0.2656 * length - 1.693
    raise ValueError(f"there is no Wiener Sachtextformel {formula}: use 1 to 4")


def szigriszt_pazos(words: int, sentences: int, syllables: int) -> float:
    """Spanish: Szigriszt-Pazos 1993, read on the INFLESZ scale (Barrio-Cantalejo 2008). Higher is easier."""
    return 206.835 - 62.3 * syllables / words - words / sentences


def fernandez_huerta(words: int, sentences: int, syllables: int) -> float:
    """Spanish: Fernández-Huerta 1959 in the form today's libraries use. Higher is easier."""
    return 206.84 - 60 * syllables / words - 1.02 * words / sentences


def kandel_moles(words: int, sentences: int, syllables: int) -> float:
    """French: Kandel & Moles 1958, the variant 207 - 1.015 ASL - 73.6 ASW. Higher is easier."""
    return 207 - 1.015 * words / sentences - 73.6 * syllables / words


def gulpease(words: int, sentences: int, letters: int) -> float:
    """Italian: GULP group (Lucisano & Piemontese) 1988. 0-100, higher is easier."""
    return 89 + (300 * sentences - 10 * letters) / words


def martins(words: int, sentences: int, syllables: int) -> float:
    """Portuguese: Martins, Ghiraldelo, Nunes, Oliveira 1996. Flesch plus 42."""
    return 248.835 - 1.015 * words / sentences - 84.6 * syllables / words


def fog_pl(words: int, sentences: int, four_syllables: int) -> float:
    """Polish: FOG-PL, share of words with 4 or more syllables. School years."""
    return 0.4 * (words / sentences + 100 * four_syllables / words)
