"""Plant faults one at a time in a copy of the demo library and say which the check names.

`python tests/mutation/plant.py --each 60 --outcomes FILE` prints a table by kind: how many give an error or a warning
before the edit is approved; how many still do once one person has approved it with one reason for all (what waits for a
second person counts then, and findings that only say that approved text changed do not); how many after a bare yes to
every question of `review --record`; and how many once it is approved without what waits. Each outcome is a line of FILE
as soon as it is known, one fault of each kind after the other, so a run that is cut short is a fair sample; run again
with the same FILE it goes on where it stopped. `--part 2/5` plants every fifth fault.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest
from pathlib import Path

from entry_data import written
from planted import Fault, all_faults, sampled

from limberleaf.checks import CHECKS, DATED_CHECKS, check_library
from limberleaf.checks.ladders import check_ladders
from limberleaf.clinical.governance.approval import edit_since, lock_of, now, parts
from limberleaf.clinical.governance.difference import differences
from limberleaf.clinical.governance.recording import agreed_to
from limberleaf.commands.shared import address_findings
from limberleaf.findings import Finding
from limberleaf.library import load_library
from limberleaf.library.load import ReadCache
from limberleaf.store import Store

ROOT = Path(__file__).resolve().parents[2]
TODAY = date(2026, 11, 29)
REASON = "The team agreed on the new wording"
ABOUT_APPROVAL = frozenset(
    {"major-edit-not-reviewed", "approval-not-recorded", "edit-not-recorded", "review-typed"}
)


@dataclass(frozen=True)
class Outcome:
    """What the check said of a fault: before it is approved, once it is, and once somebody said only yes to it.

    `alone` is what the checks say once it is approved without what waits for a second person.
    """

    fault: Fault
    before: str
    after: str
    yes: str
    alone: str
    findings: tuple[str, ...]


class Bench:
    """A copy of a library in which faults are planted and taken out again."""

    def __init__(
        self, content: Path, folder: Path, store_file: Path | None = None, *, quick: bool = False
    ) -> None:
        """`quick` leaves out what needs figures or grades texts."""
        self.quick = quick
        self.content = folder / "content"
        shutil.copytree(content, self.content, ignore=shutil.ignore_patterns(".schema"))
        self.cache, self.store = ReadCache(), Store(store_file)
        self.clean = {self.key(found) for found in self.check()}
        self.store.save()

    def check(self) -> list[Finding]:
        if self.quick:
            library = load_library(self.content, self.cache)
            found = [*library.findings, *(one for check in CHECKS for one in check(library))]
            return [
                *found,
                *(one for dated in DATED_CHECKS for one in dated(library, TODAY)),
                *check_ladders(library),
            ]
        return check_library(load_library(self.content, self.cache), TODAY, store=self.store)

    def approved_carelessly(self, fault: Fault) -> tuple[bool, list[Finding]]:
        """Approve the fault as one person with one reason for all; tell whether a bare yes would have been refused.

        Gives what then waits for a second person, a warning each (tests/clinical/test_second_person.py tries the check
        itself). What is gone cannot be approved, and its findings stay.
        """
        library = load_library(self.content, self.cache)
        lock = lock_of(library)
        there = {part.name: part for part in parts(library)}
        if lock is None or set(lock.entries) - set(there):
            return True, []
        waiting: list[Finding] = []
        refused = False
        for name, part in there.items():
            old = lock.entries.get(name)
            if old is None or part.source.path not in (fault.path, *fault.also):
                continue
            if edit_since(part.entry, old).level == "none":
                continue
            changes = differences(old.fields, now(part.entry).fields, _language(name))
            why = {one: REASON for one in changes if one.weakens}
            refused = refused or bool(why)
            waiting += [
                Finding("warning", "approved-by-one", one.says, "", part.source.place(one.loc))
                for one in agreed_to(old, changes, ("Clinical lead", TODAY), why).waiting
            ]
        return refused, waiting

    @staticmethod
    def key(found: Finding) -> tuple[str, str, str]:
        return found.code, found.message, found.place.path

    def plant(self, fault: Fault) -> Outcome:
        originals = {path: (self.content / path).read_bytes() for path in (fault.path, *fault.also)}
        try:
            for path in fault.also:
                (self.content / path).unlink()
            if fault.text is None:
                (self.content / fault.path).unlink()
            else:
                text = fault.text if isinstance(fault.text, str) else written(fault.text)
                (self.content / fault.path).write_text(text, "utf-8")
            found = self.check()
            if fault.kind == "lock":
                found += address_findings(load_library(self.content, self.cache))
            new = [one for one in found if self.key(one) not in self.clean]
            refused, waiting = self.approved_carelessly(fault)
        finally:
            for path, content in originals.items():
                (self.content / path).write_bytes(content)
        specific = [
            found
            for found in new
            if found.code not in ABOUT_APPROVAL and not found.code.startswith("changed-")
        ]
        if fault.kind.startswith(("review", "lock", "file gone")):
            specific = new  # they are about the approval itself
        before, after, alone = _weight(new), _weight([*specific, *waiting]), _weight(specific)
        return Outcome(
            fault,
            before,
            after,
            before if refused else after,
            alone,
            tuple(f"{f.severity} {f.code}: {f.message}" for f in new),
        )


def _language(name: str) -> str:
    return name[-2:] if name[-3:-2] == "." else "en"


def _weight(findings: list[Finding]) -> str:
    severities = {found.severity for found in findings}
    return "named" if severities & {"error", "warning"} else "note" if severities else "nothing"


def run(faults: list[Fault], store_file: Path | None = None, *, quick: bool = False) -> Iterator[Outcome]:
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(ROOT / "content", Path(folder), store_file, quick=quick)
        for fault in faults:
            yield bench.plant(fault)


def one_of_each(faults: list[Fault]) -> list[Fault]:
    """Give the faults in turns, one of each kind after the other."""
    by_kind: dict[str, list[Fault]] = {}
    for fault in faults:
        by_kind.setdefault(fault.kind, []).append(fault)
    turns = zip_longest(*by_kind.values())
    return [fault for turn in turns for fault in turn if fault is not None]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=60)
    parser.add_argument("--outcomes", type=Path, required=True)
    parser.add_argument("--part", default="1/1")
    parser.add_argument("--store", type=Path, help="Keep drawn figures and readings here between runs.")
    parser.add_argument("--quick", action="store_true", help="Leave figures and reading levels out.")
    parser.add_argument("--kind", default="")
    given = parser.parse_args()
    number, parts_in_all = map(int, given.part.split("/"))
    faults = [
        fault for fault in sampled(all_faults(ROOT / "content"), given.each) if given.kind in fault.kind
    ]
    known = given.outcomes.read_text("utf-8").splitlines() if given.outcomes.exists() else []
    done = {tuple(line.split("\t")[5:]) for line in known}
    todo = [
        fault
        for fault in one_of_each(faults)[number - 1 :: parts_in_all]
        if (fault.kind, fault.path, _one_line(fault.what)) not in done
    ]
    with given.outcomes.open("a", encoding="utf-8") as file:
        for one in run(todo, given.store, quick=given.quick):
            fault = one.fault
            harm = "harm" if fault.harm else "-"
            outcome = (one.before, one.after, one.yes, one.alone, harm)
            cells = (*outcome, fault.kind, fault.path, _one_line(fault.what))
            file.write("\t".join(cells) + "\n")
            file.flush()
    sys.stdout.write(table(given.outcomes.read_text("utf-8")))


def _one_line(text: str) -> str:
    return " ".join(text.split())


def table(outcomes: str) -> str:
    """Give the table by kind of the outcomes written so far."""
    counted: dict[str, Counter[str]] = {}
    total: Counter[str] = Counter()
    for line in outcomes.splitlines():
        before, after, yes, alone, harm, kind, *_ = line.split("\t")
        outcome = ["all", f"before {before}", f"after {after}", f"yes {yes}", f"alone {alone}"]
        for group in [kind, "those that could hurt"] if harm == "harm" else [kind]:
            counted.setdefault(group, Counter()).update(outcome)
        total.update(outcome)
    rows = [f"{'kind':38} faults     before      after  after a yes  without what waits"]
    for kind, counts in [*counted.items(), ("all", total)]:
        cells = (counts[f"{column} named"] for column in ("before", "after", "yes", "alone"))
        shown = "  ".join(f"{named:5} {100 * named // max(counts['all'], 1):3}%" for named in cells)
        rows.append(f"{kind:38} {counts['all']:6} {shown}")
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    main()
