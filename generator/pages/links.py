"""Addresses of pages and the links between them.

An address is relative to the site: `kn-03/left/`. A link climbs from its page to the root of the site and down
again, so it works at a domain's root, in a subfolder and, when links name files, from a disk.
"""

from __future__ import annotations

from dataclasses import dataclass

from limberleaf.library import Side
from limberleaf.plan.codec import write_fragment
from limberleaf.plan.model import Plan

HOME = ""
HELP = "get-help/"
PLAN = "plan/"
FOLLOW = "follow/"
MISSING = "404.html"
PAPER = "handout.pdf"
"""The name of the paper sheet beside its page."""


def in_language(address: str, language: str, first: str) -> str:
    """Put an address below its language; the library's first language is at the root."""
    return address if language == first else f"{language}/{address}"


def exercise_address(code: str, side: Side | None = None) -> str:
    """Give the address of an exercise, or of its left or right version."""
    return f"{code}/{side}/" if side else f"{code}/"


def picture_address(code: str, name: str, side: Side | None = None) -> str:
    """Give the address of a picture of an exercise: without words, the same in every language.

    Without a side the right one is drawn as the affected one, so the right side shows the pictures of the page without
    a side.
    """
    return exercise_address(code, "left" if side == "left" else None) + name


def ladder_address(name: str) -> str:
    """Give the address of a ladder."""
    return f"ladders/{name}/"


def collection_address(name: str) -> str:
    """Give the address of a collection."""
    return f"collections/{name}/"


def set_address(name: str) -> str:
    """Give the address of a ready set."""
    return f"sets/{name}/"


def prose_address(name: str) -> str:
    """Give the address of a prose page."""
    return f"{name}/"


def add_link(plan_page: str, plan: Plan) -> str:
    """Give the address that puts a plan into the one being made; the page takes it apart, no server sees it."""
    return f"{plan_page}#add.{write_fragment(plan)}"


@dataclass(frozen=True)
class Links:
    """Links from one page. `root` is set for a page that is shown at any depth, such as 404.html."""

    page: str
    name_files: bool = False
    root: str = ""

    def to(self, address: str) -> str:
        """Give the link to a page or a file of the site."""
        target = address
        if self.name_files and (not target or target.endswith("/")):
            target += "index.html"
        return self._climb() + target or "./"

    def _climb(self) -> str:
        return self.root or "../" * self.page.count("/")


def in_words(site: str, address: str) -> str:
    """Write an address so that a person can type it: no scheme, no last slash."""
    return (site.split("://", 1)[-1] + address).rstrip("/")
