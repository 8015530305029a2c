"""Pages of prices: by hand, and many from a table of text in two steps."""

import datetime as dt
import html
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests import factories as make
from trips.models import Price

pytestmark = pytest.mark.django_db

AS_OF = "?as_of=2031-06-01"
TEXT = "month,usd_per_troy_ounce\n2031-01,4100\n2031-02,4175.50\n2031-03,4200\n"


@pytest.fixture
def party():
    return make.make_party(currency="USD")


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def told(response) -> str:
    text = html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode()))
    return re.sub(r"\s+", " ", text)


def address(name, *args):
    return reverse(f"trips:{name}", args=args) + AS_OF


def read(client, text=TEXT, **extra):
    return client.post(address("price_import"), {"step": "read", "text": text} | extra)


def choices(response, **changes):
    """What the second step's form would send back as it stands, with `changes`."""
    form = response.context["form"]
    sent = {name: form[name].value() for name in form.fields}
    sent = {name: value for name, value in sent.items() if value is not None and value is not False}
    return sent | {"source": "made up for tests"} | changes


def save(client, response, **changes):
    sent = choices(response, step="save", **changes)
    return client.post(address("price_import"), sent, follow=True)


def tile(response, name):
    return int(re.search(rf"{name} (\d+)", told(response)).group(1))


PRICE = {
    "day": "2031-05-03",
    "amount_micros": "4100.25",
    "currency": "usd",
    "per_unit": "ozt",
    "source": "a letter",
}


def test_the_empty_list_teaches_and_offers_one_action(keeper):
    response = keeper.get(address("price_list"))
    assert "No price yet" in told(response)
    assert 'class="empty"' in response.content.decode()


def test_a_price_by_hand_is_stored_as_stated(keeper, party):
    keeper.post(address("price_create"), PRICE)
    row = Price.objects.get()
    assert (row.party, row.day, row.currency) == (party, dt.date(2031, 5, 3), "USD")
    assert (row.amount_micros, row.per_unit, row.source) == (4_100_250_000, "ozt", "a letter")
    text = told(keeper.get(address("price_list")))
    assert "4 100.25" in text
    assert "Gold is valued at 4 100.25 USD per troy ounce of 3 May 2031 (a letter)" in text


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"amount_micros": "0"}, "Expected a number from"),
        ({"amount_micros": "-5"}, "Expected a number from"),
        ({"amount_micros": "dear"}, "number"),
        ({"amount_micros": "1.1234567"}, "At most 6 digits"),
        ({"currency": "dollars"}, "three letters of the currency"),
        ({"day": "2031-06-03"}, "still to come"),
        ({"day": "x"}, "valid date"),
        ({"source": " "}, "required"),
        ({"per_unit": "kg"}, "valid choice"),
    ],
)
def test_a_wrong_price_is_told_kept_and_not_saved(keeper, changes, words):
    response = keeper.post(address("price_create"), PRICE | changes)
    assert words in told(response)
    assert f'value="{(PRICE | changes)["amount_micros"]}"' in response.content.decode()
    assert not Price.objects.exists()


def test_a_second_price_of_a_day_is_refused_and_the_day_after_the_as_of_day_is_taken(keeper):
    keeper.post(address("price_create"), PRICE)
    again = keeper.post(address("price_create"), PRICE)
    assert "There is a price for this day and currency already." in told(again)
    assert keeper.post(address("price_create"), PRICE | {"day": "2031-06-02"}).status_code == 302


def test_a_price_is_changed_and_deleted(keeper, party):
    price = make.make_price(party)
    listed = keeper.get(address("price_list")).content.decode()
    assert reverse("trips:price_edit", args=[price.pk]) in listed
    keeper.post(address("price_edit", price.pk), PRICE | {"amount_micros": "5"})
    price.refresh_from_db()
    assert price.amount_micros == 5_000_000
    assert "can't be taken back" in told(keeper.get(address("price_delete", price.pk)))
    keeper.post(address("price_delete", price.pk))
    assert not Price.objects.exists()


