"""The party's defaults, its people, the choice between parties and own settings."""

import datetime as dt

import pytest
from django.urls import reverse

from claims import hooks
from claims.models import Membership, Party, Person, User
from tests import factories as make
from tests.claims.pages import (
    HUGE,
    LONG,
    NO_NUMBERS,
    SCRIPTS,
    assert_refused,
    queries_of,
    text_of,
    url,
)

pytestmark = pytest.mark.django_db

SENT = {
    "name": "Marl party",
    "home_name": "Hollin Cross",
    "time_zone": "UTC",
    "currency": "EUR",
    "hourly_figure_minor": "",
    "fineness": "885",
    "payable_ppt": "92,5",
    "pan_volume_ml": "5",
    "fuel_price_milli_per_l": "1.789",
    "coarse_words": "match head",
    "medium_words": "sugar",
    "fine_words": "flour",
    "coarse_mass_ug": "12",
    "medium_mass_ug": "2.5",
    "fine_mass_ug": "0.5",
}


@pytest.fixture
def party():
    return make.make_party(name="Marl party")


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


@pytest.fixture
def told(monkeypatch):
    calls = []
    monkeypatch.setattr(hooks, "party_changed", [calls.append])
    return calls


def test_defaults_are_saved_in_whole_steps_shown_again_and_told(keeper, party, told):
    assert keeper.post(url("party_edit"), SENT).url == url("party_detail")
    party.refresh_from_db()
    assert (party.payable_ppt, party.pan_volume_ml, party.fuel_price_milli_per_l) == (
        925,
        5_000,
        1_789,
    )
    assert (party.coarse_mass_ug, party.medium_mass_ug, party.fine_mass_ug) == (12_000, 2_500, 500)
    assert told == [party]
    page = text_of(keeper.get(url("party_detail")))
    for words in ("885 ‰", "92.5 %", "1.789 EUR per litre", "2.5 mg a colour", "match head"):
        assert words in page
    keeper.post(url("party_edit"), SENT | {"name": "Marl and others"})
    assert told == [party]


def test_what_is_left_empty_stays_unknown(keeper, party):
    keeper.post(url("party_edit"), SENT | {"fuel_price_milli_per_l": "", "pan_volume_ml": ""})
    party.refresh_from_db()
    assert (party.fuel_price_milli_per_l, party.pan_volume_ml) == (None, None)
    assert "unknown" in text_of(keeper.get(url("party_detail")))


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("name", ""),
        ("name", LONG),
        ("home_name", LONG),
        ("coarse_words", LONG),
        ("time_zone", "Mars/Olympus"),
        ("currency", "EURO"),
        ("fineness", ""),
        ("fineness", "18"),
        ("fineness", "1001"),
        ("payable_ppt", "100.1"),
        ("payable_ppt", "92.55"),
        ("fuel_price_milli_per_l", "0"),
        ("fuel_price_milli_per_l", "1.7891"),
        ("medium_mass_ug", "13"),
        ("medium_mass_ug", "0.4"),
        ("coarse_mass_ug", ""),
        ("hourly_figure_minor", "12.345"),
        ("hourly_figure_minor", "10 USD"),
        *[
            (name, bad)
            for name in (
                "fineness",
                "payable_ppt",
                "pan_volume_ml",
                "fuel_price_milli_per_l",
                "fine_mass_ug",
                "hourly_figure_minor",
            )
            for bad in NO_NUMBERS
        ],
    ],
)
def test_what_cannot_be_right_is_refused_at_its_field_and_stays_as_typed(
    keeper, party, told, field, typed
):
    response = keeper.post(url("party_edit"), SENT | {"home_name": "Elsewhere"} | {field: typed})
    unseen = field == "time_zone" or "\x00" in typed
    assert assert_refused(response, field, "" if unseen else typed)
    if field != "home_name":
        assert 'value="Elsewhere"' in response.content.decode()
    party.refresh_from_db()
    assert party.home_name == "Hollin Cross"
    assert told == []


def test_a_currency_stays_once_a_cost_is_recorded_whatever_is_sent(keeper, party):
    make.make_cost(make.make_trip(party))
    page = keeper.get(url("party_edit"))
    assert "it can't change any more" in text_of(page)
    keeper.post(url("party_edit"), SENT | {"currency": "USD"})
    party.refresh_from_db()
    assert (party.currency, party.payable_ppt) == ("EUR", 925)


def test_a_currency_may_change_while_nothing_is_recorded(keeper, party):
    keeper.post(url("party_edit"), SENT | {"currency": "chf"})
    party.refresh_from_db()
    assert party.currency == "CHF"


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_party_may_be_called_anything_in_any_script(client, name):
    client.force_login(make.make_user())
    client.post(
        url("party_create"), {"name": name, "time_zone": "UTC", "currency": "EUR"}, follow=True
    )
    assert Party.objects.get().name == name
    page = client.get(url("party_detail"))
    assert name in text_of(page)
    assert b"<b>bold</b>" not in page.content


