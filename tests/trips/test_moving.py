"""A whole record goes out in open formats and comes in again as the same facts."""

import csv
import io
import json
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from claims.models import KeptFile, Party, SiteShape
from claims.past import fact_models
from claims.services import files
from tests import factories as make
from trips.models import Track, Trip, TripFile
from trips.moving import packed, tables
from trips.moving.bring_in import NoRecord, bring_in
from trips.moving.take_out import take_out
from trips.services.derive import rebuild_party
from trips.services.tracks import move_clock

pytestmark = pytest.mark.django_db
ODD = ["=1+1", "'=1+1", "-5 °C", "@home", "“quoted”, with a comma", "two\nlines", "' apostrophe"]


def picture():
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (90, 120, 60)).save(out, "JPEG")
    return out.getvalue()


def taken_out(party):
    out = io.BytesIO()
    take_out(party, out, now=timezone.now())
    out.seek(0)
    return out


@pytest.fixture
def party():
    """Something of most kinds, with text that a spreadsheet or a CSV reader might change."""
    party = make.make_party(name="Marl party")
    site = make.make_site(party=party, notes=ODD[0])
    spot = make.make_spot(site=site, notes=ODD[1])
    trip = make.make_trip(party=party, site=site, story="\n".join(ODD))
    trip.gear.add(make.make_gear(party), make.make_gear(party))
    weigh_in = make.make_weigh_in(trip=trip)
    make.make_pan(trip=trip, spot=spot, coarse=None, medium=0)
    make.make_run(trip=trip, spot=spot, weigh_in=weigh_in)
    for note in ODD:
        make.make_cost(trip, note=note)
    make.make_hours(trip)
    make.make_lot(weigh_in)
    make.make_price(party)
    make.make_hole(site)
    make.make_paper(party).sites.add(site)
    rebuild_party(party)
    return party


def facts_of(party):
    """Every fact of a party with numbers replaced by what they point to."""
    told = {}
    for model in tables.fact_tables():
        kind = model._meta.model_name
        rows = model._base_manager.filter(**{model.party_way: party.pk}).order_by("pk")
        told[kind] = [_told(row) for row in rows]
    return told


def _told(row):
    facts = {}
    for field in tables.columns(type(row)):
        if field.primary_key:
            continue
        value = getattr(row, field.attname)
        if field.is_relation and value is not None:
            value = str(getattr(row, field.name))
        facts[field.attname] = value
    for field in tables.links(type(row)):
        facts[field.name] = sorted(str(one) for one in getattr(row, field.name).all())
    return facts


def test_what_comes_in_is_what_went_out(party):
    user = make.make_user()
    new = bring_in(taken_out(party), user=user, now=timezone.now())
    before, after = facts_of(party), facts_of(new)
    assert after["party"][0].pop("name") == "Marl party (brought in)"
    before["party"][0].pop("name")
    assert after == before
    assert sum(map(len, before.values())) > 20
    assert [m.user for m in new.memberships.all()] == [user]
    trip = Trip.objects.get(party=new)
    old = Trip.objects.get(party=party)
    assert trip.derived_figures.mass_ug == old.derived_figures.mass_ug


def test_the_demo_comes_in_whole(settings):
    settings.DEMO = True
    call_command("load_demo", verbosity=0, stdout=io.StringIO())
    party = Party.objects.get()
    new = bring_in(taken_out(party), user=make.make_user(), now=timezone.now())
    before, after = facts_of(party), facts_of(new)
    before["party"], after["party"] = [], []
    assert after == before


def test_photos_and_papers_come_along(party):
    user, now = make.make_user(), timezone.now()
    spot = party.sites.first().spots.first()
    trip = party.trips.first()
    common = {"party": party, "content": picture(), "user": user, "now": now}
    files.keep(owner=spot, name="bank.jpg", caption="the bank", role="before", **common)
    files.keep(
        owner=None,
        name="box.jpg",
        link=lambda file: TripFile.objects.create(file=file, trip=trip),
        **common,
    )
    new = bring_in(taken_out(party), user=user, now=now)
    at_spot, at_trip = KeptFile.objects.filter(party=new).order_by("pk")
    assert (at_spot.spot.site.party, at_spot.caption, at_spot.role) == (new, "the bank", "before")
    assert at_trip.trip_file.trip.party == new
    assert Image.open(io.BytesIO(files.read_bytes(at_spot))).size == (64, 48)


