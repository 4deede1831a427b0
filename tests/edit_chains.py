"""Chains of random edits: what a running preview and a store of many builds give is what a fresh build gives.

`python tests/edit_chains.py 500 [FIRST]` runs as many chains by hand and prints what they met. Each chain
begins with a new library and makes a few edits of any kind of content file, of a template, of the style or of the
program. After each edit three builders are asked: one that lives over the whole chain (a preview), one that is new
each time but has the store of the builds before it, and one that is new, in another folder, and knows nothing but
drawn figures. Files are known by their stamp as soon as they are read, as those of people who edit at their own pace.
"""

from __future__ import annotations

import random
import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any
from unittest.mock import patch

from approved import record, starter_files

from limberleaf.figures import KIND as FIGURES
from limberleaf.findings import Finding
from limberleaf.library import loaded
from limberleaf.pages import assets
from limberleaf.publish import page_cache
from limberleaf.publish.compose import SiteBuilder
from limberleaf.store import Store, code_key

TODAY = date(2026, 11, 25)
Edit = Callable[[random.Random, Path], None]
Result = tuple[dict[str, str | bytes] | None, list[Finding], str]

_SENTENCE = re.compile(r"^(\s*(?:- |[a-z_]+: ))([A-Z][A-Za-z ,']+)\.$", re.MULTILINE)


def _change(file: Path, find: str, put: str) -> None:
    if file.exists():
        file.write_text(re.sub(find, put, file.read_text("utf-8"), count=1, flags=re.MULTILINE), "utf-8")


def _one(chance: random.Random, content: Path, pattern: str) -> Path:
    files = sorted(content.glob(pattern))
    return chance.choice(files) if files else content / "none.yml"


def words_in(pattern: str) -> Edit:
    """Change a sentence in one of these files."""

    def edit(chance: random.Random, content: Path) -> None:
        file = _one(chance, content, pattern)
        if not file.exists():
            return
        text = file.read_text("utf-8")
        found = list(_SENTENCE.finditer(text))
        if found:
            match = chance.choice(found)
            put = f"{match[1]}{match[2]} {chance.choice(['now', 'again', 'with care', 'on your left side'])}."
            file.write_text(text[: match.start()] + put + text[match.end() :], "utf-8")

    return edit


def replaced(pattern: str, find: str, *puts: str) -> Edit:
    """Put one of some texts in the place of the first match in one of these files."""
    return lambda chance, content: _change(_one(chance, content, pattern), find, chance.choice(puts))


def translate(chance: random.Random, content: Path) -> None:
    """Write, change or remove a Dutch title and words for an exercise, ladder, collection or caution."""
    _change(content / "clinic.yml", r"^languages: \[en\]", "languages: [en, nl]")
    original = _one(chance, content, "exercises/knee/??-??.yml")
    if not original.exists():
        return
    file = original.with_suffix(".nl.yml")
    if file.exists() and chance.random() < 0.3:
        file.unlink()
        return
    text = original.read_text("utf-8")
    keys = r"(?:code|region|kind|position|sides|dose|figure|tags|cautions|sources)"
    body = re.sub(rf"^{keys}:.*\n(?:[ #].*\n)*", "", text, flags=re.MULTILINE)
    head = (
        f'translates: {{code: {original.stem}, version: 1, fingerprint: "{chance.randrange(16**12):012x}"}}\n'
    )
    file.write_text(head + body.replace("title: ", f"title: Nederlands {chance.randrange(9)} "), "utf-8")


def retire(chance: random.Random, content: Path) -> None:
    """Take an exercise away, for another one or for a reason."""
    file = _one(chance, content, "exercises/knee/??-??.yml")
    way = chance.choice(
        ["replaced_by: kn-01", "replaced_by: kn-02", "retired_because: It did not help enough."]
    )
    _change(file, r"^status: approved$", f"status: retired\n{way}")


