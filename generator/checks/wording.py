"""The words of an entry as the patient reads them, in blocks that know what they are and where they were written.

The reading checks and the editor's desk read the same blocks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.findings import Place
from limberleaf.library import Caution, Collection, Exercise, Ladder, Library, Loaded, Translation, Words
from limberleaf.library.models.clinic import ReadingTarget
from limberleaf.library.models.exercise import Need, TranslatedNeed
from limberleaf.library.models.group_words import CautionWords, CollectionWords, GroupWords, LadderWords
from limberleaf.library.models.record import Entry
from limberleaf.library.models.record import SwitchedOff as EntrySwitch
from limberleaf.library.text import RichText, fill
from limberleaf.library.yaml.source import Loc, Source
from limberleaf.reading import Block, Kind, SwitchedOff, WordChoices
from limberleaf.store.kept import LazyItems
from limberleaf.store.nodes import each


@dataclass(frozen=True)
class Passage:
    """One text of an entry: what kind of block it is, its words filled, and the way to it in the file."""

    kind: Kind
    text: RichText
    loc: Loc

    @property
    def block(self) -> Block:
        """Give it as the reading engine takes it, its key the way to it."""
        return Block(self.kind, self.text.plain, self.loc)


@dataclass(frozen=True)
class Wording:
    """All passages of one page's own entry, with what is needed to judge them."""

    name: str
    source: Source
    language: str
    passages: Sequence[Passage]
    switched_off: tuple[SwitchedOff, ...] = ()

    def place(self, block: int, offset: int) -> Place:
        """Give the place in the file of a character of a block."""
        passage = self.passages[block]
        return self.source.place(passage.loc, offset=passage.text.source_offset(offset))


Filler = Callable[[str], RichText]


def wordings(library: Library) -> Iterator[Wording]:
    """Give the wording of every entry and translation that is not retired, in the order of the library."""
    first = library.settings.language
    for _, loaded in each(library.exercises):
        if loaded.entry.status != "retired":
            yield _wording(library, loaded.entry.code, loaded, first, loaded.entry)
    for (code, language), translation in each(library.translations):
        yield _wording(library, f"{code} ({language})", translation, language)
    for entries in (library.ladders, library.collections, library.cautions):
        for name, group in each(cast("dict[str, Loaded[Entry]]", entries)):
            yield _wording(library, name, group, first)
    for (_, name, language), words in each(library.group_translations):
        yield _wording(library, f"{name} ({language})", words, language)


def _wording(
    library: Library, name: str, loaded: Loaded[Any], language: str, exercise: Exercise | None = None
) -> Wording:
    def passages() -> Iterator[Passage]:
        yield from passages_of(loaded.entry, filler(library, exercise, language))

    def make(passages: Sequence[Passage]) -> Iterator[Wording]:
        switches = switches_of(loaded.entry)
        yield Wording(name, loaded.source, language, passages, switches)

    if "[[" in loaded.source.text:  # a link shows the title of another entry
        return next(make(tuple(passages())))
    clinic = library.clinic.content_key if library.clinic else ""
    later = LazyItems(f"{loaded.content_key} {language} {clinic}", passages)
    return library.read_cache.cached(("wording", loaded.source.path), (loaded, library.clinic), make, later)[
        0
    ]


def filler(library: Library, exercise: Exercise | None, language: str) -> Filler:
    """Give the function that fills a text as on a page without a chosen side."""
    placeholders = placeholders_for(library, exercise, None, language)
    return lambda text: fill(text, placeholders)


def exercise_passages(entry: Exercise | Translation, fill: Filler) -> Iterator[Passage]:
    """Give the passages of an exercise (or of its translation) in the order of its page."""
    yield Passage("heading", fill(entry.title), ("title",))
    yield Passage("prose", fill(entry.aim), ("aim",))
    yield from _many("bullet", entry.in_short, ("in_short",), fill)
    yield from _many("bullet", entry.suits, ("suits",), fill)
    yield from _many("bullet", entry.leave_out_if, ("leave_out_if",), fill)
    yield from _many("step", entry.setup, ("setup",), fill)
    yield from _many("step", entry.steps, ("steps",), fill)
    if entry.dose_reason:
        yield Passage("prose", fill(entry.dose_reason), ("dose_reason",))
    yield from _many("bullet", entry.feelings.fine, ("feelings", "fine"), fill)
    yield from _many("bullet", entry.feelings.ease_off, ("feelings", "ease_off"), fill)
    yield from _many("bullet", entry.feelings.stop, ("feelings", "stop"), fill)
    for name, way in (("easier", entry.easier), ("harder", entry.harder), ("instead", entry.instead)):
        if way:
            yield Passage("bullet", fill(way.when), (name, "when"))
    yield from _many("bullet", entry.watch_for, ("watch_for",), fill)
    needs: Sequence[Need | TranslatedNeed] = entry.equipment
    for index, need in enumerate(needs):
        if need.instead:
            yield Passage("bullet", fill(need.instead), ("equipment", index, "instead"))


