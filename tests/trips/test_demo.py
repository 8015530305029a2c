"""The demo's files and what loading them gives."""

import csv
import datetime as dt
import hashlib
import html
import io
import re
from collections import Counter
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db.models import F, Sum
from django.urls import reverse

from claims.models import Duty, Hole, Membership, Paper, Party, Person, Site, Spot, User
from tests.once import taken_back
from trips.calc.gold import Unknown, price_on, value_gold
from trips.demo.build import build
from trips.demo.story import AS_OF, PARTY_NAME, PASSWORD
from trips.management.commands import demo as demo_command
from trips.models import (
    Cost,
    DerivedShare,
    DerivedTripFigures,
    Gear,
    GoldLot,
    HoursBlock,
    Price,
    Run,
    TestPan,
    Trip,
    Vehicle,
    WeighIn,
)
from trips.selectors.prices import price_points

FOLDER = Path(settings.BASE_DIR) / "fixtures_demo"


@pytest.fixture(scope="module")
def loaded(django_db_setup, django_db_blocker):
    """The demo, loaded once for this file and rolled back after it."""
    with taken_back(django_db_blocker):
        call_command("load_demo", stdout=io.StringIO())
        yield


@pytest.fixture
def party(loaded, db):
    return Party.objects.get(name=PARTY_NAME)


@pytest.fixture(scope="module")
def files():
    return build()


def rows_of(files, table):
    return list(csv.DictReader(io.StringIO(files[f"{table}.csv"])))


def digest():
    """A hash over every row, without the numbers of derived rows, which are made anew."""
    lines = []
    for app in ("claims", "trips"):
        for model in apps.get_app_config(app).get_models(include_auto_created=True):
            names = [field.attname for field in model._meta.concrete_fields]
            if model in (DerivedShare, DerivedTripFigures):
                names.remove("id")
            label = model._meta.label
            lines += sorted(f"{label} {row}" for row in model.objects.values_list(*names))
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


# The files


def test_files_made_from_the_seed_are_the_stored_ones(files):
    for name, text in files.items():
        assert (FOLDER / name).read_bytes() == text.encode(), name
    # The rule pack beside them is written by hand.
    assert {path.name for path in FOLDER.iterdir()} == {*files, "README.md", "packs"}


def test_command_writes_the_stored_bytes(tmp_path):
    call_command("make_demo_files", into=tmp_path, stdout=io.StringIO())
    written = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    stored = {path.name: path.read_bytes() for path in FOLDER.glob("*.[ctg]*") if path.is_file()}
    assert written == stored


def test_readme_names_the_day_and_the_log_in():
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert AS_OF.isoformat() in text
    assert PASSWORD in text


@pytest.mark.parametrize(
    "table", ["trips", "hours", "pans", "runs", "costs", "holes", "weigh_ins", "lots"]
)
def test_codes_are_given_once(files, table):
    codes = [row["code"] for row in rows_of(files, table)]
    assert all(codes)
    assert len(set(codes)) == len(codes)


def test_clean_ups_fall_within_a_hole(files):
    """Over all holes together, the last run gave fewer colours a litre than the first."""
    holes = {}
    for row in rows_of(files, "runs"):
        if row["medium"] and row["fine"] and row["volume_ml"]:
            rate = (int(row["medium"]) + int(row["fine"])) / int(row["volume_ml"])
            holes.setdefault((row["trip"], row["day"], row["spot"]), []).append(rate)
    series = [rates for rates in holes.values() if len(rates) >= 2]
    assert len(series) >= 15
    assert sum(rates[-1] for rates in series) < 0.85 * sum(rates[0] for rates in series)


def test_pans_are_more_uneven_than_chance_alone(files):
    """Clumped gold: the variance of a spot's pans lies above their mean."""
    spots = {}
    for row in rows_of(files, "pans"):
        if row["fine"] and row["volume_ml"] == "5500":
            season = row["day"][:4]
            spots.setdefault((row["spot"], season, row["layer"]), []).append(int(row["fine"]))
    squares = expected = 0.0
    for counts in spots.values():
        mean = sum(counts) / len(counts)
        squares += sum((count - mean) ** 2 for count in counts)
        expected += mean * (len(counts) - 1)
    assert squares / expected > 1.3


# Loading


def test_second_load_changes_nothing(party):
    before = digest()
    call_command("load_demo", stdout=io.StringIO())
    assert digest() == before


def test_load_brings_back_what_was_changed(party):
    before = digest()
    run = Run.objects.filter(party=party, weigh_in__isnull=False).first()
    Run.objects.filter(pk=run.pk).update(note="changed", weigh_in=None)
    run.trip.trip_people.all().delete()
    run.trip.trip_sites.all().update(was_visited=None)
    run.trip.gear.clear()
    WeighIn.objects.filter(pk=run.weigh_in_id).update(gross_ug=F("gross_ug") + 5_000_000)
    Site.objects.filter(party=party, name="Drennock bends").update(closed_from="11-01")
    User.objects.filter(username="mika").update(first_name="Somebody")
    assert digest() != before
    call_command("load_demo", stdout=io.StringIO())
    run.refresh_from_db()
    assert run.note != "changed"
    assert list(run.trip.trip_people.all())
    assert run.trip.trip_sites.filter(was_visited=True).exists()
    assert run.trip.gear.exists()
    site = Site.objects.get(party=party, name="Drennock bends")
    assert (site.closed_from, site.closed_until) == ("10-15", "04-30")
    assert User.objects.get(username="mika").first_name == "Mika"


