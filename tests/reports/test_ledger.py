"""The gold ledger: balances, values and gains, and its page and files."""

import datetime as dt
import io

import pytest

from reports.figures.ledger import Lot, LotShare, Weighing, gold_ledger
from tests import factories as f
from tests.reports.asking import LATE, page, queries, words
from tests.reports.made import DAY, PRICE
from tests.reports.made import party as facts
from trips.calc.gold import PricePoint

LATER = dt.date(2031, 9, 1)
DEARER = PricePoint(dt.date(2031, 8, 1), PRICE.amount * 2, "g", "EUR", "made up for tests")


def weighing(net_ug=1_000_000, key=1, day=DAY, fineness=900, **overrides):
    values = {"trip": f"Trip {key}", "found_on": day, "weighed_on": day}
    return Weighing(weigh_in_id=key, net_ug=net_ug, fineness=fineness, **values | overrides)


def lot(*parts, state="sold", **overrides):
    """Parts are (weigh-in, µg); sold on 1 September for 100.00 with a fee of 5.00."""
    shares = tuple(LotShare(key, mass, 900, DAY) for key, mass in parts)
    values = {
        "name": "Vial",
        "moved_on": LATER if state != "on_hand" else None,
        "to_whom": "",
        "proceeds_minor": 10_000 if state == "sold" else None,
        "fee_minor": 500 if state == "sold" else None,
        "own_value_minor": None,
        "currency": "EUR",
    }
    return Lot(state=state, parts=shares, **values | overrides)


def ledger(weighings, lots=(), prices=(PRICE, DEARER), as_of=dt.date(2031, 12, 31)):
    return gold_ledger(weighings, lots, prices, facts(), as_of)


def test_a_sale_is_set_against_its_day_and_the_day_of_the_find():
    """Half a gram of 900 ‰: 90.00 at 200 a gram on the day of sale, 45.00 when found."""
    found = ledger([weighing()], [lot((1, 500_000))])
    sale = found.lines[1]
    assert (sale.value_minor, sale.found_minor) == (9_000, 4_500)
    assert (sale.gain_minor, sale.since_found_minor) == (500, 5_000)
    assert (found.gain_minor, found.since_found_minor) == (500, 5_000)
    assert [line.balance_ug for line in found.lines] == [1_000_000, 500_000]


def test_a_merged_lot_is_one_line_over_several_weighings():
    found = ledger(
        [weighing(key=1), weighing(key=2, net_ug=300_000)], [lot((1, 400_000), (2, 300_000))]
    )
    assert [line.out_ug for line in found.lines] == [0, 0, 700_000]
    assert found.on_hand_ug == 600_000
    assert found.sold_ug + found.given_ug + found.on_hand_ug == found.weighed_ug


def test_a_specimen_is_valued_at_its_own_price():
    found = ledger([weighing()], [lot((1, 500_000), own_value_minor=8_000)])
    assert found.lines[1].value_minor == 8_000
    assert found.lines[1].gain_minor == 1_500


def test_a_gift_brings_nothing_and_has_no_gain():
    found = ledger([weighing()], [lot((1, 200_000), state="given")])
    line = found.lines[1]
    assert (line.what, line.value_minor, line.proceeds_minor) == ("given", 3_600, None)
    assert line.gain_minor is None
    assert found.gain_minor == 0  # over no sale at all


def test_without_a_price_values_and_gains_are_unknown_and_masses_are_not():
    found = ledger([weighing()], [lot((1, 500_000))], prices=())
    assert [line.value_minor for line in found.lines] == [None, None]
    assert found.gain_minor is None
    assert found.on_hand_ug == 500_000
    assert "No gold price" in found.lines[0].reason


def test_money_in_another_currency_is_named_and_never_added():
    found = ledger([weighing()], [lot((1, 500_000), currency="USD")])
    assert found.proceeds_minor == 0
    assert found.gain_minor is None
    assert "USD" in found.lines[1].reason


def test_the_day_shown_cuts_the_ledger():
    found = ledger([weighing()], [lot((1, 500_000))], as_of=LATER - dt.timedelta(days=1))
    assert found.on_hand_ug == 1_000_000
    assert len(found.lines) == 1


