"""Pages of weigh-ins and lots: what they show, refuse and keep from other parties."""

import csv
import datetime as dt
import html
import io
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests import factories as make
from trips.models import GoldLot, WeighIn
from trips.services.derive import rebuild_trip

pytestmark = pytest.mark.django_db

DAY = dt.date(2031, 5, 3)
AS_OF = "?as_of=2031-06-01"


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def trip(party):
    return make.make_trip(party)


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


@pytest.fixture
def weigh_in(trip):
    runs = [make.make_run(trip), make.make_run(trip, coarse=4), make.make_run(trip, fine=None)]
    row = make.make_weigh_in(trip, runs=runs, resolution_ug=10_000)
    rebuild_trip(trip.pk)
    return row


def told(response) -> str:
    """The page's text without tags, on one line, with plain spaces."""
    text = html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode()))
    return re.sub(r"\s+", " ", text)


def address(name, *args):
    return reverse(f"trips:{name}", args=args) + AS_OF


def posted(**changes):
    values = {
        "weighed_on": "2031-05-04",
        "gross_ug": "1.25",
        "tare_ug": "0.25",
        "scale": "10000",
        "resolution_ug": "",
        "fineness": "",
        "note": "",
    }
    return values | changes


def test_the_empty_list_teaches_and_offers_one_action(keeper):
    response = keeper.get(address("weighin_list"))
    assert "Nothing has been weighed yet" in told(response)
    assert response.content.decode().count("button primary") == 1


def test_a_reader_of_the_empty_list_is_offered_nothing(client, party):
    make.signed_in(client, party, "reader")
    assert "button primary" not in client.get(address("weighin_list")).content.decode()


def test_weighing_in_saves_ticked_runs_and_shows_the_net(keeper, trip):
    run, other = make.make_run(trip), make.make_run(trip)
    form = keeper.get(address("weighin_create", trip.pk)).content.decode()
    assert "own figure, 885" in form
    assert "Wells" in form
    response = keeper.post(
        address("weighin_create", trip.pk), posted(runs=[run.pk, other.pk]), follow=True
    )
    row = WeighIn.objects.get()
    assert (row.net_ug, row.resolution_ug, row.fineness) == (1_000_000, 10_000, None)
    assert row.runs.count() == 2
    assert "1.000 g net" in told(response)


def test_the_same_readings_again_are_asked_about_before_they_count_twice(keeper, trip):
    place = address("weighin_create", trip.pk)
    assert "other gold" not in told(keeper.get(place))
    assert "other gold" not in told(keeper.post(place, posted(gross_ug="")))
    assert keeper.post(place, posted()).status_code == 302
    asked = keeper.post(place, posted())
    assert "Is it the same gold?" in told(asked)
    assert "is_other_gold" in asked.context["form"].fields
    assert WeighIn.objects.count() == 1
    for other in ({"gross_ug": "1.26"}, {"weighed_on": "2031-05-05"}, {"tare_ug": "0.24"}):
        assert keeper.post(place, posted(**other)).status_code == 302
    assert keeper.post(place, posted(is_other_gold="on")).status_code == 302
    assert WeighIn.objects.count() == 5


def test_a_weighing_of_another_trip_is_no_double(keeper, party, trip):
    keeper.post(address("weighin_create", trip.pk), posted())
    other = make.make_trip(party)
    assert keeper.post(address("weighin_create", other.pk), posted()).status_code == 302


def test_changing_a_weigh_in_asks_only_when_it_becomes_a_double(keeper, trip):
    place = address("weighin_create", trip.pk)
    keeper.post(place, posted())
    keeper.post(place, posted(is_other_gold="on"))
    keeper.post(place, posted(gross_ug="2"))
    first, _, third = WeighIn.objects.order_by("pk")
    edit = address("weighin_edit", first.pk)
    assert keeper.post(edit, posted(note="dried again")).status_code == 302
    asked = keeper.post(address("weighin_edit", third.pk), posted())
    assert "Is it the same gold?" in told(asked)