@pytest.mark.parametrize("role", ["reader", "hand"])
def test_only_a_keeper_changes_party_people_and_invitations(client, party, role):
    other = make.make_member(party)
    person = make.make_person(party, "Old name")
    later = other.joined_at + dt.timedelta(days=7)
    invitation = make.make_invitation(party, other.user, expires_at=later)
    make.signed_in(client, party, role)
    addresses = [
        url("party_edit"),
        url("person_create"),
        url("person_edit", person.pk),
        url("member_edit", other.pk),
        url("member_remove", other.pk),
        url("invitation_create"),
        url("invitation_revoke", invitation.pk),
    ]
    for address in addresses:
        assert client.post(address, SENT | {"role": "reader"}).status_code == 403, address
    assert Person.objects.get(pk=person.pk).name == "Old name"
    assert Membership.objects.get(pk=other.pk).role == "keeper"
    assert party.invitations.count() == 1
    page = client.get(url("party_detail")).content.decode()
    assert not [address for address in addresses if f'"{address}"' in page]


def test_anothers_people_members_and_invitations_are_not_found(keeper):
    strange = make.make_party(name="Strange party")
    member = make.make_member(strange)
    pks = {
        "person_edit": make.make_person(strange, "Strange person").pk,
        "member_edit": member.pk,
        "member_remove": member.pk,
        "invitation_revoke": make.make_invitation(strange, member.user).pk,
    }
    for name, pk in pks.items():
        for number in (pk, int(HUGE)):
            assert keeper.post(url(name, number), {"role": "reader"}).status_code == 404, name
    assert "Strange" not in text_of(keeper.get(url("party_detail")))
    assert strange.memberships.get().role == "keeper"
    assert strange.invitations.count() == 1


@pytest.mark.parametrize("wanted", ["", "x", "-1", HUGE, "strange"])
def test_one_cannot_change_to_a_party_one_is_not_in(keeper, party, wanted):
    strange = make.make_party()
    pk = strange.pk if wanted == "strange" else wanted
    assert keeper.post(url("party_switch"), {"party_id": pk}).status_code == 404
    assert keeper.get(url("party_detail")).context["page"].party == party


def test_changing_the_party_needs_the_button(keeper):
    assert keeper.get(url("party_switch")).status_code == 405


def test_a_person_is_added_changed_and_put_away(keeper, party):
    keeper.post(url("person_create"), {"name": "Sol", "phone": "555 0101", "is_active": "on"})
    person = party.people.get()
    assert (person.name, person.is_active) == ("Sol", True)
    keeper.post(url("person_edit", person.pk), {"name": "Sól", "phone": ""})
    person.refresh_from_db()
    assert (person.name, person.is_active) == ("Sól", False)


@pytest.mark.parametrize(
    ("field", "typed"), [("name", ""), ("name", LONG), ("name", "Taken"), ("phone", LONG)]
)
def test_a_wrong_person_is_refused_at_its_field(keeper, party, field, typed):
    make.make_person(party, "Taken")
    sent = {"name": "Sol", "phone": "555 0101"} | {field: typed}
    assert_refused(keeper.post(url("person_create"), sent), field, typed)
    assert party.people.count() == 1


@pytest.mark.parametrize("role", ["", "owner", LONG])
def test_a_role_that_there_is_not_is_refused(keeper, party, role):
    member = make.make_member(party, role="hand")
    assert_refused(keeper.post(url("member_edit", member.pk), {"role": role}), "role")
    assert_refused(keeper.post(url("invitation_create"), {"role": role}), "role")
    member.refresh_from_db()
    assert member.role == "hand"
    assert not party.invitations.exists()


def test_twice_the_people_members_and_invitations_cost_no_more_queries(keeper, party):
    def fill():
        for _ in range(3):
            make.make_person(party)
            make.make_invitation(party, make.make_member(party, role="hand").user)

    fill()
    few = queries_of(keeper, url("party_detail"))
    fill()
    assert queries_of(keeper, url("party_detail")) == few


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("first_name", LONG),
        ("email", "nowhere"),
        ("mass_unit", "stone"),
        ("volume_unit", ""),
        ("distance_unit", "league"),
    ],
)
def test_wrong_own_settings_are_refused_and_right_ones_kept(keeper, field, typed):
    sent = {"mass_unit": "g", "volume_unit": "L", "distance_unit": "mi", "first_name": "Robin"}
    assert_refused(keeper.post(url("own_settings"), sent | {field: typed}), field)
    assert User.objects.get().distance_unit == "km"
    assert keeper.post(url("own_settings"), sent).status_code == 302
    assert (User.objects.get().distance_unit, User.objects.get().first_name) == ("mi", "Robin")


def test_a_changed_password_keeps_this_device_signed_in(keeper):
    new = "fresh-gravel-32"
    sent = {"old_password": "wrong", "new_password1": new, "new_password2": new}
    assert_refused(keeper.post(url("password_change"), sent), "old_password")
    assert User.objects.get().check_password(make.PASSWORD)
    keeper.post(url("password_change"), sent | {"old_password": make.PASSWORD})
    assert User.objects.get().check_password(new)
    assert keeper.get(url("party_detail")).status_code == 200


@pytest.mark.parametrize(("typed", "works"), [(make.PASSWORD, True), ("wrong", False)])
def test_signing_in_needs_the_right_password(client, party, typed, works):
    make.make_member(party, make.make_user("robin"))
    response = client.post(reverse("login"), {"username": "robin", "password": typed})
    assert ("_auth_user_id" in client.session) is works
    if not works:
        assert 'value="robin"' in response.content.decode()
        assert typed not in response.content.decode().replace("wrong user", "")