def test_tracks_and_outlines_come_along(party):
    trip = party.trips.first()
    track = make.make_track(trip)
    move_clock(track=track, minutes=-2880)
    square = [[[[0, 0], [0, 1000], [1000, 1000], [1000, 0]]]]
    SiteShape.objects.create(site=party.sites.first(), outline=square, radius_m=120)
    new = bring_in(taken_out(party), user=make.make_user(), now=timezone.now())
    brought = Track.objects.get(party=new)
    assert brought.trip.party == new
    assert (brought.uuid, brought.distance_m) == (track.uuid, track.distance_m)
    assert brought.clock_shift_minutes == -2880
    shape = SiteShape.objects.get(site__party=new)
    assert (shape.outline, shape.radius_m) == (square, 120)


def test_the_file_can_be_read_without_this_program(party):
    with zipfile.ZipFile(taken_out(party)) as inside:
        about = inside.read("README.txt").decode()
        rows = list(
            csv.DictReader(io.StringIO(inside.read("tables/costs.csv").decode("utf-8-sig")))
        )
        pans = list(
            csv.DictReader(io.StringIO(inside.read("tables/test-pans.csv").decode("utf-8-sig")))
        )
    assert "micrograms" in about
    assert rows[0]["note"] == "'=1+1"
    assert (pans[0]["coarse"], pans[0]["medium"]) == ("", "0")


def changed(party, name, change):
    """The record with one file in it changed, added or left out."""
    out = io.BytesIO()
    with zipfile.ZipFile(taken_out(party)) as old, zipfile.ZipFile(out, "w") as new:
        names = [*old.namelist(), *([] if name in old.namelist() else [name])]
        for each in names:
            data = old.read(each) if each in old.namelist() else b""
            data = change(data) if each == name else data
            if data is not None:
                new.writestr(each, data)
    out.seek(0)
    return out


def put(old, new):
    def change(data):
        assert old in data
        return data.replace(old, new, 1)

    return change


@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        ("record.json", lambda data: None, "no record that was taken out"),
        ("record.json", lambda data: b"[]", "doesn't say so"),
        ("record.json", lambda data: b"{", "can't be read"),
        ("record.json", put(b'"format": 1', b'"format": 2'), "newer version"),
        ("tables/odd.csv", lambda data: b"x", "doesn't belong"),
        ("files/../evil", lambda data: b"x", "doesn't belong"),
        ("tables/costs.csv", put(b"amount_minor", b"amount_pounds"), "amount_pounds.* isn't known"),
        ("tables/costs.csv", put(b"food", b"fo\xffod"), "not UTF-8"),
        ("tables/costs.csv", put(b",EUR,", b",EUR,EUR,"), r"costs\.csv, line 2: .*cells"),
        ("tables/costs.csv", put(b",food,", b",rent,"), r"line 2, kind: .*rent"),
        ("tables/hours-blocks.csv", put(b",run,", b",nap,"), r"line 2, activity"),
        ("tables/trips.csv", put(b",2031-05-03,", b",no day,"), r"trips\.csv, line 2, \w+_on"),
        ("tables/parties.csv", lambda data: data.splitlines(keepends=True)[0], "exactly one row"),
        ("tables/sites.csv", lambda data: data.splitlines(keepends=True)[0], r"there is no row"),
        ("tables/costs.csv", lambda data: data + b"," * 1_100_000, "at most 1,000,000 letters"),
        ("tables/costs.csv", lambda data: data + b"\n" * 1_100_000, "at most 1,000,000 letters"),
        ("tables/costs.csv", lambda data: data + b'"",' * 40, "more or fewer cells"),
        ("record.json", lambda data: b" " * 200_000 + data, "larger than 0.1 MB"),
        ("record.json", lambda data: b"[" * 90_000, "record.json can't be read"),
        ("sign-offs/1.json", lambda data: b"[]," * 1_000_000, "larger than 2 MB"),
    ],
)
def test_a_bad_file_is_refused_whole_with_its_place(party, name, change, says):
    before = {kind: model.objects.count() for kind, model in fact_models().items()}
    with pytest.raises(NoRecord, match=says):
        bring_in(changed(party, name, change), user=make.make_user(), now=timezone.now())
    assert {kind: model.objects.count() for kind, model in fact_models().items()} == before


