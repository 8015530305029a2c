"""Who let whom into a record, who changed a role and who was sent away: told to keepers."""

import importlib
import re

import pytest
from django.apps import apps
from django.utils import timezone

from claims.models import Party
from claims.past import deleted_sets, member_changes
from tests import factories as make
from tests.claims.pages import text_of, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return make.make_party(name="Marl party")


def test_who_let_whom_in_and_who_changed_a_role_is_told_to_keepers(client, party):
    """Through the pages, so that the log-in at work is the one that is named."""
    ada, bo, robin = (make.make_user(name) for name in ("ada", "bo", "robin"))
    make.signed_in(client, party, user=ada)
    link = re.search(r"/join/[\w-]+/", client.post(
        url("invitation_create"), {"role": "hand"}
    ).content.decode())[0]  # fmt: skip
    client.force_login(bo)
    client.post(link)
    client.force_login(ada)
    member = party.memberships.get(user=bo)
    client.post(url("member_edit", member.pk), {"role": "keeper", "seen_version": "hand"})
    other = make.make_member(party, robin, "reader")
    client.force_login(bo)
    client.post(url("member_remove", other.pk))
    client.post(url("member_edit", member.pk), {"role": "reader", "seen_version": "keeper"})
    assert "changed the role" not in text_of(client.get(url("party_detail")))  # a reader now
    client.force_login(ada)
    told = [one.what for one in client.get(url("party_detail")).context["page"].member_changes]
    nobody = "somebody not known (a command or an earlier version)"
    assert told == [
        "bo changed the role of bo from keeper to reader",
        "bo removed robin, who was reader",
        f"{nobody} let robin in as reader",
        "ada changed the role of bo from hand to keeper",
        "ada let bo in as hand",
        f"{nobody} let ada in as keeper",
    ]
    assert "ada changed the role of bo from hand to keeper" in text_of(
        client.get(url("party_detail"))
    )


def test_whoever_founds_a_party_and_whoever_leaves_it_did_so_themselves(client):
    ada, bo = make.make_user("ada"), make.make_user("bo")
    client.force_login(ada)
    client.post(url("party_create"), {"name": "Marl", "time_zone": "UTC", "currency": "EUR"})
    party = Party.objects.get()
    make.make_member(party, bo)
    client.post(url("member_remove", party.memberships.get(user=ada).pk))
    client.force_login(bo)
    told = [one.what for one in client.get(url("party_detail")).context["page"].member_changes]
    assert (told[0], told[-1]) == ("ada left and was keeper", "ada came in as keeper")


def test_the_changes_of_members_are_of_this_party_and_cost_one_query(
    party, django_assert_num_queries
):
    stranger = make.make_member(make.make_party(), make.make_user("stranger"))
    stranger.role = "hand"
    stranger.save()
    for _ in range(5):
        make.make_member(party, role="hand")
    with django_assert_num_queries(1):
        told = member_changes(party)
    assert len(told) == 5
    assert not any("stranger" in one.what for one in told)


def test_a_removed_member_is_not_offered_to_come_back(client, party):
    make.signed_in(client, party)
    other = make.make_member(party, role="hand")
    client.post(url("member_remove", other.pk))
    assert deleted_sets(party, timezone.now()) == ()


def test_members_from_before_the_past_was_kept_get_a_role_to_start_from(party):
    """What the migration notes; the role before the first change is then known."""
    member = make.make_member(party, make.make_user("robin"), "hand")
    member.history.all().delete()
    migration = importlib.import_module("claims.migrations.0015_past_of_memberships")
    migration.note_as_found(apps, None)
    member.role = "reader"
    member.save()
    assert [one.what for one in member_changes(party)] == [
        "somebody not known (a command or an earlier version) changed the role of robin "
        "from hand to reader",
        "robin was hand when changes began to be kept",
    ]
