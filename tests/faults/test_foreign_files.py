"""No command replaces or removes what no earlier run of it wrote."""

from __future__ import annotations

from pathlib import Path

import pytest
from approved import record, starter_files
from conftest import run as program
from conftest import tree
from faults.conftest import Call

from limberleaf.output import MARK

PICTURE = b"\x89PNG a holiday picture"


WHERE = ["content", ".git", ".", "..", "mine", "content/site", "mine/inside", "{whole}"]


@pytest.mark.parametrize(
    ("way", "where"),
    [*(([way], where) for way in ("--plain", "--offline") for where in WHERE), ([], "mine"), ([], "{whole}")],
)
def test_a_build_pointed_at_somebodys_folder_changes_nothing(
    clinic_folder: Path, call: Call, way: list[str], where: str
) -> None:
    for folder in (".git", "mine", "mine/inside"):
        (clinic_folder / folder).mkdir()
        (clinic_folder / folder / "picture.png").write_bytes(PICTURE)
    (clinic_folder / "mkdocs.yml").write_text(starter_files()["mkdocs.yml"], "utf-8")
    before = tree(clinic_folder.parent)
    asked = where.format(whole=clinic_folder)
    if way:
        result = call("build", *way, "-d", asked)
        code, output = result.exit_code, result.output
    else:
        done = program(["limberleaf", "build", "-d", asked], clinic_folder)
        code, output = done.returncode, done.stdout + done.stderr
    assert code == 1, output
    assert "Traceback" not in output
    after = tree(clinic_folder.parent)
    assert {path: data for path, data in after.items() if ".limberleaf/" not in path} == {
        path: data for path, data in before.items() if ".limberleaf/" not in path
    }
    if where == "mine":
        assert "inside/picture.png, picture.png" in output


def test_a_build_writes_to_what_is_absent_empty_or_its_own_and_stops_at_a_new_file(
    clinic_folder: Path, call: Call
) -> None:
    (clinic_folder / "empty").mkdir()
    for folder in ("empty", "deep/er/site", "empty"):
        assert call("build", "-d", folder).exit_code == 0
    assert (clinic_folder / "empty" / MARK).is_file()
    (clinic_folder / "empty" / "CNAME").write_text("clinic.example", "utf-8")
    before = tree(clinic_folder / "empty")
    result = call("build", "-d", "empty")
    assert result.exit_code == 1
    assert "CNAME" in result.output
    assert tree(clinic_folder / "empty") == before


def test_a_build_removes_what_the_last_one_wrote_and_nothing_else_is_listed(
    clinic_folder: Path, call: Call
) -> None:
    assert call("build").exit_code == 0
    assert (clinic_folder / "site/about/index.html").is_file()
    (clinic_folder / "content/pages/about.md").rename(clinic_folder / "content/pages/about-us.md")
    record(clinic_folder / "content")
    lock = clinic_folder / "content/addresses.lock"
    lock.write_text(lock.read_text("utf-8").replace("/about/ page", "/about/ redirect /about-us/"), "utf-8")
    assert call("build").exit_code == 0
    lock.write_text(
        lock.read_text("utf-8")
        .replace("/about/ redirect /about-us/\n", "")
        .replace("addresses: 14", "addresses: 13"),
        "utf-8",
    )
    result = call("build")
    assert result.exit_code == 0, result.output
    assert not (clinic_folder / "site/about").exists()
    listed = {line.strip('"') for line in (clinic_folder / "site" / MARK).read_text("utf-8").splitlines()[1:]}
    assert listed == tree(clinic_folder / "site").keys() - {MARK}


def test_a_mark_that_points_outside_removes_nothing_there(clinic_folder: Path, call: Call) -> None:
    assert call("build").exit_code == 0
    mark = clinic_folder / "site" / MARK
    mark.write_text(mark.read_text("utf-8") + '"../content/clinic.yml"\n"/etc/hostname"\n', "utf-8")
    before = tree(clinic_folder / "content")
    assert call("build").exit_code == 0
    assert tree(clinic_folder / "content") == before
    assert Path("/etc/hostname").exists()


def test_a_site_behind_a_link_is_swapped_where_it_lies(clinic_folder: Path, call: Call) -> None:
    (clinic_folder / "web").mkdir()
    (clinic_folder / "public").symlink_to("web")
    for _ in range(2):
        assert call("build", "-d", "public").exit_code == 0
    assert (clinic_folder / "public").is_symlink()
    assert (clinic_folder / "web/index.html").is_file()
    assert [path.name for path in clinic_folder.iterdir() if path.name.startswith((".web", ".public"))] == []