def copy_entry(chance: random.Random, content: Path) -> None:
    """Write a new exercise like another one."""
    file, code = _one(chance, content, "exercises/knee/??-??.yml"), f"kn-{chance.randrange(3, 30):02d}"
    if file.exists():
        text = re.sub(r"^code: .*$", f"code: {code}", file.read_text("utf-8"), flags=re.MULTILINE)
        text = re.sub(r"^(title: .*)$", rf"\1, {code}", text, flags=re.MULTILINE)
        if "\neasier:" not in text:
            text += "easier: {exercise: kn-01, when: It is too hard.}\n"
        (file.parent / f"{code}.yml").write_text(text, "utf-8")


def rename(chance: random.Random, content: Path) -> None:
    """Give an entry another code, as a new file."""
    copy_entry(chance, content)
    _one(chance, content, "exercises/knee/??-??.yml").unlink(missing_ok=True)


def remove(chance: random.Random, content: Path) -> None:
    """Remove any entry."""
    _one(chance, content, "*/**/*.*").unlink(missing_ok=True)


def redirect(chance: random.Random, content: Path) -> None:
    """Write a redirect into the lock of addresses, or correct its target."""
    lock = content / "addresses.lock"
    lines = [line for line in lock.read_text("utf-8").splitlines() if not line.startswith("/moved/")]
    target = chance.choice(["/kn-01/", "/kn-02/", "/about/", "/collections/stiff-knee/", "/kn-99/"])
    lock.write_text("\n".join([*lines, f"/moved/ redirect {target}", ""]), "utf-8")


def template(chance: random.Random, _: Path) -> None:
    """Change a template."""
    file = chance.choice(sorted((assets.HOME / "templates").glob("*.html")))
    file.write_text(file.read_text("utf-8") + f"<!-- {chance.randrange(99)} -->\n", "utf-8")


def style(chance: random.Random, _: Path) -> None:
    """Change the style or a script."""
    file = assets.HOME / "assets" / chance.choice(["site.css", "site.js", "finder.js"])
    file.write_text(file.read_text("utf-8") + f"/* {chance.randrange(99)} */\n", "utf-8")


CODE = [0]


def program(chance: random.Random, _: Path) -> None:
    """Change the program: its code hashes to something else."""
    CODE[0] = chance.randrange(1, 99)


EDITS: dict[str, Edit] = {
    "words of an entry": words_in("exercises/knee/??-??.yml"),
    "a title": replaced("exercises/knee/??-??.yml", r"^title: ", "title: Now ", "title: Slowly "),
    "a dose": replaced("exercises/knee/??-??.yml", r"sets: \d", "sets: 1", "sets: 2", "sets: 3"),
    "a picture": replaced("exercises/knee/kn-02.yml", r"flexion: 5}", "flexion: 15}", "flexion: 10}"),
    "a region": replaced("exercises/knee/??-??.yml", r"^region: .*$", "region: hip", "region: knee"),
    "a status": replaced("exercises/knee/??-??.yml", r"^status: \w+", "status: draft", "status: approved"),
    "everyday words": replaced("exercises/knee/??-??.yml", r"^synonyms: \[", "synonyms: [stiff leg, ", "synonyms: ["),
    "a review": replaced("*/*.yml", r"due: 2028-0\d", "due: 2028-08", "due: 2028-07"),
    "a translation": translate,
    "a ladder": words_in("ladders/*.yml"),
    "a ladder's title": replaced("ladders/*.yml", r"^title: ", "title: Now ", "title: Slowly "),
    "what a ladder stops": replaced("ladders/*.yml", r"^(  - exercise: kn-02)$", r"\1\n    replaces: [kn-01]", r"\1"),
    "a collection": words_in("collections/*.yml"),
    "a caution": words_in("cautions/*.yml"),
    "a caution's rule": replaced("cautions/*.yml", r"region: \[.*?\]", "region: [hip]", "region: [knee]"),
    "a prose page": replaced("pages/*.md", r"^- ", "- See [[kn-02]]. ", "- Now: "),
    "a prose title": replaced("pages/*.md", r"^title: ", "title: Now ", "title: Here "),
    "a number to call": replaced("clinic.yml", r"^phone: .*$", "phone: 01632 960111", "phone: 01632 960112"),
    "a band of pain": replaced("clinic.yml", r"carry_on: .*\}", "carry_on: 0-2, ease_off: 3-5, stop: 6-10}"),
    "who is drawn": replaced(
        "clinic.yml", r"^(?:figures: .*\n)?(?=phone: )", "figures: {build: larger}\n", "figures: {skin: dark}\n", ""
    ),
    "the clinic's name": replaced("clinic.yml", r"^name: ", "name: New ", "name: Old "),
    "a target grade": replaced("clinic.yml", r"target_grade: \d", "target_grade: 5", "target_grade: 8"),
    "words": replaced("words.yml", r"^preferred:.*$", "preferred:\n  lower: put down", "preferred:\n  foot: toe"),
    "everyday names": replaced("words.yml", r"^names:", "synonyms: {sore: [achy]}\nnames:", "names:"),
    "equipment": replaced("equipment.yml", r"name: a firm", "name: a very firm", "name: a firm"),
    "a broken file": replaced("*/**/*.yml", r"^status: ", "status: [", "statis: "),
    "retire": retire,
    "a new entry": copy_entry,
    "rename": rename,
    "remove": remove,
    "a redirect": redirect,
    "a template": template,
    "the style": style,
    "the program": program,
}  # fmt: skip