@pytest.mark.parametrize("data", [b"", b"gravel", b"PK\x03\x04 and no more"])
def test_what_is_no_zip_is_refused(data):
    with pytest.raises(NoRecord, match="no zip file"):
        bring_in(io.BytesIO(data), user=make.make_user(), now=timezone.now())


def test_bounds_hold(party, monkeypatch):
    monkeypatch.setattr(packed, "MAX_ROWS", 5)
    with pytest.raises(NoRecord, match="at most 5 rows"):
        bring_in(taken_out(party), user=make.make_user(), now=timezone.now())
    monkeypatch.setattr(packed, "MAX_TABLE_BYTES", 50)
    with pytest.raises(NoRecord, match="larger than"):
        bring_in(taken_out(party), user=make.make_user(), now=timezone.now())


def test_a_file_that_unpacks_to_more_than_it_says_is_cut_off(party):
    """The size stands in the zip's own list, which anybody can write."""
    record = changed(party, "tables/costs.csv", lambda data: data + b"x" * 5_000_000)
    raw = record.getvalue()
    real = zipfile.ZipFile(record).getinfo("tables/costs.csv").file_size
    lie = raw.replace(real.to_bytes(4, "little"), (1000).to_bytes(4, "little"))
    with pytest.raises(NoRecord):
        bring_in(io.BytesIO(lie), user=make.make_user(), now=timezone.now())


@pytest.mark.parametrize("how", [zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
def test_a_record_packed_by_another_way_is_refused(party, how):
    out = io.BytesIO()
    with zipfile.ZipFile(taken_out(party)) as old, zipfile.ZipFile(out, "w", how) as new:
        for name in old.namelist():
            new.writestr(name, old.read(name))
    with pytest.raises(NoRecord, match="packed in a way"):
        bring_in(out, user=make.make_user(), now=timezone.now())


def test_more_files_than_are_read_are_refused_before_they_are(party, monkeypatch):
    monkeypatch.setattr(packed, "MAX_ENTRIES", 3)
    with pytest.raises(NoRecord, match="more than 3 files"):
        bring_in(taken_out(party), user=make.make_user(), now=timezone.now())


def test_a_cell_has_a_bound_whatever_was_read_before(party, monkeypatch):
    monkeypatch.setattr(packed, "MAX_CELL", 3)
    with pytest.raises(NoRecord, match="a cell has at most 3 letters"):
        bring_in(taken_out(party), user=make.make_user(), now=timezone.now())


def test_what_a_record_becomes_is_told_by_its_list(party):
    record = taken_out(party)
    with zipfile.ZipFile(record) as inside:
        whole = sum(len(inside.read(name)) for name in inside.namelist())
    assert packed.unpacked_bytes(record) == whole != len(record.getvalue())
    assert record.tell() == 0
    assert packed.unpacked_bytes(io.BytesIO(b"gravel")) == 6


def test_the_pages(client, party):
    make.signed_in(client, party, "reader")
    answer = client.get(reverse("trips:whole_record"))
    data = b"".join(answer.streaming_content)
    assert answer["Content-Type"] == "application/zip"
    assert json.loads(zipfile.ZipFile(io.BytesIO(data)).read("record.json"))["kind"] == tables.KIND
    address = reverse("trips:bring_record_in")
    refused = client.post(address, {"file": SimpleUploadedFile("x.zip", b"gravel")})
    assert b"no zip file" in refused.content
    done = client.post(address, {"file": SimpleUploadedFile("x.zip", data)}, follow=True)
    assert b"The record is here as Marl party (brought in)" in done.content
    assert done.wsgi_request.membership.role == "keeper"
