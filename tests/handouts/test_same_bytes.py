"""The same handout has the same bytes, in any process, on any day."""

from __future__ import annotations

import pickle
import subprocess
import sys
from datetime import date
from io import BytesIO
from itertools import islice
from pathlib import Path

import pikepdf

from limberleaf.handouts import Choice, HandoutError, Typesetter, exercise_handout, pocket_handout
from limberleaf.handouts.library import MANY, set_all
from limberleaf.store import Store

ROOT = Path(__file__).resolve().parents[2]

PROGRAM = """
import hashlib, sys
sys.path[:0] = [{root!r}, {tests!r}]
from pathlib import Path
from limberleaf.handouts import *
from limberleaf.library import load_library
from handouts.conftest import edition_of
edition = edition_of(load_library(Path({root!r}) / "content"))
typesetter = Typesetter()
book = collection_booklet(edition, "ankle-sprain")
pdf = typesetter.pdf(book)
for data in (
    typesetter.pdf(exercise_handout(edition, Choice("kn-03", "left"))),
    pdf,
    folded(typesetter, book, pdf),
    next(share_pictures(edition.context, typesetter))[1],
):
    print(hashlib.sha256(data).hexdigest())
"""


def test_two_processes_make_the_same_bytes():
    program = PROGRAM.format(root=str(ROOT), tests=str(ROOT / "tests"))
    outputs = [
        subprocess.run(
            [sys.executable, "-c", program],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "TZ": zone},
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    ]
    assert outputs[0] == outputs[1]
    assert len(outputs[0].split()) == 4


def test_its_date_is_the_day_of_the_last_review(edition, typesetter):
    reviewed = edition.exercises["kn-03"].review.reviewed
    assert isinstance(reviewed, date)
    with pikepdf.open(BytesIO(typesetter.pdf(exercise_handout(edition, Choice("kn-03"))))) as pdf:
        assert str(pdf.docinfo.CreationDate).startswith(f"D:{reviewed:%Y%m%d}")


def test_many_are_set_in_their_order(edition, typesetter):
    """Enough for two processes and several batches; sheets that have to be fitted are among cards, which are quick."""
    fitted = (3, MANY + 1)
    wanted = [
        exercise_handout(edition, Choice(code))
        if number in fitted
        else pocket_handout(edition, [Choice(code)])
        for number, code in enumerate(islice(edition.exercises, MANY + 2))
    ]
    pairs = list(set_all(wanted))
    assert [handout.name for handout, _ in pairs] == [handout.name for handout in wanted]
    for number in (0, *fitted):
        assert pairs[number][1] == typesetter.pdf(wanted[number])


def test_findings_travel_between_processes(edition):
    error = pickle.loads(pickle.dumps(HandoutError([])))  # noqa: S301 - our own bytes, made here
    assert isinstance(error, HandoutError)
    assert error.findings == []


def test_a_sheet_set_again_from_what_was_kept_has_the_same_bytes(edition):
    """Fits are kept between runs; a sheet must not depend on whether its fit was."""
    store = Store()
    for code, print_ in (("kn-03", "page"), ("kn-07", "page"), ("kn-03", "large")):
        handout = exercise_handout(edition, Choice(code, "left"), print_)
        first, again = ([data for _, data in set_all([handout], store=store)] for _ in range(2))
        assert first == again
        assert first == [Typesetter().pdf(handout)]
