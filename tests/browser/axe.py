"""axe-core on a page, asked for violations of WCAG 2.2 A and AA and of good practice, and for nothing else."""

from __future__ import annotations

import json
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

SCRIPT = Axe().axe_script
STANDARD = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OPTIONS = {
    "runOnly": STANDARD,
    "rules": {"target-size": {"enabled": True}},
    "resultTypes": ["violations"],
    "preload": False,  # style sheets are fetched for rules that are not asked for
}

RULES_OF_COLOUR = ["color-contrast", "link-in-text-block"]
"""All that axe-core judges otherwise by night than by day."""

Finding = tuple[str, list[Any], str]
"""A rule, the place of the first element that breaks it, and what to mend."""


def findings(page: Page, context: Any = None, rules: list[str] | None = None) -> list[Finding]:
    """Give what axe-core finds: in the whole page or in a `context`, by all rules asked for or only by `rules`."""
    options = {**OPTIONS, "runOnly": {"type": "rule", "values": rules}, "rules": {}} if rules else OPTIONS
    if not page.evaluate("'axe' in window"):
        page.evaluate(SCRIPT)
    found = page.evaluate(
        """async ([context, options]) => {
            const { violations } = await axe.run(context || document, JSON.parse(options));
            return violations.map(one => [one.id, one.nodes[0].target, one.nodes[0].failureSummary]);
        }""",
        [context, json.dumps(options)],
    )
    return [(rule, place, summary) for rule, place, summary in found]
