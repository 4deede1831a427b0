"""Change the code of our own checks in one place at a time, and say which changes no test notices.

By hand: `pip install "cosmic-ray>=8.7"`, then `python tests/mutation/mutants.py [--each 25] [MODULE ...]`. Cosmic Ray
makes the mutants (a comparison turned, an “and” for an “or”, a number one off, a loop that never runs); each is tried
in a process of its own that reads the changed text instead of the file, so no file changes and nothing is left behind.
A mutant that no test of `TESTS` notices is printed with its line: a test is wanting there, or the code says nothing.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
from collections.abc import Iterator
from importlib import import_module
from importlib.machinery import SourceFileLoader
from pathlib import Path
from typing import Any

import numpy as np  # noqa: F401 - what every mutant needs is imported once
import pydantic  # noqa: F401
import pytest

ROOT = Path(__file__).resolve().parents[2]
OPERATORS = (
    "AddNot", "ReplaceAndWithOr", "ReplaceOrWithAnd", "ReplaceUnaryOperator_Delete_Not", "NumberReplacer",
    "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceBreakWithContinue", "ReplaceContinueWithBreak",
    "ZeroIterationForLoop", "ReplaceComparisonOperator_Eq_NotEq", "ReplaceComparisonOperator_NotEq_Eq",
    "ReplaceComparisonOperator_Gt_GtE", "ReplaceComparisonOperator_GtE_Gt", "ReplaceComparisonOperator_Lt_LtE",
    "ReplaceComparisonOperator_LtE_Lt", "ReplaceBinaryOperator_Add_Sub", "ReplaceBinaryOperator_Sub_Add",
)  # fmt: skip
TESTS = {
    "clinical/governance/difference.py": ["mutation/test_edits.py", "clinical/test_second_person.py",
        "clinical/test_keepers_and_search_words.py", "clinical/test_differences.py"],
    "clinical/governance/recording.py": ["clinical/test_second_person.py", "clinical/test_keepers_and_search_words.py"],
    "clinical/governance/approvers.py": ["clinical/test_second_person.py", "clinical/test_keepers_and_search_words.py"],
    "checks/approval/approvals.py": ["checks/test_clinical_families.py", "clinical/test_second_person.py",
        "clinical/test_keepers_and_search_words.py"],
    "checks/numbers/ranges.py": ["checks/test_clinical_families.py"],
    "checks/clinic.py": ["checks/test_words_and_figures.py", "checks/test_safety_net.py"],
    "checks/safety/safety_signs.py": ["checks/test_safety_net.py"],
}  # fmt: skip
"""The tests that are for a module, below tests/; the rest of the suite may notice more."""
LONGEST = 120
"""Seconds after which a mutant counts as noticed: it hangs."""


def mutants(text: str) -> Iterator[tuple[int, str, str]]:
    """Give every mutant of a module: the line that changes, the operator and the whole changed text."""
    mutating, plugins = (import_module(f"cosmic_ray.{name}") for name in ("mutating", "plugins"))
    for name in OPERATORS:
        operator, number = plugins.get_operator(f"core/{name}")(), 0
        while changed := mutating.mutate_code(text, operator, number):
            number += 1
            pairs = enumerate(zip(text.splitlines(), changed.splitlines(), strict=False), 1)
            yield next((line for line, (one, two) in pairs if one != two), 0), name, changed


def is_noticed(file: Path, changed: str, tests: list[str]) -> bool:
    """Run the tests of a module in a process that reads the changed text instead of its file."""
    child = os.fork()
    if child == 0:
        signal.alarm(LONGEST)
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        real = SourceFileLoader.get_code

        def get_code(loader: SourceFileLoader, name: str) -> Any:
            if Path(loader.path).resolve() == file:
                return compile(changed, str(file), "exec", dont_inherit=True)
            return real(loader, name)

        SourceFileLoader.get_code = get_code  # type: ignore[method-assign, assignment]
        paths = [str(ROOT / "tests" / one) for one in tests]
        os._exit(pytest.main(["-x", "-q", "-n", "0", "-p", "no:cacheprovider", *paths]))
    _, state = os.waitpid(child, 0)
    return state != 0


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--each", type=int, default=25, help="The most mutants of a module, spread evenly over it."
    )
    parser.add_argument("modules", nargs="*", default=[*TESTS], help="Modules below generator/.")
    given = parser.parse_args()
    for module in given.modules:
        file = (ROOT / "generator" / module).resolve()
        text = file.read_text("utf-8")
        if is_noticed(file, text, TESTS[module]):
            sys.exit(f"The tests of {module} fail as it is.")
        found = sorted(mutants(text), key=lambda one: one[:2])
        step = max(1.0, len(found) / given.each)
        tried = [found[int(at * step)] for at in range(min(given.each, len(found)))]
        left = 0
        for line, name, changed in tried:
            if not is_noticed(file, changed, TESTS[module]):
                left += 1
                say(f"{module}:{line}: {name}: {changed.splitlines()[line - 1].strip()}")
        say(f"{module}: {len(found)} mutants, {len(tried)} tried, {len(tried) - left} noticed")


if __name__ == "__main__":
    main()
