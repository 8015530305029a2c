"""A trip's steps, its page, the list of trips, and who may what."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests import factories as make
from tests.trips.full_trip import full_trip
from trips.models import Trip
from trips.services.trips import start_trip

pytestmark = pytest.mark.django_db

DAY = make.DAY


@pytest.fixture
def party():
    return make.make_party(hourly_figure_minor=1_000)


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


# ---------------------------------------------------------------- a trip's life


def test_trip_lives_from_plan_to_reopening(keeper, party):
    trip = make.make_trip(party)

    def state():
        trip.refresh_from_db()
        return trip.state

    keeper.post(reverse("trips:trip_start", args=[trip.pk]))
    assert state() == "under_way"
    keeper.post(reverse("trips:trip_call_off", args=[trip.pk]), {"reason": "flood"})
    assert state() == "called_off"
    assert trip.called_off_reason == "flood"
    keeper.post(reverse("trips:trip_reopen", args=[trip.pk]))
    assert state() == "planned"
    assert trip.called_off_reason == ""


def test_a_wrapped_up_trip_can_be_reopened_but_not_called_off(keeper, party):
    trip = full_trip(party)
    answer = keeper.post(reverse("trips:trip_call_off", args=[trip.pk]), {"reason": ""})
    assert "is wrapped up" in answer.content.decode()
    keeper.post(reverse("trips:trip_reopen", args=[trip.pk]))
    trip.refresh_from_db()
    assert trip.state == "under_way"


@pytest.mark.parametrize("name", ["trip_start", "trip_reopen"])
def test_steps_answer_only_to_posts(keeper, party, name):
    trip = make.make_trip(party)
    assert keeper.get(reverse(f"trips:{name}", args=[trip.pk])).status_code == 405


def test_starting_twice_is_told(party):
    trip = make.make_trip(party)
    start_trip(trip=trip)
    with pytest.raises(ValidationError, match="under way"):
        start_trip(trip=trip)


def test_delete_asks_first_and_then_takes_everything(keeper, party):
    trip = full_trip(party)
    address = reverse("trips:trip_delete", args=[trip.pk])
    asked = keeper.get(address).content.decode()
    assert "test pans: 3" in asked
    assert "For a month all of it can be brought back" in asked
    assert Trip.objects.exists()
    keeper.post(address)
    assert not Trip.objects.exists()


def test_delete_is_refused_while_lots_rest_on_the_trip(keeper, party):
    trip = full_trip(party)
    make.make_lot(trip.weigh_ins.get(), name="Flat one")
    answer = keeper.post(reverse("trips:trip_delete", args=[trip.pk]))
    assert "“Flat one”" in answer.content.decode()
    assert Trip.objects.exists()


# -------------------------------------------------------------------- the page


def test_plan_page_shows_break_even_gold_and_cost_lines(keeper, party):
    """40 km: 30 sealed at 8, 8 gravel at 10, 2 track at 14 L/100 km = 3.48 L; at 1.80 = 6.26."""
    trip = make.make_trip(party, vehicle=make.make_vehicle(party), planned_work_minutes=360)
    make.make_price(party)
    page = keeper.get(f"{reverse('trips:trip_detail', args=[trip.pk])}?as_of=2031-05-03")
    seen = page.context["page"]
    fuel, outlay, wear, hours = seen.steps
    assert fuel.money_minor == outlay.money_minor == 626
    # 626 cents at 100.00 a gram fine and 885 fine: 0.070734… g, rounded up.
    assert fuel.gold_ug == 70_735
    assert wear.money_minor == 626 + 600  # 40 km at 0.150
    assert seen.plan_minutes.minutes == 360 + 2 * (35 + 10)
    assert hours.money_minor == 1_226 + 7_500  # 7.5 h at 10.00
    assert "made up for tests" in page.content.decode()
    assert "3110.34768" in page.content.decode().replace("\u2009", "")


def test_without_price_the_gold_is_unknown_with_the_reason(keeper, party):
    trip = make.make_trip(party, vehicle=make.make_vehicle(party))
    page = keeper.get(reverse("trips:trip_detail", args=[trip.pk]))
    assert page.context["page"].steps[0].gold_ug is None
    assert "No gold price has been entered yet." in page.content.decode()


def test_unknown_drive_keeps_the_cost_unknown(keeper, party):
    site = make.make_site(party, sealed_m=None, unsealed_m=None, track_m=None)
    trip = make.make_trip(party, site, vehicle=make.make_vehicle(party))
    seen = keeper.get(reverse("trips:trip_detail", args=[trip.pk])).context["page"]
    assert seen.outlay_minor is None
    assert seen.steps[0].money_minor is None


def test_wrapped_up_page_shows_value_net_and_shares(keeper, party):
    trip = full_trip(party)
    page = keeper.get(f"{reverse('trips:trip_detail', args=[trip.pk])}?as_of=2031-05-03")
    seen = page.context["page"]
    [worth] = seen.worths
    assert worth.value_minor == 8_850  # 1 g of 885 fine at 100 a gram fine
    outlay = 626 + 1_200
    assert worth.net_minor == 8_850 - outlay
    assert worth.per_hour_minor == round((8_850 - outlay) * 60 / 310)
    assert [(r.share_minor, r.paid_minor) for r in seen.shares.rows] == [(600, 1200), (600, 0)]
    assert seen.shares.transfers[0].amount_minor == 600
    assert sum(run.derived_share.mass_ug for run in seen.runs) == 1_000_000
    labels = {row.label: (row.planned, row.happened) for row in seen.compared}
    assert labels["Hours door to door"][1].startswith("5")


def test_a_later_day_is_valued_at_its_own_price(keeper, party):
    trip = full_trip(party)
    make.make_price(party, dt.date(2032, 1, 1), amount_micros=6_220_695_360)
    seen = keeper.get(f"{reverse('trips:trip_detail', args=[trip.pk])}?as_of=2032-01-02").context[
        "page"
    ]
    assert [worth.value_minor for worth in seen.worths] == [8_850, 17_700]


def test_trip_page_asks_as_many_questions_for_twice_the_records(keeper, party):
    counts = []
    for size in (3, 6):
        party.prices.all().delete()
        trip = full_trip(party, pans=size, runs=size)
        with CaptureQueriesContext(connection) as asked:
            keeper.get(reverse("trips:trip_detail", args=[trip.pk]))
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_list_asks_as_many_questions_for_twice_the_trips(keeper, party):
    counts = []
    for _ in range(2):
        for _ in range(3):
            party.prices.all().delete()
            full_trip(party)
        with CaptureQueriesContext(connection) as asked:
            assert keeper.get(reverse("trips:trip_list")).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


# -------------------------------------------------------------------- the list


def test_empty_list_teaches_and_offers_the_plan(keeper):
    page = keeper.get(reverse("trips:trip_list")).content.decode()
    assert "No trips yet" in page
    assert reverse("trips:trip_create") in page


def test_list_is_narrowed_by_state_year_and_site(keeper, party):
    a, b = make.make_site(party), make.make_site(party)
    make.make_trip(party, a, name="spring")
    make.make_trip(party, b, name="later", starts_on=dt.date(2032, 5, 1), state="called_off")

    def titles(**asked):
        page = keeper.get(reverse("trips:trip_list"), asked).context["page"]
        return [row.record.title for row in page.table.rows] if page.table else []

    assert titles() == ["later", "spring"]
    assert titles(state="planned") == ["spring"]
    assert titles(year="2032") == ["later"]
    assert titles(site=a.pk) == ["spring"]
    assert titles(site=a.pk, year="2032") == []
    assert titles(year="nonsense") == ["later", "spring"]


COLUMNS = ["starts_on", "sites", "state", "people", "mass_ug", "door_minutes", "outlay_minor"]


@pytest.mark.parametrize("column", [*COLUMNS, "net_minor"])
@pytest.mark.parametrize("sign", ["", "-"])
def test_list_sorts_by_every_column_with_gaps(keeper, party, column, sign):
    full_trip(party)
    make.make_trip(party)
    answer = keeper.get(reverse("trips:trip_list"), {"sort": f"{sign}{column}"})
    assert len(answer.context["page"].table.rows) == 2


@pytest.mark.parametrize("fmt", ["csv", "xlsx"])
def test_list_exports_all_rows(keeper, party, fmt):
    trip = full_trip(party)
    answer = keeper.get(reverse("trips:trip_list"), {"export": fmt})
    assert answer.headers["Content-Disposition"].endswith(f'trips.{fmt}"')
    if fmt == "csv":
        text = answer.content.decode("utf-8-sig").splitlines()
        assert text[1].startswith(f"2031-05-03,{trip},")
        assert "1000000" in text[1]


# ------------------------------------------------------------------ who may what

PAGES = ["trip_detail", "trip_edit", "trip_call_off", "trip_delete", "trip_wrap_up"]
PAGES += ["trip_start", "trip_reopen", "pan_create", "run_create", "hours_create", "cost_create"]


@pytest.mark.parametrize("name", PAGES)
def test_another_partys_trip_does_not_exist(keeper, name):
    theirs = make.make_trip(make.make_party())
    address = reverse(f"trips:{name}", args=[theirs.pk])
    if name not in ("trip_start", "trip_reopen"):
        assert keeper.get(address).status_code == 404
    assert keeper.post(address).status_code == 404
    assert Trip.objects.filter(pk=theirs.pk, state="planned").exists()


@pytest.mark.parametrize("name", [p for p in PAGES if p != "trip_detail"])
def test_reader_may_not_write(client, party, name):
    make.signed_in(client, party, "reader")
    trip = make.make_trip(party)
    assert client.post(reverse(f"trips:{name}", args=[trip.pk])).status_code == 403


def test_reader_sees_the_page_without_buttons(client, party):
    make.signed_in(client, party, "reader")
    trip = full_trip(party)
    page = client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert reverse("trips:trip_wrap_up", args=[trip.pk]) not in page
    assert reverse("trips:trip_delete", args=[trip.pk]) not in page


def test_signed_out_is_sent_to_sign_in(client, party):
    trip = make.make_trip(party)
    answer = client.get(reverse("trips:trip_detail", args=[trip.pk]))
    assert answer.url.startswith(reverse("login"))


def test_words_of_people_are_escaped(keeper, party):
    trip = make.make_trip(party, name="<b>x</b>", plan_note="<i>n</i>")
    page = keeper.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert "<b>x</b>" not in page
    assert "<i>n</i>" not in page


def test_what_has_not_happened_is_a_dash_and_a_gap_is_unknown(keeper, party):
    make.make_trip(party)
    make.make_trip(party, state="wrapped_up")
    table = keeper.get(reverse("trips:trip_list"), {"sort": "state"}).context["page"].table
    assert [row.get_cell("mass_ug") for row in table.rows] == ["–", "unknown"]


def test_the_line_of_a_folded_filter_says_what_is_set(keeper, party):
    site = make.make_site(party=party, name="Alder ford")
    make.make_trip(party, site=site)
    every = keeper.get("/trips/").content.decode()
    assert '<span class="said">' not in every
    some = keeper.get(f"/trips/?site={site.pk}&state=planned").content.decode()
    assert '<span class="said">planned · Alder ford</span>' in some
    assert '<details class="narrow">' in some
    # What can't be read opens the bar, with its sentence.
    wrong = keeper.get("/trips/?state=dreamt").content.decode()
    assert '<details class="narrow" open>' in wrong


def test_a_trip_without_a_name_is_listed_by_its_day_alone(keeper, party):
    make.make_trip(party, starts_on=DAY, ends_on=DAY, name="")
    page = keeper.get("/trips/").content.decode()
    assert f"{DAY.day} {DAY:%b %Y}</a>" in page
    assert "Trip of" not in page
