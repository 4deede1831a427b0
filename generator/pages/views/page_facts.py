"""What a page is about in the words of schema.org, as JSON-LD inside it.

A script element of a type that is no script is a data block (HTML Living Standard, 4.12.1): no browser runs it, so the
content policy of the page, which allows no inline script, is untouched.
"""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from limberleaf.library.models.groups import Collection, Ladder
from limberleaf.pages import links
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.views.exercise_view import SharedParts

_ESCAPES = str.maketrans(
    {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}
)


def script(value: dict[str, Any]) -> str:
    """Give the element; no text in it can end it, since every `<` is written as an escape of JSON."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":")).translate(_ESCAPES)
    return f'<script type="application/ld+json">{text}</script>'


def _page(
    edition: LanguageEdition, address: str, name: str, about: dict[str, Any], reviewed: date | None
) -> dict[str, Any]:
    page: dict[str, Any] = {
        "@context": "https://schema.org",
        "@type": "MedicalWebPage",
        "url": edition.context.site + edition.at(address),
        "name": name,
        "inLanguage": edition.language,
        "audience": {"@type": "PeopleAudience", "audienceType": "Patient"},
        "publisher": {"@type": "MedicalOrganization", "name": edition.name},
    }
    if reviewed:
        page["lastReviewed"] = reviewed.isoformat()
    return {**page, "mainEntity": about}


def exercise_facts(shared: SharedParts) -> str:
    """Say of an exercise what it is for and how often it is done; its page and boxes say the rest."""
    edition, exercise = shared.edition, shared.exercise
    address = links.exercise_address(exercise.code)
    renderer = edition.renderer(edition.at(address), exercise)
    title = renderer.plain(exercise.title)
    plan = {
        "@type": "ExercisePlan",
        "name": title,
        "identifier": exercise.code,
        "description": renderer.plain(exercise.aim),
        "exerciseType": edition.words.say(f"kinds.{exercise.kind}"),
        "activityFrequency": shared.dose_words,
    }
    return script(_page(edition, address, title, plan, exercise.review.reviewed))


def ladder_facts(edition: LanguageEdition, ladder: Ladder) -> str:
    """Say of a ladder which exercises it leads through, in order."""
    steps = [rung.exercise for rung in ladder.steps if rung.exercise in edition.exercises]
    return script(_listed(edition, links.ladder_address(ladder.id), ladder, ladder.aim, steps))


def collection_facts(edition: LanguageEdition, one: Collection) -> str:
    """Say of a collection which exercises it holds."""
    return script(_listed(edition, links.collection_address(one.id), one, one.summary, edition.members(one)))


def _listed(
    edition: LanguageEdition, address: str, entry: Ladder | Collection, description: str, codes: list[str]
) -> dict[str, Any]:
    plain = edition.renderer(edition.at(address)).plain
    items = [
        {
            "@type": "ListItem",
            "position": number,
            "name": edition.renderer("", edition.exercises[code]).plain(edition.exercises[code].title),
            "url": edition.context.site + edition.at(links.exercise_address(code)),
        }
        for number, code in enumerate(codes, 1)
    ]
    title = plain(entry.title)
    about = {
        "@type": "ItemList",
        "name": title,
        "description": plain(description),
        "itemListElement": items,
    }
    return _page(edition, address, title, about, entry.review.reviewed)
