"""What the demo's fronts carry: `python tests/bench/fronts.py [OUT]` sets every sheet and prints a line for each.

Counts, on all exercises in all languages with their own figures: fronts with every sign of both boxes, with whom to
leave it out for, with what not to use; the figure's size as a standing body in millimetres; pages. `OUT`: a folder
for the PDFs.
What is in front is read back from the PDF with poppler where words come back as written, else taken from the fit.
Takes some minutes; `tests/handouts/test_fronts.py` looks at the hardest sheets.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from pathlib import Path

from limberleaf.figures import Figures
from limberleaf.handouts import Choice, Typesetter, exercise_handout
from limberleaf.handouts.library import every_figure_request
from limberleaf.handouts.rich import plain
from limberleaf.library import load_library
from limberleaf.pages import SiteContext
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.page_figures import PageFigures
from limberleaf.store import Store

ROOT = Path(__file__).resolve().parents[2]
BODY_MM = 900 / 72 * 25.4
AS_WRITTEN = {"en", "nl"}


def words(text: str) -> str:
    """Leave out white space and marks of direction."""
    return re.sub(r"[\s\u00ad\u200b-\u200f\u202a-\u202e\u2066-\u2069]+", "", text)


def main(folder: Path) -> None:
    """Set all sheets and count."""
    library = load_library(ROOT / "content")
    figures, typesetter = Figures(Store()), Typesetter()
    context = SiteContext(library, PageFigures(figures, "print"))
    rows = []
    for language in library.settings.languages:
        edition = LanguageEdition(context, language)
        figures.prepare(every_figure_request(edition, "print"))
        for code in edition.exercises:
            handout = exercise_handout(edition, Choice(code, "left"))
            file = folder / f"{language}-{code}.pdf"
            file.write_bytes(typesetter.pdf(handout))
            fit = typesetter.fits[typesetter.fit_key(handout)]
            read = subprocess.run(
                ["pdftotext", "-raw", file, "-"], capture_output=True, text=True, check=True
            )
            sides = [words(side) for side in read.stdout.split("\f")[:-1]]
            signs, leave = handout.data["sheet"]["boxes"], handout.data["sheet"]["leave_out_if"]
            urgent = [plain(one) for box in signs if box["tier"] != "ease_off" for one in box["signs"]]
            never = [plain(need["never"]) for need in handout.data["sheet"]["needs"] if need["never"]]
            groups = (urgent, [plain(one) for one in leave], never)
            found = [all(words(one) in sides[0] for one in group) for group in groups]
            if language not in AS_WRITTEN:
                found = [fit["filling"] < 12, fit["filling"] < 3, fit["filling"] < 4]
            rows.append((f"{language} {code}", *found, fit["scale"] * BODY_MM, len(sides)))
            print(f"{rows[-1][0]:9} {found} body {rows[-1][4]:.0f} mm, {len(sides)} pages", flush=True)
    for name, column in (("all signs", 1), ("leave out", 2), ("do not use", 3)):
        print(f"{name}: {sum(row[column] for row in rows)} of {len(rows)} fronts")
    print(f"least body {min(row[4] for row in rows):.1f} mm, most pages {max(row[5] for row in rows)}")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        Path(sys.argv[1]).mkdir(parents=True, exist_ok=True)
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as scratch:
            main(Path(scratch))
