"""The phone's looking up says what the desk says, for any pans, from the same tables."""

import random

import pytest

from reports.decide.creek_words import verdict
from reports.pages.field_tables import payload, trip_tables
from reports.selectors.creek import creek_facts
from tests import factories as make
from tests.reports.creek_made import PLAN_DAY, planned_trip
from trips.calc.counts import ClassCounts

pytestmark = pytest.mark.django_db(transaction=True)
LOOK_UP = """async ({ tables, cases }) => {
  const { verdict } = await import("/static/trips/field/lookup.js");
  return cases.map(({ place, pans }) => verdict(tables, place, pans));
}"""


def some_pans(chance):
    def count(most):
        return None if chance.random() < 0.07 else chance.randint(0, most)

    return [
        (count(1), count(2), count(chance.choice([1, 4, 12])), chance.choice([2.5, 5.0, 5.5, 8.0]))
        for _ in range(chance.randint(0, 14))
    ]


def as_sent(pan):
    coarse, medium, fine, litres = pan
    body = {"coarse": coarse, "medium": medium, "fine": fine, "volume": f"{litres} L"}
    return {"body": {k: None if v is None else str(v) for k, v in body.items()}}


def test_phone_and_desk_say_the_same(phone):
    party = make.make_party()
    trip = planned_trip(party)
    tables = trip_tables(creek_facts(party, trip, PLAN_DAY))
    chance = random.Random(3)
    cases, expected = [], []
    for place in tables.places:
        for card in (*place.spots, place.new):
            for _ in range(80):
                pans = some_pans(chance)
                cases.append(
                    {
                        "place": {
                            "spot": str(card.spot.uuid) if card.spot else "made on the phone",
                            "site": str(card.site.pk),
                        },
                        "pans": [as_sent(pan) for pan in pans],
                    }
                )
                counted = [(ClassCounts(*pan[:3]), pan[3]) for pan in pans]
                expected.append(verdict(card.table, counted, tables.weights))
    phone.goto("/field/")
    said = phone.evaluate(LOOK_UP, {"tables": payload(tables), "cases": cases})
    assert [each["word"] for each in said] == [each.action for each in expected]
    assert {"dig", "pan", "unknown"} < {each.action for each in expected}
    for phones, desks in zip(said, expected, strict=True):
        assert f"{phones['said']}. {phones['why']}".startswith(f"{desks.words}. ")


def test_without_a_table_it_says_so(phone):
    phone.goto("/field/")
    [said] = phone.evaluate(LOOK_UP, {"tables": None, "cases": [{"place": {}, "pans": []}]})
    assert (said["word"], "No table" in said["why"]) == ("", True)