def test_what_looks_wrong_is_named():
    twice = [weighing(key=1, same_as=1, trip="A"), weighing(key=2, same_as=1, trip="A")]
    found = ledger(twice, [lot((1, 1_200_000), state="on_hand")])
    assert any("two weigh-ins of 3 May 2031" in text for text in found.problems)
    assert any("1200000 µg were made" in text for text in found.problems)


@pytest.mark.django_db
class TestPage:
    def test_nothing_weighed_teaches(self, keeper):
        assert "Nothing has been weighed yet" in words(keeper.get("/gold/ledger/"))

    def test_page_and_files_say_the_same(self, keeper, party):
        f.make_price(party)
        weigh_in = f.make_weigh_in(f.make_trip(party, name="First"))
        f.make_lot(weigh_in, state="sold", moved_on=LATER, proceeds_minor=4_000, fee_minor=100)
        shown = page(keeper, f"/gold/ledger/?{LATE}")
        assert shown.ledger.on_hand_ug == 500_000
        # 0.5 g × 885 ‰ × 100 = 44.25; 40 − 1 − 44.25.
        assert shown.ledger.gain_minor == -525
        text = words(keeper.get(f"/gold/ledger/?{LATE}"))
        assert "−5.25 EUR" in text
        rows = keeper.get(f"/gold/ledger/?{LATE}").context["table"].rows
        assert "unknown" not in [rows[0].get_cell("out"), rows[1].get_cell("in")]
        csv = keeper.get(f"/gold/ledger/csv/?{LATE}").content.decode("utf-8-sig").splitlines()
        assert csv[1] == "2031-05-03,weighed,First,1.000,,1.000,88.50,,,,"
        assert csv[2].endswith(",0.500,0.500,44.25,40.00,1.00,-5.25,-5.25")
        pdf = keeper.get(f"/gold/ledger/pdf/?{LATE}")
        assert pdf.content.startswith(b"%PDF")
        assert keeper.get("/gold/ledger/doc/").status_code == 404

    def test_equal_readings_of_one_trip_are_asked_about(self, keeper, party):
        trip = f.make_trip(party, name="Twice")
        f.make_weigh_in(trip)
        f.make_weigh_in(trip)
        assert "its gold counts double" in words(keeper.get(f"/gold/ledger/?{LATE}"))

    def test_the_same_queries_for_more_rows_and_pages_of_25(self, keeper, party):
        def more(count):
            for _ in range(count):
                weigh_in = f.make_weigh_in(f.make_trip(party))
                f.make_merged(f.make_lot(weigh_in, mass_ug=1), f.make_lot(weigh_in, mass_ug=2))

        more(15)
        keeper.get(f"/gold/ledger/?{LATE}")
        before = queries(keeper, f"/gold/ledger/?{LATE}")
        more(15)
        assert queries(keeper, f"/gold/ledger/?{LATE}") == before
        assert len(keeper.get(f"/gold/ledger/?{LATE}").context["table"].page.object_list) == 25

    def test_it_sorts_by_every_column(self, keeper, party):
        f.make_price(party)
        weigh_in = f.make_weigh_in(f.make_trip(party))
        f.make_lot(weigh_in, state="sold", moved_on=LATER, proceeds_minor=4_000)
        for column in ("day", "what", "name", "in", "out", "balance", "value", "gain", "since"):
            for way in ("", "-"):
                assert keeper.get(f"/gold/ledger/?sort={way}{column}&{LATE}").status_code == 200


@pytest.mark.django_db
@pytest.mark.parametrize("fmt", ["csv", "xlsx"])
def test_its_files_hold_every_row(keeper, party, fmt):
    for _ in range(30):
        f.make_weigh_in(f.make_trip(party))
    content = keeper.get(f"/gold/ledger/{fmt}/?{LATE}").content
    if fmt == "csv":
        rows = content.decode("utf-8-sig").splitlines()
    else:
        from openpyxl import load_workbook

        rows = list(load_workbook(io.BytesIO(content)).active.iter_rows(values_only=True))
    assert len(rows) == 32  # head, thirty, all together
