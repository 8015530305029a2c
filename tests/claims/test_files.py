"""Photos and documents: kept once, for the party only, with nothing left half done."""

import datetime as dt
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.test import override_settings
from django.urls import reverse

from claims.models import KeptFile
from claims.pictures import shrunk
from claims.services import files, parties
from tests import factories as make
from tests.claims.pages import SCRIPTS, queries_of, text_of, url
from tests.claims.test_pictures import PDF, SVG, with_tags
from trips.models import TripFile
from trips.services import files as trip_files
from trips.services.derive import rebuild_trip

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2031, 5, 3, 12, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def media(tmp_path):
    """Rows are rolled back after each test and files are not, so each has a folder of its own."""
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


def keep(owner, content=b"", **known):
    known = {"name": "a.jpg", "user": None, "now": NOW} | known
    content = content or make.picture_bytes()
    return trip_files.keep(party=owner.party, owner=owner, content=content, **known)


def make_wrapped_up(party):
    trip = make.make_trip(party, state="wrapped_up")
    rebuild_trip(trip.pk)
    return trip


def stored_names(party) -> list[str]:
    folder = f"files/{party.pk}"
    return default_storage.listdir(folder)[1] if default_storage.exists(folder) else []


def upload(name="a.jpg", content=b""):
    return SimpleUploadedFile(name, content or make.picture_bytes())


def test_a_photo_is_kept_under_a_name_of_our_own(party, hole):
    row = keep(hole, name="../../etc/passwd.jpg", caption=" before  ").file
    assert row.name_sent == "passwd.jpg"
    assert row.stored.name.startswith(f"files/{party.pk}/")
    assert "passwd" not in row.stored.name
    assert (row.kind, row.content_type, row.target) == ("photo", "image/jpeg", "hole")
    assert (row.width_px, row.height_px, row.caption) == (64, 48, "before")
    assert len(files.read_bytes(row)) == row.size_bytes
    assert files.read_bytes(row).startswith(b"\xff\xd8")
    assert shrunk(files.read_bytes(row), 20).startswith(b"\xff\xd8")


def test_the_same_uuid_any_number_of_times_is_one_file(party, hole):
    number, content = uuid.uuid4(), make.picture_bytes()
    first = keep(hole, content, uuid=number)
    again = [keep(hole, content, uuid=number) for _ in range(3)]
    assert first.is_new
    assert all(kept.file.pk == first.file.pk and not kept.is_new for kept in again)
    assert KeptFile.objects.count() == 1
    assert len(stored_names(party)) == 2


def test_the_same_uuid_with_another_picture_is_refused(hole):
    number = uuid.uuid4()
    keep(hole, uuid=number)
    with pytest.raises(ValidationError, match="Another file"):
        keep(hole, make.picture_bytes((30, 30)), uuid=number)
    assert KeptFile.objects.count() == 1


def test_the_same_bytes_at_the_same_place_are_kept_once(party, hole):
    trip = make.make_trip(party)
    for owner in (hole, trip, make.make_weigh_in(trip)):
        first, second = keep(owner), keep(owner)
        assert (first.is_new, second.is_new) == (True, False)
        assert first.file.pk == second.file.pk
    assert KeptFile.objects.count() == 3


def test_two_parties_may_use_the_same_uuid(hole):
    number, other = uuid.uuid4(), make.make_hole(make.make_site(make.make_party()))
    assert keep(hole, uuid=number).file.pk != keep(other, uuid=number).file.pk


def test_place_and_time_are_kept_only_if_the_party_keeps_them(party, hole):
    assert party.keeps_photo_place is False
    row = keep(hole, with_tags(), position=(1, 2), taken_at=NOW).file
    assert (row.taken_at, row.latitude_udeg, row.longitude_udeg) == (None, None, None)
    party.keeps_photo_place = True
    parties.change_party(party=party)
    hole.party = party
    row = keep(hole, with_tags(comment=b"second")).file
    assert (row.latitude_udeg, row.longitude_udeg) == (-46_501_250, -7_903_333)
    assert row.taken_at == dt.datetime(2031, 5, 3, 7, 15, tzinfo=dt.UTC)
    told = keep(hole, make.picture_bytes((9, 9)), position=(1, 2), taken_at=NOW).file
    assert (told.latitude_udeg, told.longitude_udeg, told.taken_at) == (1, 2, NOW)


def test_switching_it_off_erases_what_was_kept(party, hole):
    party.keeps_photo_place = True
    parties.change_party(party=party)
    row = keep(hole, with_tags()).file
    other = make.make_party(keeps_photo_place=True)
    theirs = keep(make.make_hole(make.make_site(other)), with_tags()).file
    party.keeps_photo_place = False
    parties.change_party(party=party)
    row.refresh_from_db()
    theirs.refresh_from_db()
    assert (row.taken_at, row.latitude_udeg, row.longitude_udeg) == (None, None, None)
    assert theirs.latitude_udeg == -46_501_250