def test_another_default_fineness_is_not_given_that_source(keeper, trip):
    trip.party.fineness = 910
    trip.party.save()
    form = keeper.get(address("weighin_create", trip.pk)).content.decode()
    assert "own figure, 910" in form
    assert "Wells" not in form


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"gross_ug": "0.2"}, "heavier than the gross"),
        ({"gross_ug": "1.255"}, "not a whole number of the scale's steps"),
        ({"gross_ug": "3 dwt"}, "not a whole number of the scale's steps"),
        ({"gross_ug": "lots"}, "number"),
        ({"gross_ug": ""}, "required"),
        ({"gross_ug": "-1"}, "Expected a number from 0"),
        ({"gross_ug": "1.25 stone"}, "not a unit of mass"),
        ({"fineness": "24"}, "24 looks like karat; 24 karat is 1000 fine"),
        ({"fineness": "1200"}, "Expected a whole number from 0 to 1000"),
        ({"weighed_on": "2031-05-02"}, "The trip began on 3 May 2031"),
        ({"weighed_on": "2041-05-04"}, "still to come"),
        ({"weighed_on": "soon"}, "valid date"),
        ({"scale": "other"}, "smallest step"),
        ({"scale": "other", "resolution_ug": "0"}, "Expected a number from"),
        ({"runs": ["999999"]}, "not of this trip"),
        ({"runs": ["x"]}, "not of this trip"),
        ({"note": "x" * 201}, "200"),
    ],
)
def test_wrong_input_is_told_kept_and_not_saved(keeper, trip, changes, words):
    response = keeper.post(address("weighin_create", trip.pk), posted(**changes))
    assert response.status_code == 200
    assert words in told(response)
    kept = posted(**changes)["gross_ug"]
    assert f'value="{kept}"' in response.content.decode() or not kept
    assert not WeighIn.objects.exists()


def test_runs_of_another_trip_and_another_weigh_in_are_not_offered_and_refused(keeper, party, trip):
    elsewhere = make.make_run(make.make_trip(party))
    taken = make.make_run(trip)
    make.make_weigh_in(trip, runs=[taken])
    for run in (elsewhere, taken):
        response = keeper.post(address("weighin_create", trip.pk), posted(runs=[run.pk]))
        assert "in another weigh-in already" in told(response)
    assert WeighIn.objects.count() == 1


def test_a_scale_in_grains_is_read_in_its_own_steps(client, party, trip):
    user = make.make_user(mass_unit="grain")
    make.signed_in(client, party, user=user)
    values = posted(gross_ug="12.3", tare_ug="0", scale="other", resolution_ug="0.1")
    client.post(address("weighin_create", trip.pk), values)
    row = WeighIn.objects.get()
    # 0.1 grain is 6479.891 µg (grain: 64.79891 mg), kept as 6480; 123 steps are kept as such.
    assert (row.resolution_ug, row.gross_ug) == (6_480, 123 * 6_480)
    values["gross_ug"] = "12.35"
    assert "not a whole number" in told(client.post(address("weighin_create", trip.pk), values))


def test_edit_shows_what_was_stored_and_keeps_the_runs(keeper, weigh_in):
    page = keeper.get(address("weighin_edit", weigh_in.pk)).content.decode()
    assert page.count("checked") == 4  # three runs and the step of the scale
    assert 'value="1.25"' in page
    run = weigh_in.runs.first()
    keeper.post(address("weighin_edit", weigh_in.pk), posted(gross_ug="2.25", runs=[run.pk]))
    weigh_in.refresh_from_db()
    assert weigh_in.net_ug == 2_000_000
    assert [r.pk for r in weigh_in.runs.all()] == [run.pk]


def _cells(page: str, label: str) -> list[str]:
    found = re.findall(rf'data-label="{re.escape(label)}"[^>]*>(.*?)</t[dh]>', page)
    return [re.sub(r"[^\d.]", "", cell) for cell in found]


@pytest.mark.parametrize("unit", ["g", "dwt", "ozt"])
def test_the_shares_on_the_page_add_up_to_the_net(client, party, weigh_in, unit):
    make.signed_in(client, party, user=make.make_user(mass_unit=unit))
    page = client.get(address("weighin_detail", weigh_in.pk)).content.decode()
    *steps, total = map(int, _cells(page, "Steps of 0.01\u202fg"))
    assert len(steps) == 3
    assert sum(steps) == total == 100
    *shares, whole = [int(cell.replace(".", "")) for cell in _cells(page, "Share")]
    assert sum(shares) == whole == 100


