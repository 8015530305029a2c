"""Tracks of trips: read once, taken over as far as wanted, nothing twice and nothing by halves."""

import datetime as dt

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from claims.models import SiteShape
from claims.past import deleted_sets
from claims.services.undo import bring_back, forget_old_files
from tests import factories as make
from tests.claims.pages import SCRIPTS, queries_of, text_of
from trips.models import HoursBlock, Track
from trips.services import derive

pytestmark = pytest.mark.django_db
M = 1 / 111_200  # degrees of latitude that are about a metre


@pytest.fixture(autouse=True)
def media(tmp_path):
    with override_settings(MEDIA_ROOT=tmp_path):
        yield tmp_path


def day_out(begins=0, waypoints=((46.15, 8.0, "split boulder"),), name="Day out") -> bytes:
    """18 km of drive in 20 min, 900 m on foot in 15 min, three hours around one place."""
    fixes = [(46.0 + s * 15 * M, 8.0, begins + s) for s in range(0, 1200, 20)]
    at = fixes[-1]
    fixes += [(at[0] + s * M, 8.0, at[2] + s) for s in range(20, 900, 20)]
    at = fixes[-1]
    fixes += [(at[0] + (n % 3) * 2 * M, 8.0, at[2] + 60 * n) for n in range(1, 181)]
    return make.gpx_bytes(fixes, waypoints, name)


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def site(party):
    """Where the walk of `day_out` ends."""
    end = 46.0 + (1180 * 15 + 880) * M
    return make.make_site(party, latitude_udeg=round(end * 1e6), longitude_udeg=8_000_000)


@pytest.fixture
def trip(party, site):
    trip = make.make_trip(party, site, people=[make.make_person(party, "Ann")], state="wrapped_up")
    derive.rebuild_trip(trip.pk)
    return trip


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def url(name, pk):
    return reverse(f"trips:{name}", args=[pk])


def send(client, trip, content, name="day.gpx", **extra):
    file = SimpleUploadedFile(name, content)
    return client.post(url("track_create", trip.pk), {"file": file}, **extra)


def as_offered(page) -> dict:
    """What the form would send if nothing in it were touched."""
    form = page.context["form"]
    sent = {}
    for bound in form:
        value = bound.value()
        if value is True:
            sent[bound.name] = "on"
        elif value not in (None, False):
            sent[bound.name] = str(bound.field.prepare_value(value))
    return sent


def test_a_track_is_read_kept_and_shown(keeper, trip):
    response = send(keeper, trip, day_out(), name="../../day.gpx")
    track = Track.objects.get()
    assert response["Location"] == url("track_detail", track.pk)
    assert (track.name_sent, track.title) == ("day.gpx", "Day out")
    assert track.distance_m == pytest.approx(18_600, rel=0.03)
    assert track.stored.name.startswith(f"tracks/{trip.party_id}/")
    text = text_of(keeper.get(response["Location"]))
    assert "Drive: 3 May 2031, 08:00 to 08:2" in text
    assert f"On site, {trip.trip_sites.get().site}" in text
    assert "a track can’t tell what was done there" in text
    seen = text_of(keeper.get(url("trip_detail", trip.pk)))
    assert "Day out : 19." in seen[seen.index("Tracks 1 track Day") :]
    sent = keeper.get(url("track_file", track.pk))
    assert b"".join(sent.streaming_content) == day_out()
    assert sent["Content-Disposition"].startswith("attachment")


def test_a_drive_there_and_back_is_ticked_from_the_start(keeper, party, site):
    site.sealed_m, site.unsealed_m, site.track_m = 6_000, 2_000, 500
    site.save()
    trip = make.make_trip(party, site, state="wrapped_up")
    derive.rebuild_trip(trip.pk)
    send(keeper, trip, day_out())
    address = url("track_detail", Track.objects.get().pk)
    keeper.post(address, as_offered(keeper.get(address)))
    trip.refresh_from_db()
    assert (trip.driven_unsealed_m, trip.driven_track_m) == (4_000, 1_000)
    assert trip.driven_sealed_m == pytest.approx(17_700 - 5_000, rel=0.03)


