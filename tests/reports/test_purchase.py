"""Would it pay: present value by draws, payback, and the page with its starting figures."""

from dataclasses import replace

import numpy as np
import pytest

from reports.decide.colour_mass import MeanColour
from reports.decide.next_trip import Fed, dispersion
from reports.decide.purchase import Grade, Purchase, ground_of, sensitivities, worth
from tests import factories as f
from tests.reports.asking import LATE, page, queries, words
from tests.reports.record import make_record
from trips.calc.equipment import npv, payback_years
from trips.calc.errors import OutOfRange

MEAN = MeanColour(1_000, 1.2, 0.1, (12, 2.5, 0.5))
FED = tuple(Fed(60_000 + 10_000 * n, 200.0) for n in range(6))
# A milligram brings 0.08; six trips gave 85 mg per 200 L: 200 L more bring about 6.80.
GROUND = ground_of(FED, MEAN, 0.08)
BOX = Purchase(300, 50, 5, 0.03, 10, (100, 200, 300), 0.0, 2.0)


def test_without_gold_the_value_is_the_plain_present_value():
    car = Purchase(1_000, 100, 4, 0.08, 20, (0, 0, 0), 25.0, 5.0)
    found = worth(car, None)
    flows = [-1_000, 400, 400, 400, 500]
    assert found.mean == pytest.approx(npv(0.08, flows))
    assert found.low == found.high == pytest.approx(found.mean)
    assert found.chance == 1
    assert found.payback == payback_years(flows) == 2.5


@pytest.mark.outside("numpy-financial docstring of npv: 3065.22 at 8 % (seen)")
def test_present_value_of_published_flows():
    assert npv(0.08, [-40_000, 5_000, 8_000, 12_000, 30_000]) == pytest.approx(3065.22267)


def test_mean_gold_is_litres_times_rate_times_worth():
    found = worth(BOX, GROUND)
    phi = dispersion(FED, MEAN)
    rate = (1 + 510 / phi) / (10 + 1_200 / phi)
    assert found.gold_yearly == pytest.approx(10 * 200 * rate * 0.08, rel=0.02)
    assert 0 < found.chance < 1
    assert found.low < found.mean < found.high


def test_the_same_figures_give_the_same_answer():
    assert worth(BOX, GROUND) == worth(replace(BOX), ground_of(FED, MEAN, 0.08))


@pytest.mark.parametrize(
    "worse",
    [
        replace(BOX, price=400),
        replace(BOX, running=3.0),
        replace(BOX, residual=0),
        replace(BOX, litres=(50, 100, 150)),
        replace(BOX, rate=0.1),
    ],
)
def test_dearer_poorer_or_later_is_never_worth_more(worse):
    assert worth(worse, GROUND).mean < worth(BOX, GROUND).mean


def test_cheaper_gold_on_the_same_draws_is_worth_less():
    rows = dict(sensitivities(BOX, GROUND))
    assert rows["Gold a fifth cheaper"].gold_yearly == pytest.approx(
        0.8 * rows["As entered"].gold_yearly
    )
    assert rows["No extra gold"].chance == 0
    assert rows["Half as many trips"].mean < rows["As entered"].mean


def test_the_spread_agrees_with_plain_draws():
    """Another route: the year's mass as a sum of single colours."""
    few = replace(BOX, years=1, trips_a_year=1, litres=(20, 20, 20), price=0, residual=0, running=0)
    found = worth(few, GROUND)
    rng = np.random.default_rng(5)
    phi = dispersion(FED, MEAN)
    rates = rng.gamma(1 + 510 / phi, 1 / (10 + 1_200 / phi), 20_000)
    values = [
        rng.gamma(1 / 1.44, phi * 1.44, rng.poisson(rate * 20 / phi)).sum() * 0.08 / 1.03
        for rate in rates
    ]
    low, high = np.quantile(values, [0.1, 0.9])
    assert (found.low, found.high) == (
        pytest.approx(low, abs=0.06),
        pytest.approx(high, abs=0.06),
    )


NEARER = Purchase(0, 0, 5, 0.0, 10, (0, 0, 0), 0.0, 0.0)


