"""What a deleted photo leaves, and for how long it can come back."""

import datetime as dt

import pytest
from django.core.files.storage import default_storage
from django.test import override_settings

from claims.models import KeptFile
from claims.services import files
from claims.services.undo import forget_old_files
from tests import factories as make
from tests.claims.pages import url
from tests.claims.test_files import NOW, keep, stored_names

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(tmp_path):
    with override_settings(MEDIA_ROOT=tmp_path):
        yield tmp_path


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def hole(party):
    return make.make_hole(make.make_site(party))


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def test_bytes_of_a_deleted_file_stay_for_a_month(party, hole):
    row = keep(hole).file
    names = stored_names(party)
    assert len(names) == 2
    files.delete_file(file=row)
    deleted = KeptFile.history.get(history_type="-").history_date
    assert forget_old_files(deleted + dt.timedelta(days=30)) == 0
    assert stored_names(party) == names
    assert forget_old_files(deleted + dt.timedelta(days=30, seconds=1)) == 2
    assert stored_names(party) == []


def test_bytes_of_a_file_that_is_there_are_never_forgotten(party, hole):
    row = keep(hole).file
    row.caption = "changed"
    row.save()
    assert forget_old_files(NOW + dt.timedelta(days=4000)) == 0
    assert len(stored_names(party)) == 2


def test_a_deleted_trip_takes_its_files_along(party):
    trip = make.make_trip(party)
    keep(trip)
    keep(make.make_weigh_in(trip))
    trip.delete()
    assert KeptFile.objects.count() == 0


def test_a_deleted_photo_comes_back_with_its_picture(keeper, party):
    trip = make.make_trip(party)
    row = keep(trip).file
    content = files.read_bytes(row)
    keeper.post(url("file_delete", row.pk))
    assert KeptFile.objects.count() == 0
    ((one, _),) = keeper.get(url("deleted_list")).context["sets"]
    keeper.post(url("deleted_bring_back", one.key))
    back = KeptFile.objects.get()
    assert (back.pk, back.trip_file.trip_id) == (row.pk, trip.pk)
    assert files.read_bytes(back) == content


def test_a_photo_whose_bytes_are_gone_does_not_come_back(keeper, party, hole):
    row = keep(hole).file
    name = row.stored.name
    keeper.post(url("file_delete", row.pk))
    default_storage.delete(name)
    ((one, _),) = keeper.get(url("deleted_list")).context["sets"]
    said = keeper.post(url("deleted_bring_back", one.key), follow=True)
    assert "isn&#x27;t in the storage any more" in said.content.decode()
    assert KeptFile.objects.count() == 0


def test_the_past_of_a_photo_does_not_say_where_it_was_taken(party, hole):
    keep(hole)
    columns = {field.name for field in KeptFile.history.model._meta.concrete_fields}
    assert not columns & {"latitude_udeg", "longitude_udeg", "taken_at"}
