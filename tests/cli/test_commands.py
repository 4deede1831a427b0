"""The commands as a user meets them."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result
from conftest import ROOT, call, run
from PIL import Image

from limberleaf.cli import COMMANDS, main
from limberleaf.library import load_library


def invoke(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments), catch_exceptions=False)


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_and_is_in_the_guide(name: str) -> None:
    shown = invoke(name, "--help")
    assert shown.exit_code == 0
    assert len(shown.output.splitlines()) > 5
    guide = (ROOT / "README.md").read_text("utf-8") + (ROOT / "DEVELOPERS.md").read_text("utf-8")
    assert f"limberleaf {name}" in guide


def test_help_lists_every_command() -> None:
    output = invoke("--help").output
    assert [name for name in COMMANDS if name not in output] == []


def test_starting_is_quick_because_nothing_heavy_is_imported() -> None:
    heavy = ("mkdocs", "numpy", "typst", "pydantic")
    program = f"import sys, limberleaf.cli; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_new_library_checks_and_builds(starter: Path) -> None:
    checked = run(["limberleaf", "check"], starter)
    assert checked.returncode == 0, checked.stdout
    assert "error" not in checked.stdout
    built = run(["limberleaf", "build"], starter)
    assert built.returncode == 0, built.stderr
    for page in (
        "index.html",
        "kn-01/left/index.html",
        "ladders/knee-first-steps/index.html",
        "get-help/index.html",
    ):
        assert (starter / "site" / page).is_file()
    assert (starter / ".github/workflows/publish.yml").is_file()
    assert (starter / ".gitlab-ci.yml").is_file()


def test_workflow_files_fit_the_schemas_of_their_hosts(starter: Path) -> None:
    """check-jsonschema carries the published schemas of GitHub workflows and GitLab CI (SchemaStore, GitLab)."""
    for schema, file in (
        ("github-workflows", ".github/workflows/publish.yml"),
        ("gitlab-ci", ".gitlab-ci.yml"),
    ):
        checked = run(["check-jsonschema", "--builtin-schema", f"vendor.{schema}", file], starter)
        assert checked.returncode == 0, checked.stdout + checked.stderr


def test_the_host_files_publish_the_default_branch_alone_and_a_pinned_version(starter: Path) -> None:
    github = yaml.load((starter / ".github/workflows/publish.yml").read_text("utf-8"), yaml.BaseLoader)  # noqa: S506
    publish = github["jobs"]["publish"]["if"]
    assert "github.event.repository.default_branch" in publish
    assert "branches" not in (github["on"]["push"] or {})
    assert github["permissions"] == {}
    assert all(int(job["timeout-minutes"]) <= 30 for job in github["jobs"].values())
    gitlab = yaml.safe_load((starter / ".gitlab-ci.yml").read_text("utf-8"))
    assert "$CI_COMMIT_BRANCH == $CI_DEFAULT_BRANCH" in gitlab["pages"]["rules"][0]["if"]
    assert ".limberleaf" in gitlab["cache"]["paths"]
    wanted = (starter / "requirements.txt").read_text("utf-8").splitlines()[-1]
    assert wanted == f"limberleaf=={version('limberleaf')}"


def test_the_container_runs_as_a_user_without_rights_and_the_editor_settings_name_schemas_that_are_there(
    starter: Path,
) -> None:
    lines = (starter / "Containerfile").read_text("utf-8").splitlines()
    users = [line.split()[1] for line in lines if line.startswith("USER ")]
    assert users[-1:] == ["editor"]
    assert lines.index("USER editor") < next(at for at, line in enumerate(lines) if line.startswith("CMD"))
    assert not any(line.startswith("ADD ") or ":latest" in line for line in lines)
    settings = json.loads((starter / ".vscode/settings.json").read_text("utf-8"))
    assert all((starter / schema).is_file() for schema in settings["yaml.schemas"])


def test_init_overwrites_nothing(starter: Path) -> None:
    before = (starter / "content/clinic.yml").read_bytes()
    again = call(["limberleaf", "init", str(starter)], starter)
    assert again.returncode == 1
    assert "exists already" in again.stderr
    assert (starter / "content/clinic.yml").read_bytes() == before


def test_check_prints_machine_forms_and_the_exit_code_tells(starter: Path) -> None:
    entry = starter / "content/exercises/knee/kn-02.yml"
    entry.write_text(entry.read_text("utf-8").replace("kind: strength", "kind: strenght"), "utf-8")
    shown = run(["limberleaf", "check", "--format", "json"], starter)
    assert shown.returncode == 1
    first = next(row for row in json.loads(shown.stdout) if row["severity"] == "error")
    assert (first["path"], first["line"], first["column"], first["code"]) == (
        "content/exercises/knee/kn-02.yml", 6, 7, "not-a-choice",
    )  # fmt: skip
    annotated = run(["limberleaf", "check", "--format", "github", "--level", "error"], starter)
    assert annotated.stdout.startswith("::error file=content/exercises/knee/kn-02.yml,line=6,col=7")
    sarif = run(["limberleaf", "check", "--format", "sarif", "--output", "found.sarif"], starter)
    assert sarif.returncode == 1
    assert json.loads((starter / "found.sarif").read_text("utf-8"))["version"] == "2.1.0"


def test_new_writes_a_draft_that_the_loader_takes(starter: Path) -> None:
    for arguments in (["exercise"], ["exercise", "hp-01", "--region", "hip"], ["ladder", "hip-first"],
                      ["collection", "sore-hip"], ["caution", "hot-hip", "--region", "hip"]):  # fmt: skip
        result = call(["limberleaf", "new", *arguments], starter)
        assert result.returncode == 0, result.stderr
    library = load_library(starter / "content")
    assert [found for found in library.findings if found.severity == "error"] == []
    assert {"kn-03", "hp-01"} <= set(library.exercises)
    assert library.exercises["kn-03"].entry.status == "draft"
    assert "kn-03" not in library.published()
    taken = call(["limberleaf", "new", "exercise", "kn-01"], starter)
    assert taken.returncode == 1
    assert "exists already" in taken.stderr


def test_schemas_take_the_starter_and_refuse_a_slip(starter: Path) -> None:
    """check-jsonschema is the reference library; the entries name their schema in the line editors read."""
    schema = "content/.schema/exercise.schema.json"
    entry = starter / "content/exercises/knee/kn-02.yml"
    assert entry.read_text("utf-8").startswith(
        "# yaml-language-server: $schema=../../.schema/exercise.schema.json"
    )
    command = ["check-jsonschema", "--schemafile", schema, str(entry)]
    assert run(command, starter).returncode == 0, run(command, starter).stdout
    entry.write_text(entry.read_text("utf-8").replace("flexion: 5", "flexoin: 5"), "utf-8")
    assert run(command, starter).returncode == 1


def test_draw_writes_a_picture_and_a_vector(starter: Path) -> None:
    drawn = call(["limberleaf", "draw", "kn-02", "--side", "left", "--width", "800"], starter)
    assert drawn.returncode == 0, drawn.stderr
    with Image.open(starter / "kn-02-left.png") as picture:
        assert picture.width == 800
    assert (starter / "kn-02-left.svg").read_text("utf-8").count("<svg") == 1
    missing = call(["limberleaf", "draw", "kn-20"], starter)
    assert missing.returncode == 1
    assert "There is no exercise kn-20" in missing.stderr


def test_a_content_folder_that_is_not_there_is_reported_plainly(tmp_path: Path) -> None:
    for way, command in ((call, "check"), (run, "build"), (call, "draw")):
        result = way(["limberleaf", command, *(["kn-01"] if command == "draw" else [])], tmp_path)
        assert result.returncode == 1
        assert "no content folder" in (result.stdout + result.stderr)
        assert "Traceback" not in result.stderr


def test_coverage_prints_pages_against_cautions(starter: Path) -> None:
    shown = call(["limberleaf", "check", "--coverage"], starter)
    assert shown.returncode == 0
    assert "hot-knee" in shown.stdout
    assert "kn-01" in shown.stdout


def test_review_lists_what_is_due_and_writes_a_calendar(starter: Path) -> None:
    nothing = call(["limberleaf", "review", "--today", "2026-10-01"], starter)
    assert nothing.stdout == "Nothing is due.\n"
    soon = call(["limberleaf", "review", "--due", "6m", "--today", "2028-06-01"], starter)
    assert "kn-01" in soon.stdout
    calendar = call(
        ["limberleaf", "review", "--due", "6m", "--today", "2028-06-01", "--format", "ics"], starter
    )
    assert calendar.stdout.startswith("BEGIN:VCALENDAR")
    wrong = call(["limberleaf", "review", "--due", "soon"], starter)
    assert wrong.returncode == 2
    assert "such as 6m" in wrong.stderr


def test_a_review_is_recorded_change_by_change(starter: Path) -> None:
    clinic = starter / "content/clinic.yml"
    text = clinic.read_text("utf-8")
    if "approvers" not in text:
        clinic.write_text(
            text.replace("reminder: 3 months", "reminder: 3 months, approvers: [Clinical lead]"), "utf-8"
        )
    (starter / "content/approved.lock").unlink()
    record = ["limberleaf", "review", "--record", "--as", "Clinical lead", "--today", "2026-10-01"]
    assert call(record, starter, answers="y\n" * 30).returncode == 0
    assert (starter / "content/approved.lock").is_file()
    entry = starter / "content/exercises/knee/kn-02.yml"
    text = entry.read_text("utf-8")
    edited = text.replace("repetitions: 8-12", "repetitions: 10-12").replace("Do not lean back", "Lean back")
    assert edited != text
    entry.write_text(edited, "utf-8")
    check = ["limberleaf", "check", "--today", "2026-10-02"]
    found = call(check, starter)
    assert found.returncode == 1
    assert "[changed-not-dropped]" in found.stdout

    refused = call(record, starter, answers="y\nn\n" * 5)
    assert "SAFETY" in refused.stdout
    assert call(check, starter).returncode == 1
    assert entry.read_text("utf-8") == edited

    blind = call(record, starter, answers="y\n" * 30)
    assert "“y” is no reason" in blind.stdout
    assert "[changed-not-dropped]" in call(check, starter).stdout

    why = ["--because", "The chair has a high back here."]
    agreed = call([*record[:-1], "2026-10-02", *why], starter, answers="y\n" * 30)
    assert agreed.returncode == 0, agreed.stdout
    assert (starter / "content/approved.lock").read_text("utf-8").count(
        f'"{why[1]}"]'
    ) == 4  # reasons and what waits
    assert "reviewed: 2026-10-02, due: 2028-10-02, version: 2" in entry.read_text("utf-8")
    left = call(check, starter).stdout
    assert "[changed-" not in left
    assert left.count("[approved-by-one]") == 2
    assert "[warning-lost]" in left  # approved or not, the line warns of nothing any more

    (starter / "content/cautions/hot-knee.yml").unlink()
    assert "[approved-gone]" in call(check, starter).stdout
    retire = ["limberleaf", "review", "--retire", "hot-knee", "--as", "Clinical lead"]
    assert call([*retire, "--because", "old"], starter, answers="y\n").returncode == 1
    assert call([*retire, "--because", "The ankle page has it."], starter, answers="y\n").returncode == 0
    left = call(check, starter).stdout
    assert "[approved-gone]" not in left
    assert "[retired-by-one]" in left
    assert call(retire, starter, answers="y\n").returncode == 1  # the same person, on the same day


def test_a_second_person_confirms_what_one_agreed_to(starter: Path) -> None:
    clinic = starter / "content/clinic.yml"
    roles = "reminder: 3 months, approvers: [Clinical lead, Second reader]"
    clinic.write_text(re.sub(r"reminder: 3 months[^}]*", roles, clinic.read_text("utf-8")), "utf-8")
    (starter / "content/approved.lock").unlink()
    record = ["limberleaf", "review", "--record", "--today", "2026-10-01", "--as", "Clinical lead"]
    call(record, starter, answers="y\n" * 30)
    for name, key in (("exercises/knee/kn-02", "steps"), ("cautions/hot-knee", "signs")):
        entry = starter / f"content/{name}.yml"
        text = entry.read_text("utf-8").replace(f"{key}:\n", f"{key}:\n  - Your knee is hot.\n")
        entry.write_text(text, "utf-8")
    several = call([*record, "--because", "The first step was not said."], starter, answers="y\n" * 30)
    assert several.returncode == 1
    assert "One reason cannot serve 2 entries" in several.stderr
    assert "second person" in call(record, starter, answers="y\n" * 30).stdout

    check = ["limberleaf", "check", "--today", "2026-10-02"]
    left = call(check, starter).stdout
    assert left.count("[approved-by-one]") == 2
    assert left.count("[read-by-one]") == 9  # all was approved for the first time, by one
    confirm = ["limberleaf", "review", "--confirm", "--today", "2026-10-02"]
    same = call([*confirm, "--as", "Clinical lead"], starter, answers="y\n" * 9)
    assert "another role confirms it: Second reader" in same.stdout
    second = call([*confirm, "--as", "Second reader", "--only", "kn-02"], starter, answers="y\n" * 9)
    assert "was:    nothing" in second.stdout
    assert "is now: Your knee is hot." in second.stdout
    assert "2 changes confirmed" in second.stdout  # that line, and the whole of what was new
    assert call(check, starter).stdout.count("[approved-by-one]") == 1
    assert call([*confirm, "--record"], starter).returncode == 2

    clinic.write_text(
        clinic.read_text("utf-8").replace("[Clinical lead, Second reader]", "[Clinical lead]"), "utf-8"
    )
    alone = ["limberleaf", "review", "--as", "Clinical lead", "--today"]
    why = ["--only", "clinic", "--because", "The second reader left."]
    call([*alone, "2099-01-01", "--record", *why], starter, answers="y\n" * 9)
    early = call([*alone, "2099-01-02", "--confirm", "--only", "clinic"], starter, answers="y\n" * 9)
    assert "on a later day than 2099-01-01" in early.stdout, "a day that was typed is not a day later"


def test_who_keeps_an_entry_or_is_no_approver_cannot_approve_it(starter: Path) -> None:
    clinic = starter / "content/clinic.yml"
    roles = "reminder: 3 months, approvers: [Clinical lead, Lead physiotherapist]"
    clinic.write_text(re.sub(r"reminder: 3 months[^}]*", roles, clinic.read_text("utf-8")), "utf-8")
    record = ["limberleaf", "review", "--record", "--as"]
    stranger = call([*record, "My neighbour"], starter, answers="y\n" * 30)
    assert stranger.returncode == 1
    assert "may not approve" in stranger.stderr
    (starter / "content/approved.lock").unlink()
    owner = call([*record, "Lead physiotherapist", "--only", "kn-02"], starter, answers="y\n" * 30)
    assert "another role must approve it" in owner.stdout


def test_a_page_without_its_box_is_not_published(starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The invariant behind the template: take the boxes out of the page, and the build stops."""
    from datetime import date

    from limberleaf.pages.views import exercise_view
    from limberleaf.publish.plain import write_site

    monkeypatch.setattr(exercise_view.cautions, "boxes", lambda *_: [])
    pages, findings = write_site(starter / "content", starter / "site", today=date(2026, 11, 25), cache=None)
    assert pages == 0
    assert "box-missing" in {found.code for found in findings}
    assert not (starter / "site").exists()


