"""The dose on the patient's page while it is not set: the page says so, instead of the dummy that holds its place."""

from __future__ import annotations

import re
from html import escape

from limberleaf.desk.write.entry_state import EntryState
from limberleaf.desk.write.words import DeskWords

_SECTION = re.compile(r'(<section class="dose"[^>]*>\s*<h2>.*?</h2>).*?(</section>)', re.DOTALL)
_TIME = re.compile(r'(<dd class="time">).*?(</dd>)', re.DOTALL)
_BLANK = re.compile(r'(<span[^>]* ?data-dose="([a-z_]+)"[^>]*>).*?(</span>)', re.DOTALL)


def unset_parts(state: EntryState) -> tuple[str, ...]:
    """Name the parts of the dose that only a dummy stands for; `dose` alone for all of it, nothing when it is set."""
    added = [one for part in state.partial[:1] for one in part.completed.added if one[0] == "dose"]
    if ("dose",) in added:
        return ("dose",)
    return tuple(dict.fromkeys(str(one[1]) for one in added))


def with_unset_dose(page: str, unset: tuple[str, ...], words: DeskWords) -> str:
    """Give a page on which no number stands that nobody set; the page as it is when all of the dose is set."""
    if not unset:
        return page
    script = words.script()
    missing = ", ".join(words.field(f"dose.{one}") for one in unset if one != "dose")
    says = script["dose_parts_unset"].format(parts=missing) if missing else script["dose_unset"]
    page = _SECTION.sub(lambda found: f'{found[1]}<p class="dose-words">{escape(says)}</p>{found[2]}', page)
    page = _TIME.sub(lambda found: f"{found[1]}…{found[2]}", page)

    def blank(found: re.Match[str]) -> str:
        mine = unset == ("dose",) or found[2].removesuffix("_count") in unset
        return f"{found[1]}…{found[3]}" if mine else found[0]

    return _BLANK.sub(blank, page)
