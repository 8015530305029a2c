"""One row with all that hangs on it is what a prefetch of each table would have given."""

import datetime as dt

import pytest
from django.db.models import Prefetch, Q, prefetch_related_objects

from claims import whole as wholly
from claims.whole import Part, whole, wholes
from tests import factories as make
from trips.models import HoursBlock, Run, TestPan, Trip, TripSite
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db
PARTS = (
    Part("gear"),
    Part("people"),
    Part("costs", ("paid_by",)),
    Part("runs", ("spot__site", "gear", "derived_share")),
    Part("pans", ("spot__site", "derived_share")),
    Part("hours", ("person", "site")),
    Part("trip_sites", ("site",), ("-rank",)),
    Part("weigh_ins"),
    Part("answers"),
    Part("derived_figures"),
)


@pytest.fixture
def trip():
    party = make.make_party()
    site, other = make.make_site(party, name="Ågård"), make.make_site(party)
    site.rule_packs, site.rule_facts = ["a", "b"], {"land": "private"}
    site.save()
    person = make.make_person(party, name="Bö")
    trip = make.make_trip(party, site, fallbacks=[other], people=[person])
    box = make.make_gear(party, name="Long “box”")
    trip.gear.set([box, make.make_gear(party)])
    began = dt.datetime(2031, 5, 3, 6, 5, 7, 123456, tzinfo=dt.UTC)
    runs = [
        make.make_run(trip, gear=box, began_at=began, ended_at=began + dt.timedelta(minutes=50)),
        make.make_run(trip),
    ]
    make.make_pan(trip, mass_ug=4_000)
    make.make_weigh_in(trip, runs=runs[:1])
    make.make_hours(trip, person=person)
    make.make_hours(trip, "dig")
    make.make_cost(trip, paid_by=person)
    rebuild_party(party)
    return Trip.objects.get(pk=trip.pk)


def columns(row):
    if row is None:
        return None
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def told(row):
    """Every column of every row, and of what hangs on it."""
    return {
        "gear": [columns(each) for each in row.gear.all()],
        "people": [columns(each) for each in row.people.all()],
        "costs": [(columns(each), columns(each.paid_by)) for each in row.costs.all()],
        "runs": [
            (
                *(columns(each), columns(each.spot), columns(each.spot.site), columns(each.gear)),
                columns(getattr(each, "derived_share", None)),
            )
            for each in row.runs.all()
        ],
        "pans": [
            (columns(each), columns(getattr(each, "derived_share", None)))
            for each in row.pans.all()
        ],
        "hours": [(columns(each), columns(each.person)) for each in row.hours.all()],
        "sites": [(columns(each), columns(each.site)) for each in row.trip_sites.all()],
        "weigh_ins": [columns(each) for each in row.weigh_ins.all()],
        "answers": [columns(each) for each in row.answers.all()],
        "figures": columns(getattr(row, "derived_figures", None)),
    }


def test_every_column_is_as_a_prefetch_gives_it(trip, django_assert_num_queries):
    with django_assert_num_queries(1):
        mine = whole(trip, *PARTS)
        found = told(mine)
    prefetch_related_objects(
        [trip],
        *("gear", "people", "costs__paid_by", "weigh_ins", "answers"),
        Prefetch("runs", Run.objects.select_related("spot__site", "gear", "derived_share")),
        Prefetch("pans", TestPan.objects.select_related("spot__site", "derived_share")),
        Prefetch("hours", HoursBlock.objects.select_related("person", "site")),
        Prefetch("trip_sites", TripSite.objects.select_related("site").order_by("-rank")),
    )
    assert found == told(trip)
    assert all(found[kind] for kind in found if kind != "answers")


def test_rows_know_their_row_and_one_that_is_missing_is_known_to_be(
    trip, django_assert_num_queries
):
    mine = whole(trip, *PARTS)
    with django_assert_num_queries(0):
        assert all(each.trip is mine for each in (*mine.runs.all(), *mine.hours.all()))
        weighed, other = mine.runs.all()
        assert weighed.derived_share.run is weighed
        assert not hasattr(other, "derived_share")
        assert mine.derived_figures.trip is mine


