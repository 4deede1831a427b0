"""What a new library starts with, and starter entries: files in this folder, copied by `init` and `new`."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.metadata import version
from importlib.resources import files

HOST_FILES: Mapping[str, str] = {
    "mkdocs.yml": "mkdocs.yml",
    "github-pages.yml": ".github/workflows/publish.yml",
    "gitlab-pages.yml": ".gitlab-ci.yml",
    "requirements.txt": "requirements.txt",
    "gitignore.txt": ".gitignore",
    "gitattributes.txt": ".gitattributes",
    "README.md": "README.md",
    "containerfile.txt": "Containerfile",
    "vscode-settings.json": ".vscode/settings.json",
    "editorconfig.txt": ".editorconfig",
    "pre-commit.yml": ".pre-commit-config.yaml",
}
"""Files beside the content folder: their name here and their path in the library."""

ENTRY_PATHS: Mapping[str, str] = {
    "exercise": "exercises/{region}/{name}.yml",
    "ladder": "ladders/{name}.yml",
    "collection": "collections/{name}.yml",
    "caution": "cautions/{name}.yml",
}
"""Kinds of entry and where a new one goes, below the content folder."""


def new_entry(kind: str, name: str, region: str) -> tuple[str, str]:
    """Give the path and the text of a commented starter entry; KeyError for an unknown kind."""
    path = ENTRY_PATHS[kind].format(name=name, region=region)
    text = files(__package__).joinpath("new", f"{kind}.yml").read_text("utf-8")
    return path, text.replace("@NAME@", name).replace("@REGION@", region)


def starter_files() -> dict[str, str]:
    """Give every file of a new library by its path, entries under content/."""
    root = files(__package__)
    found = {
        target: root.joinpath("host", name).read_text("utf-8").replace("@VERSION@", version("limberleaf"))
        for name, target in HOST_FILES.items()
    }
    for path in _ENTRY_FILES:
        found[f"content/{path}"] = root.joinpath(*path.split("/")).read_text("utf-8")
    return found


_ENTRY_FILES = (
    "addresses.lock",
    "clinic.yml",
    "equipment.yml",
    "words.yml",
    "exercises/knee/kn-01.yml",
    "exercises/knee/kn-02.yml",
    "ladders/knee-first-steps.yml",
    "collections/stiff-knee.yml",
    "cautions/hot-knee.yml",
    "cautions/knee-giving-way.yml",
    "pages/about.md",
)