def test_draw_moves_a_figure_and_puts_all_on_a_sheet(starter: Path) -> None:
    moved = call(["limberleaf", "draw", "kn-02", "--motion", "webp", "--width", "300"], starter)
    assert moved.returncode == 0, moved.stderr
    with Image.open(starter / "kn-02.webp") as picture:
        assert getattr(picture, "n_frames", 1) > 5
    sheet = call(["limberleaf", "draw", "--sheet"], starter)
    assert "2 figures" in sheet.stdout
    with Image.open(starter / "figures.png") as picture:
        assert picture.width > 500
    both = call(["limberleaf", "draw", "kn-02", "--sheet"], starter)
    assert both.returncode == 2


def test_draw_says_what_is_wrong_with_a_pose_at_its_line(starter: Path) -> None:
    entry = starter / "content/exercises/knee/kn-02.yml"
    text = entry.read_text("utf-8").replace(
        "affected: {knee: {flexion: 5}}", "affected: {knee: {flexion: 170}}"
    )
    entry.write_text(text, "utf-8")
    drawn = call(["limberleaf", "draw", "kn-02"], starter)
    line = text[: text.index("flexion: 170")].count("\n") + 1
    assert drawn.stdout.count(f"kn-02.yml:{line}:") == 1
    assert drawn.returncode == 1
    assert (starter / "kn-02.png").is_file()