def test_the_row_itself_stays_fresh(trip):
    mine = whole(trip, Part("costs"))
    make.make_cost(trip, amount_minor=7)
    assert (len(mine.costs.all()), trip.costs.count()) == (1, 2)
    assert [cost.amount_minor for cost in mine.costs.filter(amount_minor=7)] == [7]


def test_the_same_question_serves_another_row(trip):
    other = make.make_trip(trip.party)
    assert list(whole(other, *PARTS).runs.all()) == []
    assert len(whole(trip, *PARTS).runs.all()) == 2


def test_several_rows_are_what_each_alone_is(trip, monkeypatch, django_assert_num_queries):
    make.make_run(make.make_trip(trip.party), gear=trip.gear.first())
    make.make_trip(trip.party).gear.set(trip.gear.all())
    rows = list(Trip.objects.order_by("pk"))
    alone = [told(whole(row, *PARTS)) for row in rows]
    with django_assert_num_queries(1):
        found = [told(row) for row in wholes(rows, *PARTS)]
    assert found == alone
    assert [len(each["gear"]) for each in found] == [2, 0, 2]
    assert [told(row) for row in wholes(rows[:1], *PARTS)] == alone[:1]
    assert wholes([], *PARTS) == []
    monkeypatch.setattr(wholly, "AT_ONCE", 2)
    again = list(Trip.objects.order_by("pk"))
    with django_assert_num_queries(2):
        assert [told(row) for row in wholes(again, *PARTS)] == alone


@pytest.fixture
def papers():
    """A party with papers in another order than that of their numbers, one without a site."""
    party = make.make_party()
    sites = [make.make_site(party, name=name) for name in ("Zinnbach", "Alder Creek", "Moss Run")]
    last, none, first = (
        make.make_paper(party, name=name, expires_on=dt.date(year, 1, 1))
        for name, year in (("Last", 2033), ("None", 2032), ("First", 2031))
    )
    last.sites.set(sites)
    none.sites.clear()
    first.sites.set(sites[:1])
    for paper, fill_due in ((last, "leaving"), (first, ""), (last, ""), (first, "same_day")):
        paper.condition_lines.create(
            position=paper.condition_lines.count() + 1, text="Fill it.", fill_due=fill_due
        )
    make.make_hole(sites[0])
    return party


def test_what_hangs_on_rows_that_hang_on_it_comes_along(papers, django_assert_num_queries):
    make.make_paper(make.make_party())
    with django_assert_num_queries(1):
        mine = whole(papers, Part("papers"), Part("papers__sites"), Part("papers__condition_lines"))
        found = [
            (
                *(paper.name, [site.name for site in paper.sites.all()]),
                [(line.position, line.fill_due) for line in paper.condition_lines.all()],
            )
            for paper in mine.papers.all()
        ]
        assert all(
            line.paper is paper
            for paper in mine.papers.all()
            for line in paper.condition_lines.all()
        )
    assert found == [
        ("First", ["Zinnbach"], [(1, ""), (2, "same_day")]),
        ("None", [], []),
        ("Last", ["Alder Creek", "Moss Run", "Zinnbach"], [(1, "leaving"), (2, "")]),
    ]


def test_only_some_rows_of_a_part(papers):
    mine = whole(papers, Part("papers"), Part("papers__condition_lines", only=~Q(fill_due="")))
    found = [[line.fill_due for line in each.condition_lines.all()] for each in mine.papers.all()]
    assert found == [["same_day"], [], ["leaving"]]


def test_a_row_that_several_point_at_is_one_object(papers):
    mine = whole(papers, Part("papers"), Part("papers__sites"), Part("holes", ("site",)))
    first, _, last = mine.papers.all()
    (hole,) = mine.holes.all()
    assert first.sites.all()[0] is last.sites.all()[2] is hole.site
