"""A part of the demo that stands on its own, for tests that need real entries and not all of them.

Knee and neck: their collections, and the ladders and exercises they lead to, with their Dutch and Arabic translations,
and every caution. Nothing is wrong with it but that some cautions fit no exercise of it, which are notes:
`tests/mutation/test_sample.py` holds it to that in all but drawing and reading level, where it is the demo's own.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from limberleaf.clinical.governance.approval import lock_text
from limberleaf.library import load_library
from limberleaf.pages.addresses import LOCK_FILE, first_lock

ROOT = Path(__file__).resolve().parent.parent
REGIONS = ("knee", "neck")
SET = re.compile(
    r"^  [\w-]+:\n    title:\n(?:    .*\n)*?    collection: (?P<collection>.+)\n(?:    .*\n)*", re.MULTILINE
)
"""A set of plans.yml, and the collection it is for."""


def copy_part(folder: Path) -> Path:
    """Copy that part into `folder`, with the settings of MkDocs; gives its content folder.

    Everything in it is approved as it is, and it was never published.
    """
    content = Path(shutil.copytree(ROOT / "content", folder / "content", ignore=_others))
    shutil.copy(ROOT / "mkdocs.yml", folder)
    kept = {file.stem for file in content.glob("collections/*.yml")}
    plans = content / "plans.yml"
    text = plans.read_text("utf-8")
    plans.write_text(SET.sub(lambda found: found[0] if found["collection"] in kept else "", text), "utf-8")
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")
    (content / LOCK_FILE).write_text(first_lock(), "utf-8")
    return content


def _others(folder: str, names: list[str]) -> set[str]:
    """Give what is not of this part."""
    here = Path(folder).relative_to(ROOT / "content").as_posix()
    if here == ".":
        return {".schema", "addresses.lock"} & set(names)
    if here == "exercises":
        return set(names).difference(REGIONS)
    if here in ("ladders", "collections"):
        mine = {
            file.stem
            for file in Path(folder).glob("*.yml")
            if re.search(rf"^region: ({'|'.join(REGIONS)})$", file.read_text("utf-8"), re.MULTILINE)
        }
        return {name for name in names if name.split(".")[0] not in mine}
    return set()
