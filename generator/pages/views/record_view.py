"""The foot of an entry's page: who reviewed it and when, its code and version, its address, its QR code."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from limberleaf.library import Review
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.links import in_words


@dataclass(frozen=True)
class RecordView:
    """What the foot says; a part that the entry does not have is empty."""

    reviewed_by: str
    reviewed: str
    due: str
    code: str
    version: int | None
    address: str
    qr: Markup


def record_view(edition: LanguageEdition, review: Review | None, url: str, code: str = "") -> RecordView:
    """Make the foot of a page at `url`."""
    day = edition.words.day
    site = edition.context.site
    return RecordView(
        reviewed_by=(review.approved_by or review.owner) if review and review.reviewed else "",
        reviewed=day(review.reviewed) if review and review.reviewed else "",
        due=day(review.due) if review and review.due else "",
        code=code.upper(),
        version=review.version if review else None,
        address=in_words(site, url),
        qr=Markup(edition.context.qr(site + url)),  # noqa: S704 - drawn by segno from an address of ours
    )
