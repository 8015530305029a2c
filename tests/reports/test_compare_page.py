"""The page "Is A better than B", from the record."""

import dataclasses
import random

import pytest
from django.urls import reverse

from reports.decide.comparing import mix_better
from reports.selectors.belief import party_belief
from reports.selectors.compare import things
from tests import factories as f
from tests.reports.asking import page, queries, words
from trips.calc.compare import compare_rates
from trips.calc.counts import ClassCounts
from trips.models import TestPan

pytestmark = pytest.mark.django_db
PLACE = reverse("reports:compare")
LATE = "as_of=2031-12-31"


@pytest.fixture
def spots(party):
    """Two spots of one site and one of another: 10, 2 and no colours in 20 litres."""
    one, other = f.make_site(party, "Weir"), f.make_site(party, "Meadow")
    made = [f.make_spot(one, "Bend"), f.make_spot(one, "Step"), f.make_spot(other, "Bar")]
    trip = f.make_trip(party, one, state="wrapped_up")
    for spot, fine in zip(made, (2, 0, 0), strict=True):
        for number in range(4):
            layer = "bedrock" if number == 3 else "gravel"
            f.make_pan(trip, spot, fine=fine, medium=1 if fine else 0, layer=layer)
    f.make_pan(trip, made[0], coarse=None, medium=None, fine=None)
    f.make_pan(trip, made[1], fine=2, medium=0)
    return made


def ask(a, b, query=LATE):
    return f"{PLACE}?a={a}&b={b}&{query}"


def test_sums_by_layer_are_those_of_the_pans_one_by_one(party, spots):
    dice = random.Random(4)
    trip = party.trips.get()
    for _ in range(60):
        counts = {name: dice.choice([None, 0, 1, 7]) for name in ("coarse", "medium", "fine")}
        layer, ml = dice.choice(["gravel", "bedrock", "overburden"]), dice.choice([4_000, 6_500])
        f.make_pan(trip, dice.choice(spots), layer=layer, volume_ml=ml, **counts)
    expected = {}
    for pan in TestPan.objects.filter(party=party):
        sums = expected.setdefault(f"layer-{pan.spot_id}-{pan.layer}", [0, 0, 0, 0, 0])
        counts = ClassCounts(pan.coarse, pan.medium, pan.fine)
        if counts.total is None:
            sums[3] += 1
        else:
            more = (1, counts.total, pan.volume_ml, 0, bool(counts.missing))
            sums[:] = [old + new for old, new in zip(sums, more, strict=True)]
    found = things(party, f.dt.date(2031, 12, 31))
    told = {thing.key: list(dataclasses.astuple(thing.counted)) for thing in found.layers}
    assert told == expected
    assert sum(thing.counted.pans for thing in found.sites) == sum(
        sums[0] for key, sums in expected.items() if "overburden" not in key
    )


def test_two_spots_of_one_site_share_its_mean(keeper, party, spots):
    one, other, _ = spots
    answer = page(keeper, ask(f"spot-{one.pk}", f"spot-{other.pk}")).answer
    belief = party_belief(party, f.dt.date(2031, 12, 31))
    mixes = belief.spot(one.pk), belief.spot(other.pk)
    assert answer.chance == pytest.approx(mix_better(*mixes, 1.0, same_site=True))
    assert answer.clear == pytest.approx(mix_better(*mixes, 1.5, same_site=True))
    assert answer.chance != pytest.approx(mix_better(*mixes, 1.0), abs=1e-4)
    assert answer.better.thing.spot_id == one.pk
    assert answer.clear < answer.chance
    assert answer.test == compare_rates(12, 20.0, 2, 25.0)
    shown = words(keeper.get(ask(f"spot-{one.pk}", f"spot-{other.pk}")))
    assert f"mid-p {answer.test.mid_p:.3f}" in shown
    assert "Weir: Bend" in answer.words
    assert "(1 not counted)" in shown


