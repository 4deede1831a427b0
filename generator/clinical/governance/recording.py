"""Writing an approval down: the review by rule into the entry, the words into the lock; for command and desk."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

import yaml

from limberleaf.clinical.governance.approval import Part, edit_since, lock_text, recorded
from limberleaf.clinical.governance.difference import Difference
from limberleaf.clinical.governance.lock import LOCK, Agreed, Approved, Lock, Reason
from limberleaf.clinical.governance.places import place_first, show
from limberleaf.clinical.governance.review import add_span
from limberleaf.clinical.governance.waiting import Waiting, carried, first_approval, waits
from limberleaf.library import Library, load_library
from limberleaf.library.models.record import Review
from limberleaf.output import text_bytes, write_atomically

SMALL_TURN = "A small turn of a joint, seen by one person."
"""What the lock keeps with a turn that waits for nobody, so that the next one of the same joint does."""


_WAS = re.compile(r" was (-?\d+(?:\.\d+)?), now")


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


def agreed_to(
    old: Approved | None,
    changes: Sequence[Difference],
    signed: tuple[str, date],
    why: Mapping[Difference, str],
    *,
    second: Reason | None = None,
) -> Agreed:
    """Give what an approval adds: reasons for what can take a safeguard away, and what now waits for a second person.

    `signed` is the role and the day, `why` the reason for each change that was asked for one, and `second` says who
    read the same text first: then nothing waits. What nobody had approved before (`old` is None) waits as a whole.
    """
    role, day = signed
    reasons = tuple(Reason(one.says, day, role, why[one]) for one in changes if one in why)
    if second is not None:
        return Agreed((*reasons, second))
    if old is None:
        return Agreed(reasons, (first_approval(role, day),))
    fresh = {
        one: Waiting(one.loc, one.old, one.new, one.says, day, role, why.get(one, ""))
        for one in changes
        if waits(one)
    }
    for one in changes:
        if _is_small_turn(one) and (before := _turns_before(one, old)):
            first = _angle_before(before[0])
            says = f"{one.says} {len(before) + 1} small turns since somebody compared it: it was {show(first)} then."
            fresh[one] = Waiting(one.loc, first, one.new, says, day, role)
    turned = (Reason(one.says, day, role, SMALL_TURN) for one in changes if _is_small_turn(one))
    return Agreed((*reasons, *turned), carried(old.waiting, changes, fresh))


def _is_small_turn(change: Difference) -> bool:
    return "joints" in change.loc and not change.safety


def _turns_before(change: Difference, old: Approved) -> list[Reason]:
    """Give the small turns of a joint that nobody compared: they add up to a large one."""
    place = f"{place_first(change.loc)} "
    found: list[Reason] = []
    for one in old.reasons:
        if one.says.startswith(place):
            found = [*found, one] if one.because == SMALL_TURN else []
    return found


def _angle_before(turn: Reason) -> float | None:
    """Read the angle that a turn began at; None where the joint had none."""
    was = _WAS.search(turn.says)
    return float(was[1]) if was else None


def confirmed_text(
    library: Library, before: Lock, confirmed: Mapping[str, tuple[Waiting, ...]], role: str, day: date
) -> str:
    """Write the lock without what a second person `confirmed`, by the names of entries; who and when stays as a reason.

    An entry of which something that waited was lost is read as a whole, so nothing is missed in it any more.
    """
    entries = dict(before.entries)
    for name, done in confirmed.items():
        old = entries[name]
        traces = [
            Reason(one.says, day, role, f"Old and new compared; first agreed by {one.agreed}") for one in done
        ]
        if old.lost:
            traces.append(Reason("What waited here was lost.", day, role, "The whole entry was read again."))
        left = tuple(one for one in old.waiting if one not in done)
        entries[name] = replace(old, reasons=(*old.reasons, *traces), waiting=left, lost=())
    return lock_text(library, replace(before, entries=entries), confirmed=frozenset())


def write_approvals(
    library: Library, before: Lock, texts: Mapping[str, str], agreed: Mapping[str, Agreed]
) -> None:
    """Write reviews into their files and then the lock, in which the names in `agreed` are approved."""
    for path, text in texts.items():
        file = library.root / path
        write_atomically(file, text_bytes(file, text))
    after = lock_text(load_library(library.root), before, confirmed=frozenset(agreed), agreed=agreed)
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
