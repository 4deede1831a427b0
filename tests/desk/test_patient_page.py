"""The page as the patient sees it, beside the form: nothing on it that nobody wrote."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from desk.conftest import PATH, Clock, write_api_over

from limberleaf.desk.write.api import WriteApi
from limberleaf.store import Store


@pytest.mark.parametrize(
    ("gone", "says"),
    [
        (["dose"], "Not set yet."),
        (["dose", "times_a_day"], "Not set yet: Times a day."),
        ([], '<p class="dose-words">Do '),
    ],
)
def test_the_page_shows_no_dose_that_nobody_set(
    library: Path, store: Store, clock: Clock, gone: list[str], says: str
) -> None:
    made = write_api_over(library, store, clock)
    value = _asked(made, "open", path=PATH)["value"]
    if gone:
        place = value if len(gone) == 1 else value[gone[0]]
        del place[gone[-1]]
    look = _asked(made, "look", path=PATH, base=None, value=value, page="p1", language="en", whole=True)
    answer = made.page(look["page"] + ("" if look["page"].endswith("/") else "/"))
    assert answer
    page = answer[1].decode()
    assert says in page
    dose = re.search(r'<section class="dose".*?</section>', page, re.DOTALL)
    assert dose
    assert bool(re.search(r"\d", re.sub(r"<[^>]*>", "", dose[0]))) is (not gone)
    other = made.page(look["page"].replace("kn-02", "kn-01"))
    assert other
    assert "Not set yet" not in other[1].decode(), "the dose of another exercise is set"


def _asked(made: WriteApi, name: str, **asked: Any) -> Any:
    answer = made.asked(f"ask/{name}", {"page": "p1", **asked}, "")
    assert answer is not None
    return json.loads(answer[1])
