"""What the page of one entry shows: the answer first, then the words with their marks, the numbers, the history."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from limberleaf.clinical.governance.approval import Edit
from limberleaf.clinical.ladders import Where, whereabouts
from limberleaf.clinical.record import RecordLine, Tally, instruments, record, tally
from limberleaf.desk.read.changes import Change, Field, field_changes, wording_changes
from limberleaf.desk.read.charts import Track, track
from limberleaf.desk.read.entries import DeskEntry
from limberleaf.desk.read.marked import MarkedBlock, Note, PlaceOf, marked_blocks, note, without_overlaps
from limberleaf.desk.read.readings import Readings, ReadingSummary, grade_words, headline_words
from limberleaf.desk.read.sections import sections
from limberleaf.desk.read.tables import count_labels, hard_words_of, level_of, measure_labels
from limberleaf.desk.read.versions import History, Version
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library
from limberleaf.reading import CountingRule, HardSentence, Headline, Reading, counting_rules, explain

LONG, FAIRLY_LONG = 20, 12
"""Words from which a sentence is worth splitting: in any case, and when nothing else makes it hard."""


@dataclass(frozen=True)
class Section:
    """A section of the page: its blocks (`first` is the number of the first one), and how hard it reads on its own."""

    title: str
    first: int
    blocks: tuple[MarkedBlock, ...]
    words: int
    sentences: int
    hard_words: int | None
    grade: str
    marks: int

    @property
    def words_a_sentence(self) -> str:
        """Give the mean length of its sentences, to one decimal."""
        return f"{self.words / self.sentences:.1f}" if self.sentences else ""


@dataclass(frozen=True)
class Reason:
    """One of the hardest sentences: where its first note is, why it is hard, what to write instead."""

    text: str
    section: str
    anchor: str
    words: int
    hard: tuple[str, ...]
    advice: tuple[str, ...]
    kind: str


@dataclass(frozen=True)
class Answer:
    """The line an editor reads first, and why."""

    band: str
    grades: str
    sample: str
    against: str
    target: int
    headline: str
    steps: str
    terms: str
    without_terms: str
    reasons: tuple[Reason, ...]
    first: tuple[Note, ...]
    costs: tuple[str, ...]


@dataclass(frozen=True)
class NumberRow:
    """A measure or a count: its name, what it means, and its value in each column."""

    label: str
    about: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class Numbers:
    """All measures and all raw counts, their columns, and the rules of counting."""

    measure_columns: tuple[str, ...]
    measures: tuple[NumberRow, ...]
    count_columns: tuple[str, ...]
    counts: tuple[NumberRow, ...]
    parts: tuple[NumberRow, ...]
    rules: tuple[CountingRule, ...]
    language: str
    note: str


@dataclass(frozen=True)
class Compared:
    """What changed since an approval."""

    since: Version
    rows: tuple[Change, ...]
    fields: tuple[Field, ...]

    @property
    def any(self) -> bool:
        """Tell whether anything changed."""
        return bool(self.rows or self.fields)


@dataclass(frozen=True)
class Past:
    """The history of the band, what changed since the last approval, and what the one before had."""

    missing: str
    shallow: bool
    track: Track | None
    versions: tuple[Version, ...]
    unread: int
    since: Compared | None
    earlier: Compared | None
    edit: Edit | None


@dataclass(frozen=True)
class RecordTally:
    """One instrument: its name, how many items are met, the items that are open or left to a person."""

    name: str
    full_name: str
    tally: Tally
    lines: tuple[RecordLine, ...]


@dataclass(frozen=True)
class EntryView:
    """All that the page of an entry shows."""

    entry: DeskEntry
    sum: ReadingSummary
    answer: Answer
    sections: tuple[Section, ...]
    switched_off: tuple[Note, ...]
    unused: tuple[tuple[str, str, str], ...]
    numbers: Numbers
    past: Past
    findings: tuple[Finding, ...]
    record: tuple[RecordTally, ...]
    asked: tuple[str, ...] = ()
    """How people understood the figure when they were asked (`limberleaf ask`)."""


def entry_view(
    library: Library, entry: DeskEntry, readings: Readings, findings: Sequence[Finding], history: History
) -> EntryView:
    """Make the view of an entry; `findings` are those of its file that no reading rule made."""
    wording = entry.wording
    reading = readings.whole(wording)
    blocks = marked_blocks(reading, wording.place)
    parts = _sections(entry, blocks, readings)
    return EntryView(
        entry=entry,
        sum=readings.sums([wording])[0],
        answer=_answer(reading, parts, library.settings.reading.target_grade, _first(reading, wording.place)),
        sections=parts,
        switched_off=tuple(note(0, mark, reading, wording.place) for mark in reading.switched_off),
        unused=tuple(
            (one.rule, one.text or "", one.reason) for one in reading.unused_switches if one in _own(entry)
        ),
        numbers=_numbers(reading),
        past=_past(library, entry, history),
        findings=tuple(findings),
        record=record_tallies(library, entry),
        asked=_asked(library, entry),
    )


def _asked(library: Library, entry: DeskEntry) -> tuple[str, ...]:
    from limberleaf.comprehension.kept import result_words

    loaded = library.exercises.get(entry.name) if entry.kind == "exercise" else None
    return result_words(library.root, loaded.entry) if loaded else ()


def _own(entry: DeskEntry) -> Sequence[object]:
    """Give the rules the entry itself switches off; those of the clinic hold for every page."""
    return entry.wording.switched_off


def _sections(entry: DeskEntry, blocks: Sequence[MarkedBlock], readings: Readings) -> tuple[Section, ...]:
    passages = entry.wording.passages
    found = []
    for title, indexes in sections(passages):
        own = readings.blocks(
            [passages[index] for index in indexes], entry.language, entry.wording.switched_off
        )
        counts = own.counts.all
        found.append(
            Section(
                title,
                indexes[0],
                tuple(blocks[index] for index in indexes),
                counts.words,
                counts.sentences,
                hard_words_of(own),
                _section_grade(own),
                sum(len(blocks[index].notes) for index in indexes),
            )
        )
    return tuple(found)


def _section_grade(reading: Reading) -> str:
    """Say how hard a section reads: its band, or in a word when it is too short for one."""
    return headline_words(reading.headline) if reading.headline.graded else level_of(reading)


def _first(reading: Reading, place: PlaceOf) -> tuple[Note, ...]:
    numbers = {id(mark): number for number, mark in enumerate(without_overlaps(reading.marks), 1)}
    shown = [mark for mark in reading.first if id(mark) in numbers]
    return tuple(note(numbers[id(mark)], mark, reading, place) for mark in shown)


def _answer(reading: Reading, parts: Sequence[Section], target: int, first: tuple[Note, ...]) -> Answer:
    explanation, headline = explain(reading), reading.headline
    homes = [section.title for section in parts for _ in section.blocks]
    blocks = [block for section in parts for block in section.blocks]
    without, counted = reading.without_terms, hard_words_of(reading) is not None
    return Answer(
        band=headline_words(headline),
        grades=grade_words(headline.grade),
        sample=_sample(headline),
        against=headline.against(target),
        target=target,
        headline=headline.text,
        steps=reading.steps_headline.text if counted and reading.steps_headline.words else "",
        terms=", ".join(without.terms) if without else "",
        without_terms=headline_words(without.headline) if without else "",
        reasons=tuple(
            Reason(
                one.text,
                homes[one.block],
                _anchor(blocks[one.block], one.block),
                one.words,
                one.hard,
                tuple(_advice(one)),
                blocks[one.block].kind,
            )
            for one in explanation.hardest
        ),
        first=first,
        costs=tuple(cost.text for cost in explanation.costs),
    )


def _advice(sentence: HardSentence) -> Iterator[str]:
    """Say what to write instead: shorter sentences, the easier words the rules know, easier words for the rest."""
    if sentence.words > LONG or (sentence.words > FAIRLY_LONG and not sentence.hard):
        yield "two shorter sentences"
    yield from (f"for “{word}”, {say}" for word, say in sentence.instead)
    offered = " ".join(word for word, _ in sentence.instead).casefold()
    rest = [f"“{word}”" for word in sentence.hard if word.casefold() not in offered]
    if rest:
        yield f"an easier word for {', '.join(rest)}"


def _anchor(block: MarkedBlock, index: int) -> str:
    return f"ref-{block.notes[0].number}" if block.notes else f"block-{index}"


def _sample(line: Headline) -> str:
    words = f"{line.words} word{'s' if line.words != 1 else ''}"
    return f"{words} of prose in {line.sentences} sentence{'s' if line.sentences != 1 else ''}"


# --- numbers -----------------------------------------------------------------------------------------------------


def _numbers(reading: Reading) -> Numbers:
    without, counts = reading.without_terms, reading.counts
    columns = ["Prose", *(["Prose without terms and names"] if without else []), "Steps"]
    values = [reading.measures, *([without.measures] if without else []), reading.step_measures]
    samples = [
        counts.prose,
        *([without.counts.prose] if without else []),
        counts.steps,
        counts.left_out,
        counts.all,
    ]
    labels = measure_labels()
    parts = reading.headline.parts or {}
    return Numbers(
        measure_columns=tuple(columns),
        measures=tuple(
            NumberRow(*labels[name], tuple(_decimal(column, name) for column in values))
            for name in reading.lang.measures
        ),
        count_columns=(*columns, "Left out", "All"),
        counts=tuple(
            NumberRow(label, about, tuple(str(sample.as_dict()[name]) for sample in samples))
            for name, (label, about) in count_labels().items()
        ),
        parts=tuple(NumberRow(*labels[f"part_{name}"], (f"{value:.1f}",)) for name, value in parts.items()),
        rules=counting_rules(),
        language=reading.lang.name,
        note=reading.lang.note or "",
    )


def _decimal(values: Mapping[str, float], name: str) -> str:
    return f"{values[name]:.1f}" if name in values else "–"


# --- history -----------------------------------------------------------------------------------------------------


def _past(library: Library, entry: DeskEntry, history: History) -> Past:
    shown = history.read
    approvals = history.approvals()
    rows = [
        (one.sum.grade if one.sum else None, one.day, one.approved, f"{one.sum.band}" if one.sum else "")
        for one in reversed(shown)
    ]
    since = _compared(entry, approvals[0]) if approvals else None
    earlier = (
        next((_compared(entry, one) for one in approvals[1:]), None) if since and not since.any else None
    )
    return Past(
        missing=history.missing,
        shallow=history.shallow,
        track=track(rows, library.settings.reading.target_grade) if len(rows) > 1 else None,
        versions=tuple(shown),
        unread=sum(one.wording is None for one in history.versions),
        since=since,
        earlier=earlier,
        edit=entry.edit,
    )


def _compared(entry: DeskEntry, then: Version) -> Compared:
    assert then.wording is not None  # noqa: S101 - an approved version could be read
    texts = (then.text, entry.wording.source.text)
    return Compared(
        then,
        tuple(wording_changes(then.wording, entry.wording)),
        tuple(field_changes(then.entry, entry.entry, texts)),
    )


# --- record ------------------------------------------------------------------------------------------------------


def record_tallies(library: Library, entry: DeskEntry) -> tuple[RecordTally, ...]:
    """Give the published instruments with their items; only exercises have such a record."""
    if not isinstance(entry.entry, Exercise):
        return ()
    lines = record(library, entry.entry, whereabouts(library).get(entry.name, Where()))
    return tuple(
        RecordTally(
            name,
            instrument["name"],
            tally(lines, name),
            tuple(line for line in lines if line.instrument == name),
        )
        for name, instrument in instruments().items()
    )