def _many(kind: Kind, texts: Sequence[str], loc: Loc, fill: Filler) -> Iterator[Passage]:
    for index, text in enumerate(texts):
        yield Passage(kind, fill(text), (*loc, index))


def passages_of(entry: Entry | Translation | GroupWords, fill: Filler) -> Iterator[Passage]:
    """Give the passages of any entry or translation in the order of its page."""
    if isinstance(entry, Exercise | Translation):
        yield from exercise_passages(entry, fill)
    elif isinstance(entry, Ladder | LadderWords):
        yield from _ladder_passages(entry, fill)
    elif isinstance(entry, Collection | CollectionWords):
        yield from _collection_passages(entry, fill)
    elif isinstance(entry, Caution | CautionWords):
        yield from _caution_passages(entry, fill)


def _ladder_passages(ladder: Ladder | LadderWords, fill: Filler) -> Iterator[Passage]:
    yield Passage("heading", fill(ladder.title), ("title",))
    yield Passage("prose", fill(ladder.aim), ("aim",))
    for index, rung in enumerate(ladder.steps):
        for key in ("start_here_if", "move_on_when", "step_back_when", "same_or_less_because"):
            text = getattr(rung, key)
            if text:
                yield Passage("bullet", fill(text), ("steps", index, key))
    if ladder.if_you_cannot:
        yield Passage("bullet", fill(ladder.if_you_cannot.when), ("if_you_cannot", "when"))


def _collection_passages(collection: Collection | CollectionWords, fill: Filler) -> Iterator[Passage]:
    yield Passage("heading", fill(collection.title), ("title",))
    yield Passage("prose", fill(collection.summary), ("summary",))
    yield from _many("prose", collection.about, ("about",), fill)
    yield from _many("bullet", collection.before_you_start, ("before_you_start",), fill)
    for index, question in enumerate(collection.questions):
        yield Passage("heading", fill(question.ask), ("questions", index, "ask"))
        yield Passage("prose", fill(question.answer), ("questions", index, "answer"))
    yield from _many("bullet", collection.come_back_when, ("come_back_when",), fill)


def _caution_passages(caution: Caution | CautionWords, fill: Filler) -> Iterator[Passage]:
    yield Passage("heading", fill(caution.title), ("title",))
    yield from _many("caution", caution.signs, ("signs",), fill)
    if caution.action:
        yield Passage("caution", fill(caution.action), ("action",))


def switches_of(entry: object) -> tuple[SwitchedOff, ...]:
    """Give the reading rules an entry switches off."""
    switches: Sequence[EntrySwitch] = getattr(entry, "switched_off", ())
    return tuple(SwitchedOff(one.rule, one.reason, one.text) for one in switches)


def word_choices(library: Library, switched_off: tuple[SwitchedOff, ...] = ()) -> WordChoices:
    """Give the clinic's choices about words, with the rules one entry switches off."""
    own = library.words.entry if library.words else Words()
    return choices_with(_clinic_choices(own, library.settings.reading), switched_off)


def choices_with(choices: WordChoices, switched_off: tuple[SwitchedOff, ...]) -> WordChoices:
    """Give the clinic's choices with the rules one entry switches off beside its own."""
    return replace(choices, switched_off=(*choices.switched_off, *switched_off)) if switched_off else choices


def _clinic_choices(own: Words, target: ReadingTarget) -> WordChoices:
    exceptions = (SwitchedOff("hard-word", one.reason, one.word) for one in own.exceptions)
    rules_off = (SwitchedOff(one.rule, one.reason) for one in target.switched_off)
    return WordChoices(
        explained=own.explained,
        names=frozenset(own.names),
        preferred=own.preferred,
        syllables=own.syllables,
        easy=frozenset(word.lower() for word in own.easy),
        target_grade=target.target_grade,
        switched_off=(*exceptions, *rules_off),
    )