def test_another_grade_counts_for_all_litres():
    """200 L a trip at 1 mg a litre for what the present ground gives; 0.08 a milligram."""
    there = replace(GROUND, there=Grade(1.0, 0.2))
    found = worth(NEARER, there)
    as_now = worth(replace(NEARER, litres=(200, 200, 200)), GROUND)
    assert found.gold_yearly == pytest.approx(10 * 200 * 0.08 - as_now.gold_yearly, rel=0.03)
    more = worth(replace(NEARER, litres=(100, 100, 100)), there)
    assert more.gold_yearly - found.gold_yearly == pytest.approx(10 * 100 * 0.08, rel=0.05)


def test_the_same_grade_is_worth_nothing_on_the_mean_and_a_poorer_one_costs():
    phi = dispersion(FED, MEAN)
    now = (1 + 510 / phi) / (10 + 1_200 / phi)  # colours, and mg, a litre
    same = worth(NEARER, replace(GROUND, there=Grade(now, 0.1)))
    assert same.gold_yearly == pytest.approx(0, abs=0.01 * 10 * 200 * now * 0.08)
    poorer = worth(NEARER, replace(GROUND, there=Grade(0.5 * now, 0.1)))
    assert poorer.chance == 0
    names = [name for name, _ in sensitivities(NEARER, replace(GROUND, there=Grade(now, 0.1)))]
    assert "Grade there as where you go now" in names


@pytest.mark.parametrize("grade", [Grade(-1, 0.5), Grade(1, 0)])
def test_a_grade_that_makes_no_sense_is_refused(grade):
    with pytest.raises(OutOfRange):
        worth(NEARER, replace(GROUND, there=grade))


@pytest.mark.parametrize(
    "wrong",
    [
        replace(BOX, years=0),
        replace(BOX, price=-1),
        replace(BOX, litres=(3, 2, 1)),
        replace(BOX, rate=-1),
    ],
)
def test_nonsense_is_refused(wrong):
    with pytest.raises(OutOfRange):
        worth(wrong, GROUND)


def test_no_gold_or_no_price_is_no_ground():
    assert ground_of((), MEAN, 0.08) is None
    assert ground_of((Fed(0, 10.0),), MEAN, 0.08) is None
    assert ground_of(FED, MEAN, None) is None


@pytest.mark.django_db
class TestPage:
    def test_without_trips_it_still_works_out_what_is_typed(self, keeper):
        text = words(
            keeper.get("/pay/purchase/?kind=car&price_minor=900&km_saved=100&km_milli=0.1")
        )
        assert "No trip is wrapped up yet: fill in what you know." in text
        assert "Without a gold price" in text

    @pytest.mark.parametrize("kind", ["box", "site", "person", "car"])
    def test_each_question_starts_from_the_record(self, keeper, party, kind):
        make_record(party, trips=3)
        assert page(keeper, f"/pay/purchase/?kind={kind}&{LATE}").result is None  # no price yet
        shown = page(keeper, f"/pay/purchase/?kind={kind}&price_minor=300&{LATE}")
        assert shown.result is not None
        assert shown.trips == 3
        form = keeper.get(f"/pay/purchase/?kind={kind}&{LATE}").context["form"]
        assert form["trips_tenths"].value() == "3.0"
        if kind == "box":
            assert form["litres_likely"].value() == "100"
        if kind == "car":
            assert form["km_saved"].value() == "40.0"

    def test_no_chance_is_said_to_be_none_or_sure(self, keeper, party):
        make_record(party, trips=3)
        base = f"/pay/purchase/?kind=car&{LATE}"
        assert "under 1 %" in words(keeper.get(f"{base}&price_minor=90000"))
        sure = keeper.get(f"{base}&price_minor=0&km_saved=40&km_milli=0.2&running_minor=0")
        assert "over 99 %" in words(sure)
        assert "100 %" not in words(sure)

    @pytest.mark.parametrize(
        ("query", "part"),
        [
            ("price_minor=lots", "could not be read"),
            ("years=0", "from 1 to 30"),
            ("litres_least=9&litres_likely=2&litres_most=3", "must rise"),
            ("price_minor=5 USD", "would mix currencies"),
        ],
    )
    def test_a_wrong_figure_is_told_and_kept(self, keeper, party, query, part):
        answer = keeper.get(f"/pay/purchase/?{query}&{LATE}")
        assert part in words(answer)
        assert answer.context["page"].result is None

    def test_the_nearer_site_may_be_one_on_record_or_a_guess(self, keeper, party):
        [site, _] = make_record(party, trips=3, sites=2)
        base = f"/pay/purchase/?kind=site&price_minor=0&{LATE}"
        assert "as good as the places you go to now" in words(keeper.get(base))
        at_site = keeper.get(f"{base}&other_site={site.pk}")
        assert f"Grade at {site.name}" in words(at_site)
        assert "and back is 40 km" in words(at_site)
        poor = page(keeper, f"{base}&other_site={site.pk}&grade_ug=0.001 mg")
        rich = page(keeper, f"{base}&grade_ug=100 mg")
        assert "your guess, taken as ± 50 %" in poor.there[0]
        assert poor.result.mean < at_site.context["page"].result.mean < rich.result.mean

    def test_a_site_of_another_party_is_no_choice(self, keeper, party):
        make_record(party)
        other = f.make_site(f.make_party())
        answer = keeper.get(f"/pay/purchase/?kind=site&price_minor=0&other_site={other.pk}&{LATE}")
        assert answer.context["page"].result is None
        assert other.name not in words(answer)

    def test_wear_so_far_and_what_is_left(self, keeper, party):
        make_record(party, trips=3)
        [car, box] = sorted(page(keeper, f"/pay/purchase/?{LATE}").wear, key=lambda line: line.book)
        assert car.name == "Wear of the vehicle"
        # 60 minutes a run of 30 000 at a price of 300.00: 0.60 a trip.
        assert (box.worn[:4], box.book[:6]) == ("1.80", "298.20")

    def test_the_same_queries_for_more_trips(self, keeper, party):
        make_record(party)
        keeper.get(f"/pay/purchase/?{LATE}")
        before = queries(keeper, f"/pay/purchase/?{LATE}")
        make_record(party, trips=4, names="Other")
        keeper.get(f"/pay/purchase/?{LATE}")  # keeps what colours weigh anew
        assert queries(keeper, f"/pay/purchase/?{LATE}") == before


