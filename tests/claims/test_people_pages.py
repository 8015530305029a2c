"""Signing up, the party page, roles and invitations as people meet them."""

import datetime as dt
import html
import re

import pytest
from django.urls import reverse
from django.utils import timezone

from claims.forms.people import SignUpForm
from claims.models import Invitation, Membership, Party, User
from claims.services import parties
from tests import factories as make
from tests.claims.pages import text_of, url

pytestmark = pytest.mark.django_db

NEW = {"username": "robin", "password1": make.PASSWORD, "password2": make.PASSWORD}


@pytest.fixture
def party():
    return make.make_party(name="Marl party")


@pytest.fixture
def keeper(client, party):
    make.signed_in(client, party)
    return client


def test_from_signing_up_to_a_record_of_ones_own(client):
    response = client.post(url("sign_up"), NEW)
    assert response.url == url("party_create")
    page = client.get(response.url)
    assert "robin’s record" in page.content.decode()
    sent = {"name": "Marl", "home_name": "", "time_zone": "UTC", "currency": "eur"}
    response = client.post(response.url, sent | {"hourly_figure_minor": "12,50"})
    assert response.url == reverse("trips:first_car")
    party = Party.objects.get()
    assert (party.currency, party.hourly_figure_minor) == ("EUR", 1250)
    assert party.memberships.get().user.username == "robin"


def first(monkeypatch, act):
    """Let somebody else act in the moment between the look at a sign-up and its save."""
    real = SignUpForm.save
    monkeypatch.setattr(SignUpForm, "save", lambda form: act() and real(form))


def test_of_two_who_take_a_name_at_once_the_second_is_told(client, monkeypatch):
    first(monkeypatch, lambda: make.make_user("robin"))
    response = client.post(url("sign_up"), NEW)
    assert "username" in response.context["page"].form.errors
    assert "_auth_user_id" not in client.session


def test_one_link_makes_one_log_in_where_signing_up_is_off(client, party, settings, monkeypatch):
    settings.SIGN_UP = False
    keeper = make.make_member(party).user
    now = timezone.now()
    parties.invite(party=party, role="hand", created_by=keeper, token="secret-one", now=now)
    first(monkeypatch, lambda: Invitation.objects.update(used_at=now))
    response = client.post(url("sign_up") + "?join=secret-one", NEW)
    assert "has just used this link" in text_of(response)
    assert list(User.objects.all()) == [keeper]


def test_an_empty_hourly_figure_stays_unknown_and_a_yen_has_no_cents(client):
    client.force_login(make.make_user())
    sent = {"name": "Marl", "time_zone": "Asia/Tokyo", "currency": "JPY"}
    client.post(url("party_create"), sent | {"hourly_figure_minor": ""})
    assert Party.objects.get().hourly_figure_minor is None
    response = client.post(url("party_create"), sent | {"hourly_figure_minor": "12.50"})
    assert response.context["page"].form.errors["hourly_figure_minor"]
    client.post(url("party_create"), sent | {"hourly_figure_minor": "1200"})
    assert Party.objects.latest("pk").hourly_figure_minor == 1200


@pytest.mark.parametrize("currency", ["EURO", "E", "12E", "", "€"])
def test_a_currency_is_three_letters(client, currency):
    client.force_login(make.make_user())
    sent = {"name": "Marl", "time_zone": "UTC", "currency": currency}
    response = client.post(url("party_create"), sent)
    assert "currency" in response.context["page"].form.errors
    assert not Party.objects.exists()


def test_signing_up_can_be_switched_off(client, settings):
    settings.SIGN_UP = False
    for response in (client.get(url("sign_up")), client.post(url("sign_up"), NEW)):
        assert "switched off" in text_of(response)
        assert "Ask a keeper" in text_of(response)
        assert b"password1" not in response.content
    assert not User.objects.exists()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"username": ""}, "username"),
        ({"username": "two words"}, "username"),
        ({"password2": "other-gravel-31"}, "password2"),
        ({"password1": "short", "password2": "short"}, "password2"),
        ({"password1": "1234567890123", "password2": "1234567890123"}, "password2"),
        ({"username": "taken"}, "username"),
        ({"email": "nowhere"}, "email"),
    ],
)
def test_a_refused_sign_up_names_the_field_and_saves_nothing(client, changes, field):
    make.make_user("taken")
    response = client.post(url("sign_up"), NEW | changes)
    assert field in response.context["page"].form.errors
    assert User.objects.count() == 1


