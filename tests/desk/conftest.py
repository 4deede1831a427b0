"""What the tests of the desk share: the hard library and the desk over it, without a server."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from desk.hard_library import ENTRY, hard_library, write_starter

from limberleaf.clinical.governance.approval import lock_text
from limberleaf.desk.live_desk import LiveDesk
from limberleaf.desk.site import Desk
from limberleaf.desk.write.api import WriteApi
from limberleaf.desk.write.wire_up import write_api
from limberleaf.library import load_library
from limberleaf.store import Store

TODAY = date(2026, 11, 25)
PATH = ENTRY.removeprefix("content/")
Ask = Callable[..., Any]


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
    return LiveDesk(hard / "content", store, lambda: TODAY).desk()


def entry_of(desk: Desk, name: str):  # type: ignore[no-untyped-def]
    """Give an entry of the desk by its code or id."""
    return next(entry for entry in desk.entries if entry.name == name)


def page(desk: Desk, path: str) -> str:
    """Give a page of the desk as text."""
    content = desk.file(path)
    assert isinstance(content, str)
    return content


# --- writing ---------------------------------------------------------------------------------------------------------


class Clock:
    """A clock that goes only when told to."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 11, 25, 9, 0)

    def __call__(self) -> datetime:
        return self.moment


@pytest.fixture
def clock() -> Clock:
    """A clock at nine in the morning."""
    return Clock()


@pytest.fixture
def library(tmp_path: Path) -> Path:
    """A starter library whose approvals are recorded; gives its content folder."""
    write_starter(tmp_path)
    content = tmp_path / "content"
    clinic = (content / "clinic.yml").read_text("utf-8")
    roles = "reminder: 3 months, approvers: [Clinical lead, Second reader]}"
    (content / "clinic.yml").write_text(clinic.replace("reminder: 3 months}", roles), "utf-8")
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")
    return content


def write_api_over(content: Path, store: Store, clock: Clock) -> WriteApi:
    """Give the api that writes entries, over a content folder."""
    live_desk = LiveDesk(content, store, lambda: TODAY, writes=True)
    return write_api(content, live_desk, lambda: TODAY, clock)


@pytest.fixture
def ask(library: Path, store: Store, clock: Clock) -> Ask:
    """Ask the api a question: `ask("save", path=..., base=..., value=...)`."""
    made = write_api_over(library, store, clock)

    def question(name: str, /, **asked: Any) -> Any:
        answer = made.asked(f"ask/{name}", {"page": "p1", "path": PATH, **asked}, "")
        assert answer is not None
        return json.loads(answer[1])

    return question


def edit(ask: Ask, key: str, value: object) -> None:
    """Open the entry, change one key and save it."""
    opened = ask("open")
    opened["value"][key] = value
    ask("save", base=opened["base"], value=opened["value"])
