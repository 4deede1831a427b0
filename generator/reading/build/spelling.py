"""Builds `data/spelling_pairs.txt`: British spellings with their American twins.

Own list by spelling pattern: a pair is kept when both spellings are in use (by `wordfreq` 3.1.1), less
the pairs of `data/spelling_not.txt`, which are different words, plus those of `data/spelling_extra.txt`,
which follow no pattern.

Run: `python -m limberleaf.reading.build.spelling` (needs `pip install wordfreq==3.1.1`).
"""

from __future__ import annotations

import re
import sys

from limberleaf.reading.tables import DATA, load_lines, load_words

COMMON = 2.1  # zipf that both spellings must reach
PATTERNS = (
    (r"(?<=[a-z]{2})our(?=$|s$|ed$|ing$|ful$|less$|able$|ite$|ites$|ly$|er$|ers$|hood|al$|ally$)", "or"),
    (r"is(?=e$|es$|ed$|ing$|ation$|ations$|er$|ers$)", "iz"),
    (r"ys(?=e$|es$|ed$|ing$|er$|ers$)", "yz"),
    (r"tre(?=$|s$)", "ter"),
    (r"bre(?=$|s$)", "ber"),
    (r"(?<=[a-z]{2})ae(?=[a-z]{2})", "e"),
    (r"^oe(?=[a-z]{3})", "e"),
    (r"ll(?=ed$|ing$|er$|ers$|or$|ors$|ings$)", "l"),
    (r"(?<=[a-z]{2})ogue(?=$|s$)", "og"),
    (r"ence$", "ense"),
)


def twin(word: str) -> str | None:
    """The American twin by pattern, if one applies."""
    for pattern, replacement in PATTERNS:
        changed, count = re.subn(pattern, replacement, word)
        if count:
            return changed
    return None


def main() -> None:
    """Write the list."""
    import wordfreq  # type: ignore[import-not-found,import-untyped,unused-ignore]

    pairs: dict[str, str] = dict(line.split() for line in load_lines("spelling_extra.txt"))
    not_pairs = load_words("spelling_not.txt")
    for word in wordfreq.iter_wordlist("en"):
        zipf = wordfreq.zipf_frequency(word, "en")
        if zipf < COMMON:
            break
        if not word.isascii() or not word.isalpha() or len(word) < 5 or word in not_pairs:
            continue
        american = twin(word)
        if american and wordfreq.zipf_frequency(american, "en") >= COMMON:
            pairs.setdefault(word, american)
    header = "# British spelling, American spelling. Own list by pattern, built by build/spelling.py.\n"
    rows = (f"{uk} {us}\n" for uk, us in sorted(pairs.items()))
    (DATA / "spelling_pairs.txt").write_text(header + "".join(rows), encoding="utf-8")
    sys.stdout.write(f"{len(pairs)} pairs\n")


if __name__ == "__main__":
    main()