def test_an_invitation_goes_from_keeper_to_a_new_person(client, keeper, party, settings):
    settings.SIGN_UP = False
    before = timezone.now()
    response = keeper.post(url("invitation_create"), {"role": "hand"})
    after = timezone.now()
    link = re.search(r'value="http://testserver(/join/[^"]+)"', response.content.decode())[1]
    assert "shown only now" in text_of(response)
    assert before <= Invitation.objects.get().expires_at - dt.timedelta(days=7) <= after
    token = link.split("/")[2]
    assert token not in keeper.get(url("party_detail")).content.decode()
    client.logout()
    page = client.get(link)
    assert "Join Marl party" in text_of(page)
    response = client.post(f"{url('sign_up')}?join={token}", NEW)
    assert response.url == url("party_detail")
    assert "a hand in Marl party" in text_of(client.get(response.url))
    assert party.memberships.get(user__username="robin").role == "hand"
    # The link is used up; with signing up switched off it no longer opens the form either.
    client.logout()
    assert client.get(link).status_code == 404
    assert client.get(f"{url('sign_up')}?join={token}").status_code == 403


def test_somebody_with_a_log_in_joins_by_the_button_only(client, party):
    token = "a" * 43
    keeper = make.make_member(party).user
    parties.invite(party=party, role="hand", created_by=keeper, token=token, now=timezone.now())
    robin = make.make_user("robin")
    link = url("invitation_accept", token)
    assert client.post(link).status_code == 200
    client.force_login(robin)
    client.get(link)
    assert not robin.memberships.exists()
    assert client.post(link).url == url("party_detail")
    assert robin.memberships.get().party == party


def test_every_link_that_is_not_good_gets_the_same_answer(client, party):
    keeper = make.make_member(party).user
    now = timezone.now()

    def link(token, **changes):
        parties.invite(party=party, role="hand", created_by=keeper, token=token, now=now)
        invitation = Invitation.objects.filter(token_sha256=parties.hash_of(token))
        if changes:
            invitation.update(**changes)
        else:
            invitation.delete()
        return url("invitation_accept", token)

    client.force_login(make.make_user())
    pages = [
        client.get(address)
        for address in (
            link("used", used_at=now),
            link("expired", expires_at=now - dt.timedelta(seconds=1)),
            link("revoked"),
            url("invitation_accept", "never-there"),
        )
    ]
    assert {page.status_code for page in pages} == {404}
    assert len({text_of(page) for page in pages}) == 1
    assert "Marl party" not in text_of(pages[0])


def test_whoever_came_in_by_a_link_and_presses_again_is_led_in(client, party):
    """With little reception the answer gets lost, and the button is pressed once more."""
    keeper, robin = make.make_member(party).user, make.make_user("robin")
    parties.invite(
        party=party, role="hand", created_by=keeper, token="secret-one", now=timezone.now()
    )
    path = url("invitation_accept", "secret-one")
    client.force_login(robin)
    assert [client.post(path).url for _ in range(2)] == [url("party_detail")] * 2
    assert client.get(path).url == url("party_detail")
    assert party.memberships.count() == 2
    client.force_login(make.make_user("eve"))
    assert client.post(path).status_code == 404
    party.memberships.get(user=robin).delete()
    client.force_login(robin)
    assert client.post(path).status_code == 404


def test_a_revoked_invitation_is_gone(keeper, party):
    invitation = make.make_invitation(party, party.memberships.get().user)
    assert "Take back" in text_of(keeper.get(url("party_detail")))
    keeper.post(url("invitation_revoke", invitation.pk))
    assert not Invitation.objects.exists()


