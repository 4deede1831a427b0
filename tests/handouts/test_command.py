"""`limberleaf handout` as a clinic runs it."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import call, run

pytestmark = pytest.mark.usefixtures("starter")


def test_a_sided_sheet(starter: Path):
    result = run(["limberleaf", "handout", "kn-01", "--side", "left"], starter)
    assert result.returncode == 0, result.stdout + result.stderr
    files = sorted(file.name for file in (starter / "handouts").iterdir())
    assert files in (["kn-01-left.pdf"], ["kn-01.pdf"])
    assert (starter / "handouts" / files[0]).read_bytes().startswith(b"%PDF")


def test_all_of_a_library(starter: Path):
    result = call(["limberleaf", "handout", "--all", "--large", "-o", "paper"], starter)
    assert result.returncode == 0, result.stdout + result.stderr
    names = {file.stem for file in (starter / "paper").iterdir()}
    assert {"kn-01-large", "kn-02-large"} <= names
    assert any(name.startswith("ladder-") for name in names)
    assert any(name.startswith("collection-") for name in names)


def test_a_booklet_comes_with_sheets_to_fold(starter: Path):
    (name,) = [file.stem for file in (starter / "content/collections").iterdir()]
    result = call(["limberleaf", "handout", "--booklet", name], starter)
    assert result.returncode == 0, result.stdout + result.stderr
    assert {file.name for file in (starter / "handouts").iterdir()} == {
        f"booklet-{name}.pdf",
        f"booklet-{name}-to-fold.pdf",
    }
    assert "short edge" in result.stdout


def test_a_plan_from_its_link(starter: Path):
    link = call(["limberleaf", "plan", "make", "kn-01", "kn-02"], starter).stdout.split()[-1]
    result = call(["limberleaf", "handout", "--plan", link], starter)
    assert result.returncode == 0, result.stdout + result.stderr
    assert {"plan.pdf", "booklet-plan.pdf", "booklet-plan-to-fold.pdf"} == {
        file.name for file in (starter / "handouts").iterdir()
    }


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["kn-99"], "There is no approved exercise kn-99"),
        (["--ladder", "nowhere"], "There is no approved ladder nowhere"),
        (["--booklet", "nowhere"], "There is no approved collection nowhere"),
        ([], "Name an exercise"),
        (["kn-01", "--large", "--larger"], "Choose one of"),
        (["kn-01", "--fonts", "nowhere"], "no-font-folder"),
        (["kn-01", "--language", "xx"], "choose from en"),
        (["--plan", "https://x.example/plan/#1.w6.kn01n1.0000"], "link"),
    ],
)
def test_what_cannot_be_done_is_reported_in_plain_words(starter: Path, arguments, message):
    result = call(["limberleaf", "handout", *arguments], starter)
    assert result.returncode != 0
    assert message in result.stdout + result.stderr
    assert "Traceback" not in result.stderr
    assert not (starter / "handouts").exists()
