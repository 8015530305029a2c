"""A new record without the demo: home, car, gear, first site, plan; every step can be skipped."""

import pytest
from django.urls import reverse

from claims.models import Party, Site
from tests import factories as make
from trips.models import Gear, Vehicle
from trips.presets import CARS, GEAR

pytestmark = pytest.mark.django_db
CAR, GEAR_PAGE = reverse("trips:first_car"), reverse("trips:first_gear")
SITE = reverse("claims:first_site")


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def as_shown(response):
    """What a browser would send back of the form on a page, unchanged."""
    form = response.context["page"].form
    shown = {name: form[name].value() for name in form.fields}
    return {name: "" if value is None else value for name, value in shown.items()}


def test_each_step_leads_to_the_next(client):
    client.force_login(make.make_user())
    page = client.get(reverse("claims:party_create"))
    assert client.post(reverse("claims:party_create"), as_shown(page)).url == CAR
    assert client.post(CAR, as_shown(client.get(CAR))).url == GEAR_PAGE
    assert client.post(GEAR_PAGE, as_shown(client.get(GEAR_PAGE))).url == SITE
    site = as_shown(client.get(SITE)) | {"name": "Alder ford", "land_kind": "unknown"}
    answer = client.post(SITE, site)
    assert answer.url == f"{reverse('trips:trip_create')}?site={Site.objects.get().pk}"
    plan = client.get(answer.url).content.decode()
    assert "Alder ford" in plan
    assert Vehicle.objects.get().name == "Estate car"
    assert set(Gear.objects.values_list("name", flat=True)) == {"Pan, 16 in", "Shovel and bar"}


def test_every_step_names_the_next_as_its_way_of_skipping(keeper):
    for here, onwards in (
        (CAR, GEAR_PAGE),
        (GEAR_PAGE, SITE),
        (SITE, reverse("reports:where_next")),
    ):
        assert f'<a class="button quiet" href="{onwards}">Skip' in keeper.get(here).content.decode()
    assert [m.objects.count() for m in (Vehicle, Gear, Site)] == [0, 0, 0]


@pytest.mark.parametrize("key", CARS)
def test_a_cars_figures_can_be_taken_with_their_source(keeper, party, key):
    page = keeper.get(CAR, {"preset": key})
    assert "from memory and without a source" in page.content.decode()
    keeper.post(CAR, as_shown(page) | {"price": "1.799"})
    car = Vehicle.objects.get(party=party)
    for name, value in CARS[key].values.items():
        assert getattr(car, name) == value
    assert Party.objects.get(pk=party.pk).fuel_price_milli_per_l == 1799


def test_what_is_left_empty_stays_unknown(keeper, party):
    Party.objects.filter(pk=party.pk).update(fuel_price_milli_per_l=None)
    sent = {"name": "Old van", "fuel": "diesel"}
    keeper.post(CAR, sent)
    car = Vehicle.objects.get()
    assert (car.sealed_ml_per_100km, car.wear_milli_per_km) == (None, None)
    assert Party.objects.get(pk=party.pk).fuel_price_milli_per_l is None


def test_a_wrong_figure_is_told_and_nothing_is_saved(keeper):
    sent = as_shown(keeper.get(CAR)) | {"sealed_ml_per_100km": "lots", "price": "-2"}
    answer = keeper.post(CAR, sent)
    assert set(answer.context["page"].form.errors) == {"sealed_ml_per_100km", "price"}
    assert "lots" in answer.content.decode()
    assert not Vehicle.objects.exists()


def test_gear_is_made_from_what_is_ticked_and_once_only(keeper, party):
    page = keeper.get(GEAR_PAGE).content.decode()
    for preset in GEAR.values():
        assert str(preset.source) in page
    keeper.post(GEAR_PAGE, {"gear": ["pan16", "pumped"]})
    keeper.post(GEAR_PAGE, {"gear": ["pan16"]})
    made = {piece.name: piece for piece in Gear.objects.filter(party=party)}
    assert set(made) == {"Pan, 16 in", "Pump-fed box"}
    assert made["Pump-fed box"].fuel_ml_per_h == GEAR["pumped"].values["fuel_ml_per_h"]


def test_gear_that_isnt_offered_is_refused(keeper):
    answer = keeper.post(GEAR_PAGE, {"gear": ["pan16", "dragline"]})
    assert answer.context["page"].form.errors["gear"]
    assert not Gear.objects.exists()


def test_a_site_needs_its_name_alone(keeper, party):
    answer = keeper.post(SITE, {"name": "", "land_kind": "unknown", "sealed_m": "40"})
    assert set(answer.context["page"].form.errors) == {"name"}
    keeper.post(SITE, {"name": "Alder ford", "land_kind": "unknown", "sealed_m": "40"})
    site = Site.objects.get(party=party)
    assert (site.sealed_m, site.track_m, site.drive_minutes) == (40_000, None, None)


@pytest.mark.parametrize("role", ["reader", "hand"])
def test_cars_and_gear_are_set_up_by_a_keeper(client, party, role):
    make.signed_in(client, party, role)
    assert client.get(CAR).status_code == 403
    assert client.post(GEAR_PAGE, {"gear": ["pan16"]}).status_code == 403
    assert client.get(SITE).status_code == (403 if role == "reader" else 200)
