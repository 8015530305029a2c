"""Files without rows and rows without files are named; only the former are ever deleted."""

import io

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.test import override_settings

from tests import factories as make

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(tmp_path):
    with override_settings(MEDIA_ROOT=tmp_path):
        yield tmp_path


def tidy(*words) -> str:
    out = io.StringIO()
    call_command("tidy_files", *words, stdout=out)
    return out.getvalue()


def test_an_empty_storage_is_in_order():
    said = tidy()
    assert "0 files without a row.\n0 rows without their file.\n" in said
    assert "0 files of rows that were deleted over a month ago" in said


def test_what_does_not_fit_is_named_and_what_fits_stays():
    party = make.make_party()
    photo = make.make_file(make.make_hole(make.make_site(party)))
    track = make.make_track(make.make_trip(party))
    default_storage.save("files/7/left-behind.jpg", ContentFile(b"x"))
    default_storage.delete(track.stored.name)
    said = tidy()
    assert "1 files without a row:\n  files/7/left-behind.jpg" in said
    assert f"1 rows without their file:\n  {track.stored.name}" in said
    assert default_storage.exists("files/7/left-behind.jpg")
    assert "Removed 1 files." in tidy("--remove")
    assert not default_storage.exists("files/7/left-behind.jpg")
    assert default_storage.exists(photo.stored.name)
    assert default_storage.exists(photo.stored_small.name)
