"""A preview that makes again only what changed shows exactly what a fresh build would."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from edit_chains import chain

from limberleaf.figures import KIND as FIGURES
from limberleaf.findings import Finding
from limberleaf.publish import page_cache
from limberleaf.publish.compose import SiteBuilder
from limberleaf.store import Store
from limberleaf.store.results import FILE

TODAY = date(2026, 11, 25)
EDITS = {
    "a step": ("exercises/knee/kn-02.yml", "Lower your foot slowly.", "Lower your foot with care."),
    "a title": ("exercises/knee/kn-02.yml", "title: Straighten your knee", "title: Stretch out your knee"),
    "a picture": ("exercises/knee/kn-02.yml", "knee: {flexion: 5}", "knee: {flexion: 15}"),
    "a caution": ("cautions/hot-knee.yml", "badly swollen", "very swollen"),
    "a telephone number": ("clinic.yml", "01632 960171", "01632 960199"),
    "who is drawn": ("clinic.yml", "\nphone: ", "\nfigures: {build: larger, skin: dark}\nphone: "),
    "a rule of the ladder": ("ladders/knee-first-steps.yml", "on 2 days in a row", "on 3 days in a row"),
    "a way": ("exercises/knee/kn-02.yml", "You cannot lift your foot", "You can hardly lift your foot"),
    "a draft": ("exercises/knee/kn-01.yml", "status: approved", "status: draft"),
    "a region": ("exercises/knee/kn-01.yml", "region: knee\n", "region: hip\n"),
    "a hard word": ("exercises/knee/kn-02.yml", "Lower your foot slowly.", "Commence a gradual descent."),
    "a literal side": ("exercises/knee/kn-02.yml", "Lower your foot slowly.", "Lower your left foot slowly."),
    "a dose": ("exercises/knee/kn-01.yml", "sets: 2", "sets: 90"),
    "an unknown blank": ("exercises/knee/kn-02.yml", "Lower your foot slowly.", "Lower your {wrong} foot."),
}


def result(builder: SiteBuilder) -> tuple[dict[str, str | bytes], list[Finding]]:
    composition, findings = builder.compose(TODAY, preview=True)
    assert composition is not None
    return composition.files, findings


def files(builder: SiteBuilder) -> dict[str, str | bytes]:
    return result(builder)[0]


@pytest.fixture(scope="module")
def figures(kept_results: Path) -> dict[str, Any]:
    """The drawings of the starter, which take longer to make than all its pages."""
    return Store(kept_results / FILE).all_of(FIGURES)


def builder_of(content: Path, figures: dict[str, Any]) -> SiteBuilder:
    """Give a builder that knows nothing but drawn figures."""
    builder = SiteBuilder(content, None)
    builder._store.keep(figures, FIGURES)
    return builder


@pytest.mark.parametrize("what", EDITS)
def test_an_edit_in_a_preview_gives_what_a_fresh_build_gives(
    content: Path, figures: dict[str, Any], what: str
) -> None:
    builder = builder_of(content, figures)
    before = result(builder)
    name, find, put = EDITS[what]
    text = (content / name).read_text("utf-8")
    assert find in text
    (content / name).write_text(text.replace(find, put, 1), "utf-8")
    after = result(builder)
    assert after == result(builder_of(content, figures))
    assert after != before


def test_new_words_of_one_exercise_make_only_its_own_pages_again(
    content: Path, figures: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    builder = builder_of(content, figures)
    files(builder)
    remade: list[str] = []
    make = page_cache._make
    monkeypatch.setattr(
        page_cache, "_make", lambda page, context: remade.append(page.url) or make(page, context)
    )
    name, find, put = EDITS["a step"]
    entry = content / name
    entry.write_text(entry.read_text("utf-8").replace(find, put), "utf-8")
    files(builder)
    assert sorted(remade) == ["kn-02/", "kn-02/left/", "kn-02/right/"]


@pytest.mark.parametrize("seed", range(2))
def test_a_chain_of_edits_gives_what_fresh_builds_give(tmp_path: Path, seed: int) -> None:
    assert chain(seed, tmp_path, edits=3)["a new library: built"] == 1
