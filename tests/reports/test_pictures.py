"""The pictures of README: those that the command takes, small enough, each with its words."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from PIL import Image

from reports.management.commands.screenshots import FOLDER, MOST_BYTES, PICTURES, as_webp

README = Path(settings.BASE_DIR, "README.md")
IMAGE = re.compile(r"!\[([^\]]*)\]\(\.pictures/([^)]+)\)")


def test_readme_shows_the_pictures_that_the_command_takes():
    shown = IMAGE.findall(README.read_text(encoding="utf-8"))
    assert shown == [(each.about, each.file) for each in PICTURES]


@pytest.mark.parametrize("picture", PICTURES, ids=lambda each: each.name)
def test_each_picture_is_there_small_and_of_its_size(picture):
    path = FOLDER / picture.file
    assert 0 < path.stat().st_size <= MOST_BYTES
    with Image.open(path) as image:
        assert image.format == "WEBP"
        assert image.size == picture.size


def test_nothing_else_lies_beside_them():
    assert {path.name for path in FOLDER.iterdir()} == {each.file for each in PICTURES}


def test_a_picture_keeps_its_size_as_webp():
    import io

    out = io.BytesIO()
    Image.effect_noise((600, 400), 90).save(out, "PNG")
    content = as_webp(out.getvalue())
    with Image.open(io.BytesIO(content)) as image:
        assert image.size == (600, 400)
