"""A language is added by the recipe of DEVELOPERS.md: two word files and a line in clinic.yml, no code.

Persian is the language: written from right to left, with plural rules of its own (CLDR: zero is "one"). The word files
are tiny on purpose, so that what they lack is seen to be said.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from approved import starter_files
from conftest import ROOT

INTERFACE = {
    "language_name": "فارسی",
    "locale": "fa",
    "sides": {"left": "چپ", "right": "راست", "other": "دیگر", "affected": "دردناک"},
    "dose": {
        "range": "{low} تا {high}",
        "either": "{low} یا {high}",
        "seconds": {"one": "{number} ثانیه", "other": "{number} ثانیه"},
        "repeats": {"one": "{number} بار تکرار کنید.", "other": "{number} بار تکرار کنید."},
    },
}
FIGURE = {"sides": {"left": "چپ", "right": "راست"}}
TRANSLATION = {
    "translates": {"code": "kn-02", "version": 1, "fingerprint": "0" * 12},
    "status": "approved",
    "title": "زانو را راست کنید",
    "aim": "جلوی ران را قوی کنید.",
    "affected_word": "خشک",
    "suits": ["می‌توانید بنشینید."],
    "leave_out_if": ["زانوی شما داغ و ورم کرده است."],
    "equipment": [{"instead": "تخت محکم."}],
    "setup": ["روی صندلی بنشینید."],
    "steps": ["پای {affected} را بالا ببرید.", "نگه دارید.", "آهسته پایین بیاورید."],
    "feelings": {"fine": ["ران کار می‌کند."], "ease_off": ["درد بیشتر می‌شود."], "stop": ["درد تیز."]},
    "in_short": ["راست بنشینید.", "آهسته.", "سه بار در هفته."],
    "watch_for": ["به عقب خم نشوید."],
    "easier": {"when": "نمی‌توانید پا را بلند کنید."},
    "figure": {"captions": ["راست بنشینید.", "پای {affected} را بالا ببرید."]},
    "review": {"owner": "گروه ترجمه", "approved_by": "مسئول بالینی", "reviewed": "2026-09-01", "version": 1},
}
COMPOSE = """
import sys
from datetime import date
from pathlib import Path
import limberleaf
from limberleaf.publish.compose import SiteBuilder
assert Path(limberleaf.__file__).is_relative_to(sys.argv[2])
composition, findings = SiteBuilder(Path(sys.argv[1]), None).compose(date(2026, 10, 1), preview=True)
for finding in findings:
    print(finding.severity, finding.code, finding.message)
Path(sys.argv[1], "page.html").write_text(composition.files["fa/kn-02/left/index.html"], "utf-8")
"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """The Persian page of an exercise, and what the checks said; made by a copy of the program with two more files."""
    folder = tmp_path_factory.mktemp("persian")
    package, content = folder / "limberleaf", folder / "content"
    shutil.copytree(ROOT / "generator", package, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(
        ROOT / "diagrams", package / "diagrams", ignore=shutil.ignore_patterns("__pycache__", "guide")
    )
    write(package / "words/fa.yml", INTERFACE)
    write(package / "diagrams/data/words/fa.yml", FIGURE)
    for path, text in starter_files().items():
        if path.startswith("content/"):
            file = folder / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text.replace("languages: [en]", "languages: [en, fa]"), "utf-8")
    write(content / "exercises/knee/kn-02.fa.yml", TRANSLATION)
    done = subprocess.run(
        [sys.executable, "-c", COMPOSE, str(content), str(package)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return (content / "page.html").read_text("utf-8"), done.stdout


def write(file: Path, values: object) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(yaml.safe_dump(values, allow_unicode=True, sort_keys=False), "utf-8")


def test_the_page_is_persian_from_right_to_left(page: tuple[str, str]) -> None:
    html, _ = page
    assert re.search(r'<html lang="fa" dir="rtl"', html)
    assert "زانو را راست کنید" in html
    assert "پای چپ را بالا ببرید." in html, "the blank is filled with the language's word for the side"


def test_a_range_is_in_words_and_a_date_in_the_months_of_the_locale(page: tuple[str, str]) -> None:
    html, _ = page
    text = re.sub(r"<[^>]+>", " ", html)
    assert "8 تا 12" in text
    assert not re.search(r"\d[–-]\d", text.replace("01632 960", "")), (
        "a dash between numbers is read backwards here"
    )


def test_what_the_word_file_lacks_is_a_finding(page: tuple[str, str]) -> None:
    _, output = page
    assert re.search(r"warning interface-words-missing The interface words for “fa” lack \d+ phrases", output)
    assert "language-without-words" not in output