@pytest.mark.django_db
class TestRates:
    def test_published_rates_stand_with_their_source(self, keeper):
        text = words(keeper.get("/kit/rates/"))
        assert "1.17 NZD up to 14,000 km, 0.37 NZD beyond 14,000 per km" in text
        assert "nothing beyond per km" in text
        assert "No wrapped-up trip with a car yet" in text

    def test_own_rates_by_day_and_as_if(self, keeper, party):
        make_record(party, trips=3)  # 40 km each in May 2031
        f.make_rate(party, name="Own", first_tier_upto=100)
        [line] = page(keeper, f"/kit/rates/?rate=n Own&{LATE}").cars
        assert line.charged[:5] == "54.00"  # 100 km at 0.50 and 20 at 0.20
        assert line.own_wear[:5] == "18.00"
        [line] = page(keeper, f"/kit/rates/?rate=n Own&other_km=100&{LATE}").cars
        assert line.charged[:5] == "24.00"
        [line] = page(keeper, f"/kit/rates/?rate=n USA, business&{LATE}").cars
        assert line.charged == "unknown"
        assert "No USA, business rate for 2031-05-03" in line.reason
        [line] = page(keeper, f"/kit/rates/?rate=t 1&{LATE}").cars
        assert line.charged.endswith("NZD")

    def test_a_rate_is_typed_changed_and_deleted(self, keeper, party):
        data = {
            "name": "Club",
            "first_day": "2031-01-01",
            "last_day": "2031-12-31",
            "unit": "km",
            "currency": "EUR",
            "rate_milli": "0,42",
            "source": "the club's letter",
        }
        keeper.post("/kit/rates/new/", data)
        rate = party.distance_rates.get()
        assert rate.rate_milli == 420
        for changes, part in (
            ({"last_day": "2030-01-01"}, "end before it begins"),
            ({"second_rate_milli": "0.2"}, "up to which distance"),
            ({"rate_milli": "-1"}, "Expected a number"),
            ({"currency": "euros"}, "three letters"),
            ({"source": ""}, "required"),
            ({}, "from this day already"),
        ):
            assert part in words(keeper.post("/kit/rates/new/", data | changes))
        assert party.distance_rates.count() == 1
        keeper.post(f"/kit/rates/{rate.pk}/delete/")
        assert not party.distance_rates.exists()
