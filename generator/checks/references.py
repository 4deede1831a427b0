"""References: every code, name, link and blank leads somewhere, and no text carries HTML.

A reference that leads nowhere names the nearest thing that exists. Places are exact to the character, inside a
text too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Container, Iterable, Iterator, Mapping
from typing import cast

from limberleaf.checks.texts import EntryText, prose_pages, texts_by_file
from limberleaf.checks.together import together
from limberleaf.findings import Finding, Place, did_you_mean
from limberleaf.library import Library, Loaded, Source
from limberleaf.library.models.record import Entry
from limberleaf.library.text import BLANK, DOSE_BLANKS, LINK, PLACEHOLDERS
from limberleaf.library.yaml.source import Loc
from limberleaf.store.nodes import each

BLANKS = (*PLACEHOLDERS, *DOSE_BLANKS)
"""Blanks of any text, and of an exercise's texts; `dose_numbers.py` says which of these a text cannot fill."""

HTML = re.compile(r"<[A-Za-z/!][^>]*>?|&(?:[a-z]+|#\d+);")
_MARKS = frozenset("{}[<&")
"""A text without any of these holds no blank, link or HTML."""
OPEN_LINK = re.compile(r"\[\[(?![^\[\]]*\]\])")


class _Published:
    """The names of what goes out. Only an entry that is asked for is looked at."""

    def __init__(self, entries: Mapping[str, Loaded[Entry]], unread: Collection[str] = ()) -> None:
        self._entries, self._unread = entries, unread

    def __contains__(self, name: object) -> bool:
        loaded = self._entries.get(name) if isinstance(name, str) else None
        return loaded.is_published if loaded else name in self._unread


class _Target:
    """One kind of thing that can be referred to."""

    def __init__(self, what: str, code: str, known: Collection[str], published: Container[str]) -> None:
        self.what, self.code, self.known, self.published = what, code, known, published

    def look(self, name: str, source: Source, loc: Loc, from_published: bool) -> Iterator[Finding]:
        if name not in self.known:
            yield Finding(
                "error",
                self.code,
                f"There is no {self.what} “{name}”.",
                did_you_mean(name, self.known),
                source.place(loc),
            )
        elif from_published and name not in self.published:
            yield Finding(
                "error",
                "not-published",
                f"The {self.what} “{name}” is not approved, so its page does not go out.",
                "Get it approved, name another, or keep this entry back as well.",
                source.place(loc),
            )


def _target(library: Library, what: str) -> _Target:
    entries = cast("dict[str, Loaded[Entry]]", getattr(library, f"{what}s"))
    unread = sorted(library.unread(f"{what}s"))
    return _Target(what, f"unknown-{what}", [*entries, *unread], _Published(entries, unread))


def _exercises(library: Library) -> Iterator[Finding]:
    exercises, cautions = _target(library, "exercise"), _target(library, "caution")
    items = _items(library)
    for _, loaded in each(library.exercises):
        entry, source = loaded.entry, loaded.source
        for name, way in entry.linked_steps.items():
            yield from exercises.look(way.exercise, source, (name, "exercise"), entry.is_published)
            if way.exercise == entry.code:
                yield _to_itself(source, (name, "exercise"))
        if entry.replaced_by:
            yield from exercises.look(entry.replaced_by, source, ("replaced_by",), True)
            if entry.replaced_by == entry.code:
                yield _to_itself(source, ("replaced_by",))
        for index, name in enumerate(entry.cautions):
            yield from cautions.look(name, source, ("cautions", index), entry.is_published)
        for index, need in enumerate(entry.equipment):
            yield from items.look(need.item, source, ("equipment", index, "item"), False)
        yield from _position(entry.position, source, ("position",))


def _items(library: Library) -> _Target:
    known = list(library.equipment.entry.items) if library.equipment else []
    return _Target("item in equipment.yml", "unknown-item", known, known)


def _position(name: str, source: Source, loc: Loc) -> Iterator[Finding]:
    from limberleaf.diagrams.language.words import posture_rows

    if name not in posture_rows():
        yield Finding(
            "error",
            "unknown-position",
            f"There is no posture “{name}”.",
            did_you_mean(name, sorted(posture_rows())),
            source.place(loc),
        )


def _to_itself(source: Source, loc: Loc) -> Finding:
    return Finding(
        "error",
        "leads-to-itself",
        "This leads back to the same entry.",
        "Name another one.",
        source.place(loc),
    )


