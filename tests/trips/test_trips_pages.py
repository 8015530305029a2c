"""The list of trips, planning, and the page a trip lives on."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests import factories as make
from trips.models import Cost, Trip
from trips.services import derive
from trips.services.trips import Choice, save_plan, start_trip

pytestmark = pytest.mark.django_db

DAY = make.DAY


@pytest.fixture
def party():
    return make.make_party(hourly_figure_minor=1_000)


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def plan_data(site, **overrides):
    """What a browser sends for a plan with no planned costs."""
    data = {
        "site": site.pk,
        "starts_on": "2031-05-03",
        "ends_on": "",
        "planned_work_minutes": "6 h",
        "costs-TOTAL_FORMS": "0",
        "costs-INITIAL_FORMS": "0",
    }
    return data | overrides


def full_trip(party, pans=3, runs=2):
    """A wrapped-up trip with everything on it."""
    people = [make.make_person(party), make.make_person(party)]
    site = make.make_site(party, latitude_udeg=46_000_000, longitude_udeg=8_000_000)
    car = make.make_vehicle(party)
    trip = make.make_trip(party, site, people=people, vehicle=car, planned_work_minutes=360)
    for _ in range(pans):
        make.make_pan(trip)
    washed = [make.make_run(trip) for _ in range(runs)]
    make.make_hours(trip, "drive", 70)
    make.make_hours(trip, "run", 240, site=site)
    make.make_cost(trip, paid_by=people[0])
    make.make_weigh_in(trip, runs=washed)
    make.make_price(party)
    trip.trip_sites.update(was_visited=True)
    Trip.objects.filter(pk=trip.pk).update(state="wrapped_up")
    derive.rebuild_trip(trip.pk)
    return trip


# ------------------------------------------------------------------ planning


def test_plan_needs_a_site_first(keeper):
    page = keeper.get(reverse("trips:trip_create"))
    assert reverse("claims:site_create") in page.content.decode()


def test_plan_is_saved_whole_and_leads_to_the_trip(keeper, party):
    first, second = make.make_site(party), make.make_site(party)
    ada, car, box = make.make_person(party), make.make_vehicle(party), make.make_gear(party)
    answer = keeper.post(
        reverse("trips:trip_create"),
        plan_data(
            first,
            fallback_1=second.pk,
            trigger_1="water above the marker",
            people=[ada.pk],
            vehicle=car.pk,
            gear=[box.pk],
            fuel_price_milli_per_l="1,85",
            back_by="2031-05-03T19:00",
            alarm_at="2031-05-03T21:00",
            alarm_name="Ola",
            alarm_contact="0000 111",
            **{
                "costs-TOTAL_FORMS": "2",
                "costs-0-kind": "food",
                "costs-0-amount_minor": "12.50",
                "costs-1-kind": "camp",
                "costs-1-amount_minor": "",
            },
        ),
    )
    trip = Trip.objects.get()
    assert answer.url == reverse("trips:trip_detail", args=[trip.pk])
    assert [row.site for row in trip.trip_sites.all()] == [first, second]
    assert trip.trip_sites.all()[1].trigger == "water above the marker"
    assert list(trip.people.all()) == [ada]
    assert list(trip.gear.all()) == [box]
    assert trip.ends_on == DAY
    assert trip.planned_work_minutes == 360
    assert trip.fuel_price_milli_per_l == 1_850
    cost = trip.costs.get()
    assert (cost.stage, cost.amount_minor, cost.currency) == ("planned", 1_250, "EUR")
    assert trip.derived_figures.outlay_minor is not None


def test_times_are_read_by_the_clock_of_the_first_site(keeper, party):
    site = make.make_site(party, time_zone="Europe/Oslo")
    keeper.post(reverse("trips:trip_create"), plan_data(site, back_by="2031-05-03T19:00"))
    trip = Trip.objects.get()
    assert trip.back_by == dt.datetime(2031, 5, 3, 17, 0, tzinfo=dt.UTC)
    page = keeper.get(reverse("trips:trip_edit", args=[trip.pk])).content.decode()
    assert "2031-05-03T19:00" in page
    assert "Europe/Oslo" in page


REFUSALS = [
    ({"starts_on": "2031-05-03", "ends_on": "2031-05-02"}, "ends_on", "before the first day"),
    ({"starts_on": "2031-05-03", "ends_on": "2031-07-02"}, "ends_on", "at most 60 days"),
    ({"starts_on": "soon"}, "starts_on", "valid date"),
    ({"site": ""}, "site", "required"),
    ({"planned_work_minutes": "some"}, "planned_work_minutes", "Expected a time"),
    ({"fuel_price_milli_per_l": "dear"}, "fuel_price_milli_per_l", "could not be read"),
    ({"trigger_1": "flood"}, "fallback_1", "which site"),
    ({"alarm_at": "2031-05-03T20:00"}, "back_by", "when you mean to be back"),
    (
        {"back_by": "2031-05-03T20:00", "alarm_at": "2031-05-03T19:00"},
        "alarm_at",
        "after the time to be back",
    ),
    ({"back_by": "2031-05-02T20:00"}, "back_by", "before the first day"),
]


@pytest.mark.parametrize(("changed", "field", "words"), REFUSALS)
def test_plan_refuses_in_plain_words_and_saves_nothing(keeper, party, changed, field, words):
    data = plan_data(make.make_site(party)) | changed
    answer = keeper.post(reverse("trips:trip_create"), data)
    assert answer.status_code == 200
    assert words in " ".join(answer.context["form"].errors[field])
    assert not Trip.objects.exists()
    for typed in changed.values():
        assert typed in answer.content.decode()


def test_same_site_twice_is_refused(keeper, party):
    site = make.make_site(party)
    answer = keeper.post(reverse("trips:trip_create"), plan_data(site, fallback_1=site.pk))
    assert "in the plan twice" in answer.context["form"].errors["fallback_1"][0]


def test_fallback_without_first_choice_is_refused(keeper, party):
    site = make.make_site(party)
    answer = keeper.post(
        reverse("trips:trip_create"), plan_data(site) | {"site": "", "fallback_1": site.pk}
    )
    assert "needs a first choice" in answer.context["form"].errors["site"][0]


def test_retired_site_is_refused_with_the_reason(keeper, party):
    make.make_site(party)
    old = make.make_site(party, is_retired=True)
    answer = keeper.post(reverse("trips:trip_create"), plan_data(old))
    assert "out of use" in answer.context["form"].errors["site"][0]


def test_another_partys_site_is_no_choice(keeper, party):
    make.make_site(party)
    theirs = make.make_site(make.make_party())
    answer = keeper.post(reverse("trips:trip_create"), plan_data(theirs))
    assert "site" in answer.context["form"].errors
    assert not Trip.objects.exists()


@pytest.mark.parametrize(
    ("starts_on", "is_refused"),
    [("2031-11-30", False), ("2031-12-01", True), ("2032-02-29", True), ("2032-03-01", False)],
)
def test_closed_window_over_new_year_stops_the_date_on_both_sides(
    keeper, party, starts_on, is_refused
):
    site = make.make_site(party, closed_from="12-01", closed_until="02-29")
    answer = keeper.post(reverse("trips:trip_create"), plan_data(site, starts_on=starts_on))
    assert (answer.status_code == 200) is is_refused
    assert Trip.objects.exists() is not is_refused


@pytest.mark.parametrize(("starts_on", "is_refused"), [("2031-12-31", False), ("2032-01-01", True)])
def test_day_after_the_papers_end_is_refused(keeper, party, starts_on, is_refused):
    site = make.make_site(party)
    make.make_paper(party, [site])
    answer = keeper.post(reverse("trips:trip_create"), plan_data(site, starts_on=starts_on))
    assert (answer.status_code == 200) is is_refused


def test_a_stopped_date_can_be_kept_only_after_it_was_shown(keeper, party):
    site = make.make_site(party, closed_from="05-01", closed_until="05-31")
    address = reverse("trips:trip_create")
    assert "keep_date" not in keeper.get(address).context["form"].fields
    refused = keeper.post(address, plan_data(site))
    assert "closed" in refused.context["form"].errors["starts_on"][0]
    assert "Keep this date all the same" in refused.content.decode()
    keeper.post(address, plan_data(site, keep_date="on"))
    assert Trip.objects.count() == 1


def test_new_plan_starts_with_the_as_of_day_the_one_car_and_the_partys_fuel_price(client):
    party = make.make_party(fuel_price_milli_per_l=1_799)
    make.signed_in(client, party)
    site, car = make.make_site(party), make.make_vehicle(party)
    page = client.get(f"{reverse('trips:trip_create')}?site={site.pk}&as_of=2031-05-03")
    form = page.context["form"]
    assert form["starts_on"].value() == DAY
    assert form["vehicle"].value() == car.pk
    assert form["fuel_price_milli_per_l"].value() == "1.799"
    assert form["site"].value() == site.pk


def test_changing_a_plan_keeps_a_site_where_something_is_recorded(keeper, party):
    worked, other = make.make_site(party), make.make_site(party)
    trip = make.make_trip(party, worked)
    make.make_pan(trip)
    keeper.post(reverse("trips:trip_edit", args=[trip.pk]), plan_data(other))
    rows = [(row.site, row.rank) for row in trip.trip_sites.order_by("rank")]
    assert rows == [(other, 0), (worked, 1)]


def test_swapping_first_choice_and_fallback_works(keeper, party):
    a, b = make.make_site(party), make.make_site(party)
    trip = make.make_trip(party, a, fallbacks=[b])
    keeper.post(reverse("trips:trip_edit", args=[trip.pk]), plan_data(b, fallback_1=a.pk))
    assert [row.site for row in trip.trip_sites.order_by("rank")] == [b, a]


def test_plan_service_refuses_people_of_another_party(party):
    stranger = make.make_person(make.make_party())
    trip = Trip(party=party, starts_on=DAY, ends_on=DAY)
    with pytest.raises(ValidationError, match="isn't in this record"):
        save_plan(trip=trip, choices=[Choice(make.make_site(party))], people=[stranger], gear=[])
    assert not Trip.objects.exists()


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
    assert "test pans: 3" in keeper.get(address).content.decode()
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


def test_planned_costs_are_changed_and_dropped_in_the_plan(keeper, party):
    site = make.make_site(party)
    trip = make.make_trip(party, site)
    cost = make.make_cost(trip, stage=Cost.Stage.PLANNED)
    keeper.post(
        reverse("trips:trip_edit", args=[trip.pk]),
        plan_data(
            site,
            **{
                "costs-TOTAL_FORMS": "1",
                "costs-INITIAL_FORMS": "1",
                "costs-0-id": cost.pk,
                "costs-0-kind": "food",
                "costs-0-amount_minor": "12.00",
                "costs-0-DELETE": "on",
            },
        ),
    )
    assert not trip.costs.exists()


def test_what_has_not_happened_is_a_dash_and_a_gap_is_unknown(keeper, party):
    make.make_trip(party)
    make.make_trip(party, state="wrapped_up")
    table = keeper.get(reverse("trips:trip_list"), {"sort": "state"}).context["page"].table
    assert [row.get_cell("mass_ug") for row in table.rows] == ["–", "unknown"]
