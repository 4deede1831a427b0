"""Writing an approval down: the review by rule into the entry, the words into the lock; for command and desk."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import yaml

from limberleaf.clinical.approval import (
    LOCK,
    Approved,
    Lock,
    Part,
    Reason,
    edit_since,
    lock_text,
    recorded,
)
from limberleaf.clinical.review import add_span
from limberleaf.library import Library, load_library
from limberleaf.library.record import Review
from limberleaf.output import write_atomically


def is_reason(text: str) -> bool:
    """Tell whether a text can be a reason: three words or more, and not one word over and over."""
    words = {word.casefold() for word in text.split() if any(letter.isalpha() for letter in word)}
    return len(words) >= 3


def review_of(part: Part) -> Review | None:
    """Give the review of an entry; settings and prose pages have none."""
    review = getattr(part.entry, "review", None)
    return review if isinstance(review, Review) else None


def reviewed_text(part: Part, old: Approved | None, role: str, day: date, library: Library) -> str | None:
    """Give the file with its new review; None when the review in it is the recorded one and stays."""
    review = review_of(part)
    stays = old is not None and edit_since(part.entry, old).level != "major" and recorded(part.entry, old)
    return (
        None if review is None or stays else _with_review(part, _next(review, old, part, role, day, library))
    )


def write_approvals(
    library: Library, before: Lock, texts: Mapping[str, str], reasons: Mapping[str, tuple[Reason, ...]]
) -> None:
    """Write reviews into their files and then the lock, in which the names in `reasons` are approved."""
    for path, text in texts.items():
        write_atomically(library.root / path, text.encode())
    after = lock_text(load_library(library.root), before, confirmed=frozenset(reasons), reasons=reasons)
    write_atomically(library.root / LOCK, after.encode())


def _next(review: Review, old: Approved | None, part: Part, role: str, day: date, library: Library) -> Review:
    """Give the review by rule: a major edit raises the version, and it never goes down."""
    version = review.version
    if old is not None:
        version = old.version + (edit_since(part.entry, old).level == "major")
    interval = library.settings.review.interval
    same_due = old is None and review.due and review.due > day and review.due <= add_span(day, interval)
    return review.model_copy(
        update={
            "approved_by": role,
            "reviewed": day,
            "due": review.due if same_due else add_span(day, interval),
            "version": version,
        }
    )


def _with_review(part: Part, review: Review) -> str:
    """Give the file's text with another review; all else stays as it was typed."""
    text, root = part.source.text, part.source.node
    assert isinstance(root, yaml.MappingNode)  # noqa: S101 - an entry that was read is a mapping
    node = next(value for key, value in root.value if key.value == "review")
    flow = (
        f"{{owner: {_scalar(review.owner)}, approved_by: {_scalar(review.approved_by or '')}, "
        f"reviewed: {review.reviewed}, due: {review.due}, version: {review.version}}}"
    )
    start, end = node.start_mark.index, node.end_mark.index
    if node.flow_style:
        return text[:start] + flow + text[end:]
    start = text.rindex("review:", 0, start) + len("review:")
    return text[:start] + " " + flow + "\n" + text[end:].lstrip("\n")


def _scalar(text: str) -> str:
    plain = text.replace(" ", "").isalnum()
    return text if plain else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