def test_a_keeper_changes_roles_and_removes_but_not_the_last_keeper(keeper, party):
    own = party.memberships.get()
    other = make.make_member(party, role="hand")
    keeper.post(url("member_edit", other.pk), {"role": "reader"})
    assert Membership.objects.get(pk=other.pk).role == "reader"
    response = keeper.post(url("member_edit", own.pk), {"role": "hand"})
    assert "at least one keeper" in text_of(response)
    response = keeper.post(url("member_remove", own.pk), follow=True)
    assert "at least one keeper" in text_of(response)
    keeper.post(url("member_remove", other.pk))
    assert list(party.memberships.all()) == [own]


def test_a_second_keeper_is_told_of_the_role_the_first_one_gave(keeper, party):
    other = make.make_member(party, role="hand")
    path = url("member_edit", other.pk)
    assert 'name="seen_version" value="hand"' in keeper.get(path).content.decode()
    Membership.objects.filter(pk=other.pk).update(role="keeper")
    late = keeper.post(path, {"role": "reader", "seen_version": "hand"})
    assert "is now a keeper" in text_of(late)
    page = late.content.decode()
    assert 'name="seen_version" value="keeper"' in page
    assert re.search(r'value="reader"[^>]* checked', page)  # what was chosen stays chosen
    assert Membership.objects.get(pk=other.pk).role == "keeper"
    keeper.post(path, {"role": "reader", "seen_version": "keeper"})
    assert Membership.objects.get(pk=other.pk).role == "reader"


def test_a_removed_member_sees_nothing_at_once(client, party):
    make.make_member(party)
    make.signed_in(client, party, "hand")
    assert client.get(url("site_list")).status_code == 200
    party.memberships.filter(role="hand").delete()
    assert client.get(url("site_list")).url == url("party_create")


def test_one_person_changes_between_their_parties_and_no_others(client, party):
    second, strange = make.make_party(name="Second"), make.make_party(name="Strange")
    user = make.make_user()
    make.make_member(second, user)
    make.signed_in(client, party, user=user)
    client.post(url("party_switch"), {"party_id": second.pk})
    assert client.get(url("party_detail")).context["page"].party == second
    for wrong in (strange.pk, 10**30, "x", ""):
        assert client.post(url("party_switch"), {"party_id": wrong}).status_code == 404
    assert client.get(url("party_switch")).status_code == 405
    assert client.get(url("party_detail")).context["page"].party == second


def test_the_party_page_names_the_source_of_each_default(keeper):
    text = text_of(keeper.get(url("party_detail")))
    assert "885 ‰" in text
    assert "Wells, Placer Examination" in text
    assert "100 %" in text
    assert "12 mg a colour: bigger than a match head" in text
    assert "2.5 mg a colour" in text
    assert "Fuel price unknown" in text


def defaults(**changes):
    values = {
        "name": "Marl party",
        "time_zone": "UTC",
        "currency": "EUR",
        "hourly_figure_minor": "",
        "fineness": "885",
        "payable_ppt": "100",
        "pan_volume_ml": "",
        "fuel_price_milli_per_l": "",
        "coarse_words": "a",
        "medium_words": "b",
        "fine_words": "c",
        "coarse_mass_ug": "12",
        "medium_mass_ug": "2.5",
        "fine_mass_ug": "0.5",
    }
    return values | changes