def test_one_click_takes_over_the_hours_and_the_drive(keeper, trip):
    send(keeper, trip, day_out())
    track = Track.objects.get()
    address = url("track_detail", track.pk)
    page = keeper.get(address)
    assert "about the known way there alone" in text_of(page)
    response = keeper.post(address, as_offered(page) | {"take_drive": "on"})
    assert response.status_code == 302
    hours = {(h.activity, h.minutes, h.day) for h in HoursBlock.objects.filter(trip=trip)}
    day = dt.date(2031, 5, 3)
    assert {activity for activity, _, _ in hours} == {"drive", "walk"}
    assert all(d == day for *_, d in hours)
    [drive] = [m for a, m, _ in hours if a == "drive"]
    assert drive == pytest.approx(20, abs=1)
    trip.refresh_from_db()
    # the known way is 15 / 4 / 1 km one way: unsealed and track whole there and back
    assert (trip.driven_unsealed_m, trip.driven_track_m) == (8_000, 2_000)
    assert trip.driven_sealed_m == pytest.approx(2 * 17_700 - 10_000, rel=0.03)
    assert trip.derived_figures.door_minutes == sum(m for _, m, _ in hours)


def test_a_part_can_be_taken_and_changed(keeper, trip, site):
    send(keeper, trip, day_out())
    track = Track.objects.get()
    address = url("track_detail", track.pk)
    slug = f"2031-05-03-site-{site.pk}"
    person = trip.people.get()
    sent = {
        f"take_{slug}": "on", f"activity_{slug}": "dig", f"minutes_{slug}": "2:30",
        "person": person.pk,
    }  # fmt: skip
    assert keeper.post(address, sent).status_code == 302
    [block] = HoursBlock.objects.all()
    assert (block.activity, block.minutes, block.site, block.person) == ("dig", 150, site, person)
    trip.refresh_from_db()
    assert trip.driven_sealed_m is None


def test_the_same_part_is_never_noted_twice(keeper, trip):
    send(keeper, trip, day_out())
    track = Track.objects.get()
    address = url("track_detail", track.pk)
    sent = as_offered(keeper.get(address))
    for _ in range(3):
        keeper.post(address, sent)
    assert HoursBlock.objects.count() == 2
    assert "noted from this track already" in text_of(keeper.get(address))


def test_hours_noted_by_hand_are_said_and_not_ticked(keeper, trip):
    make.make_hours(trip, "drive", 70)
    send(keeper, trip, day_out())
    page = keeper.get(url("track_detail", Track.objects.get().pk))
    assert "1 h 10 of this kind is noted for that day already" in text_of(page).replace(
        "\u202f", " "
    )
    assert "take_2031-05-03-drive-" not in as_offered(page)
    assert "take_2031-05-03-walk-" in as_offered(page)


def test_ticked_without_saying_what_was_done_is_refused(keeper, trip, site):
    send(keeper, trip, day_out())
    address = url("track_detail", Track.objects.get().pk)
    sent = as_offered(keeper.get(address)) | {f"take_2031-05-03-site-{site.pk}": "on"}
    response = keeper.post(address, sent)
    assert "Choose what was done, or leave the block out." in text_of(response)
    assert HoursBlock.objects.count() == 0


@pytest.mark.parametrize("typed", ["abc", "25:00", "-1", "0", "9" * 50])
def test_times_and_lengths_that_cannot_be_are_refused(keeper, trip, typed):
    send(keeper, trip, day_out())
    address = url("track_detail", Track.objects.get().pk)
    whole = as_offered(keeper.get(address))
    response = keeper.post(address, whole | {"minutes_2031-05-03-drive-": typed})
    assert response.status_code == 200
    assert HoursBlock.objects.count() == 0
    if typed != "0":
        assert keeper.post(address, whole | {"sealed_m": typed}).status_code == 200


