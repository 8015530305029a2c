"""The pay ladder by site, gear, method, month and year, with the next trip's chances."""

import datetime as dt

import numpy as np
import pytest

from reports.decide.colour_mass import MeanColour
from reports.decide.next_trip import (
    START_DISPERSION,
    Fed,
    chance_by_share,
    dispersion,
    next_trip,
    pooled_rate_per_l,
)
from reports.figures.facts import GearPart
from reports.figures.pay_groups import Basis, grouped, pay_groups
from reports.figures.value import value_trips
from tests import factories as f
from tests.reports import made
from tests.reports.asking import LATE, page, queries, words
from tests.reports.made import DAY, PRICE, trip
from tests.reports.record import make_record
from trips.calc.gold import Unknown
from trips.services.derive import rebuild_party

MEAN = MeanColour(mean_ug=1_000, colour_cv=1.2, mean_cv=0.1, weights=(12, 2.5, 0.5))


GEAR = {1: ("Long box", "sluice"), 2: ("Pump box", "pumped"), 3: ("Old box", "sluice")}


def valued(trips):
    return value_trips(trips, made.party(), [PRICE], as_of=DAY, basis="trip")


def rows(trips, by="site", names=((1, "Bend"), (2, "Bar")), price=PRICE, **its):
    basis = Basis(made.party(**its), price, MEAN)
    groups = pay_groups(grouped(valued(trips), by, names, GEAR), basis)
    return {group.name: group for group in groups}


def box(gear_id, minutes, mass_ug, washed_ml=100_000):
    return GearPart(gear_id, minutes, mass_ug, 0, washed_ml)


def test_by_month_and_year():
    trips = [
        trip(1, ends_on=dt.date(2030, 6, 1), starts_on=dt.date(2030, 6, 1)),
        trip(2),
        trip(3, ends_on=dt.date(2031, 6, 1), starts_on=dt.date(2031, 6, 1)),
    ]
    by_month, by_year = rows(trips, "month"), rows(trips, "year")
    assert {name: row.result.trips for name, row in by_month.items()} == {"May": 1, "June": 2}
    assert {name: row.result.trips for name, row in by_year.items()} == {"2030": 1, "2031": 2}


def test_a_trip_through_two_boxes_is_parted_and_adds_up():
    gear = (box(1, 60, 400_000), box(2, 180, 200_000))
    found = rows([trip(1, gear_rows=gear)], "gear")
    assert set(found) == {"Long box", "Pump box"}
    # Gold 2 : 1 of 50.00; outlay 1 : 3 of 20.00; ten hours 1 : 3.
    assert found["Long box"].result.value_minor == 3_333
    assert found["Pump box"].result.value_minor == 1_667
    assert found["Long box"].result.outlay_minor == 500
    assert found["Pump box"].result.minutes == 450


def test_gear_of_one_kind_is_one_method_and_trips_without_runs_stand_apart():
    gear = (box(1, 60, 400_000), box(3, None, 200_000))
    found = rows([trip(1, gear_rows=gear), trip(2)], "method")
    assert {name: row.result.trips for name, row in found.items()} == {"sluice": 1, "pans only": 1}
    assert found["sluice"].result.value_minor == 5_000


def test_gear_that_was_not_noted_stands_apart():
    found = rows([trip(1, gear_rows=(box(None, 60, 400_000), box(1, 60, 200_000)))], "gear")
    assert set(found) == {"gear not noted", "Long box"}
    assert set(rows([trip(1, gear_rows=(box(None, 60, 400_000),))], "method")) == {"gear not noted"}


def test_minutes_missing_for_one_box_part_costs_evenly():
    gear = (box(1, 60, 400_000), box(2, None, 200_000))
    found = rows([trip(1, gear_rows=gear)], "gear")
    assert found["Long box"].result.outlay_minor == found["Pump box"].result.outlay_minor == 1_000