@pytest.mark.parametrize(
    ("model", "low", "high"),
    [
        (Site, 8, 8),
        (Spot, 18, 30),
        (Paper, 5, 10),
        (Duty, 3, 8),
        (Person, 3, 3),
        (Membership, 3, 3),
        (Vehicle, 2, 2),
        (Gear, 6, 12),
        (Trip, 42, 50),
        (TestPan, 420, 480),
        (Run, 110, 130),
        (WeighIn, 33, 37),
        (GoldLot, 15, 30),
        (HoursBlock, 350, 500),
        (Cost, 50, 100),
        (Hole, 15, 40),
        (Price, 35, 60),
    ],
)
def test_there_is_as_much_as_the_story_needs(party, model, low, high):
    assert low <= model.objects.count() <= high


def test_states_of_the_trips(party):
    states = Counter(Trip.objects.values_list("state", flat=True))
    assert states["under_way"] == 1
    assert states["planned"] == 2
    assert states["called_off"] == 2
    assert states["wrapped_up"] >= 38
    assert set(Trip.objects.filter(starts_on__gt=AS_OF).values_list("state", flat=True)) == {
        "planned"
    }


def test_no_name_is_blank(party):
    for model in (Party, Site, Spot, Paper, Person, Vehicle, Gear, GoldLot):
        assert all(name.strip() for name in model.objects.values_list("name", flat=True)), model
    assert not Price.objects.exclude(source="invented for the demo").exists()


def test_weigh_ins_are_whole_steps_of_the_scale(party):
    for row in WeighIn.objects.all():
        assert row.gross_ug % row.resolution_ug == 0
        assert row.net_ug % row.resolution_ug == 0
        assert row.net_ug >= 0


def test_lots_weigh_no_more_than_their_weigh_in(party):
    for row in WeighIn.objects.annotate(in_lots=Sum("lots__mass_ug")).filter(in_lots__gt=0):
        assert row.in_lots <= row.net_ug
    states = Counter(GoldLot.objects.values_list("state", flat=True))
    assert min(states["on_hand"], states["sold"], states["given"]) >= 2
    assert GoldLot.objects.filter(own_value_minor__isnull=False).exists()


def test_some_things_are_missing_and_some_are_zero(party):
    assert Run.objects.filter(coarse=None, medium=None, fine=None).exists()
    assert Run.objects.filter(fine=None, medium__isnull=False).exists()
    assert Run.objects.filter(minutes=None).exists()
    assert TestPan.objects.filter(fine=None).exists()
    assert TestPan.objects.filter(coarse=0, medium=0, fine=0).exists()
    dug = Trip.objects.filter(state="wrapped_up", runs__isnull=False)
    assert dug.filter(weigh_ins__isnull=True).exists()


def test_records_lie_within_their_trip(party):
    for model in (TestPan, Run, HoursBlock):
        for row in model.objects.select_related("trip"):
            assert row.trip.starts_on <= row.day <= row.trip.ends_on
            assert row.day <= AS_OF
            assert row.trip.state in ("wrapped_up", "under_way")
    for model in (TestPan, Run):
        for row in model.objects.filter(trip__state="wrapped_up").select_related("spot"):
            visited = row.trip.trip_sites.filter(was_visited=True)
            assert visited.filter(site=row.spot.site_id).exists()
    planned = Cost.objects.filter(trip__state__in=["planned", "called_off"], stage="paid")
    assert not planned.exists()
    assert not WeighIn.objects.filter(weighed_on__gt=AS_OF).exists()
    assert not Trip.objects.filter(state="wrapped_up", hours__isnull=True).exists()


def test_every_dig_is_made_at_a_site_that_was_open(party):
    for row in Run.objects.select_related("spot__site"):
        site = row.spot.site
        if site.closed_from:
            assert site.closed_until < f"{row.day:%m-%d}" < site.closed_from


def test_fallbacks_were_worked_after_the_first_choice_disappointed(party):
    both = [
        trip
        for trip in Trip.objects.filter(state="wrapped_up")
        if trip.trip_sites.filter(was_visited=True).count() == 2
    ]
    assert len(both) >= 3
    for trip in both:
        assert set(trip.pans.values_list("spot__site", flat=True)) == set(
            trip.trip_sites.filter(was_visited=True).values_list("site", flat=True)
        )


