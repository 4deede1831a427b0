"""Share pictures: 1200 by 630 pixels (the size link previews are commonly made for), small, with figure and title."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from limberleaf.handouts import share_pictures


@pytest.fixture(scope="module")
def pictures(starter_edition, typesetter):
    return dict(share_pictures(starter_edition.context, typesetter))


def test_every_exercise_side_ladder_and_collection_has_one(starter_edition, pictures):
    expected = set()
    for code, exercise in starter_edition.exercises.items():
        expected |= {f"{code}/share.png"}
        if exercise.sides == "one":
            expected |= {f"{code}/left/share.png", f"{code}/right/share.png"}
    expected |= {f"ladders/{name}/share.png" for name in starter_edition.ladders}
    expected |= {f"collections/{name}/share.png" for name in starter_edition.collections}
    assert set(pictures) == expected


def test_they_are_small_pictures_of_the_right_size(pictures):
    for path, data in pictures.items():
        with Image.open(BytesIO(data)) as picture:
            assert picture.size == (1200, 630), path
            assert picture.format == "PNG"
        assert len(data) < 60_000, path


def test_the_figure_is_in_its_frame(pictures):
    for path, data in pictures.items():
        with Image.open(BytesIO(data)) as picture:
            frame = picture.convert("L").crop((70, 70, 570, 470))
        assert frame.getextrema()[0] < 120, path


def test_left_and_right_differ(pictures):
    sided = [path for path in pictures if "/left/" in path]
    assert sided
    for path in sided:
        assert pictures[path] != pictures[path.replace("/left/", "/right/")]