def test_detail_says_what_is_fact_and_what_is_worked_out_and_how(keeper, weigh_in):
    text = told(keeper.get(address("weighin_detail", weigh_in.pk)))
    assert "The weigh-in is the fact. The shares are worked out from it" in text
    assert "by the mass expected from the colours" in text
    assert "fine not counted" in text
    assert "The counted colours promised" in text
    assert "Some colours were not counted" in text


def test_value_names_price_day_and_source_on_both_days(keeper, party, weigh_in):
    make.make_price(party, dt.date(2031, 5, 1))
    make.make_price(party, dt.date(2031, 5, 20), amount_micros=6_220_695_360, source="second")
    text = told(keeper.get(address("weighin_detail", weigh_in.pk)))
    # Own figures: 1 g at 885 ‰ and 100 EUR a gram, then 200 EUR a gram.
    assert "On the trip's day, 3 May 2031 88.50 EUR" in text
    assert "On 1 Jun 2031 177.00 EUR" in text
    assert "per troy ounce of 1 May 2031 (made up for tests)" in text
    assert "per troy ounce of 20 May 2031 (second)" in text
    assert "; 885 ‰ fine; 100 % of it paid" in text
    party.payable_ppt = 925
    party.save()
    text = told(keeper.get(address("weighin_detail", weigh_in.pk)))
    assert "92.5 % of it paid" in text
    assert "3 May 2031 81.86 EUR" in text  # 88.50 × 0.925 = 81.8625


def test_value_is_unknown_with_the_reason(keeper, party, weigh_in):
    assert "unknown No gold price has been entered yet." in told(
        keeper.get(address("weighin_detail", weigh_in.pk))
    )
    make.make_price(party, dt.date(2031, 5, 4))
    text = told(keeper.get(address("weighin_detail", weigh_in.pk)))
    assert "No gold price in EUR on or before 2031-05-03; the first is of 2031-05-04." in text


def test_a_weigh_in_without_runs_says_that_nothing_is_shared(keeper, trip):
    row = make.make_weigh_in(trip)
    text = told(keeper.get(address("weighin_detail", row.pk)))
    assert "nothing is shared out" in text


def test_delete_asks_first_and_is_refused_with_words_while_lots_exist(keeper, weigh_in):
    place = address("weighin_delete", weigh_in.pk)
    assert "can't be taken back" in told(keeper.get(place))
    lot = make.make_lot(weigh_in, name="the bean")
    assert "“the bean”" in told(keeper.post(place))
    lot.delete()
    assert keeper.post(place).status_code == 302
    assert not WeighIn.objects.exists()


LOT = {"name": "the bean", "mass_ug": "0.4", "state": "on_hand"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"mass_ug": "1.001"}, "1 g left"),
        ({"mass_ug": "0"}, "Expected a number from"),
        ({"state": "sold", "proceeds_minor": "30"}, "on which day"),
        ({"state": "sold", "moved_on": "2031-05-10"}, "what the sale brought"),
        ({"state": "given"}, "on which day"),
        ({"state": "given", "moved_on": "2041-05-10"}, "still to come"),
        ({"state": "given", "moved_on": "2031-05-02"}, "before that"),
        ({"state": "lost"}, "valid choice"),
        ({"own_value_minor": "30 USD"}, "would mix currencies"),
        ({"name": ""}, "required"),
    ],
)
def test_a_wrong_lot_is_told_kept_and_not_saved(keeper, weigh_in, changes, words):
    response = keeper.post(address("lot_create", weigh_in.pk), LOT | changes)
    assert words in told(response)
    assert f'value="{(LOT | changes)["mass_ug"]}"' in response.content.decode()
    assert not GoldLot.objects.exists()


def test_a_lot_is_made_sold_and_shown(keeper, weigh_in):
    keeper.post(address("lot_create", weigh_in.pk), LOT)
    lot = GoldLot.objects.get()
    sale = {"state": "sold", "moved_on": "2031-05-10", "proceeds_minor": "30,50"}
    keeper.post(address("lot_edit", lot.pk), LOT | sale)
    lot.refresh_from_db()
    assert (lot.state, lot.proceeds_minor, lot.fee_minor, lot.currency) == (
        "sold",
        3050,
        None,
        "EUR",
    )
    text = told(keeper.get(address("weighin_detail", weigh_in.pk)))
    assert "brought 30.50 EUR" in text
    assert "0.600 g is in no lot" in text