def test_the_partys_page_switches_it(keeper, party):
    address = reverse("claims:party_edit")
    for wanted in (True, False):
        form = keeper.get(address).context["page"].form
        assert form["keeps_photo_place"].value() is not wanted
        sent = {
            bound.name: bound.field.prepare_value(bound.value())
            for bound in form
            if bound.value() not in (None, False) and bound.name != "keeps_photo_place"
        }
        extra = {"keeps_photo_place": "on"} if wanted else {}
        assert keeper.post(address, sent | extra).status_code == 302
        party.refresh_from_db()
        assert party.keeps_photo_place is wanted


def test_nothing_stays_behind_when_the_row_cannot_be_written(party, hole, monkeypatch):
    def broken(self, *args, **kwargs):
        raise RuntimeError("the disk is gone")

    monkeypatch.setattr(KeptFile, "save", broken)
    with pytest.raises(RuntimeError):
        keep(hole)
    assert stored_names(party) == []
    monkeypatch.undo()
    with pytest.raises(ValidationError):
        keep(hole, caption="x" * 300)
    assert stored_names(party) == []
    assert KeptFile.objects.count() == 0


def test_nothing_stays_behind_when_the_tie_to_a_trip_cannot_be_written(party, monkeypatch):
    trip = make.make_trip(party)
    monkeypatch.setattr(TripFile.objects, "create", lambda **known: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        keep(trip)
    assert stored_names(party) == []
    assert KeptFile.objects.count() == 0


def test_a_full_storage_is_told_and_nothing_is_written(keeper, party, hole, monkeypatch):
    def full(name, content, max_length=None):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(default_storage, "save", full)
    sent = {"files": [upload()], "caption": "typed", "role": "other"}
    response = keeper.post(url("hole_files_create", hole.pk), sent)
    assert "“a.jpg” is not kept. The storage can't be written (No space left" in text_of(response)
    assert 'value="typed"' in response.content.decode()
    assert KeptFile.objects.count() == 0


def test_a_storage_that_fills_up_half_way_keeps_nothing(party, hole, monkeypatch):
    save = default_storage.save

    def second_fails(name, content, max_length=None):
        if "small" in name:
            raise OSError(28, "No space left on device")
        return save(name, content)

    monkeypatch.setattr(default_storage, "save", second_fails)
    with pytest.raises(ValidationError, match="No space left"):
        keep(hole)
    assert stored_names(party) == []
    assert KeptFile.objects.count() == 0


def test_a_file_belongs_to_exactly_one_thing(party, hole):
    row = keep(hole).file
    paper = make.make_paper(party)
    for values in ({"paper": paper}, {"target": "work"}, {"hole": None}):
        with pytest.raises(IntegrityError), transaction.atomic():
            KeptFile.objects.filter(pk=row.pk).update(**values)
    tie = keep(make.make_trip(party)).file.trip_file
    with pytest.raises(IntegrityError), transaction.atomic():
        TripFile.objects.filter(pk=tie.pk).update(trip=None)


def test_another_partys_thing_takes_no_file(party, hole):
    other = make.make_party()
    trip = make.make_trip(other)
    spot = make.make_spot(make.make_site(other))
    for owner in (make.make_hole(make.make_site(other)), trip, spot):
        with pytest.raises(ValidationError, match="isn't in this record"):
            trip_files.keep(
                party=party,
                owner=owner,
                content=make.picture_bytes(),
                name="a",
                user=None,
                now=NOW,
            )


def test_photos_are_served_with_careful_headers(keeper, party, hole):
    row = keep(hole).file
    for address in (url("file_show", row.pk), url("file_small", row.pk)):
        response = keeper.get(address)
        assert response["Content-Type"] == "image/jpeg"
        assert response["X-Content-Type-Options"] == "nosniff"
        assert response["Cache-Control"].startswith("private")
        assert "default-src 'none'" in response["Content-Security-Policy"]
        assert b"".join(response.streaming_content).startswith(b"\xff\xd8")


def test_a_pdf_is_kept_as_it_is_and_only_downloaded(keeper, party):
    paper = make.make_paper(party)
    row = keep(paper, PDF, name='my "permit"; x.pdf').file
    response = keeper.get(url("file_show", row.pk))
    assert b"".join(response.streaming_content) == PDF
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"].startswith("attachment")
    assert keeper.get(url("file_small", row.pk)).status_code == 404


def test_a_file_that_the_storage_lost_is_a_404(keeper, hole):
    row = keep(hole).file
    default_storage.delete(row.stored.name)
    assert keeper.get(url("file_show", row.pk)).status_code == 404


def test_files_are_added_on_every_page_that_shows_them(keeper, party, hole):
    trip = make_wrapped_up(party)
    places = [
        (url("hole_files_create", hole.pk), url("hole_detail", hole.pk)),
        (
            url("spot_files_create", (spot := make.make_spot(hole.site)).pk),
            url("spot_detail", spot.pk),
        ),
        (
            url("paper_files_create", (paper := make.make_paper(party)).pk),
            url("paper_detail", paper.pk),
        ),
        (reverse("trips:trip_files_create", args=[trip.pk]),
         reverse("trips:trip_detail", args=[trip.pk])),
        (
            reverse("trips:weighin_files_create", args=[(w := make.make_weigh_in(trip)).pk]),
            reverse("trips:weighin_detail", args=[w.pk]),
        ),
    ]  # fmt: skip
    for add, page in places:
        nothing = "No scan" if "papers" in page else "None yet"
        assert nothing in text_of(keeper.get(page))
        assert add in keeper.get(page).content.decode()
        sent = {"files": [upload(), upload("b.pdf", PDF)], "caption": "the bank", "role": "before"}
        response = keeper.post(add, sent)
        assert response.status_code == 302
        assert response["Location"] == f"{page}#files"
        shown = keeper.get(page).content.decode()
        assert 'alt="the bank"' in shown
        assert "PDF: b.pdf" in shown
        photo = KeptFile.objects.filter(kind="photo").latest("pk")
        edit = keeper.post(url("file_edit", photo.pk), {"caption": "filled", "role": "after"})
        assert edit["Location"] == f"{page}#files"
        assert "after the work" in text_of(keeper.get(page))
        assert keeper.get(url("file_delete", photo.pk)).status_code == 200
        assert keeper.post(url("file_delete", photo.pk))["Location"] == f"{page}#files"


def test_a_refused_file_is_named_and_the_good_ones_are_kept(keeper, hole):
    sent = {
        "files": [upload("good.jpg"), upload("bad.svg", SVG), upload("none.jpg", b"x")],
        "caption": "typed",
        "role": "other",
    }
    response = keeper.post(url("hole_files_create", hole.pk), sent)
    text = text_of(response)
    assert "“bad.svg” is not kept. It is an SVG drawing" in text
    assert "“none.jpg” is not kept." in text
    assert "“good.jpg” is kept." in text
    assert 'value="typed"' in response.content.decode()
    assert KeptFile.objects.count() == 1


def test_the_same_file_sent_twice_is_said_to_be_here(keeper, hole):
    sent = {"caption": "", "role": "other"}
    keeper.post(url("hole_files_create", hole.pk), sent | {"files": [upload()]})
    response = keeper.post(
        url("hole_files_create", hole.pk), sent | {"files": [upload()]}, follow=True
    )
    assert "was here already and is kept once" in text_of(response)
    assert KeptFile.objects.count() == 1


def test_a_file_of_too_many_bytes_is_not_read(keeper, hole, monkeypatch):
    from claims.views import files as views

    monkeypatch.setattr(views, "LARGEST", 10)
    response = keeper.post(
        url("hole_files_create", hole.pk), {"files": [upload()], "caption": "", "role": "other"}
    )
    assert "Send a smaller copy" in text_of(response)
    assert KeptFile.objects.count() == 0


def test_no_file_and_too_many_files_are_said(keeper, hole):
    address = url("hole_files_create", hole.pk)
    assert "Choose a photo or a PDF" in text_of(keeper.post(address, {"role": "other"}))
    many = [upload(f"{n}.jpg") for n in range(21)]
    assert "at most 20 files" in text_of(keeper.post(address, {"files": many, "role": "other"}))


@pytest.mark.parametrize("text", SCRIPTS)
def test_captions_are_shown_as_typed(keeper, hole, text):
    keep(hole, caption=text)
    response = keeper.get(url("hole_detail", hole.pk))
    assert text in text_of(response)
    assert "<b>" not in response.content.decode()


def test_what_hangs_on_papers_is_the_keepers(client, party):
    paper = make.make_paper(party)
    row = keep(paper, PDF, name="p.pdf").file
    make.signed_in(client, party, "hand")
    assert b"".join(client.get(url("file_show", row.pk)).streaming_content) == PDF
    for name in ("file_edit", "file_delete"):
        assert client.post(url(name, row.pk)).status_code == 403
    assert client.post(url("paper_files_create", paper.pk)).status_code == 403
    assert KeptFile.objects.count() == 1


def test_readers_see_files_and_no_buttons(client, party, hole):
    row = keep(hole).file
    make.signed_in(client, party, "reader")
    shown = client.get(url("hole_detail", hole.pk)).content.decode()
    assert url("file_show", row.pk) in shown
    assert url("file_delete", row.pk) not in shown
    assert url("hole_files_create", hole.pk) not in shown


def test_more_files_cost_no_more_queries(keeper, party, hole):
    trip = make_wrapped_up(party)
    pages = [url("hole_detail", hole.pk), reverse("trips:trip_detail", args=[trip.pk])]
    for n in range(2):
        keep(hole, make.picture_bytes((10 + n, 10)))
        keep(trip, make.picture_bytes((10 + n, 10)))
    few = [queries_of(keeper, page) for page in pages]
    for n in range(4):
        keep(hole, make.picture_bytes((20 + n, 10)))
        keep(trip, make.picture_bytes((20 + n, 10)))
    assert [queries_of(keeper, page) for page in pages] == few