def _result(builder: SiteBuilder, *, preview: bool) -> Result:
    composition, findings = builder.compose(TODAY, preview=preview)
    if composition is None:
        return None, findings, ""
    files = dict(composition.files)
    composition.save()
    return files, findings, composition.lock


def _figures(store: Store) -> dict[str, Any]:
    return {key: value for (kind, key), value in store._fresh.items() if kind == FIGURES}


@contextmanager
def own_program(folder: Path) -> Any:
    """Work with templates, assets and a hash of the program that edits may change."""
    shutil.copytree(assets.HOME / "templates", folder / "templates")
    shutil.copytree(assets.HOME / "assets", folder / "assets")
    CODE[0] = 0
    with (
        patch.object(assets, "HOME", folder),
        patch.object(page_cache, "code_key", lambda *names: f"{code_key(*names)} {CODE[0]}"),
    ):
        yield


def chain(seed: int, folder: Path, edits: int = 5) -> Counter[str]:
    """Run one chain in `folder`; give how often each edit was made. Raises AssertionError at the first difference."""
    chance, met = random.Random(seed), Counter[str]()  # noqa: S311 - chosen sequences
    content = folder / "content"
    for path, text in starter_files().items():
        if path.startswith("content/"):
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_text(text, "utf-8")
    with own_program(folder / "program"), patch.object(loaded, "JUST_NOW", 0):
        previewed = SiteBuilder(content, None)
        for turn in range(edits + 1):
            what = "a new library"
            before = folder / f"before-{turn}"
            shutil.copytree(content, before)
            if turn:
                what = chance.choice(list(EDITS))
                EDITS[what](chance, content)
                record(content)
            other = folder / f"other-{turn}"
            shutil.copytree(content, other / "content")
            for preview in (True, False):
                new = SiteBuilder(other / "content", None)
                new._store.keep(_figures(previewed._store), FIGURES)
                fresh = _result(new, preview=preview)
                if preview:
                    assert _result(previewed, preview=True) == fresh, (
                        f"seed {seed}, turn {turn}: the preview differs"
                    )
                with_store = SiteBuilder(content, folder / ".limberleaf")
                stored = _result(with_store, preview=preview)
                assert stored == fresh, f"seed {seed}, turn {turn}: what the store kept differs"
            met[f"{what}: {'built' if fresh[0] else 'refused'}"] += 1
            if fresh[0] is None and chance.random() < 0.9:  # most people fix what was refused
                shutil.rmtree(content)
                shutil.copytree(before, content)
            if fresh[2]:
                (content / "addresses.lock").write_text(fresh[2], "utf-8")
    return met


def main(count: int, first: int) -> None:
    """Run `count` chains and print what they met."""
    met = Counter[str]()
    for seed in range(first, first + count):
        with tempfile.TemporaryDirectory() as name:
            met += chain(seed, Path(name))
    print(f"{count} chains from seed {first}, no difference")
    for what, times in sorted(met.items()):
        print(f"{times:6d} {what}")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0)
