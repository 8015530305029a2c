"""Planning a trip: saved whole, or refused in plain words."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from tests import factories as make
from trips.models import Cost, Trip
from trips.services.trips import Choice, save_plan

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