WRITERS = {
    "links -o": (["links", "-o", "out"], "out"),
    "links html": (["links", "--format", "html", "-o", "out.html"], "out.html"),
    "links pdf": (["links", "--format", "pdf", "-o", "out.pdf"], "out.pdf"),
    "check": (["check", "--format", "json", "--output", "out.json"], "out.json"),
    "baseline": (["check", "--write-baseline", "out"], "out"),
    "review": (["review", "--format", "csv", "--output", "out.csv"], "out.csv"),
    "desk": (["desk", "--export", "out.csv"], "out.csv"),
    "handout": (["handout", "kn-01", "-o", "paper"], "paper/kn-01.pdf"),
    "draw": (["draw", "kn-01", "-o", "figures"], "figures/kn-01.png"),
    "draw sheet": (["draw", "--sheet"], "figures.png"),
    "draw motion": (["draw", "kn-01", "--motion", "svg"], "kn-01-motion.svg"),
    "plan calendar": (["plan", "make", "kn-01", "--start", "2026-10-01", "--calendar", "out.ics"], "out.ics"),
    "plan qr": (["plan", "make", "kn-01", "--qr", "out.svg"], "out.svg"),
}


@pytest.mark.parametrize("name", WRITERS)
def test_a_command_that_writes_a_file_spares_what_it_did_not_write(
    clinic_folder: Path, call: Call, name: str
) -> None:
    command, path = WRITERS[name]
    file = clinic_folder / path
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(PICTURE)
    result = call(*command)
    assert result.exit_code == 1, result.output
    assert path in result.output
    assert file.read_bytes() == PICTURE
    file.unlink()
    assert call(*command).exit_code == 0
    first = file.read_bytes()
    assert call(*command).exit_code == 0, "its own file is replaced"
    file.write_bytes(first + b"a note somebody added")
    if name != "baseline":  # which is there to be overwritten
        assert call(*command).exit_code == 1, "a file of its own that somebody edited is spared"


@pytest.mark.parametrize("name", ["links -o", "check", "review", "desk", "plan qr", "handout", "draw"])
def test_a_file_in_the_way_of_a_folder_and_a_folder_in_the_way_of_a_file_are_reported(
    clinic_folder: Path, call: Call, name: str
) -> None:
    command, path = WRITERS[name]
    (clinic_folder / path).mkdir(parents=True)
    result = call(*command)
    assert result.exit_code in (1, 2)
    assert path in result.output
    if "/" in path:
        (clinic_folder / path).rmdir()
        (clinic_folder / path).parent.rmdir()
        (clinic_folder / path).parent.write_bytes(PICTURE)
    else:
        command = [*command[:-1], f"{path}/deeper/{path}"]
        (clinic_folder / path).rmdir()
        (clinic_folder / path).write_bytes(PICTURE)
    result = call(*command)
    assert result.exit_code in (1, 2)
    assert " is a file" in result.output
    assert tree(clinic_folder)[path.partition("/")[0]] == PICTURE


def test_a_missing_folder_is_made_for_many_files_and_named_for_one(clinic_folder: Path, call: Call) -> None:
    assert call("handout", "kn-01", "-o", "new/paper").exit_code == 0
    assert (clinic_folder / "new/paper/kn-01.pdf").is_file()
    result = call("links", "-o", "nowhere/out.txt")
    assert result.exit_code == 1
    assert "There is no folder nowhere" in result.output


def test_a_pipe_or_device_may_be_written_to_and_stays_what_it_is(clinic_folder: Path, call: Call) -> None:
    assert call("links", "-o", "/dev/null").exit_code == 0
    assert not Path("/dev/null").is_file()


def test_desk_pages_and_schemas_spare_a_folder_that_is_not_theirs(clinic_folder: Path, call: Call) -> None:
    for command in (["desk", "--output", "mine"], ["schema", "--output", "mine"]):
        (clinic_folder / "mine/assets").mkdir(parents=True, exist_ok=True)
        (clinic_folder / "mine/assets/desk.css").write_bytes(PICTURE)
        result = call(*command)
        assert result.exit_code == 1
        assert "assets/desk.css" in result.output
        assert (clinic_folder / "mine/assets/desk.css").read_bytes() == PICTURE
        folder = command[2].replace("mine", command[0])
        for _ in range(2):
            assert call(command[0], "--output", folder).exit_code == 0


def test_init_and_new_write_all_or_nothing(clinic_folder: Path, call: Call) -> None:
    (clinic_folder / "started/content").mkdir(parents=True)
    (clinic_folder / "started/content/words.yml").write_bytes(PICTURE)
    assert call("init", "started").exit_code == 1
    assert tree(clinic_folder / "started") == {"content/words.yml": PICTURE}
    (clinic_folder / "linked").mkdir()
    (clinic_folder / "linked/README.md").symlink_to("nowhere")
    assert call("init", "linked").exit_code == 1
    assert [file.name for file in (clinic_folder / "linked").iterdir()] == ["README.md"]
    (clinic_folder / "a-file").write_bytes(PICTURE)
    assert call("init", "a-file/deeper").exit_code == 1
    assert call("new", "exercise", "kn-01").exit_code == 1
    assert call("new", "exercise", "kn-09", "--content", "nowhere").exit_code == 1
    assert not (clinic_folder / "nowhere").exists()
    assert call("init", "fresh").exit_code == 0
    assert call("schema", "--output", "fresh/content/.schema").exit_code == 0