def test_a_deleted_lot_is_on_hand_again(keeper, weigh_in):
    lot = make.make_lot(weigh_in, state="given", moved_on=DAY)
    assert "can't be taken back" in told(keeper.get(address("lot_delete", lot.pk)))
    keeper.post(address("lot_delete", lot.pk))
    assert "On hand 1.000 g" in told(keeper.get(address("weighin_list")))


def test_the_list_adds_up_and_values_what_is_on_hand(keeper, party, weigh_in):
    make.make_price(party)
    make.make_lot(weigh_in, mass_ug=300_000, state="sold", moved_on=DAY, proceeds_minor=1)
    make.make_lot(weigh_in, mass_ug=200_000, state="given", moved_on=DAY)
    text = told(keeper.get(address("weighin_list")))
    for words in ("Weighed in all 1.000 g", "On hand 0.500 g", "Sold 0.300 g", "0.200 g"):
        assert words in text
    assert "Value on hand 44.25 EUR" in text  # own figure: 0.5 g × 885 ‰ × 100 EUR


@pytest.mark.parametrize("of", ["weigh_ins", "lots"])
def test_exports_hold_all_rows_and_not_only_the_page(keeper, trip, of):
    for n in range(30):
        make.make_lot(make.make_weigh_in(trip), name=f"=cmd{n}")
    response = keeper.get(reverse("trips:weighin_list"), {"export": "csv", "of": of})
    rows = list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))
    assert len(rows) == 31
    book = keeper.get(reverse("trips:weighin_list"), {"export": "xlsx", "of": of})
    assert book.content.startswith(b"PK")
    if of == "lots":
        assert rows[1][2].startswith("'=cmd")


@pytest.mark.parametrize(
    ("prefix", "columns"),
    [
        ("w-", "weighed_on trip net here_ug sold_ug given_ug fineness note"),
        ("l-", "name weigh_in mass_ug state moved_on to_whom proceeds_minor fee_minor"),
    ],
)
def test_every_column_sorts(keeper, weigh_in, prefix, columns):
    make.make_lot(weigh_in)
    make.make_lot(weigh_in, mass_ug=1)
    for column in columns.split():
        for sign in ("", "-"):
            place = f"{reverse('trips:weighin_list')}?{prefix}sort={sign}{column}"
            assert keeper.get(place).status_code == 200


def test_names_are_shown_as_typed(keeper, weigh_in):
    make.make_lot(weigh_in, name="<script>alert(1)</script>")
    for place in (address("weighin_list"), address("weighin_detail", weigh_in.pk)):
        page = keeper.get(place).content.decode()
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


def counted(client, place) -> int:
    with CaptureQueriesContext(
        connection,
    ) as queries:
        assert client.get(place).status_code == 200
    return len(queries)


def test_twice_the_rows_take_the_same_number_of_queries(keeper, party, trip):
    def more():
        for _ in range(3):
            row = make.make_weigh_in(trip, runs=[make.make_run(trip)])
            make.make_lot(row)
            make.make_price(party, DAY + dt.timedelta(days=party.prices.count()))

    more()
    before = counted(keeper, address("weighin_list"))
    more()
    assert counted(keeper, address("weighin_list")) == before


def test_twice_the_shares_and_lots_take_the_same_number_of_queries(keeper, trip, weigh_in):
    make.make_lot(weigh_in, mass_ug=1)
    places = [address("weighin_detail", weigh_in.pk), address("weighin_edit", weigh_in.pk)]
    before = [counted(keeper, place) for place in places]
    for run in [make.make_run(trip) for _ in range(3)]:
        run.weigh_in = weigh_in
        run.save()
    make.make_lot(weigh_in, mass_ug=1)
    rebuild_trip(trip.pk)
    assert [counted(keeper, place) for place in places] == before


def test_lists_turn_into_cards_on_a_phone(keeper, weigh_in):
    # The style sheet does it for tables of this class; another class would scroll sideways.
    assert '<table class="ledger"' in keeper.get(address("weighin_list")).content.decode()
