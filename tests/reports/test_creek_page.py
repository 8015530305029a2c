"""The page of tables, and what it adds to the trip's own page."""

import datetime as dt
import json
from dataclasses import replace

import pytest
from django.urls import reverse

from reports.decide.creek import NEGATIVE_COST, TYPED, Fallback
from reports.pages.field_tables import onward_triggers, trip_tables
from reports.selectors.creek import creek_facts
from tests import factories as f
from tests.reports.asking import page, queries, words
from tests.reports.creek_made import LATE, planned_trip

pytestmark = pytest.mark.django_db


def address(name, trip, query=LATE):
    return reverse(name, args=[trip.pk]) + f"?{query}"


def test_page_and_file_print_the_same_numbers(keeper, party):
    trip = planned_trip(party)
    shown = page(keeper, address("reports:creek_page", trip))
    tables = json.loads(keeper.get(address("reports:field_tables", trip)).content)
    assert shown.version == tables["version"]
    plain = {(s["site"], s["spot"] or ""): s for s in [*tables["spots"], *tables["new_spots"]]}
    seen = 0
    for place in shown.places:
        for table in place.tables:
            spot = table.card.spot
            rows = plain[place.site.pk, str(spot.uuid) if spot else ""]["rows"]
            for row, told in zip(table.rows, rows, strict=False):
                seen += 1
                assert row.pans == told["pans"]
                low, dig = told["move_at_most"], told["dig_at_least"]
                assert row.words == (
                    "–" if low is None else f"{low} or fewer" if low else "0",
                    "–" if dig is None else f"{dig} or more" if dig else "any",
                )
    assert seen >= 6 * 5


def test_something_tried_out_changes_the_tables_and_says_so(keeper, party):
    trip = planned_trip(party)
    plain = page(keeper, address("reports:creek_page", trip))
    assert not plain.is_tried
    tried = page(keeper, address("reports:creek_page", trip, LATE + "&hours=1:00&pans=5+3"))
    assert tried.is_tried
    assert tried.version != plain.version
    assert tried.places[0].tables[0].rows[1].litres == "8 L"
    own = keeper.get(address("reports:creek_page", trip, LATE + "&even=0.2"))
    assert TYPED in words(own).replace("&#x27;", "'")
    below = keeper.get(address("reports:creek_page", trip, LATE + "&cost=-3"))
    assert NEGATIVE_COST in words(below)


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("hours=soon", "Expected a time such as"),
        ("feed=lots", "Lots".lower()),
        ("even=-1", "Expected a number from 0"),
        ("even=51", "to 50"),
        ("pans=5+0", "Expected litres above 0"),
        ("pans=" + "+".join(["5"] * 13), "at most 12 pans"),
        ("pans=a+b", "a"),
        ("cost=1.234", "digits"),
    ],
)
def test_wrong_input_keeps_the_record_and_says_what_was_expected(keeper, party, query, expected):
    trip = planned_trip(party)
    answer = keeper.get(address("reports:creek_page", trip, f"{LATE}&{query}"))
    assert answer.status_code == 200
    assert not answer.context["page"].is_tried
    assert answer.context["form"].errors
    assert expected in words(answer)


def test_without_a_site_the_page_says_what_it_would_show(keeper, party):
    trip = planned_trip(party)
    trip.trip_sites.all().delete()
    assert "No site is planned" in words(keeper.get(address("reports:creek_page", trip)))


def test_a_reader_sees_the_tables_and_the_verdict(client, party):
    trip = planned_trip(party, state="under_way")
    spot = trip.trip_sites.first().site.spots.get(name="Deep crevice")
    f.make_pan(trip, spot, fine=0, medium=0)
    f.signed_in(client, party, "reader")
    answer = client.get(address("reports:creek_page", trip, "as_of=2031-08-02"))
    [verdict] = [card.verdict for card in answer.context["page"].verdicts]
    assert verdict.pans == 1
    assert "No colour in 5 L" in verdict.why


def test_overburden_says_nothing_of_what_goes_through_the_box(keeper, party):
    trip = planned_trip(party, state="under_way")
    spot = trip.trip_sites.first().site.spots.get(name="Deep crevice")
    f.make_pan(trip, spot, layer="overburden", fine=90)
    [card] = page(keeper, address("reports:creek_page", trip, "as_of=2031-08-02")).verdicts
    assert card.verdict.pans == 0
    f.make_pan(trip, spot, medium=0, fine=0)
    [card] = page(keeper, address("reports:creek_page", trip, "as_of=2031-08-02")).verdicts
    assert (card.verdict.pans, card.verdict.colours) == (1, 0)
    assert "1 pan of overburden left out" in card.verdict.why


def test_the_trip_page_shows_verdicts_and_what_sends_one_on(keeper, party):
    trip = planned_trip(party, state="under_way")
    site = trip.trip_sites.first().site
    spot = site.spots.get(name="Deep crevice")
    shown = words(keeper.get(reverse("trips:trip_detail", args=[trip.pk]) + "?as_of=2031-08-02"))
    assert f"From {site}" in shown
    assert "Deep crevice" not in shown
    for _ in range(3):
        f.make_pan(trip, spot, fine=0, medium=0)
    answer = keeper.get(reverse("trips:trip_detail", args=[trip.pk]) + "?as_of=2031-08-02")
    part = next(each.shown for each in answer.context["parts"])
    assert [card.name for card in part.verdicts] == ["Deep crevice"]
    on_page = keeper.get(address("reports:creek_page", trip, "as_of=2031-08-02")).context["page"]
    assert part.verdicts[0].verdict == on_page.verdicts[0].verdict


