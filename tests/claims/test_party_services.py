"""Parties, roles and invitations: the rules over several rows."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from claims import hooks
from claims.models import Invitation, Membership, Party
from claims.models.fact import ChangedMeanwhile
from claims.selectors import party_page
from claims.services import ground, papers, parties
from tests import factories as make

pytestmark = pytest.mark.django_db

NOW = dt.datetime(2031, 5, 3, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(party):
    return make.make_member(party).user


@pytest.fixture
def told(monkeypatch):
    """Parties that the hook was run for."""
    heard = []
    monkeypatch.setattr(hooks, "party_changed", [heard.append])
    return heard


def invite(party, keeper, token="secret-one", role="hand"):
    return parties.invite(party=party, role=role, created_by=keeper, token=token, now=NOW)


def test_the_founder_of_a_party_is_its_keeper_and_first_person():
    user = make.make_user("robin")
    party = parties.create_party(party=Party(name="Marl"), user=user)
    assert party.memberships.get().role == "keeper"
    assert party.people.get().user == user


def test_only_a_hash_of_the_secret_is_stored(party, keeper):
    invitation = invite(party, keeper)
    stored = [str(value) for value in Invitation.objects.values_list().get()]
    assert not any("secret-one" in value for value in stored)
    # SHA-256 of "secret-one", by the sha256sum command.
    assert invitation.token_sha256 == parties.hash_of("secret-one")
    assert len(invitation.token_sha256) == 64


def test_an_invitation_gives_its_role_once(party, keeper):
    invite(party, keeper, role="reader")
    robin, alex = make.make_user("robin"), make.make_user("alex")
    member = parties.accept_invitation(token="secret-one", user=robin, now=NOW)
    assert (member.role, member.party) == ("reader", party)
    assert Invitation.objects.get().used_by == robin
    assert parties.accept_invitation(token="secret-one", user=alex, now=NOW) is None
    assert not Membership.objects.filter(user=alex).exists()
    assert party.people.filter(user=robin).count() == 1


@pytest.mark.parametrize(("seconds", "works"), [(-1, True), (0, False), (1, False)])
def test_an_invitation_ends_after_seven_days_to_the_second(party, keeper, seconds, works):
    invite(party, keeper)
    later = NOW + dt.timedelta(days=7, seconds=seconds)
    member = parties.accept_invitation(token="secret-one", user=make.make_user(), now=later)
    assert (member is not None) is works


@pytest.mark.parametrize("is_sent_away", [True, False])
def test_a_link_lets_nobody_in_once_its_maker_is_no_keeper(party, keeper, is_sent_away):
    """A keeper on the way out could else keep a link for themselves."""
    make.make_member(party)
    invite(party, keeper, role="keeper")
    member = party.memberships.get(user=keeper)
    if is_sent_away:
        parties.remove_member(membership=member)
    else:
        parties.change_role(membership=member, role="reader")
    assert parties.open_invitation("secret-one", NOW) is None
    assert parties.accept_invitation(token="secret-one", user=keeper, now=NOW) is None
    assert party_page(party.memberships.first(), keeper, NOW).invitations == ()


def test_a_wrong_secret_opens_nothing(party, keeper):
    invitation = invite(party, keeper)
    for token in ("", "secret-on", "secret-one ", invitation.token_sha256):
        assert parties.open_invitation(token, NOW) is None


def test_a_member_who_follows_a_link_keeps_role_and_link(party, keeper):
    invite(party, keeper, role="reader")
    member = parties.accept_invitation(token="secret-one", user=keeper, now=NOW)
    assert member.role == "keeper"
    assert parties.open_invitation("secret-one", NOW) is not None


def test_somebody_of_a_name_that_is_taken_gets_a_person_row_of_their_own(party, keeper):
    make.make_person(party, "robin")
    invite(party, keeper)
    robin = make.make_user("robin")
    parties.accept_invitation(token="secret-one", user=robin, now=NOW)
    assert party.people.get(user=robin).name == "robin (robin)"


@pytest.mark.parametrize("role", ["hand", "reader"])
def test_the_last_keeper_keeps_the_role(party, keeper, role):
    member = party.memberships.get(user=keeper)
    make.make_member(party, role="hand")
    with pytest.raises(ValidationError, match="at least one keeper"):
        parties.change_role(membership=member, role=role)
    with pytest.raises(ValidationError, match="at least one keeper"):
        parties.remove_member(membership=member)
    assert party.memberships.get(user=keeper).role == "keeper"


def test_with_two_keepers_one_may_step_down_and_the_other_may_not(party, keeper):
    first, second = party.memberships.get(), make.make_member(party)
    parties.change_role(membership=first, role="hand")
    with pytest.raises(ValidationError):
        parties.remove_member(membership=second)
    parties.remove_member(membership=first)
    assert list(party.memberships.all()) == [second]


def test_a_role_given_since_it_was_read_is_not_overwritten(party, keeper):
    member = make.make_member(party, role="hand")
    Membership.objects.filter(pk=member.pk).update(role="keeper")
    with pytest.raises(ChangedMeanwhile):
        parties.change_role(membership=member, role="reader")
    assert Membership.objects.get(pk=member.pk).role == "keeper"


def test_a_removed_members_person_stays_on_old_trips(party, keeper):
    invite(party, keeper)
    robin = make.make_user("robin")
    member = parties.accept_invitation(token="secret-one", user=robin, now=NOW)
    parties.remove_member(membership=member)
    assert party.people.filter(user=robin).exists()


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("fineness", 900),
        ("payable_ppt", 900),
        ("hourly_figure_minor", 2_000),
        ("fuel_price_milli_per_l", 1_900),
        ("pan_volume_ml", 5_500),
        ("fine_mass_ug", 400),
    ],
)
def test_a_changed_default_tells_whoever_keeps_derived_rows(party, told, name, value):
    setattr(party, name, value)
    parties.change_party(party=party)
    assert told == [party]


@pytest.mark.parametrize("name", ["name", "home_name", "coarse_words"])
def test_a_changed_word_tells_nobody(party, told, name):
    setattr(party, name, "Something else")
    parties.change_party(party=party)
    assert told == []
    party.refresh_from_db()
    assert getattr(party, name) == "Something else"


@pytest.mark.parametrize(
    ("name", "calls"), [("sealed_m", 1), ("drive_minutes", 1), ("walk_minutes", 1), ("notes", 0)]
)
def test_a_changed_way_to_a_site_is_told_and_a_note_is_not(party, told, name, calls):
    site = make.make_site(party)
    setattr(site, name, "9")
    ground.save_site(site=site)
    assert len(told) == calls


def test_a_fee_is_told_when_it_or_its_sites_change(party, told):
    site = make.make_site(party)
    paper = make.make_paper(party, [], fee_minor=None)
    papers.save_paper(paper=paper, sites=[site], now=NOW)
    assert told == []
    paper.fee_minor = 3_000
    papers.save_paper(paper=paper, sites=[site], now=NOW)
    assert len(told) == 1
    papers.save_paper(paper=paper, sites=[site], now=NOW)
    assert len(told) == 1
    papers.save_paper(paper=paper, sites=[], now=NOW)
    assert len(told) == 2
    paper.fee_minor = None
    papers.save_paper(paper=paper, sites=[], now=NOW)
    assert len(told) == 3


def test_when_the_rebuilding_fails_nothing_is_saved(party, monkeypatch):
    def fail(_):
        raise RuntimeError("sum failed")

    monkeypatch.setattr(hooks, "party_changed", [fail])
    party.fineness = 900
    with pytest.raises(RuntimeError, match="sum failed"):
        parties.change_party(party=party)
    assert Party.objects.get().fineness == 885


def test_the_site_registers_its_rebuilding_at_start():
    assert [f.__module__ for f in hooks.party_changed] == ["trips.apps"]


def test_changing_a_default_rebuilds_the_figures_of_real_trips(party):
    from trips.services.derive import rebuild_party

    site = make.make_site(party)
    trip = make.make_trip(party, site, vehicle=make.make_vehicle(party), state="wrapped_up")
    trip.trip_sites.update(was_visited=True)
    rebuild_party(party)
    before = trip.derived_figures.wear_minor
    site.sealed_m += 100_000
    ground.save_site(site=site)
    trip.derived_figures.refresh_from_db()
    assert before is not None
    assert trip.derived_figures.wear_minor > before


def test_the_currency_is_fixed_once_an_amount_is_recorded_anywhere(party):
    assert parties.has_amounts(party) is False
    make.make_cost(make.make_trip(party, fuel_price_milli_per_l=None))
    assert parties.has_amounts(party) is True
    party.currency = "NZD"
    with pytest.raises(ValidationError, match="recorded in EUR"):
        parties.change_party(party=party)
    other = make.make_party()
    other.currency = "NZD"
    parties.change_party(party=other)
    assert Party.objects.get(pk=other.pk).currency == "NZD"
