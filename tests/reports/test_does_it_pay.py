"""The page Does it pay: a season, its price, and what is unknown."""

import datetime as dt
import io

import pytest

from tests import factories as f
from tests.reports.asking import LATE, page, words
from tests.reports.record import make_record
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db


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


def test_when_no_trip_can_be_valued_every_figure_is_unknown_and_none_is_zero(keeper, party):
    lost = f.make_trip(party, f.make_site(party), state="wrapped_up", name="The lost vial")
    lost.trip_sites.update(was_visited=True)
    f.make_hours(lost, "run", 600)
    rebuild_party(party)
    text = words(keeper.get(f"/pay/?{LATE}"))
    tiles = text[text.index('<dl class="tiles">') : text.index("</dl>")]
    assert tiles.count(">unknown") == 6
    assert "0.00" not in tiles
    assert "0 min" not in tiles
    site = words(keeper.get(f"/sites/{party.sites.get().pk}/?{LATE}"))
    tiles = site[site.index('<dl class="tiles">') : site.index("</dl>")]
    assert tiles.count(">unknown") == 4
    assert "0.00" not in tiles
    assert "0 min" not in tiles


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


@pytest.mark.parametrize("way", ["", "-"])
def test_the_table_by_site_sorts_by_every_column(keeper, party, way):
    make_record(party, sites=3, trips=3)
    f.make_site(party, "Never tried")
    for key in ("site", "trips", "known", "net", "hours", "per_hour", "low"):
        answer = keeper.get(f"/pay/?sort={way}{key}&{LATE}")
        shown = [row.record[key] for row in answer.context["table"].rows]
        known = [cell for cell in shown if cell is not None]
        assert len(shown) == 4
        assert known == sorted(known, reverse=bool(way))


@pytest.mark.parametrize("fmt", ["csv", "xlsx"])
def test_its_files_are_the_report_by_site_in_full(keeper, party, fmt):
    make_record(party, sites=2, trips=3)
    pay = keeper.get(f"/pay/?season=2031&export={fmt}&{LATE}")
    by_site = keeper.get(f"/pay/sites/{fmt}/?season=2031&{LATE}")
    assert pay["Content-Type"] == by_site["Content-Type"]
    assert rows_of(pay.content, fmt) == rows_of(by_site.content, fmt)
    assert len(rows_of(pay.content, fmt)) == 4  # head, two sites, total


def rows_of(content, fmt):
    if fmt == "csv":
        return content.decode("utf-8-sig").splitlines()
    from openpyxl import load_workbook

    return list(load_workbook(io.BytesIO(content)).active.iter_rows(values_only=True))


def test_trips_after_the_day_shown_are_in_no_sum(keeper, party):
    make_record(party, trips=3)  # on 3, 10 and 17 May
    assert page(keeper, "/pay/?as_of=2031-05-16").result.trips == 2
    assert page(keeper, "/pay/?as_of=2031-05-17").result.trips == 3
