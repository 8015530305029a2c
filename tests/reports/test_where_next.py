"""The page Where next: empty, one, many, stopped, unknown."""

import datetime as dt

import pytest

from tests import factories as f
from tests.reports.asking import LATE, page, words
from tests.reports.record import make_record
from trips.calc.payladder import LABELS
from trips.models import Flood, Gauge
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


def test_what_past_trips_gave_stays_visible(keeper, party):
    make_record(party, trips=2)
    [card] = page(keeper, f"/?{LATE}").ranked
    # Worth 17.70 and 35.40, outlay 18.26 each, 5 hours each: 16.58 over 10 hours.
    assert card.result.per_hour_minor == 166
    assert card.result.low_minor is None
    text = words(keeper.get(f"/?{LATE}"))
    assert "What your trips gave: 1.66 EUR an hour; 2 of 2 trips counted." in text
    assert "2 of at least 3 trips: too few for a range." in text
    assert "Only Reach 1 can be ranked" in text


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
def test_the_range_of_past_trips_goes_by_their_number(keeper, party, trips, method, said):
    make_record(party, trips=trips)
    [card] = page(keeper, f"/?{LATE}").ranked
    assert card.result.method == method
    assert (card.result.low_minor is None) == (trips < 3)
    text = words(keeper.get(f"/?{LATE}"))
    assert said in text
    assert ("A rough range." in text) == (method == "rough")


def more_colours(party, site, fine):
    trip = party.trips.filter(trip_sites__site=site).first()
    for _ in range(4):
        f.make_pan(trip, site.spots.get(), fine=fine)
    rebuild_party(party)


def test_richer_gravel_comes_first_and_the_order_says_what_would_turn_it(keeper, party):
    sites = make_record(party, sites=3, trips=3)
    more_colours(party, sites[1], 30)
    where = page(keeper, f"/?{LATE}")
    assert where.ranked[0].site == sites[1]
    assert [card.rank for card in where.ranked] == [1, 2, 3]
    assert "Reach 2 promises most" in where.firm
    assert where.turning
    assert len(where.figure.table_rows) == 3
    assert where.ranked[0].low_minor < where.ranked[0].mean_minor < where.ranked[0].high_minor
    assert "by its gravel" in " ".join(where.ranked[0].effects)


def test_sites_that_stand_alike_are_said_to_be_beyond_ranking(keeper, party):
    for name in ("East", "West", "Middle"):
        f.make_site(party, name)
    f.make_vehicle(party)
    f.make_price(party, dt.date(2030, 1, 1))
    party.fuel_price_milli_per_l = 1_800
    party.save()
    firm = page(keeper, f"/?{LATE}").firm
    assert "The data can't rank these sites: each is the best with the same chance of 33 %" in firm
    party.sites.filter(name="East").update(drive_minutes=200)
    assert "promises most" in page(keeper, f"/?{LATE}").firm


def test_net_per_trip_and_other_hours_can_be_asked_for(keeper, party):
    [_, far] = make_record(party, sites=2, trips=2)
    far.drive_minutes = 200
    far.save()
    more_colours(party, far, 14)
    by_hour, by_trip = (page(keeper, f"/?order={order}&{LATE}") for order in ("hour", "trip"))
    assert by_hour.per == "an hour door to door"
    assert by_trip.per == "a trip"
    assert by_trip.ranked[0].mean_minor > by_hour.ranked[0].mean_minor
    short = page(keeper, f"/?hours=1&{LATE}")
    assert {card.creek_minutes for card in short.ranked} == {60}


@pytest.mark.parametrize(
    ("asked", "said"),
    [("x", "such as 5.5"), ("0", "at least 0.5"), ("25", "24 hours"), ("-3", "at least 0.5")],
)
def test_hours_that_make_no_day_are_said_and_not_taken(keeper, party, asked, said):
    make_record(party)
    address = f"/?hours={asked}&{LATE}"
    assert said in words(keeper.get(address))
    assert page(keeper, address).ranked[0].creek_minutes == 210  # 5 h less the way


def test_the_pay_ladder_falls_from_rung_to_rung(keeper, party):
    make_record(party, trips=3)
    party.hourly_figure_minor = 2_000
    party.save()
    [card] = page(keeper, f"/?{LATE}").ranked
    assert [rung.label for rung in card.ladder] == list(LABELS.values())
    costs = [rung.threshold_minor for rung in card.ladder]
    assert costs == sorted(costs)
    assert all(rung.chance for rung in card.ladder)
    party.hourly_figure_minor = None
    party.save()
    [card] = page(keeper, f"/?{LATE}").ranked
    assert card.ladder[-1].chance == ""


def test_the_draw_that_breaks_a_tie_does_not_flicker(keeper, party):
    make_record(party, sites=2, trips=1)
    first, again = (page(keeper, f"/?{LATE}") for _ in range(2))
    assert first.explore
    assert first.explore == again.explore
    assert first.ranked == again.ranked


def test_a_closed_site_stays_in_sight_unranked_with_the_reason(keeper, party):
    best = make_record(party, sites=2, trips=3)[1]
    best.closed_from, best.closed_until = "11-01", "03-31"
    best.closed_reason = "Fish spawn."
    best.save()
    address = f"/?day=2031-{{}}&{LATE}"
    before, closed = (page(keeper, address.format(day)) for day in ("10-31", "11-01"))
    assert {card.site.name for card in before.ranked} == {"Reach 2", "Reach 1"}
    assert [card.site.name for card in closed.ranked] == ["Reach 1"]
    [other] = closed.others
    assert (other.standing, other.rank) == ("stopped", None)
    assert "Fish spawn." in words(keeper.get(address.format("11-01")))