def test_rungs_follow_the_parts():
    found = rows([trip(1), trip(2, fine_ug=150_000, mass_ug=180_000)], hourly_figure_minor=500)
    [row] = found.values()
    # 50.00 and 15.00 against 12.00 fuel, 20.00 outlay, 25.00 with wear, 125.00 with the hours.
    assert [rung.share.reached for rung in row.rungs] == [2, 1, 1, 0]
    assert all(rung.share.known == 2 for rung in row.rungs)


def test_break_even_of_a_mean_trip_and_of_all_the_gold():
    [row] = rows([trip(1), trip(2)]).values()
    # 20.00 at 100 a gram is 0.2 g pure; the gold is 500/600 fine, 833 ‰: 0.240096 g, rounded up.
    assert row.break_even.mass_ug == 240_097
    assert row.break_even_price.per_g == 40  # 40.00 over one gram of pure gold


def test_no_gold_has_no_price_that_would_do():
    [row] = rows([trip(1, fine_ug=0, mass_ug=0)]).values()
    assert row.break_even_price.per_g is None
    assert "No price would do" in row.break_even_price.reason


def test_without_a_price_break_even_grams_are_unknown_and_chances_by_share():
    [row] = rows([trip(1)], price=Unknown("No gold price has been entered yet.")).values()
    assert row.break_even.mass_ug is None
    assert row.by_gold is None
    assert row.chances[0] == 0.75  # one of one


def test_without_litres_the_chances_are_the_share_of_past_trips():
    parts = ((1, 60, None),)
    found = rows([trip(n, parts, washed_ml=None) for n in range(3)])
    assert found["Bend"].by_gold is None
    assert found["Bend"].chances[:2] == (3.5 / 4, 3.5 / 4)
    assert found["Bend"].chances[3] is None  # no own figure per hour is set


def fed_trips(masses_mg, litres=100):
    return [
        trip(n, ((1, 60, None, 0, litres * 1_000),), mass_ug=mg * 1_000, fine_ug=mg * 900)
        for n, mg in enumerate(masses_mg)
    ]


def test_with_litres_the_chances_fall_from_rung_to_rung():
    found = rows(fed_trips([300, 500, 200, 450]), hourly_figure_minor=300)["Bend"]
    assert found.by_gold.trips == 4
    assert list(found.chances) == sorted(found.chances, reverse=True)
    assert 0 < found.chances[3] < found.chances[0] < 1


def test_more_gold_never_lowers_a_chance():
    poor, rich = rows(fed_trips([100, 200, 150])), rows(fed_trips([200, 400, 300]))
    assert rich["Bend"].chances[1] > poor["Bend"].chances[1]


class TestNextTrip:
    """Own values, checked by simulation."""

    fed = (Fed(60_000, 200.0), Fed(110_000, 250.0), Fed(30_000, 180.0))

    def test_rate_and_dispersion(self):
        assert pooled_rate_per_l(self.fed, 1_000) == pytest.approx(200 / 630)
        assert pooled_rate_per_l([], 1_000) is None
        rate = 200 / 630
        squares = sum(
            (n - rate * v) ** 2 / (rate * v) for n, v in ((60, 200), (110, 250), (30, 180))
        )
        expected = (4 * 1.5 + squares / (1 + 1.2**2)) / (4 + 2)
        assert dispersion(self.fed, MEAN) == pytest.approx(expected)
        assert dispersion([Fed(0, 10.0)], MEAN) == START_DISPERSION

    def test_even_trips_have_no_dispersion_below_one(self):
        assert dispersion([Fed(50_000, 100.0)] * 30, MEAN) == 1

    def test_chances_agree_with_draws(self):
        found = next_trip(self.fed, (40_000, 80_000, None), MEAN, 0.3)
        phi, rng = found.dispersion, np.random.default_rng(1)
        rate = rng.gamma(1 + 200 / phi, 1 / (1 / 0.3 + 630 / phi), 200_000)
        clumps = rng.poisson(rate * found.litres / phi)
        shape = np.maximum(clumps, 1) / MEAN.colour_cv**2
        mass = rng.gamma(shape, phi * 1.0 * MEAN.colour_cv**2) * (clumps > 0)
        assert found.chances[0] == pytest.approx((mass >= 40).mean(), abs=0.005)
        assert found.chances[1] == pytest.approx((mass >= 80).mean(), abs=0.005)
        assert found.chances[2] is None

    def test_no_trip_has_no_forecast(self):
        assert next_trip([], (1.0,), MEAN) is None

    def test_the_mean_of_jeffreys(self):
        assert chance_by_share(4, 8) == 0.5
        assert chance_by_share(0, 0) is None


