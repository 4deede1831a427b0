"""The parts of the writing side put together for one content folder."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

from limberleaf.desk.live_desk import LiveDesk
from limberleaf.desk.write.api import WriteApi
from limberleaf.desk.write.approval.approve import Approving
from limberleaf.desk.write.posing.questions import questions
from limberleaf.desk.write.publishing import Publishing
from limberleaf.desk.write.start_page import StartPage
from limberleaf.desk.write.workspace import Workspace


def write_api(
    content: Path, live_desk: LiveDesk, today: Callable[[], date], now: Callable[[], datetime]
) -> WriteApi:
    """Give what answers for the pages on which entries of a content folder are written."""
    workspace = Workspace(content, live_desk.desk, today, now)
    approving = Approving(workspace, live_desk.figures)
    return WriteApi(
        workspace,
        live_desk.figures,
        approving.questions,
        StartPage(workspace).questions,
        Publishing(content).questions,
        questions(lambda: live_desk.desk().library.settings),
    )
