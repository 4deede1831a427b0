"""What the tests of the desk share: the hard library and the desk over it, without a server."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from desk.hard_library import hard_library

from limberleaf.desk.keeper import Keeper
from limberleaf.desk.pages import Desk
from limberleaf.store import Store

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="session")
def store() -> Store:
    """Figures and readings kept between the tests of a run."""
    return Store()


@pytest.fixture(scope="module")
def hard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The hard library; read it, do not write into it."""
    return hard_library(tmp_path_factory.mktemp("hard"))


@pytest.fixture(scope="module")
def desk(hard: Path, store: Store) -> Desk:
    """The desk over it, as on one day."""
    return Keeper(hard / "content", store, lambda: TODAY).desk()


def entry_of(desk: Desk, name: str):  # type: ignore[no-untyped-def]
    """Give an entry of the desk by its code or id."""
    return next(entry for entry in desk.entries if entry.name == name)


def page(desk: Desk, path: str) -> str:
    """Give a page of the desk as text."""
    content = desk.file(path)
    assert isinstance(content, str)
    return content