def test_more_than_a_day_of_hours_is_refused_whole(keeper, trip):
    make.make_hours(trip, "rest", 1430)
    send(keeper, trip, day_out())
    address = url("track_detail", Track.objects.get().pk)
    response = keeper.post(address, as_offered(keeper.get(address)))
    assert "a day has 24" in text_of(response)
    assert HoursBlock.objects.count() == 1
    trip.refresh_from_db()
    assert trip.driven_sealed_m is None


def test_the_same_file_is_recognised_on_any_trip(keeper, party, trip):
    send(keeper, trip, day_out())
    other = make.make_trip(party)
    response = send(keeper, other, day_out(), name="copy.gpx", follow=True)
    assert f"This file was read before, for {trip}." in text_of(response)
    assert Track.objects.count() == 1
    folder = default_storage.listdir(f"tracks/{party.pk}")[1]
    assert len(folder) == 1


def test_two_parties_may_read_the_same_file(keeper, trip):
    send(keeper, trip, day_out())
    make.make_track(make.make_trip(make.make_party()), day_out())
    assert Track.objects.count() == 2


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "It is empty"),
        (b"no xml", "It isn't whole XML"),
        (day_out()[:-200], "perhaps it is cut off"),
        (b'<!DOCTYPE gpx [<!ENTITY a "x">]><gpx>&a;</gpx>', "document type or entities"),
    ],
)
def test_a_file_that_is_none_is_named_with_what_to_do(keeper, trip, content, words):
    text = text_of(send(keeper, trip, content, name="my day.gpx"))
    assert "“my day.gpx” is not taken." in text
    assert words in text
    assert Track.objects.count() == 0
    assert not default_storage.exists(f"tracks/{trip.party_id}")


def test_fifty_megabytes_are_refused_before_they_are_read(keeper, trip):
    text = text_of(send(keeper, trip, b" " * 50 * 2**20))
    assert "It has 50 MB; at most 20 MB are taken." in text
    assert Track.objects.count() == 0


def test_nothing_stays_in_the_storage_if_the_row_cannot_be_written(trip, monkeypatch):
    def broken(self, *args, **kwargs):
        raise RuntimeError("the disk is gone")

    monkeypatch.setattr(Track, "save", broken)
    with pytest.raises(RuntimeError):
        make.make_track(trip, day_out())
    assert default_storage.listdir(f"tracks/{trip.party_id}")[1] == []


def test_a_full_storage_is_told_and_nothing_is_written(keeper, trip, monkeypatch):
    def full(name, content, max_length=None):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(default_storage, "save", full)
    text = text_of(send(keeper, trip, day_out()))
    assert "“day.gpx” is not taken. The storage can't be written (No space left" in text
    assert Track.objects.count() == 0


def test_a_clock_two_days_off_is_said_and_mended(keeper, trip):
    send(keeper, trip, day_out(begins=2 * 86_400))
    track = Track.objects.get()
    address = url("track_detail", track.pk)
    page = keeper.get(address)
    text = text_of(page)
    assert "By its clock this track lies outside the trip" in text
    assert "-2 days would bring it" in text
    assert page.context["clock"]["days"].value() == -2
    assert page.context["page"].open_offers == ()
    keeper.post(url("track_clock", track.pk), {"days": "-2", "minutes": "0"})
    page = keeper.get(address)
    assert "outside the trip" not in text_of(page)
    keeper.post(address, as_offered(page))
    assert {h.day for h in HoursBlock.objects.all()} == {dt.date(2031, 5, 3)}


@pytest.mark.parametrize("days", ["abc", "99999", "1.5"])
def test_a_clock_that_cannot_be_moved_so_far_is_told(keeper, trip, days):
    send(keeper, trip, day_out())
    track = Track.objects.get()
    text = text_of(keeper.post(url("track_clock", track.pk), {"days": days}, follow=True))
    assert "Not changed. Days:" in text
    track.refresh_from_db()
    assert track.clock_shift_minutes == 0


def test_a_track_over_midnight_is_two_days_at_the_site(keeper, party, site):
    site.time_zone = "Europe/Zurich"
    site.save()
    trip = make.make_trip(party, site, ends_on=dt.date(2031, 5, 4), state="wrapped_up")
    derive.rebuild_trip(trip.pk)
    send(keeper, trip, day_out(begins=12 * 3600))  # 20:00 UTC is 22:00 at the site
    page = keeper.get(url("track_detail", Track.objects.get().pk)).context["page"]
    assert {offer.block.day.day for offer in page.offers if offer.site} == {3, 4}