def test_reading_a_text_saves_nothing_and_shows_what_it_would_do(keeper, party):
    make.make_price(party, dt.date(2031, 1, 31), amount_micros=4_100_000_000)
    make.make_price(party, dt.date(2031, 2, 28), amount_micros=1_000_000)
    response = read(keeper, TEXT + "2031-04,-1\n")
    assert [tile(response, name) for name in ("New", "the same", "differing", "refused")] == [
        1,
        1,
        1,
        1,
    ]
    assert "is not more than zero" in told(response)
    assert Price.objects.count() == 2


def test_saving_adds_the_new_ones_and_a_second_time_none(keeper):
    first = save(keeper, read(keeper))
    assert "Prices in USD: 3 new, 0 there already." in told(first)
    assert list(Price.objects.order_by("day").values_list("day", "amount_micros", "source")) == [
        (dt.date(2031, 1, 31), 4_100_000_000, "made up for tests"),
        (dt.date(2031, 2, 28), 4_175_500_000, "made up for tests"),
        (dt.date(2031, 3, 31), 4_200_000_000, "made up for tests"),
    ]
    second = save(keeper, read(keeper))
    assert "0 new, 3 there already" in told(second)
    assert Price.objects.count() == 3


def test_differing_prices_are_kept_unless_replace_is_ticked(keeper, party):
    stored = make.make_price(party, dt.date(2031, 1, 31), amount_micros=1_000_000)
    response = save(keeper, read(keeper))
    assert "1 differing and left as they were" in told(response)
    stored.refresh_from_db()
    assert stored.amount_micros == 1_000_000
    response = save(keeper, read(keeper), replace="on")
    assert "1 replaced" in told(response)
    stored.refresh_from_db()
    assert (stored.amount_micros, stored.source) == (4_100_000_000, "made up for tests")


def test_good_lines_are_saved_beside_refused_ones(keeper):
    response = save(keeper, read(keeper, TEXT + "2031-04,none\n"))
    assert "3 new, 0 there already, 1 line refused" in told(response)


def test_choices_changed_after_the_look_are_shown_before_they_are_saved(keeper):
    response = save(keeper, read(keeper), month_day="first")
    assert "The choices changed" in told(response)
    assert not Price.objects.exists()
    assert "1 Jan 2031" in told(response)
    save(keeper, response)
    assert Price.objects.filter(day=dt.date(2031, 1, 1)).exists()


def test_what_the_headers_do_not_say_is_asked_and_not_guessed(keeper):
    response = read(keeper, "day,close\n2031-01-02,100\n")
    assert response.context["preview"] is None
    assert "needs another look" not in told(response)
    asked = keeper.post(address("price_import"), choices(response, step="look"))
    assert "Currency: This field is required" in told(asked)
    looked = keeper.post(
        address("price_import"), choices(asked, step="look", currency="eur", per_unit="g")
    )
    assert "This party counts in USD" in told(looked)
    save(keeper, looked)
    assert Price.objects.get().currency == "EUR"


def test_a_file_is_read_and_gives_its_name_as_source(keeper):
    upload = SimpleUploadedFile("list.csv", TEXT.encode("utf-8-sig"))
    response = read(keeper, "", file=upload)
    assert response.context["form"]["source"].value() == "list.csv"
    save(keeper, response)
    assert Price.objects.count() == 3


@pytest.mark.parametrize(
    ("text", "upload", "words"),
    [
        ("", None, "Choose a file, or paste its text"),
        (TEXT, b"x", "not both"),
        ("", "day,preis_€\n2031-01-01,4\n".encode("cp1252"), "not in UTF-8"),
        ("", b"PK\x03\x04", "spreadsheet"),
        ("", b"a" * 4_600_000, "at most 4,500,000"),
        ("2031-01,4100\n2031-02,4200\n", None, "names of the columns"),
        ("day,usd\n" + "2031-01-01,4\n" * 20_000, None, "20,001 lines"),
    ],
)
def test_what_is_no_list_of_prices_is_refused_with_words(keeper, text, upload, words):
    extra = {"file": SimpleUploadedFile("x.csv", upload)} if upload else {}
    response = read(keeper, text, **extra)
    assert words in told(response)
    if not upload:
        assert response.context["form"]["text"].value() == text


