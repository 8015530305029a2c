"""Photos, papers, tracks and results lie in a storage that several processes can share."""

import datetime as dt
import io
import zipfile

import pytest
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.urls import reverse

from claims.models import Job, KeptFile
from claims.past import UNDO_DAYS
from claims.services.undo import forget_old_files
from reports.pages import period
from reports.selectors.renewal_photos import pictures_of
from tests import factories as make
from tests.shared_storage import Bucket
from trips.models import Track
from trips.project.env import SettingError
from trips.project.shared_files import files_storage

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2031, 5, 3, 12, tzinfo=dt.UTC)
UNITS = {"mass": "g", "volume": "L", "distance": "km"}


@pytest.fixture
def bucket(tmp_path, settings):
    """Instead of the folder: a storage that knows names and bytes only."""
    choice = files_storage(
        {
            "FILES_STORAGE": "tests.shared_storage.Bucket",
            "FILES_OPTIONS": f'{{"root": "{tmp_path / "bucket"}"}}',
        }
    )
    settings.STORAGES = settings.STORAGES | {"default": choice}
    settings.MEDIA_ROOT = tmp_path / "nothing goes here"
    yield default_storage
    assert not (tmp_path / "nothing goes here").exists()


@pytest.fixture
def party(client):
    party = make.make_party()
    make.signed_in(client, party, "keeper")
    return party


def whole(response):
    assert response.status_code == 200
    return b"".join(response.streaming_content)


def test_photos_papers_and_tracks_are_kept_shown_and_packed(client, party, bucket):
    site = make.make_site(party=party)
    trip = make.make_trip(party=party, site=site)
    photo = make.make_file(make.make_spot(site=site), make.picture_bytes((2400, 1600)))
    gpx = make.gpx_bytes()
    track = make.make_track(trip, gpx)
    assert bucket.names() == sorted([photo.stored.name, photo.stored_small.name, track.stored.name])
    assert whole(client.get(reverse("claims:file_show", args=[photo.pk])))[:2] == b"\xff\xd8"
    assert whole(client.get(reverse("claims:file_small", args=[photo.pk])))[:2] == b"\xff\xd8"
    assert whole(client.get(reverse("trips:track_file", args=[track.pk]))) == gpx
    packed = io.BytesIO(whole(client.get(reverse("trips:whole_record"))))
    with zipfile.ZipFile(packed) as inside:
        assert inside.read(f"tracks/{track.pk}.gpx") == gpx
        assert f"files/{photo.pk}.jpg" in inside.namelist()
    packed.seek(0)
    packed.name = "whole-record.zip"
    client.post(reverse("trips:bring_record_in"), {"file": packed})
    assert (KeptFile.objects.count(), Track.objects.count()) == (2, 2)
    assert len(bucket.names()) == 6


def test_a_holes_photo_stands_in_the_renewal_record(party, bucket):
    site = make.make_site(party=party)
    paper = make.make_paper(party)
    paper.sites.add(site)
    hole = make.make_hole(site)
    make.make_file(hole, role="before")
    first, last = dt.date(2031, 1, 1), dt.date(2031, 12, 31)
    record = period.record_of(paper, first, last, day=last, units=UNITS)
    assert [content[:2] for content in pictures_of(record, 900).values()] == [b"\xff\xd8"]


def test_what_was_deleted_keeps_its_bytes_for_a_month(party, bucket):
    file = make.make_file(make.make_spot(site=make.make_site(party=party)))
    names = bucket.names()
    file.delete()
    deleted_at = KeptFile.history.latest("history_date").history_date
    forget_old_files(deleted_at + dt.timedelta(days=UNDO_DAYS - 1))
    assert bucket.names() == names
    forget_old_files(deleted_at + dt.timedelta(days=UNDO_DAYS + 1))
    assert bucket.names() == []


def test_tidying_finds_bytes_without_rows_and_rows_without_bytes(party, bucket, capsys):
    file = make.make_file(make.make_spot(site=make.make_site(party=party)))
    bucket.save("files/7/left.jpg", ContentFile(b"x"))
    bucket.delete(file.stored.name)
    call_command("tidy_files", remove=True)
    said = capsys.readouterr().out
    assert "1 files without a row:\n  files/7/left.jpg" in said
    assert f"1 rows without their file:\n  {file.stored.name}" in said
    assert bucket.names() == [n for n in [file.stored_small.name] if n]


def test_results_of_background_work_are_shared_too(client, party, bucket, monkeypatch):
    monkeypatch.setattr("trips.jobs.MOST_TRIPS_AT_ONCE", -1)
    client.post(reverse("trips:whole_record"))
    job = Job.objects.get()
    assert job.stored in bucket.names()
    assert whole(client.get(reverse("claims:job_file", args=[job.pk])))[:2] == b"PK"


def test_an_error_of_the_storages_own_kind_is_told_and_nothing_is_kept(party, bucket, monkeypatch):
    class OfItsOwn(Exception):
        pass

    def fails(*args, **kwargs):
        raise OfItsOwn("no answer from the store")

    spot = make.make_spot(site=make.make_site(party=party))
    trip = make.make_trip(party=party)
    monkeypatch.setattr(Bucket, "_save", fails)
    for attempt in (lambda: make.make_file(spot), lambda: make.make_track(trip)):
        with pytest.raises(ValidationError, match="no answer from the store"):
            attempt()
    assert (KeptFile.objects.count(), Track.objects.count()) == (0, 0)


@pytest.mark.parametrize(
    ("environ", "says"),
    [
        ({"FILES_OPTIONS": "{}"}, "without FILES_STORAGE"),
        ({"FILES_STORAGE": "s3"}, "dotted name"),
        ({"FILES_STORAGE": "a.B", "FILES_OPTIONS": "[1]"}, "write JSON"),
        ({"FILES_STORAGE": "a.B", "FILES_OPTIONS": "{"}, "write JSON"),
    ],
)
def test_settings_that_cannot_be_read_stop_the_start(environ, says):
    with pytest.raises(SettingError, match=says):
        files_storage(environ)


def test_without_settings_it_is_the_folder():
    assert files_storage({}) == {"BACKEND": "django.core.files.storage.FileSystemStorage"}
