"""The pages Where next, Does it pay and a site's own: empty, one, many, unknown, not yours."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import factories as f
from tests.reports.record import make_record
from trips.services.derive import rebuild_party

LATE = "as_of=2031-12-31"
pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return f.make_party()


@pytest.fixture
def keeper(client, party):
    return f.signed_in(client, party)


def words(answer) -> str:
    """The page's text with spaces as single blanks."""
    text = answer.content.decode().replace("\u202f", " ").replace("\u2009", " ")
    return " ".join(text.split())


def page(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.context["page"]


def queries(client, address) -> int:
    with CaptureQueriesContext(connection) as caught:
        assert client.get(address).status_code == 200
    return len(caught)


# Where next


def test_a_new_party_sees_its_first_steps_and_no_ranking(keeper):
    text = words(keeper.get("/"))
    assert text.count("To do:") == 5
    for address in ("/sites/new/", "/kit/cars/new/", "/kit/gear/new/", "/trips/plan/"):
        assert f'href="{address}"' in text
    assert "What the order rests on" not in text


def test_steps_that_are_done_are_said_and_go_away_when_all_are(keeper, party):
    f.make_site(party)
    f.make_vehicle(party)
    text = words(keeper.get("/"))
    assert (text.count("To do:"), text.count("Done:")) == (3, 2)
    make_record(party)
    assert "First steps" not in words(keeper.get("/"))


def test_a_reader_is_offered_nothing_to_write(client, party):
    reader = f.signed_in(client, party, "reader")
    assert "/trips/plan/" not in words(reader.get("/"))
    make_record(party)
    assert "/trips/plan/" not in words(reader.get("/"))


def test_one_site_shows_its_figure_without_a_range(keeper, party):
    make_record(party, trips=2)
    [card] = page(keeper, f"/?{LATE}").ranked
    # Worth 17.70 and 35.40, outlay 18.26 each, 5 hours each: 16.58 over 10 hours.
    assert card.result.per_hour_minor == 166
    assert card.result.low_minor is None
    text = words(keeper.get(f"/?{LATE}"))
    assert "1.66 EUR an hour" in text
    assert "2 of at least 3 trips: too few for a range." in text
    assert "Only Reach 1 has a known return" in text


def test_sites_are_ranked_by_net_per_hour(keeper, party):
    make_record(party, sites=3, trips=3)
    where = page(keeper, f"/?{LATE}")
    assert [card.site.name for card in where.ranked] == ["Reach 3", "Reach 2", "Reach 1"]
    assert [card.rank for card in where.ranked] == [1, 2, 3]
    assert "Reach 3 is ahead of Reach 2" in where.firm
    assert len(where.figure.table_rows) == 3


def test_a_closed_site_stays_in_sight_unranked_with_the_reason(keeper, party):
    best = make_record(party, sites=2, trips=3)[1]
    best.closed_from, best.closed_until = "11-01", "03-31"
    best.closed_reason = "Fish spawn."
    best.save()
    address = f"/?day=2031-{{}}&{LATE}"
    before, closed = (page(keeper, address.format(day)) for day in ("10-31", "11-01"))
    assert [card.site.name for card in before.ranked] == ["Reach 2", "Reach 1"]
    assert [card.site.name for card in closed.ranked] == ["Reach 1"]
    [other] = closed.others
    assert (other.standing, other.rank) == ("stopped", None)
    assert "Fish spawn." in words(keeper.get(address.format("11-01")))


def test_an_untried_site_and_one_that_cannot_be_valued_come_after(keeper, party):
    make_record(party)
    f.make_site(party, "Never")
    lost = f.make_site(party, "Lost vial")
    trip = f.make_trip(party, lost, state="wrapped_up")
    trip.trip_sites.update(was_visited=True)
    rebuild_party(party)
    where = page(keeper, f"/?{LATE}")
    assert [(card.site.name, card.standing) for card in where.others] == [
        ("Lost vial", "unknown"),
        ("Never", "untried"),
    ]
    text = words(keeper.get(f"/?{LATE}"))
    assert "Nothing has been weighed." in text
    assert "No wrapped-up trip yet." in text


def test_a_retired_site_is_no_candidate(keeper, party):
    [site] = make_record(party)
    site.is_retired = True
    site.save()
    f.make_site(party, "In use")
    where = page(keeper, f"/?{LATE}")
    assert [card.site.name for card in (*where.ranked, *where.others)] == ["In use"]


def test_the_day_shown_hides_what_came_later(keeper, party):
    make_record(party, trips=3)
    counts = [
        page(keeper, f"/?as_of={day}").trips for day in ("2031-05-02", "2031-05-03", "2031-05-10")
    ]
    assert counts == [0, 1, 2]


def test_without_a_price_nothing_is_ranked_and_the_reason_is_said(keeper, party):
    make_record(party, price=False)
    text = words(keeper.get(f"/?{LATE}"))
    assert "No site can be put in order yet" in text
    assert "No gold price has been entered yet." in text


def test_a_card_shows_fuel_pans_hole_and_visit(keeper, party):
    [site] = make_record(party, trips=2)
    f.make_hole(site)
    party.fuel_price_milli_per_l = 1_800
    party.save()
    [card] = page(keeper, f"/?{LATE}").ranked
    assert card.fuel_minor == 626
    assert card.open_holes == 1
    assert card.last_visit == dt.date(2031, 5, 10)
    assert (card.pans_on, card.pans) == (dt.date(2031, 5, 10), 1)
    assert card.rate.best == pytest.approx(1.0)  # 5 colours in 5 litres
    assert card.sun.startswith("unknown: the site's position")


def test_daylight_is_told_where_the_position_is_known(keeper, party):
    f.make_site(party, latitude_udeg=0, longitude_udeg=0)
    [card] = page(keeper, "/?as_of=2031-03-21").others
    # At the equator the day is a little over twelve hours long all year (common knowledge).
    assert card.sun.startswith("12\u202fh\u202f0")


@pytest.mark.parametrize("asked", ["day=tomorrow", "day=2031-02-30", "price=x", "day="])
def test_a_day_that_cannot_be_read_falls_back_to_the_day_shown(keeper, party, asked):
    f.make_site(party)
    assert page(keeper, f"/?{asked}&{LATE}").day == dt.date(2031, 12, 31)


def test_an_unreadable_day_is_said_at_the_field(keeper, party):
    f.make_site(party)
    assert "Expected a date such as 2031-05-03" in words(keeper.get("/?day=tomorrow"))


# Does it pay


def test_no_trip_yet_teaches_and_offers_the_trips(keeper):
    text = words(keeper.get("/pay/"))
    assert "No wrapped-up trip yet" in text
    assert 'href="/trips/"' in text


def test_a_season_adds_up(keeper, party):
    make_record(party, sites=2, trips=3)
    pay = page(keeper, f"/pay/?{LATE}")
    # Site 1: 17.70 × (1+2+3); site 2 twice that: 318.60. Outlay 6 × 18.26.
    assert pay.result.value_minor == 31_860
    assert pay.result.outlay_minor == 10_956
    assert pay.result.net_minor == 20_904
    assert pay.result.minutes == 1_800
    assert pay.result.per_hour_minor == 697
    # 20.904 / (100 × 0.885) … the outlay in raw gold: 109.56 / 88.50 = 1.237967 g, rounded up.
    assert pay.break_even.mass_ug == 1_237_967
    assert pay.ladder.rungs[0].share.reached == 6
    assert pay.ladder.rungs[1].share.reached == 5  # 17.70 falls short of 18.26
    assert len(pay.stairs_figure.table_rows) == 6


def test_each_year_is_a_season_and_the_latest_comes_first(keeper, party):
    make_record(party, trips=2)
    make_record(party, trips=1, first=dt.date(2030, 6, 1), names="Older")
    assert page(keeper, f"/pay/?{LATE}").trips == 2
    assert page(keeper, f"/pay/?season=2030&{LATE}").trips == 1
    assert page(keeper, f"/pay/?season=all&{LATE}").trips == 3
    assert page(keeper, "/pay/?as_of=2030-12-31").season == "2030"


def test_gold_is_valued_at_the_trips_day_and_at_the_day_shown(keeper, party):
    make_record(party)
    f.make_price(party, dt.date(2031, 6, 1), amount_micros=120_000_000, per_unit="g")
    pay = page(keeper, f"/pay/?{LATE}")
    assert [row.result.value_minor for row in pay.at_prices] == [1_770, 2_124]
    assert page(keeper, f"/pay/?price=today&{LATE}").result.value_minor == 2_124


def test_a_trip_that_was_not_weighed_is_named_and_not_counted_as_nothing(keeper, party):
    make_record(party, trips=2)
    lost = f.make_trip(party, party.sites.get(), state="wrapped_up", name="The lost vial")
    lost.trip_sites.update(was_visited=True)
    f.make_hours(lost, "run", 600)
    rebuild_party(party)
    pay = page(keeper, f"/pay/?{LATE}")
    assert (pay.result.known, pay.result.trips) == (2, 3)
    assert pay.result.per_hour_minor == 166
    text = words(keeper.get(f"/pay/?{LATE}"))
    assert "1 trip not in these sums" in text
    assert "The lost vial" in text


def test_hours_of_a_block_for_everybody_count_for_each_person(keeper, party):
    [site] = make_record(party)
    trip = party.trips.get()
    for name in ("Ada", "Bo"):
        trip.trip_people.create(person=f.make_person(party, name))
    f.make_hours(trip, "dig", 30, person=party.people.get(name="Ada"), site=site)
    rebuild_party(party)
    rows = dict(page(keeper, f"/pay/?{LATE}").hours_figure.table_rows)
    told = {key: value.replace("\u202f", " ") for key, value in rows.items()}
    assert told == {"Drive": "2 h 20", "Dig": "30 min", "Run the box": "7 h 40"}


def test_wear_on_the_page_is_the_wear_kept_with_the_trips(keeper, party):
    make_record(party, sites=2, trips=2)
    pay = page(keeper, f"/pay/?{LATE}")
    assert sum(row.amount_minor for row in pay.worn) == pay.wear_minor
    assert sum(row.amount_minor for row in pay.spent) == pay.result.outlay_minor


# A site's own page


def test_a_new_site_teaches_and_offers_a_plan(keeper, party):
    site = f.make_site(party)
    text = words(keeper.get(f"/sites/{site.pk}/"))
    assert "No wrapped-up trip here yet" in text
    assert f"/trips/plan/?site={site.pk}" in text


def test_a_site_shows_grade_papers_holes_and_trips(keeper, party):
    [site] = make_record(party, trips=3)
    f.make_paper(party, [site], name="Permit of the reach")
    f.make_hole(site)
    f.make_hole(site, opened_on=dt.date(2031, 4, 1), filled_on=dt.date(2031, 4, 2))
    f.make_trip(party, site, starts_on=dt.date(2032, 1, 3), name="Soon")
    shown = page(keeper, f"/sites/{site.pk}/?{LATE}")
    [grade] = shown.pans
    assert (grade.pans, grade.rate.best) == (3, pytest.approx(1.0))
    # 1 medium (2.5 mg) and 4 fine (0.5 mg) in 5 L: 0.9 mg a litre.
    assert grade.mg_per_l == Decimal("0.9")
    [run_grade] = shown.runs
    assert run_grade.mass_ug == 1_200_000
    assert run_grade.mg_per_l == 4  # 1 200 mg from 300 L
    assert [row.is_open for row in shown.holes] == [True, False]
    assert shown.trips[0].name == "Soon"
    assert [row.net_minor for row in shown.trips] == [None, 3_484, 1_714, -56]
    assert shown.trips[0].note == "First choice."
    text = words(keeper.get(f"/sites/{site.pk}/?{LATE}"))
    assert "Permit of the reach" in text
    assert "1 filled" in text


def test_a_trip_over_two_sites_shows_its_part_at_each(keeper, party):
    first, second = make_record(party, sites=2, trips=1)
    trip = f.make_trip(party, first, fallbacks=[second], state="wrapped_up", name="Both")
    trip.trip_sites.update(was_visited=True)
    run = f.make_run(trip, second.spots.first())
    f.make_hours(trip, "test", 60, site=first)
    f.make_hours(trip, "run", 180, site=second)
    f.make_cost(trip, "fuel", 1_000)
    f.make_weigh_in(trip, runs=[run])
    rebuild_party(party)
    parts = {
        site: next(
            row for row in page(keeper, f"/sites/{site.pk}/?{LATE}").trips if row.name == "Both"
        )
        for site in (first, second)
    }
    # One gram at 88.50; 10.00 of fuel and 4 hours, one to three.
    assert (parts[first].mass_ug, parts[second].mass_ug) == (0, 1_000_000)
    assert (parts[first].net_minor, parts[second].net_minor) == (-250, 8_850 - 750)
    assert (parts[first].minutes, parts[second].minutes) == (60, 180)


def test_the_trips_of_a_site_come_as_files_too(keeper, party):
    [site] = make_record(party, trips=3)
    text = keeper.get(f"/sites/{site.pk}/?export=csv&{LATE}").content.decode("utf-8-sig")
    lines = text.splitlines()
    assert lines[0].startswith("Day,Trip,State,Gold here (g),Net here (EUR),Hours here (min)")
    assert len(lines) == 4
    assert "2031-05-17" in lines[1]
    assert "34.84" in lines[1]


@pytest.mark.parametrize("way", ["", "-"])
def test_the_trips_sort_by_every_column_with_and_without_rows(keeper, party, way):
    empty = f.make_site(party, "Empty")
    [site] = make_record(party, trips=3)
    f.make_trip(party, site, starts_on=dt.date(2032, 1, 3))
    for key in ("day", "name", "state", "mass_ug", "net_minor", "minutes", "per_hour_minor"):
        assert keeper.get(f"/sites/{empty.pk}/?sort={way}{key}").status_code == 200
        answer = keeper.get(f"/sites/{site.pk}/?sort={way}{key}&{LATE}")
        shown = [getattr(row.record, key) for row in answer.context["table"].rows]
        known = [value for value in shown if value is not None]
        assert len(shown) == 4
        assert known == sorted(known, reverse=bool(way))


def test_long_names_and_markup_in_names_are_shown_as_text(keeper, party):
    [site] = make_record(party)
    site.name = "<b>" + "x" * 110
    site.save()
    for address in (f"/?{LATE}", f"/pay/?{LATE}", f"/pay/sites/?{LATE}", f"/sites/{site.pk}/"):
        text = keeper.get(address).content.decode()
        assert "<b>x" not in text
        assert "&lt;b&gt;x" in text


# Who may see


def test_another_partys_site_is_not_there(keeper):
    site = f.make_site(f.make_party())
    assert keeper.get(f"/sites/{site.pk}/").status_code == 404


def test_another_partys_record_shows_on_no_page(keeper, party):
    make_record(f.make_party(), sites=2, trips=3, names="Theirs")
    make_record(party, trips=2)
    own = party.sites.get()
    for address in ("/", "/pay/?season=all", "/pay/sites/", f"/sites/{own.pk}/"):
        mark = "&" if "?" in address else "?"
        assert "Theirs" not in words(keeper.get(f"{address}{mark}{LATE}"))
    assert page(keeper, f"/?{LATE}").trips == 2
    assert page(keeper, f"/pay/?season=all&{LATE}").result.minutes == 600


@pytest.mark.parametrize("address", ["/", "/pay/", "/pay/sites/", "/pay/sites/csv/", "/sites/1/"])
def test_signed_out_goes_to_the_sign_in_page(client, address):
    answer = client.get(address)
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/")


@pytest.mark.parametrize("role", ["reader", "hand"])
def test_every_role_reads_the_answers(client, party, role):
    make_record(party)
    member = f.signed_in(client, party, role)
    for address in ("/", "/pay/", "/pay/sites/", f"/sites/{party.sites.get().pk}/"):
        assert member.get(f"{address}?{LATE}").status_code == 200


def test_twice_the_record_asks_no_more_queries(keeper, party):
    [site, *_] = make_record(party, sites=2, trips=3)
    f.make_paper(party, [site])
    f.make_hole(site)
    addresses = [
        f"{path}?{LATE}&season=all" for path in ("/", "/pay/", "/pay/sites/", f"/sites/{site.pk}/")
    ]
    once = [queries(keeper, address) for address in addresses]
    make_record(party, sites=4, trips=6, names="More")
    f.make_paper(party, list(party.sites.all()))
    f.make_hole(site)
    for trip in party.trips.filter(trip_sites__site=site):
        f.make_pan(trip, site.spots.first())
    assert [queries(keeper, address) for address in addresses] == once
