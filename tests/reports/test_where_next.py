"""The page Where next: empty, one, many, stopped, unknown."""

import datetime as dt

import pytest

from tests import factories as f
from tests.reports.asking import LATE, page, words
from tests.reports.record import make_record
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db


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


@pytest.mark.parametrize(
    ("trips", "method", "said"),
    [
        (1, "none", "1 of at least 3 trips: too few for a range."),
        (2, "none", "2 of at least 3 trips: too few for a range."),
        (3, "rough", "A rough range."),
        (7, "rough", "A rough range."),
        (8, "bootstrap-t", "80 % range"),
    ],
)
def test_the_range_goes_by_the_number_of_trips(keeper, party, trips, method, said):
    make_record(party, trips=trips)
    [card] = page(keeper, f"/?{LATE}").ranked
    assert card.result.method == method
    assert (card.result.low_minor is None) == (trips < 3)
    text = words(keeper.get(f"/?{LATE}"))
    assert said in text
    assert ("A rough range." in text) == (method == "rough")


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


def test_a_price_from_after_the_day_values_nothing(keeper, party):
    make_record(party, price=False)
    f.make_price(party, dt.date(2031, 5, 4))  # the trip was over on the 3rd
    where = page(keeper, f"/?{LATE}")
    assert where.ranked == ()
    assert [card.standing for card in where.others] == ["unknown"]
    [gap] = where.others[0].result.gaps
    assert gap.reason in words(keeper.get(f"/?{LATE}"))
    # Valued at the day shown there is one, but not on a day before it.
    assert len(page(keeper, f"/?price=today&{LATE}").ranked) == 1
    assert page(keeper, "/?price=today&as_of=2031-05-03").ranked == ()


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
