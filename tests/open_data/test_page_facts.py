"""schema.org in pages: only types and properties of its vocabulary, in a block that no browser runs.

Source: schema.org, pages of MedicalWebPage, ExercisePlan, ItemList and ListItem (and of the types they are kinds of).
"""

from __future__ import annotations

import json
import re
from typing import Any

from conftest import ROOT

from limberleaf.figures import Figures
from limberleaf.library import load_library
from limberleaf.pages import SiteContext, site_pages
from limberleaf.pages.page_figures import PageFigures
from limberleaf.pages.site import editions
from limberleaf.pages.views.page_facts import ladder_facts, script

THING = {"@type", "name", "description", "identifier", "url"}
VOCABULARY = {
    "MedicalWebPage": {"@context", "inLanguage", "audience", "publisher", "lastReviewed", "mainEntity"},
    "ExercisePlan": {
        "exerciseType",
        "activityFrequency",
        "activityDuration",
        "repetitions",
        "restPeriods",
        "intensity",
    },
    "ItemList": {"itemListElement", "itemListOrder", "numberOfItems"},
    "ListItem": {"position", "item"},
    "PeopleAudience": {"audienceType", "suggestedMinAge"},
    "MedicalOrganization": set(),
}


def check(value: Any) -> None:
    if isinstance(value, list):
        for one in value:
            check(one)
    elif isinstance(value, dict):
        assert set(value) <= THING | VOCABULARY[value["@type"]]
        for one in value.values():
            check(one)


def facts_of(text: str) -> Any:
    found = re.findall(r'<script type="application/ld\+json">(.*?)</script>', text, re.DOTALL)
    assert len(found) == 1
    return json.loads(found[0])


def test_groups_say_what_they_lead_through() -> None:
    context = SiteContext(load_library(ROOT / "content"), PageFigures(Figures()))
    for edition in editions(context):
        for ladder in edition.ladders.values():
            value = facts_of(ladder_facts(edition, ladder))
            check(value)
            steps = [one["position"] for one in value["mainEntity"]["itemListElement"]]
            assert steps == list(range(1, len(steps) + 1))
            assert value["inLanguage"] == edition.language


def test_an_exercise_page_names_its_plan_at_its_canonical_address_only() -> None:
    context = SiteContext(load_library(ROOT / "content"), PageFigures(Figures()))
    pages = {page.url: page for page in site_pages(context) if page.url in ("kn-03/", "kn-03/left/")}
    value = facts_of(pages["kn-03/"].body())
    check(value)
    assert "&lt;" not in pages["kn-03/"].body()  # the page around the block stays markup
    assert value["@type"] == "MedicalWebPage"
    assert value["mainEntity"]["@type"] == "ExercisePlan"
    assert value["url"].endswith("/kn-03/")
    assert value["lastReviewed"] == "2026-11-28"
    assert "ld+json" not in pages["kn-03/left/"].body()


def test_no_text_can_end_the_block() -> None:
    hostile = "</script><script>alert(1)</script> <!-- \u2028"
    made = script({"@type": "ExercisePlan", "name": hostile})
    assert made.count("<") == 2
    assert facts_of(made)["name"] == hostile
