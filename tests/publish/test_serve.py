"""The live preview: it follows entries, and a mistake does not take it down."""

from __future__ import annotations

import shutil
import signal
import sys
import textwrap
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from approved import starter_files
from conftest import ROOT
from serving import Served, page, previewing, serving


@pytest.fixture(params=["limberleaf", "mkdocs"])
def preview(request: pytest.FixtureRequest, starter: Path) -> Iterator[tuple[Path, Served, str]]:
    """A running preview of the starter library: its folder, the program and its address."""
    with previewing([request.param, "serve"], starter) as (served, address):
        yield starter, served, address


def test_the_preview_follows_an_entry_and_outlives_a_mistake(preview: tuple[Path, Served, str]) -> None:
    library, served, address = preview
    wait_for = served.wait_for
    entry = library / "content/exercises/knee/kn-02.yml"
    text = entry.read_text("utf-8")

    entry.write_text(text.replace("Lower your foot slowly.", "Lower your foot with care."), "utf-8")
    wait_for(lambda: "Lower your foot with care." in page(address, "kn-02/left/"))

    entry.write_text(text.replace("kind: strength", "kind: power"), "utf-8")
    wait_for(lambda: "kn-02.yml:6:7" in served.output())
    assert "Traceback" not in served.output()
    wait_for(lambda: "Slide your heel" in page(address, "kn-01/"))

    entry.write_text(text.replace("Hold while you count", "Stay while you count"), "utf-8")
    wait_for(lambda: "Stay while you count" in page(address, "kn-02/"))

    clinic = library / "content/clinic.yml"
    clinic.write_text(clinic.read_text("utf-8").replace("01632 960171", "01632 960199"), "utf-8")
    wait_for(lambda: "01632 960199" in page(address, "kn-02/"))


def test_the_preview_does_not_touch_the_published_folder(preview: tuple[Path, Served, str]) -> None:
    library, _, _ = preview
    assert not (library / "site").exists()
    assert (library / "content/addresses.lock").read_text("utf-8") == starter_files()[
        "content/addresses.lock"
    ]


def gone(pid: int) -> bool:
    """Tell whether a process has ended; one that is dead but not yet collected by its parent has."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return True
    return state == "Z"


def test_a_program_that_never_serves_is_ended_with_its_children_and_its_words_are_reported(
    tmp_path: Path,
) -> None:
    """A failed wait must leave nothing running, not even a child deaf to Ctrl-C, and must say why."""
    program = textwrap.dedent("""
        import subprocess, time
        child = subprocess.Popen(["sh", "-c", "trap '' INT; sleep 600; true"])
        print("no luck today", child.pid, flush=True)
        time.sleep(600)
    """)
    with (
        pytest.raises(AssertionError, match="no luck today") as caught,
        serving([Path(sys.executable).name, "-c", program], tmp_path) as served,
    ):
        served.wait_for(lambda: "no luck" in served.output())
        served.wait_for(lambda: False, seconds=0.3)
    child = int(str(caught.value).split("no luck today")[1].split()[0])
    assert served.process.returncode is not None
    end = time.monotonic() + 10
    while not gone(child):
        assert time.monotonic() < end, "the child's own child is still there"
        time.sleep(0.05)


def test_a_program_that_ends_early_fails_at_once_with_its_words(tmp_path: Path) -> None:
    with (
        pytest.raises(AssertionError, match=r"ended with 3(?s:.*)nothing to serve"),
        serving(
            [Path(sys.executable).name, "-c", "print('nothing to serve'); raise SystemExit(3)"], tmp_path
        ) as served,
    ):
        served.wait_for(lambda: False)


def test_ended_by_sigterm_the_preview_leaves_no_folder_behind(starter: Path, tmp_path: Path) -> None:
    """A process manager ends programs so; its temporary folders would fill the disk one by one."""
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    with previewing(["limberleaf", "serve"], starter, TMPDIR=str(temporary)) as (served, _):
        assert list(temporary.iterdir()) != [], "the preview keeps its site in a folder of its own"
        served.process.send_signal(signal.SIGTERM)
        assert served.process.wait(120) != 0, "who ended it can see that it was ended"
    assert list(temporary.iterdir()) == []
    assert "Traceback" not in served.output()


def test_an_edited_template_shows_in_the_preview(starter: Path, tmp_path: Path) -> None:
    """Whoever works on the pages sees an edit without a restart, on pages that were in the cache too."""
    package = tmp_path / "copy/limberleaf"
    left_out = shutil.ignore_patterns("__pycache__", "guide")
    shutil.copytree(ROOT / "generator", package, ignore=left_out)
    shutil.copytree(ROOT / "diagrams", package / "diagrams", ignore=left_out)
    program = "import sys; from limberleaf.cli import main; sys.argv[0] = 'limberleaf'; main()"
    command = [Path(sys.executable).name, "-c", program, "serve"]
    with previewing(command, starter, PYTHONPATH=str(package.parent)) as (served, address):
        assert "An edited template" not in page(address, "kn-02/")
        template = package / "pages/templates/exercise.html"
        template.write_text(template.read_text("utf-8") + "<p>An edited template</p>\n", "utf-8")
        served.wait_for(lambda: "An edited template" in page(address, "kn-02/"))
        assert "An edited template" in page(address, "kn-01/")