def test_the_text_that_comes_back_is_read_anew_and_never_trusted(keeper):
    sent = choices(read(keeper), step="save")
    tampered = keeper.post(address("price_import"), sent | {"text": "nothing"})
    assert "Only one column" in told(tampered)
    tampered = keeper.post(address("price_import"), sent | {"price_column": "7"})
    assert "valid choice" in told(tampered)
    same = keeper.post(address("price_import"), sent | {"price_column": "0"})
    assert "can't be in the same column" in told(same)
    bare = keeper.post(address("price_import"), {"step": "save"})
    assert bare.status_code == 200
    assert not Price.objects.exists()


def test_markup_in_a_list_is_shown_as_typed(keeper):
    page = read(keeper, "day,usd_oz <b>\n2031-01-02,<script>x\n").content.decode()
    assert "<script>x" not in page
    assert "&lt;script&gt;x" in page


@pytest.mark.parametrize("name", ["price_edit", "price_delete"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_another_partys_price_is_not_there(client, party, name, method):
    price = make.make_price(party)
    make.signed_in(client, make.make_party())
    assert getattr(client, method)(address(name, price.pk), PRICE).status_code == 404
    assert Price.objects.filter(pk=price.pk, amount_micros=price.amount_micros).exists()


def test_an_import_touches_no_other_partys_prices(keeper):
    other = make.make_price(make.make_party(currency="USD"), dt.date(2031, 1, 31))
    save(keeper, read(keeper), replace="on")
    other.refresh_from_db()
    assert other.amount_micros == 3_110_347_680
    assert Price.objects.count() == 4


@pytest.mark.parametrize("role", ["reader", "hand"])
@pytest.mark.parametrize("name", ["price_create", "price_import", "price_edit", "price_delete"])
def test_only_a_keeper_writes_prices(client, party, role, name):
    price = make.make_price(party)
    args = [price.pk] if name in ("price_edit", "price_delete") else []
    make.signed_in(client, party, role)
    listed = client.get(address("price_list"))
    assert reverse("trips:price_edit", args=[price.pk]) not in listed.content.decode()
    assert client.get(address(name, *args)).status_code == 403
    assert client.post(address(name, *args), PRICE).status_code == 403
    assert Price.objects.count() == 1


def test_twice_the_prices_take_the_same_number_of_queries(keeper, party):
    def fill(start):
        for n in range(start, start + 10):
            make.make_price(party, dt.date(2031, 1, 1) + dt.timedelta(days=n))

    def counted():
        with CaptureQueriesContext(connection) as queries:
            keeper.get(address("price_list"))
        return len(queries)

    fill(0)
    before = counted()
    fill(10)
    assert counted() == before


@pytest.mark.parametrize("column", ["day", "amount_micros", "per_unit", "currency", "source"])
def test_every_column_sorts_and_a_page_too_far_shows_the_last(keeper, party, column):
    make.make_price(party)
    for sign in ("", "-"):
        place = f"{reverse('trips:price_list')}?sort={sign}{column}&page=99"
        assert keeper.get(place).status_code == 200


def test_export_holds_every_price(keeper, party):
    for n in range(30):
        make.make_price(party, dt.date(2031, 1, 1) + dt.timedelta(days=n))
    response = keeper.get(reverse("trips:price_list"), {"export": "csv"})
    lines = response.content.decode("utf-8-sig").splitlines()
    assert len(lines) == 31
    assert lines[1] == "2031-01-30,3110.34768,USD,ozt,made up for tests"
