"""Who may approve or confirm what: the roles of the clinic's list, and the languages they read."""

from __future__ import annotations

from datetime import date

from limberleaf.clinical.governance.change_kinds import KEPT_BY
from limberleaf.clinical.governance.lock import Lock
from limberleaf.clinical.governance.waiting import Waiting, keeper_before
from limberleaf.library.models.clinic import Clinic


def language_of(name: str, first: str) -> str:
    """Give the language of a name in the lock: `exercises/kn-03`, `translations/kn-03.nl`, `pages/about.nl`."""
    stem, dot, language = name.rpartition(".")
    return language if dot and stem else first


def reads(role: str, language: str, clinic: Clinic) -> bool:
    """Tell whether the list lets a role read a language; one of whom it says nothing may read all."""
    said = [one.languages for one in clinic.review.reads if one.role == role]
    return not said or any(language in languages for languages in said)


def roles_for(language: str, clinic: Clinic, lock: Lock) -> list[str]:
    """Give the roles that approve in a language.

    A role of which the list does not say what it reads and that so far approved other languages only is left out, as
    long as there is another.
    """
    known: dict[str, set[str]] = {}
    for name, approved in lock.entries.items():
        known.setdefault(approved.approved_by or "", set()).add(language_of(name, clinic.language))
    listed = {one.role for one in clinic.review.reads}
    may = [role for role in clinic.review.approvers if reads(role, language, clinic)]
    return [role for role in may if role in listed or language in known.get(role, {language})] or may


def why_not_confirm(
    one: Waiting, name: str, signed: tuple[str, date], owner: str | None, clinic: Clinic, lock: Lock
) -> str | None:
    """Say why who signs (role and day) may not confirm a change of the entry `name` in the lock; None when it may.

    In the settings, lines of several languages stand in one file: who confirms reads the line's own.
    """
    line = str(one.loc[-1])
    language = line if line in clinic.languages else language_of(name, clinic.language)
    role, day = signed
    before = (
        keeper_before(lock.entries[name].waiting) if name in lock.entries and one.loc != (KEPT_BY,) else None
    )
    if before and before.casefold() == role.casefold():
        return f"{role} kept this entry until now: first have the new keeper confirmed."
    return why_not_second(role, (one.by, one.day), day, roles_for(language, clinic, lock), owner)


def why_not_second(
    role: str, first: tuple[str, date], day: date, roles: list[str], owner: str | None
) -> str | None:
    """Say why a role may not confirm what `first` (role and day) agreed to; None when it may.

    The second person is in another role and does not keep the entry. Where no such role reads the language, the first
    one reads it again on a later day.
    """
    others = [one for one in roles if one != first[0] and one.casefold() != (owner or "").casefold()]
    if owner is not None and role.casefold() == owner.casefold():
        return f"{role} keeps this entry, so another role confirms it."
    if role not in roles:
        return f"{role} does not approve in this language here. Roles that do: {', '.join(roles)}."
    if role != first[0]:
        return None
    if others:
        return f"{role} agreed to this first, so another role confirms it: {' or '.join(others)}."
    if day <= first[1]:
        return f"No other role reads this language here: {role} may confirm it itself, on a later day than {first[1]}."
    return None