def test_an_untried_site_is_ranked_by_what_the_others_say(keeper, party):
    make_record(party, trips=3)
    never = f.make_site(party, "Never")
    cards = {card.site.pk: card for card in page(keeper, f"/?{LATE}").ranked}
    assert cards[never.pk].evidence == "nothing counted yet"
    assert "nothing was counted here" in cards[never.pk].borrowed
    [(known, card)] = [(pk, card) for pk, card in cards.items() if pk != never.pk]
    assert "own samples" in card.borrowed
    assert cards[known].evidence == "162 colours in 3 pans and 3 runs, 315 L"


def test_a_spot_is_told_with_its_own_samples_and_the_whole_site_beside_them(keeper, party):
    [site] = make_record(party, trips=3)
    trip = party.trips.first()
    f.make_pan(trip, f.make_spot(site, "Poor bank"), fine=0)
    rebuild_party(party)
    [card] = page(keeper, f"/?{LATE}").ranked
    named = site.spots.exclude(name="Poor bank").get().name
    assert card.counted == (
        f"At {named}: 162 colours in 3 pans and 3 runs, 315 L. "
        "At the whole site: 163 colours in 4 pans and 3 runs, 320 L."
    )
    assert card.counted in words(keeper.get(f"/?{LATE}"))
    f.make_site(party, "Never")
    never = page(keeper, f"/?{LATE}").ranked[-1]
    assert never.counted == "At a spot not tried yet. At the whole site: nothing counted yet."


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"drive_minutes": None}, "no door-to-door time"),
        ({"sealed_m": None, "unsealed_m": None, "track_m": None}, "way there is not recorded"),
    ],
)
def test_a_site_that_cannot_be_reached_on_paper_stays_in_sight(keeper, party, changes, reason):
    make_record(party)
    f.make_site(party, "Far", **changes)
    [card] = page(keeper, f"/?{LATE}").others
    assert (card.standing, card.rank) == ("unknown", None)
    assert reason in card.needs
    assert reason in words(keeper.get(f"/?{LATE}"))


def test_each_thin_spot_of_the_record_gets_its_sentence(keeper, party):
    f.make_site(party)
    f.make_vehicle(party)
    f.make_price(party, dt.date(2030, 1, 1))
    f.make_price(party, dt.date(2030, 1, 2), currency="USD")
    party.fuel_price_milli_per_l = 1_800
    party.save()
    where = page(keeper, f"/?{LATE}")
    text = " ".join(where.thin)
    for said in ("No pan and no run", "No trip is wrapped up", "Nothing has been weighed", "USD"):
        assert said in text
    assert len(where.ranked) == 1
    trip = f.make_trip(party, party.sites.get())
    f.make_pan(trip, coarse=0, medium=0, fine=0)
    rebuild_party(party)
    assert "none showed a colour" in " ".join(page(keeper, f"/?{LATE}").thin)


def test_a_flood_is_shown_with_what_it_leaves(keeper, party):
    [site] = make_record(party)
    gauge = Gauge.objects.create(party=party, name="Weir")
    gauge.sites.add(site)
    Flood.objects.create(party=party, gauge=gauge, day=dt.date(2031, 6, 1), own_return_tenths=50)
    [card] = page(keeper, f"/?{LATE}").ranked
    assert "1 Jun 2031, about once in 5 years" in card.flood
    assert "25 % counts at the spots and 75 % for the site" in card.flood


def test_days_until_the_first_noted_end(keeper, party):
    [site] = make_record(party)
    site.closed_from, site.closed_until = "11-01", "03-31"
    site.save()
    f.make_paper(party, [site], expires_on=dt.date(2031, 12, 31))
    [card] = page(keeper, f"/?day=2031-10-12&{LATE}").ranked
    assert card.left == (20, "until its closed window, as noted")


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
    [card] = page(keeper, f"/?{LATE}").ranked
    assert card.result.per_hour_minor is None
    [gap] = card.result.gaps
    assert gap.reason in words(keeper.get(f"/?{LATE}"))
    # Valued at the day shown there is one, but not on a day before it.
    assert page(keeper, f"/?price=today&{LATE}").ranked[0].result.per_hour_minor is not None
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
    assert card.evidence == "108 colours in 2 pans and 2 runs, 210 L"
    assert card.sun.startswith("unknown: the site's position")


def test_daylight_is_told_where_the_position_is_known(keeper, party):
    f.make_site(party, latitude_udeg=0, longitude_udeg=0)
    page_then = page(keeper, "/?as_of=2031-03-21")
    [card] = (*page_then.ranked, *page_then.others)
    # At the equator the day is a little over twelve hours long all year (common knowledge).
    assert card.sun.startswith("12\u202fh\u202f0")


@pytest.mark.parametrize("asked", ["day=tomorrow", "day=2031-02-30", "price=x", "day="])
def test_a_day_that_cannot_be_read_falls_back_to_the_day_shown(keeper, party, asked):
    f.make_site(party)
    assert page(keeper, f"/?{asked}&{LATE}").day == dt.date(2031, 12, 31)


def test_an_unreadable_day_is_said_at_the_field(keeper, party):
    f.make_site(party)
    assert "Expected a date such as 2031-05-03" in words(keeper.get("/?day=tomorrow"))


def test_what_a_visit_teaches_is_said_for_the_trips_to_come(keeper, party):
    make_record(party, sites=2, trips=4)
    f.make_site(party, "Untried")
    text = page(keeper, f"/?later=40&{LATE}").taught
    assert "for the next 40 trips" in text
    assert "what it teaches is worth" in text
    assert "the next 6 trips" in page(keeper, f"/?later=x&{LATE}").taught
    assert "whole number of trips" in words(keeper.get(f"/?later=x&{LATE}"))