def test_turned_round_the_answer_is_the_same(keeper, spots):
    one, other, _ = spots
    straight = page(keeper, ask(f"spot-{one.pk}", f"spot-{other.pk}")).answer
    turned = page(keeper, ask(f"spot-{other.pk}", f"spot-{one.pk}")).answer
    assert turned.chance == pytest.approx(straight.chance)
    assert turned.words == straight.words
    assert turned.clear == pytest.approx(straight.clear)


def test_layers_and_sites_can_be_compared(keeper, party, spots):
    one, _, far = spots
    answer = page(keeper, ask(f"layer-{one.pk}-gravel", f"layer-{one.pk}-bedrock")).answer
    assert (answer.a.thing.counted.colours, answer.b.thing.counted.colours) == (9, 3)
    assert (answer.a.thing.counted.litres, answer.b.thing.counted.litres) == (15, 5)
    sites = page(keeper, ask(f"site-{one.site_id}", f"site-{far.site_id}")).answer
    assert sites.better.thing.name == "Weir"
    assert sites.a.thing.counted.pans == 9


def test_colours_at_neither_are_no_information(keeper, party, spots):
    *_, far = spots
    twin = f.make_spot(far.site, "Tail")
    trip = party.trips.get()
    f.make_pan(trip, twin, fine=0, medium=0)
    answer = page(keeper, ask(f"spot-{far.pk}", f"spot-{twin.pk}")).answer
    assert "say nothing" in answer.test_words
    assert answer.test.ratio is None
    empty = f.make_spot(far.site, "Never tried")
    answer = page(keeper, ask(f"spot-{far.pk}", f"spot-{empty.pk}")).answer
    assert answer.test is None
    assert "no counted pan" in answer.test_words
    assert answer.words.startswith(("Can't tell", "Leaning"))


@pytest.mark.parametrize(
    ("pair", "sentence"),
    [
        (("spot-{0}", "spot-{0}"), "Choose two different ones"),
        (("spot-{0}", "site-{s}"), "part of the other"),
        (("spot-{0}", "layer-{0}-gravel"), "part of the other"),
        (("spot-{0}", "spot-999999999999999999999"), "choose from the list"),
        (("rubbish", "spot-{0}"), "choose from the list"),
        (("", "spot-{0}"), "required"),
    ],
)
def test_a_pair_that_makes_no_sense_has_its_sentence(keeper, spots, pair, sentence):
    one = spots[0]
    a, b = (part.format(one.pk, s=one.site_id) for part in pair)
    answer = keeper.get(ask(a, b))
    assert answer.context["page"].answer is None
    assert sentence in words(answer)


def test_another_partys_spot_is_none_of_ones_own(keeper, spots):
    theirs = f.make_spot(f.make_site(f.make_party()))
    answer = keeper.get(ask(f"spot-{spots[0].pk}", f"spot-{theirs.pk}"))
    assert answer.context["page"].answer is None
    assert theirs.name not in [thing.name for thing in answer.context["page"].form.found.spots]


def test_without_two_spots_the_page_says_what_it_would_show(keeper, party):
    assert "Two spots are needed" in words(keeper.get(PLACE))


def test_overburden_belongs_to_no_rate(party, spots):
    f.make_pan(party.trips.get(), spots[0], layer="overburden", fine=50)
    found = things(party, f.dt.date(2031, 12, 31))
    assert found.find(f"spot-{spots[0].pk}").counted.colours == 12
    assert found.find(f"layer-{spots[0].pk}-overburden").counted.colours == 51


def test_queries_do_not_grow(keeper, party, spots):
    address = ask(f"spot-{spots[0].pk}", f"spot-{spots[2].pk}")
    keeper.get(address)
    before = queries(keeper, address)
    trip = party.trips.get()
    for _ in range(5):
        f.make_pan(trip, f.make_spot(spots[0].site))
    keeper.get(address)
    assert queries(keeper, address) == before
    assert before <= 12
