"""The plan and follow-along pages as they are without a script; the script fills the rest from the link."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from limberleaf.pages import links
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.passage import Passage
from limberleaf.pages.views.sign_view import SignView, plan_signs


@dataclass(frozen=True)
class PlanView:
    """What both pages need: where the site's root is, links out, and what the clinic says about itself."""

    root: str
    finder: str
    plan: str
    follow: str
    help: str
    statement: Passage
    call: Passage
    address: str
    signs: Sequence[SignView]


def plan_view(edition: LanguageEdition, url: str) -> PlanView:
    """Make the view of the plan page or the follow-along page."""
    renderer = edition.renderer(url)
    return PlanView(
        root="../" * url.count("/"),
        finder=renderer.href(edition.at(links.HOME)),
        plan=renderer.href(edition.at(links.PLAN)),
        follow=renderer.href(edition.at(links.FOLLOW)),
        help=renderer.href(edition.at(links.HELP)),
        statement=renderer.write(edition.words.say("record.statement")),
        call=renderer.write(edition.words.say("plan.call")),
        address=links.in_words(edition.context.site, edition.at(links.PLAN)),
        signs=plan_signs(edition),
    )