def test_the_day_has_something_to_say(party):
    """A paper about to lapse, open holes, a window about to close, a site never tried."""
    soon = Paper.objects.filter(expires_on__range=(AS_OF, AS_OF + dt.timedelta(days=30)))
    assert soon.count() == 1
    assert Paper.objects.filter(expires_on__isnull=True).exists()
    assert Paper.objects.filter(expires_on__lt=AS_OF).exists()
    assert Hole.objects.filter(filled_on__isnull=True).count() == 2
    wraps = Site.objects.filter(closed_from__gt=F("closed_until")).exclude(closed_from="")
    assert wraps.count() == 1
    assert Site.objects.filter(land_kind="unknown", spots__pans__isnull=True).count() == 1
    kinds = Counter(Site.objects.values_list("land_kind", flat=True))
    assert kinds == {"claim": 1, "permitted": 2, "private": 1, "public": 3, "unknown": 1}


def site_sums(party):
    """Value, fuel and outlay in cents and door-to-door minutes of trips to one site only."""
    points = price_points(party)
    sums = {}
    for figures in DerivedTripFigures.objects.filter(trip__state="wrapped_up"):
        visited = figures.trip.trip_sites.filter(was_visited=True)
        if len(visited) != 1 or figures.mass_ug is None:
            continue
        price = price_on(points, figures.trip.starts_on, party.currency)
        assert not isinstance(price, Unknown)
        worth = value_gold(mass_ug=figures.fine_ug, fineness=1000, price=price)
        found = sums.setdefault(visited[0].site.name, Counter())
        found["value"] += worth.amount_minor * party.payable_ppt // 1000
        found["fuel"] += figures.fuel_minor
        found["outlay"] += figures.outlay_minor
        found["minutes"] += figures.door_minutes
    return sums


def test_sites_tell_different_stories(party):
    sums = site_sums(party)
    ossaline, gorge = sums["Ossaline claim"], sums["Skelvane gorge"]
    assert ossaline["value"] > ossaline["outlay"] > ossaline["fuel"]
    middle = sums["Velmarrow middle reach"]
    assert middle["fuel"] < middle["value"] < middle["outlay"]
    bends = sums["Drennock bends"]
    assert bends["fuel"] * 0.75 < bends["value"] < bends["fuel"]
    weir = sums["Velmarrow weir reach"]
    assert weir["value"] < weir["fuel"] / 2
    # The gorge brings more value a trip, the claim more net an hour.
    assert gorge["value"] / 4 > 1.5 * ossaline["value"] / 11
    per_hour = {name: (one["value"] - one["outlay"]) / one["minutes"] for name, one in sums.items()}
    assert max(per_hour, key=per_hour.get) == "Ossaline claim"
    assert "Harrowmist Burn" not in sums


# Log-ins


@pytest.mark.parametrize(
    ("username", "role"), [("robin", "keeper"), ("mika", "hand"), ("jonna", "reader")]
)
def test_log_ins_open_the_demo_only(party, username, role):
    user = User.objects.get(username=username)
    assert user.check_password(PASSWORD)
    assert not user.is_superuser
    assert not user.is_staff
    (membership,) = user.memberships.all()
    assert (membership.party, membership.role) == (party, role)


def test_demo_command_names_the_same_log_in(party):
    assert User.objects.get(username=demo_command.USERNAME).check_password(demo_command.PASSWORD)


# What it says


def test_no_page_or_print_of_the_demo_says_that_a_trip_is_lawful(party, client):
    """The rendered texts, with what the demo's people and packs say, beside the walk of sources."""
    from pypdf import PdfReader

    from tests.arch.test_no_clearance import REASONS, WORDS

    denials = {" ".join(part.split()) for _, part in REASONS if " " in part}
    trip = Trip.objects.filter(party=party).order_by("-starts_on").first()
    paper = Paper.objects.filter(party=party, kind="permit").first()
    site = party.sites.first()
    client.force_login(User.objects.get(username="robin"))
    asked = {"as_of": AS_OF.isoformat(), "from": f"{AS_OF.year}-01-01", "to": AS_OF.isoformat()}

    def text_of(name, *args):
        answer = client.get(reverse(name, args=args), asked, follow=True)
        assert answer.status_code == 200, name
        if answer["Content-Type"] == "application/pdf":
            pages = PdfReader(io.BytesIO(answer.content)).pages
            return " ".join(page.extract_text() for page in pages)
        return re.sub(r"<[^>]*>", " ", html.unescape(answer.content.decode()))

    said = {}
    for name, *args in (
        ("reports:where_next",),
        ("reports:site_page", site.pk),
        ("reports:renewal_record", paper.pk),
        ("reports:renewal_record_file", paper.pk, "pdf"),
        ("reports:trip_sheet", trip.pk),
        ("reports:field_card", trip.pk),
        ("reports:blank_card",),
        ("trips:trip_detail", trip.pk),
        ("claims:site_rules_edit", site.pk),
        ("claims:paper_detail", paper.pk),
        ("claims:rule_list",),
        ("claims:month_page",),
    ):
        text = " ".join(text_of(name, *args).split())
        assert len(text) > 200, name
        for match in WORDS.finditer(text):
            around = text[max(0, match.start() - 60) : match.end() + 60]
            if not any(part in around for part in denials):
                said[name, match[0]] = around
    assert said == {}
