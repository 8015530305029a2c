"""Two tables in one question give what two questions gave."""

import datetime as dt

import pytest
from django.db.models import Q

from claims.joined import joined
from claims.models import User
from tests import factories as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    party = make.make_party()
    make.make_member(party)
    return party


@pytest.fixture
def papers(party):
    """Three papers in their own order, which is not that of their numbers; one without a site."""
    sites = [make.make_site(party, name=name) for name in ("Zinnbach", "Alder Creek", "Moss Run")]
    last, none, first = (
        make.make_paper(party, name="Last", expires_on=dt.date(2033, 1, 1)),
        make.make_paper(party, name="None", expires_on=dt.date(2032, 1, 1)),
        make.make_paper(party, name="First", expires_on=dt.date(2031, 1, 1)),
    )
    none.sites.clear()
    last.sites.set(sites)
    first.sites.set(sites[:1])
    return party.papers.all()


def plain(rows):
    return [(row.pk, [site.pk for site in row.sites.all()]) for row in rows]


def test_rows_come_once_in_their_order_with_the_many_in_theirs(papers, django_assert_num_queries):
    told = plain(papers.prefetch_related("sites"))
    with django_assert_num_queries(1):
        assert plain(joined(papers, "sites")) == told
    assert [len(sites) for _, sites in told] == [1, 0, 3]


def test_what_is_asked_further_is_asked_of_these_rows_alone(papers):
    (first, *_) = joined(papers, "sites")
    assert [site.name for site in first.sites.filter(name__startswith="Z")] == ["Zinnbach"]
    assert not first.sites.filter(name="Moss Run").exists()


def test_a_condition_looks_at_the_many_alone(papers):
    rows = joined(papers, "sites", only=Q(sites__name="Moss Run"))
    assert [[site.name for site in row.sites.all()] for row in rows] == [[], [], ["Moss Run"]]


def test_rows_on_the_other_side_know_whose_they_are(party, django_assert_num_queries):
    user = User.objects.get(memberships__party=party)
    with django_assert_num_queries(1):
        (found,) = joined(User.objects.filter(pk=user.pk), "memberships", "party")
        (member,) = found.memberships.all()
        assert member.user is found
        assert member.party == party
