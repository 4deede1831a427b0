"""The writing room of one desk with everything in it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

from limberleaf.desk.keeper import Keeper
from limberleaf.desk.write import pose
from limberleaf.desk.write.api import WritingRoom
from limberleaf.desk.write.approve import Approving
from limberleaf.desk.write.house import House
from limberleaf.desk.write.workspace import Workspace


def writing_room(
    content: Path, keeper: Keeper, today: Callable[[], date], now: Callable[[], datetime]
) -> WritingRoom:
    """Give the room in which the entries of a content folder are written."""
    workspace = Workspace(content, keeper.desk, today, now)
    approving, house = Approving(workspace, keeper.figures), House(workspace)
    return WritingRoom(
        workspace,
        keeper.figures,
        approving.questions,
        house.questions,
        pose.questions(lambda: keeper.desk().library.settings.language),
    )