def test_a_changed_radius_counts_when_the_track_is_worked_out_anew(keeper, trip, site):
    send(keeper, trip, day_out())
    track = Track.objects.get()
    assert [p[0] for p in track.pieces] == ["drive", "walk", "site"]
    SiteShape.objects.create(site=site, radius_m=5000)
    keeper.post(url("track_anew", track.pk))
    track.refresh_from_db()
    assert [p[0] for p in track.pieces] == ["drive", "site"]
    default_storage.delete(track.stored.name)
    text = text_of(keeper.post(url("track_anew", track.pk), follow=True))
    assert "missing from the storage" in text
    assert keeper.get(url("track_file", track.pk)).status_code == 404


def test_without_a_position_of_the_site_that_is_said(keeper, party):
    trip = make.make_trip(party)
    send(keeper, trip, day_out())
    text = text_of(keeper.get(url("track_detail", Track.objects.get().pk)))
    assert "None of the trip's sites has a position" in text


def test_a_file_of_waypoints_only_has_no_hours(keeper, trip):
    content = make.gpx_bytes(fixes=(), waypoints=((46.1, 8.0, "bar"),))
    send(keeper, trip, content)
    text = text_of(keeper.get(url("track_detail", Track.objects.get().pk)))
    assert "No hours can be told from this file" in text
    assert "waypoints only" in text


@pytest.mark.parametrize("name", [s for s in SCRIPTS if "<" not in s] + ["&lt;b&gt;x&lt;/b&gt;"])
def test_names_from_a_file_are_shown_as_they_are(keeper, trip, name):
    send(keeper, trip, day_out(name=name, waypoints=((46.1, 8.0, name),)))
    response = keeper.get(url("track_detail", Track.objects.get().pk))
    assert "<b>x" not in response.content.decode()
    assert name.replace("&lt;", "<").replace("&gt;", ">") in text_of(response)


def test_a_deleted_track_leaves_what_was_taken_and_can_come_back(keeper, trip):
    send(keeper, trip, day_out())
    track = Track.objects.get()
    address = url("track_detail", track.pk)
    keeper.post(address, as_offered(keeper.get(address)))
    keeper.post(url("track_delete", track.pk))
    assert Track.objects.count() == 0
    assert HoursBlock.objects.count() == 2
    (one,) = deleted_sets(trip.party, timezone.now())
    bring_back(party=trip.party, key=one.key, now=timezone.now())
    assert Track.objects.get().line == track.line
    assert default_storage.exists(track.stored.name)


def test_a_deleted_trip_takes_its_tracks_along_and_their_bytes_go_in_time(trip):
    make.make_track(trip)
    trip.delete()
    assert Track.objects.count() == 0
    assert forget_old_files(timezone.now() + dt.timedelta(days=31)) == 1
    assert default_storage.listdir(f"tracks/{trip.party_id}")[1] == []


def test_readers_look_and_take_nothing(client, party, trip):
    track = make.make_track(trip, day_out())
    make.signed_in(client, party, "reader")
    page = client.get(url("track_detail", track.pk))
    assert "Note what is ticked" not in text_of(page)
    assert client.post(url("track_detail", track.pk), {"take_drive": "on"}).status_code == 403
    assert HoursBlock.objects.count() == 0


def test_more_tracks_and_waypoints_cost_no_more_queries(keeper, trip):
    one = make.make_track(trip, day_out())
    few = [queries_of(keeper, url(n, pk)) for n, pk in pages(trip, one)]
    ways = [(46.1 + n / 1000, 8.0, f"w{n}") for n in range(20)]
    two = make.make_track(trip, day_out(begins=30_000, waypoints=ways))
    assert [queries_of(keeper, url(n, pk)) for n, pk in pages(trip, two)] == few


def pages(trip, track):
    return [("trip_detail", trip.pk), ("track_detail", track.pk)]