def test_a_figure_is_drawn_before_the_words_are_finished(starter: Path) -> None:
    entry = starter / "content/exercises/knee/kn-09.yml"
    figure = "figure: {poses: [{posture: sitting}, {joints: {affected: {knee: {flexion: 5}}}}]}"
    entry.write_text(f"code: kn-09\n{figure}\n", "utf-8")
    drawn = call(["limberleaf", "draw", "kn-09"], starter)
    assert drawn.returncode == 0, drawn.stdout + drawn.stderr
    assert "words of kn-09 are unfinished" in drawn.stdout
    assert (starter / "kn-09.svg").is_file()
    entry.write_text(f"code: kn-09\n{figure.replace('sitting', 'siting')}\n", "utf-8")
    wrong = call(["limberleaf", "draw", "kn-09"], starter)
    assert wrong.returncode == 1
    assert "kn-09.yml:2:" in wrong.stdout
    assert "Did you mean 'sitting'?" in wrong.stdout


def test_pose_prints_what_the_solver_did(starter: Path) -> None:
    result = call(["limberleaf", "pose", "kn-02"], starter)
    assert result.returncode == 0, result.stderr
    assert "stated: " in result.stdout
    assert "right knee flexion 5°" in result.stdout
    assert "on floor" in result.stdout
    assert "inside the support" in result.stdout
    assert "Views (drawn: " in result.stdout


def test_a_ladder_step_whose_pose_asks_less_is_reported(starter: Path) -> None:
    """The second step straightens the knee less far than the first, at the same dose and kind."""
    knee = starter / "content/exercises/knee"
    text = (knee / "kn-02.yml").read_text("utf-8")
    first = (
        text.replace("code: kn-02", "code: kn-01")
        .replace("easier:", "harder:")
        .replace("kn-01, when", "kn-02, when")
    )
    (knee / "kn-01.yml").write_text(first, "utf-8")
    (knee / "kn-02.yml").write_text(text.replace("knee: {flexion: 5}", "knee: {flexion: 45}"), "utf-8")
    ladder = starter / "content/ladders/knee-first-steps.yml"
    reason = (
        "    same_or_less_because: It comes on fewer days, but your thigh now lifts the weight of your leg.\n"
    )
    assert reason in ladder.read_text("utf-8")
    ladder.write_text(ladder.read_text("utf-8").replace(reason, ""), "utf-8")
    output = call(["limberleaf", "check"], starter).stdout
    assert "step-asks-less" in output
    assert "pose less" in output
