"""Words by which the finder leads people to a page: one that came may lead somebody to what is not for him."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from limberleaf.library.yaml.source import Loc


class SearchWordChange(NamedTuple):
    """A search word that went (`new` is None) or came, at its way below `synonyms`, in plain words."""

    loc: Loc
    says: str
    old: str | None = None
    new: str | None = None


def changed_search_words(old: Any, new: Any) -> Iterator[SearchWordChange]:
    """Compare the search words of an entry, a list, or those of words.yml: what each word that people type stands for.

    Their order says nothing.
    """
    if not isinstance(old or new, dict):
        yield from _listed(old or [], new or [])
        return
    before, after = old or {}, new or {}
    for typed in dict.fromkeys([*after, *before]):
        for one in _listed(before.get(typed) or [], after.get(typed) or []):
            says = f"“{typed}” {'now' if one.new else 'no longer'} finds what “{one.new or one.old}” finds."
            yield one._replace(loc=(typed, *one.loc), says=says)


def _listed(old: list[str], new: list[str]) -> Iterator[SearchWordChange]:
    for word in old:
        if word not in new:
            yield SearchWordChange((), f"Who searches for “{word}” is no longer led here.", old=word)
    for at, word in enumerate(new):
        if word not in old:
            yield SearchWordChange((at,), f"Who searches for “{word}” is now led here.", new=word)
