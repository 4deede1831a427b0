"""What two judged sheets say: how far the editors agree, and which rules serve them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from limberleaf.agreement import Share, agreement, share
from limberleaf.desk.agreement.sheet import USEFUL, WRONG, Judged, SheetError, read_sheet

FEWEST = 5
"""Verdicts below which nothing is said for or against a rule; own limit, no source."""
HALF = 0.5
GOOD = 0.8
_STRENGTHS = ((0.0, "none"), (0.2, "slight"), (0.4, "fair"), (0.6, "moderate"), (0.8, "substantial"))
"""Words for kappa up to a value, from Landis and Koch 1977, Biometrics 33:159-174."""


def report(first: Path, second: Path) -> str:
    """Say in plain lines how two editors judged the same sheet; raises SheetError where they did not."""
    one, two = read_sheet(first), read_sheet(second)
    pairs = _pairs(first, second, one, two)
    return "\n".join([*_agreement(pairs), "", *_rules(pairs)])


def _pairs(
    first: Path, second: Path, one: Sequence[Judged], two: Sequence[Judged]
) -> list[tuple[Judged, Judged]]:
    there = {(row.number, row.rule, row.place, row.marked): row for row in two}
    keys = [(row.number, row.rule, row.place, row.marked) for row in one]
    strange = [key[0] for key in keys if key not in there]
    strange += [number for number, *rest in there if (number, *rest) not in set(keys)]
    if strange:
        marks = ", ".join(map(str, sorted(set(strange))))
        raise SheetError(
            [
                f"{first} and {second} do not hold the same marks (see mark {marks}): both must be copies of one sheet."
            ]
        )
    return [(row, there[key]) for row, key in zip(one, keys, strict=True)]


def _agreement(pairs: Sequence[tuple[Judged, Judged]]) -> Iterator[str]:
    found = agreement([one.verdict for one, _ in pairs], [two.verdict for _, two in pairs])
    same = round(found.observed * found.cases)
    yield f"{found.cases} marks judged twice; the same verdict on {same} ({_percent(found.observed)})."
    if found.kappa is None or found.low is None or found.high is None:
        yield "Both editors gave one and the same verdict to every mark, so agreement beyond chance cannot be told."
    else:
        strength = next((words for limit, words in _STRENGTHS if found.kappa <= limit), "almost perfect")
        yield (
            f"Agreement beyond chance: kappa {found.kappa:.2f} ({strength}),"
            f" 95 % interval {found.low:.2f} to {found.high:.2f}."
        )
    verdicts = [row.verdict for pair in pairs for row in pair]
    yield f"Useful: {_in_words(share(verdicts.count(USEFUL), len(verdicts)))}."
    yield f"Wrong or harmful: {_in_words(share(verdicts.count(WRONG), len(verdicts)))}."


def _rules(pairs: Sequence[tuple[Judged, Judged]]) -> Iterator[str]:
    by_rule: dict[str, list[str]] = {}
    for pair in pairs:
        by_rule.setdefault(pair[0].rule, []).extend(row.verdict for row in pair)
    yield "Each rule, least useful first:"
    width = max(map(len, by_rule))
    for rule, verdicts in sorted(by_rule.items(), key=lambda item: (_useful(item[1]).value, item[0])):
        useful = _useful(verdicts)
        yield f"  {rule:<{width}}  useful {_in_words(useful)}{_advice(useful, verdicts)}"
    yield "Verdicts of both editors count. Switch a rule off for all pages in clinic.yml, under reading: switched_off."


def _useful(verdicts: Sequence[str]) -> Share:
    return share(verdicts.count(USEFUL), len(verdicts))


def _advice(useful: Share, verdicts: Sequence[str]) -> str:
    if useful.whole < FEWEST:
        return "; too few to tell"
    if useful.high < HALF:
        return "; does not serve here: think of switching it off"
    if verdicts.count(WRONG) and useful.value < GOOD:
        return f"; {verdicts.count(WRONG)} wrong or harmful: read these first"
    return ""


def _in_words(one: Share) -> str:
    interval = f"95 % interval {_percent(one.low)} to {_percent(one.high)}"
    return f"{one.part} of {one.whole} ({_percent(one.value)}; {interval})"


def _percent(value: float) -> str:
    return f"{100 * value:.0f} %"