@pytest.mark.django_db
class TestPage:
    def test_no_trip_teaches(self, keeper):
        assert "No wrapped-up trip yet" in words(keeper.get("/pay/ladder/"))

    def test_one_trip_has_no_range_and_says_so(self, keeper, party):
        make_record(party)
        [group] = page(keeper, f"/pay/ladder/?{LATE}").groups
        assert group.result.low_minor is None
        assert group.result.method == "none"
        text = words(keeper.get(f"/pay/ladder/?{LATE}"))
        assert "invisible to any resampling" in text
        assert "1 of 1" in text

    @pytest.mark.parametrize("by", ["site", "gear", "method", "month", "year"])
    def test_every_grouping_shows_the_same_trips(self, keeper, party, by):
        make_record(party, sites=2, trips=3)
        shown = page(keeper, f"/pay/ladder/?by={by}&{LATE}")
        assert sum(group.result.net_minor for group in shown.groups) == 20_904
        assert shown.by == by

    def test_wrong_choices_fall_back(self, keeper, party):
        make_record(party)
        assert page(keeper, f"/pay/ladder/?by=weather&season=x&{LATE}").by == "site"

    def test_files_say_what_the_page_says(self, keeper, party):
        make_record(party, sites=2, trips=3)
        csv = keeper.get(f"/pay/ladder/csv/?by=gear&{LATE}").content.decode("utf-8-sig")
        assert csv.splitlines()[1].startswith("Box 1,6,6,6.97,")
        assert keeper.get(f"/pay/ladder/pdf/?{LATE}").content.startswith(b"%PDF")
        assert keeper.get(f"/pay/ladder/xlsx/?{LATE}").status_code == 200
        assert keeper.get("/pay/ladder/doc/").status_code == 404

    def test_the_same_queries_for_more_rows(self, keeper, party):
        make_record(party)
        keeper.get(f"/pay/ladder/?{LATE}")
        before = queries(keeper, f"/pay/ladder/?{LATE}")
        make_record(party, sites=3, trips=4, names="Other")
        assert queries(keeper, f"/pay/ladder/?{LATE}") == before <= 15

    def test_all_hours_missing_leaves_sums_per_trip(self, keeper, party):
        make_record(party, trips=2)
        party.trips.first().hours.all().delete()
        party.trips.last().hours.all().delete()
        rebuild_party(party)
        [group] = page(keeper, f"/pay/ladder/?{LATE}").groups
        assert group.result.net_minor == 1_658  # 17.70 × 3 − 2 × 18.26
        assert group.result.per_hour_minor is None

    def test_a_specimen_counts_at_its_own_price(self, keeper, party):
        make_record(party)
        weigh_in = party.weigh_ins.get()
        f.make_lot(weigh_in, mass_ug=100_000, own_value_minor=9_000)
        [group] = page(keeper, f"/pay/ladder/?{LATE}").groups
        assert group.result.value_minor == 9_885  # 0.1 g as metal 8.85, 0.1 g at 90.00

    def test_it_sorts_by_every_column(self, keeper, party):
        make_record(party, sites=3, trips=2)
        report = keeper.get(f"/pay/ladder/?{LATE}").context["report"]
        for column in report.columns:
            for way in ("", "-"):
                answer = keeper.get(f"/pay/ladder/?sort={way}{column.key}&{LATE}")
                assert answer.status_code == 200


def test_parts_of_gold_that_nothing_places_follow_time():
    gear = (box(1, 60, None), box(2, 60, None))
    one = trip(1, gear_rows=gear)
    found = rows([one], "gear")
    assert found["Long box"].result.value_minor == found["Pump box"].result.value_minor == 2_500