def _ladders(library: Library) -> Iterator[Finding]:
    exercises, ladders = _target(library, "exercise"), _target(library, "ladder")
    for _, loaded in each(library.ladders):
        entry, source = loaded.entry, loaded.source
        for index, rung in enumerate(entry.steps):
            yield from exercises.look(rung.exercise, source, ("steps", index, "exercise"), entry.is_published)
            for at, code in enumerate(rung.replaces):
                yield from exercises.look(code, source, ("steps", index, "replaces", at), False)
        if entry.if_you_cannot:
            go_to = entry.if_you_cannot.go_to
            yield from ladders.look(go_to, source, ("if_you_cannot", "go_to"), entry.is_published)
            if go_to == entry.id:
                yield _to_itself(source, ("if_you_cannot", "go_to"))


def _collections(library: Library) -> Iterator[Finding]:
    targets = {
        "ladders": _target(library, "ladder"),
        "exercises": _target(library, "exercise"),
        "cautions": _target(library, "caution"),
    }
    for _, loaded in each(library.collections):
        for key, target in targets.items():
            names: list[str] = getattr(loaded.entry, key)
            for index, name in enumerate(names):
                yield from target.look(name, loaded.source, (key, index), loaded.entry.is_published)
                if name in names[:index]:
                    yield Finding(
                        "warning",
                        "named-twice",
                        f"“{name}” is in this list twice.",
                        "Keep one of the two.",
                        loaded.source.place((key, index)),
                    )


def _cautions(library: Library) -> Iterator[Finding]:
    items = _items(library)
    for loaded in library.cautions.values():
        for index, rule in enumerate(loaded.entry.applies_to):
            here: Loc = ("applies_to", index)
            for at, name in enumerate(rule.position):
                yield from _position(name, loaded.source, (*here, "position", at))
            for at, name in enumerate(rule.equipment):
                yield from items.look(name, loaded.source, (*here, "equipment", at), False)


# --- inside texts ----------------------------------------------------------------------------------------------


def _texts(library: Library) -> Iterator[Finding]:
    targets = {name: _target(library, name) for name in ("exercise", "ladder", "collection")}
    known = [name for target in targets.values() for name in target.known]
    for texts in texts_by_file(library):
        if "[[" in texts.source.text:
            yield from _in_texts(texts, known, targets.values())
        else:
            yield from library.read_cache.cached(("marks", texts.path), (texts,), _in_texts, texts, (), ())
    for page in prose_pages(library):
        yield from _in_text(page.markdown, page.place, known, targets.values())


def _in_texts(
    texts: Iterable[EntryText], known: Collection[str], published: Collection[_Target]
) -> Iterator[Finding]:
    for text in texts:
        if _MARKS.isdisjoint(text.text):
            continue
        yield from _in_text(text.text, text.place_at, known, published if text.published else None)


def _in_text(
    text: str, place: Callable[[int], Place], known: Collection[str], reachable: Collection[_Target] | None
) -> Iterator[Finding]:
    if "{" in text or "}" in text:
        yield from _blanks(text, place)
    if "[[" in text:
        yield from _links(text, place, known, reachable)
    if "<" in text or "&" in text:
        for match in HTML.finditer(text):
            yield Finding(
                "error",
                "html-in-text",
                f"“{match[0]}” is HTML; a page would print the tags as text.",
                "Write plain words. The pages bring their own layout.",
                place(match.start()),
            )


def _blanks(text: str, place: Callable[[int], Place]) -> Iterator[Finding]:
    for match in BLANK.finditer(text):
        name = match[1]
        if name is not None and match[0].endswith("}") and name in BLANKS:
            continue
        if name is None or not match[0].endswith("}"):
            yield Finding(
                "error",
                "brace-alone",
                "A curly bracket has no partner.",
                "A blank has both: {affected}. Otherwise leave the bracket out.",
                place(match.start()),
            )
            continue
        yield Finding(
            "error",
            "unknown-blank",
            f"{{{name}}} is not a blank that a page can fill.",
            did_you_mean(name.strip().lower(), BLANKS),
            place(match.start()),
        )


def _links(
    text: str, place: Callable[[int], Place], known: Collection[str], reachable: Collection[_Target] | None
) -> Iterator[Finding]:
    for match in OPEN_LINK.finditer(text):
        yield Finding(
            "error",
            "link-not-closed",
            "This link has no end.",
            "Write [[kn-02]] or [[kn-02|these words]].",
            place(match.start()),
        )
    for match in LINK.finditer(text):
        name = match[1]
        if name not in known:
            yield Finding(
                "error",
                "unknown-link",
                f"“{name}” is no exercise, ladder or collection.",
                did_you_mean(name, known),
                place(match.start(1)),
            )
        elif reachable is not None and not any(name in target.published for target in reachable):
            yield Finding(
                "error",
                "not-published",
                f"“{name}” is not approved, so the link would lead nowhere.",
                "Get it approved, or take the link out.",
                place(match.start(1)),
            )


check_references = together(_exercises, _ladders, _collections, _cautions, _texts)
"""Say every reference, link and blank that leads nowhere, and HTML in texts."""