def test_a_trip_that_is_over_or_called_off_has_no_verdict(keeper, party):
    trip = planned_trip(party)
    over = party.trips.filter(state="wrapped_up").first()
    answer = keeper.get(reverse("trips:trip_detail", args=[over.pk]))
    assert answer.context["parts"][0].shown.verdicts == ()
    trip.state = "called_off"
    trip.save()
    assert keeper.get(reverse("trips:trip_detail", args=[trip.pk])).context["parts"] == []


def test_the_pages_queries_do_not_grow(keeper, party):
    trip = planned_trip(party, state="under_way")
    site = trip.trip_sites.first().site
    query = "as_of=2031-08-02"
    addresses = [
        reverse("trips:trip_detail", args=[trip.pk]) + f"?{query}",
        address("reports:creek_page", trip, query),
    ]
    for spot in site.spots.all():
        f.make_pan(trip, spot)
    for each in addresses:
        keeper.get(each)
    before = [queries(keeper, each) for each in addresses]
    for spot in [f.make_spot(site) for _ in range(5)]:
        f.make_pan(trip, spot, day=dt.date(2031, 8, 2))
    for each in addresses:
        keeper.get(each)
    assert [queries(keeper, each) for each in addresses] == before
    assert before[1] <= 12


class TestTriggersOfThePlan:
    """The boxes "Go there if" start with what the stopping table says."""

    def plan(self, trip, **more):
        sites = {row.rank: row.site_id for row in trip.trip_sites.all()}
        return {
            "site": sites[0],
            "fallback_1": sites[1],
            "starts_on": "2031-08-02",
            "planned_work_minutes": "6 h",
            "version": trip.version,
            "gear": list(trip.gear.values_list("pk", flat=True)),
            "costs-TOTAL_FORMS": "0",
            "costs-INITIAL_FORMS": "0",
        } | more

    def said(self, keeper, trip):
        return page(keeper, address("reports:creek_page", trip)).places[0].leave_site

    @pytest.mark.parametrize(
        ("rate", "hours", "cost", "said"),
        [
            (
                9.0,
                0.5,
                1.0,
                "Weir is believed to bring more from the start; after 4 pans (32 L) at ",
            ),
            (0.001, 0.5, 1.0, "no count of pans at Spot 1 speaks for Weir: dig there"),
            # Farther than the day is long: the table sends home, so nothing may say go there.
            (9.0, 50.0, 150.0, "Weir isn't expected to bring anything after the move: poor pans"),
        ],
    )
    def test_what_sends_one_on_is_what_the_table_says_of_the_next_site(
        self, party, rate, hours, cost, said
    ):
        facts = creek_facts(party, planned_trip(party), dt.date(2031, 8, 1))
        place = replace(facts.places[0], second=Fallback("Weir", rate, hours))
        facts = replace(
            facts,
            setting=replace(facts.setting, cost_per_hour=cost),
            places=(place, *facts.places[1:]),
        )
        assert trip_tables(facts).places[0].leave_site.startswith(said)
        trigger = onward_triggers(facts).get(facts.places[1].site.pk, "")
        assert bool(trigger) == ("after 4 pans" in said)

    def test_no_sentence_of_the_page_ends_twice(self, keeper, party):
        trip = planned_trip(party, planned_work_minutes=0)
        shown = words(keeper.get(address("reports:creek_page", trip)))
        assert "the table stays empty. <" in shown
        assert ".." not in shown.split("<main")[1].split("</main")[0]

    def test_an_empty_box_shows_the_tables_words_and_keeps_what_is_sent(self, keeper, party):
        trip = planned_trip(party)
        edit = reverse("trips:trip_edit", args=[trip.pk])
        form = keeper.get(f"{edit}?{LATE}").context["form"]
        offered = form["trigger_1"].value()
        second = trip.trip_sites.get(rank=1).site
        assert offered.startswith("after ")
        assert self.said(keeper, trip).replace(f", go to {second}", "") == offered
        assert "From the stopping table" in form["trigger_1"].help_text
        # Cleared on purpose stays cleared.
        keeper.post(f"{edit}?{LATE}", self.plan(trip, trigger_1=""))
        assert trip.trip_sites.get(rank=1).trigger == ""
        trip.refresh_from_db()
        keeper.post(f"{edit}?{LATE}", self.plan(trip, trigger_1="the gate is locked"))
        assert trip.trip_sites.get(rank=1).trigger == "the gate is locked"
        shown = keeper.get(f"{edit}?{LATE}").context["form"]
        assert shown["trigger_1"].value() == "the gate is locked"

    @pytest.mark.parametrize("typed", ["", "the gate is locked"])
    def test_a_new_plan_is_filled_in_where_nothing_is_typed(self, keeper, party, typed):
        old = planned_trip(party)
        data = self.plan(old, trigger_1=typed)
        del data["version"]
        answer = keeper.post(f"{reverse('trips:trip_create')}?{LATE}", data, follow=True)
        new = party.trips.latest("pk")
        assert new != old
        trigger = new.trip_sites.get(rank=1).trigger
        assert trigger == typed or (not typed and trigger.startswith("after "))
        assert ("filled in from the stopping table" in words(answer)) == (not typed)

    def test_where_no_count_sends_one_on_the_box_stays_empty(self, keeper, party):
        trip = planned_trip(party, planned_work_minutes=0)
        form = keeper.get(f"{reverse('trips:trip_edit', args=[trip.pk])}?{LATE}").context["form"]
        assert not form["trigger_1"].value()