def test_defaults_are_typed_in_peoples_units(keeper, party):
    sent = defaults(
        payable_ppt="92,5",
        pan_volume_ml="5,5",
        fuel_price_milli_per_l="1.879",
        fine_mass_ug="0,4",
        hourly_figure_minor="15",
    )
    assert keeper.post(url("party_edit"), sent).url == url("party_detail")
    party.refresh_from_db()
    assert party.payable_ppt == 925
    assert party.pan_volume_ml == 5_500
    assert party.fuel_price_milli_per_l == 1_879
    assert party.fine_mass_ug == 400
    assert party.hourly_figure_minor == 1_500


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("fineness", "22", "looks like karat"),
        ("fineness", "1001", "0 to 1000"),
        ("payable_ppt", "101", "0 to 100"),
        ("payable_ppt", "-1", "0 to 100"),
        ("payable_ppt", "92.55", "At most 1 digits"),
        ("pan_volume_ml", "0", "from"),
        ("pan_volume_ml", "big", "big"),
        ("fuel_price_milli_per_l", "-1.8", "from"),
        ("fuel_price_milli_per_l", "1e309", "1e309"),
        ("hourly_figure_minor", "12 USD", "mix currencies"),
        ("hourly_figure_minor", "-3", "from 0"),
        ("coarse_mass_ug", "1", "weighs at least as much"),
        ("name", "x" * 300, "120"),
        ("time_zone", "Mars/Base", "Mars/Base"),
    ],
)
def test_a_refused_default_says_what_was_expected_and_keeps_the_rest(
    keeper, party, field, typed, message
):
    response = keeper.post(url("party_edit"), defaults(home_name="Kept") | {field: typed})
    form = response.context["page"].form
    assert message in str(form.errors)
    assert typed in html.unescape(response.content.decode())
    assert 'value="Kept"' in response.content.decode()
    party.refresh_from_db()
    assert party.home_name == "Hollin Cross"


def test_a_fixed_currency_can_not_be_sent_either(keeper, party):
    make.make_price(party)
    keeper.post(url("party_edit"), defaults(currency="NZD"))
    party.refresh_from_db()
    assert party.currency == "EUR"


def test_own_settings_change_ones_units_only(keeper, party):
    sent = {"mass_unit": "dwt", "volume_unit": "us_gal", "distance_unit": "mi", "first_name": "Jo"}
    assert keeper.post(url("own_settings"), sent).url == url("own_settings")
    user = party.memberships.get().user
    assert (user.mass_unit, user.volume_unit, user.distance_unit) == ("dwt", "us_gal", "mi")
    response = keeper.post(url("own_settings"), sent | {"email": "no", "first_name": "Changed"})
    assert "email" in response.context["page"].form.errors
    assert response.context["request"].user.first_name == "Jo"


def test_the_password_is_changed_with_the_old_one_and_the_person_stays_signed_in(keeper, party):
    sent = {"new_password1": "fresh-bedrock-7", "new_password2": "fresh-bedrock-7"}
    response = keeper.post(url("password_change"), sent | {"old_password": "wrong"})
    assert "old_password" in response.context["page"].form.errors
    keeper.post(url("password_change"), sent | {"old_password": make.PASSWORD})
    assert party.memberships.get().user.check_password("fresh-bedrock-7")
    assert keeper.get(url("party_detail")).status_code == 200


def test_people_are_added_and_two_of_a_name_are_refused_at_the_name(keeper, party):
    keeper.post(url("person_create"), {"name": "Ада 三", "is_active": "on"})
    person = party.people.get(name="Ада 三")
    response = keeper.post(url("person_create"), {"name": "Ада 三"})
    assert "name" in response.context["page"].form.errors
    keeper.post(url("person_edit", person.pk), {"name": "Ада 三", "phone": "1"})
    person.refresh_from_db()
    assert (person.phone, person.is_active) == ("1", False)


def test_removing_somebody_asks_first_and_says_what_happens(keeper, party):
    other = make.make_member(party, make.make_user("ben"), "hand")
    page = keeper.get(url("member_remove", other.pk)).content.decode()
    assert "ben can then no longer open the record" in page
    assert "stays in the record" in page
    assert party.memberships.filter(pk=other.pk).exists()
    keeper.post(url("member_remove", other.pk))
    assert not party.memberships.filter(pk=other.pk).exists()
    own = party.memberships.get()
    assert (
        "You can then no longer open" in keeper.get(url("member_remove", own.pk)).content.decode()
    )


def test_removing_somebody_names_the_calendar_that_stays_open(keeper, party):
    told = "still shows titles and days of papers and duties to whoever has it"
    first, second = (make.make_member(party, role="hand") for _ in range(2))
    assert told not in text_of(keeper.get(url("member_remove", first.pk)))
    assert told not in text_of(keeper.post(url("member_remove", first.pk), follow=True))
    keeper.post(url("address_create"))
    assert told in text_of(keeper.get(url("member_remove", second.pk)))
    assert told in text_of(keeper.post(url("member_remove", second.pk), follow=True))
