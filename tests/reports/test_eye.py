"""The eye against the scale: promised and weighed by trip, and the party's own bias."""

import pytest

from reports.figures.eye import Promise, eye_and_scale
from tests import factories as f
from tests.reports.asking import LATE, page, queries, words
from tests.reports.made import DAY
from trips.calc.counts import PRIOR_MASSES, ClassCounts


def promise(trip_id, weighed_ug, counts=(0, 2, 10)):
    """Two medium and ten fine colours promise 10 mg at the starting masses."""
    return Promise(trip_id, f"Trip {trip_id}", DAY, ClassCounts(*counts), weighed_ug)


def eye(*promises):
    return eye_and_scale(promises, PRIOR_MASSES)


def test_the_bias_is_a_ratio_of_sums():
    found = eye(promise(1, 8_000), promise(2, 14_000))
    assert [each.promised_ug for each in found.trips] == [10_000, 10_000]
    assert found.bias == pytest.approx(1.1)
    assert found.low is None
    assert "2 of at least 3 trips" in found.note
    assert found.words == "Over 2 trips the scale showed 10 % more than the counts promised."


def test_from_three_trips_on_it_has_a_range():
    found = eye(promise(1, 8_000), promise(2, 14_000), promise(3, 9_000))
    assert found.low < found.bias < found.high
    assert "Rough" in found.note


def test_weigh_ins_of_one_trip_count_together():
    found = eye(promise(1, 8_000), promise(1, 4_000))
    assert len(found.trips) == 1
    assert (found.trips[0].promised_ug, found.trips[0].weighed_ug) == (20_000, 12_000)


def test_a_class_that_was_not_counted_leaves_the_trip_unknown():
    found = eye(promise(1, 8_000, (0, None, 10)))
    assert found.trips[0].promised_ug is None
    assert "medium" in found.trips[0].reason
    assert found.bias is None
    assert "No trip yet" in found.words


def test_zero_colours_promise_nothing_and_teach_no_bias():
    found = eye(promise(1, 5_000, (0, 0, 0)))
    assert found.trips[0].promised_ug == 0
    assert found.trips[0].ratio is None
    assert found.bias is None


def test_all_alike_has_no_range_and_says_so():
    found = eye(*(promise(n, 10_000) for n in range(4)))
    assert found.bias == 1
    assert found.low is None
    assert "just as much as" in found.words


@pytest.mark.django_db
class TestPage:
    def test_nothing_weighed_teaches(self, keeper):
        assert "Nothing has been weighed yet" in words(keeper.get("/gold/eye/"))

    def weighed(self, party, mg):
        trip = f.make_trip(party, state="wrapped_up")
        run = f.make_run(trip, coarse=0, medium=2, fine=10)
        f.make_weigh_in(trip, runs=[run], gross_ug=250_000 + mg * 1_000)

    def test_bias_masses_and_words(self, keeper, party):
        for mg in (8, 14, 9):
            self.weighed(party, mg)
        shown = page(keeper, f"/gold/eye/?{LATE}")
        assert shown.eye.known == 3
        assert shown.learned.weigh_ins == 3
        assert len(shown.figure.table_rows) == 3
        text = words(keeper.get(f"/gold/eye/?{LATE}"))
        assert "Learned from 3 weigh-ins" in text
        assert "1.03 times" in text
        csv = keeper.get(f"/gold/eye/?export=csv&{LATE}").content.decode("utf-8-sig").splitlines()
        assert csv[1].split(",")[1:5] == ["2031-05-03", "10.0", "9.0", "90"]

    def test_the_same_queries_for_more_trips(self, keeper, party):
        self.weighed(party, 8)
        keeper.get(f"/gold/eye/?{LATE}")
        before = queries(keeper, f"/gold/eye/?{LATE}")
        for mg in (9, 10, 11):
            self.weighed(party, mg)
        assert queries(keeper, f"/gold/eye/?{LATE}") == before
