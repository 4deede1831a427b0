"""All handouts of a library: made one after another, set in two processes when they are many.

Only a few are ever under way, so that a thousand need no more memory than a few dozen.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from functools import cache
from itertools import chain, islice
from multiprocessing import get_context
from pathlib import Path

from limberleaf.figures import FigureRequest, figure_request_for
from limberleaf.handouts.fonts import find_fonts
from limberleaf.handouts.groups import collection_handout, ladder_handout
from limberleaf.handouts.sheet import Choice, Print, exercise_handout
from limberleaf.handouts.typeset import FITTED, Fit, Handout, Typesetter
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.links import collection_address, exercise_address, ladder_address
from limberleaf.pages.views.exercise_view import SIDES, side_words
from limberleaf.store import Store


def every_figure_request(edition: LanguageEdition, style: str) -> Iterator[FigureRequest]:
    """Give the figures of all exercises and sides, so that they can be drawn together."""
    for code, exercise in edition.exercises.items():
        for side in SIDES if exercise.sides == "one" else (None,):
            renderer = edition.renderer("", exercise, side)
            adult = edition.clinic.adult_for(code)
            words = side_words(renderer)
            yield figure_request_for(exercise, side, edition.language, words, adult, style)


def every_page_handout(edition: LanguageEdition, print_: Print = "page") -> Iterator[tuple[str, Handout]]:
    """Give the handout of every page that has one: each exercise and side, each ladder and collection; by its url."""
    for code, exercise in edition.exercises.items():
        for side in SIDES if exercise.sides == "one" else (None,):
            url = edition.at(exercise_address(code, side))
            yield url, exercise_handout(edition, Choice(code, side), print_)
    for name in edition.ladders:
        yield edition.at(ladder_address(name)), ladder_handout(edition, name)
    for name in edition.collections:
        yield edition.at(collection_address(name)), collection_handout(edition, name)


def every_handout(edition: LanguageEdition, print_: Print = "page") -> Iterator[Handout]:
    """Give the handout of every page that has one, in the order of pages."""
    return (one for _, one in every_page_handout(edition, print_))


MANY = 24
"""From so many handouts on, a second process pays for its start."""
BATCH = 8
"""Handouts a process is given at a time."""


def set_all(
    handouts: Iterable[Handout], fonts: Path | None = None, store: Store | None = None
) -> Iterator[tuple[Handout, bytes]]:
    """Set handouts in their order, in as many processes as there are cores (at most four) when they are many.

    `fonts` is the folder of fonts, when there is one; `store` keeps how sheets were fitted, so that the next time
    takes a third of the work. Raises HandoutError at the first that cannot be set.
    """
    coming = iter(handouts)
    first = list(islice(coming, MANY))
    workers = min(os.cpu_count() or 1, 4)
    typesetter = Typesetter(find_fonts(fonts))
    fits_store = store or Store()
    every = chain(first, coming)
    if len(first) < MANY or workers < 2:
        for one in every:
            _remember(typesetter, [one], fits_store)
            pdf = typesetter.pdf(one)
            _keep(fits_store, typesetter.fits)
            yield one, pdf
        return
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        waiting: deque[tuple[list[Handout], Future[Batch]]] = deque()
        while batch := list(islice(every, BATCH)):
            _remember(typesetter, batch, fits_store)
            waiting.append((batch, pool.submit(_set_batch, batch, fonts, dict(typesetter.fits))))
            if len(waiting) > 2 * workers:
                yield from _done(*waiting.popleft(), fits_store)
        while waiting:
            yield from _done(*waiting.popleft(), fits_store)


Batch = tuple[list[bytes], dict[str, Fit]]


def _remember(typesetter: Typesetter, batch: list[Handout], fits_store: Store) -> None:
    typesetter.fits.clear()
    typesetter.fits.update(
        fits_store.read([typesetter.fit_key(one) for one in batch if one.template in FITTED])
    )


def _keep(fits_store: Store, fits: dict[str, Fit]) -> None:
    known = fits_store.read(fits)
    fits_store.keep({key: fit for key, fit in fits.items() if key not in known})


def _done(batch: list[Handout], future: Future[Batch], fits_store: Store) -> Iterator[tuple[Handout, bytes]]:
    pdfs, fits = future.result()
    _keep(fits_store, fits)
    yield from zip(batch, pdfs, strict=True)


@cache
def _typesetter(fonts: Path | None) -> Typesetter:
    return Typesetter(find_fonts(fonts))


def _set_batch(batch: list[Handout], fonts: Path | None, fits: dict[str, Fit]) -> Batch:
    typesetter = _typesetter(fonts)
    typesetter.fits.clear()
    typesetter.fits.update(fits)
    return [typesetter.pdf(one) for one in batch], dict(typesetter.fits)
