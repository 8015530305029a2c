"""Papers as people meet them: the list by day, the page of one, and what the form refuses."""

import datetime as dt

import pytest
from django.urls import reverse

from claims import hooks
from claims.models import Paper
from tests import factories as make
from tests.claims.pages import (
    HUGE,
    LONG,
    NO_NUMBERS,
    SCRIPTS,
    assert_refused,
    assert_sorts,
    csv_rows,
    queries_of,
    text_of,
    url,
    xlsx_rows,
)

pytestmark = pytest.mark.django_db

SENT = {
    "kind": "permit",
    "name": "Creek permit",
    "number": "A 17/31",
    "holder": "Robin",
    "issuer": "Vale office",
    "issued_on": "2031-01-01",
    "expires_on": "2031-12-31",
    "renewal_lead_days": "60",
    "fee_minor": "45,50",
    "fee_spread": "term",
    "conditions": "Hand tools only.",
    "notes": "",
}


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


@pytest.fixture
def told(monkeypatch):
    calls = []
    monkeypatch.setattr(hooks, "party_changed", [calls.append])
    return calls


def test_a_paper_is_saved_with_its_sites_and_its_page_opens(keeper, party, told):
    site, other = make.make_site(party, "Upper bend"), make.make_site(party, "Lower bend")
    response = keeper.post(url("paper_create"), SENT | {"sites": [site.pk]})
    paper = Paper.objects.get()
    assert response.url == url("paper_detail", paper.pk)
    assert (paper.party, paper.fee_minor, paper.currency) == (party, 4550, "EUR")
    assert list(paper.sites.all()) == [site]
    assert told == [party]
    page = text_of(keeper.get(response.url, {"as_of": "2031-12-08"}))
    for words in (
        "A 17/31",
        "Vale office",
        "Hand tools only.",
        "Upper bend",
        "runs out in 23 days",
    ):
        assert words in page
    assert other.name not in page
    assert reverse("reports:renewal_record", args=[paper.pk]) in str(
        keeper.get(response.url).content
    )


def test_an_empty_fee_stays_unknown_and_zero_is_no_fee(keeper):
    keeper.post(url("paper_create"), SENT | {"fee_minor": "", "fee_spread": "trips"})
    assert Paper.objects.get().fee_minor is None
    assert "unknown" in text_of(keeper.get(url("paper_detail", Paper.objects.get().pk)))
    keeper.post(url("paper_create"), SENT | {"fee_minor": "0"})
    assert Paper.objects.latest("pk").fee_minor == 0


def test_a_paper_keeps_the_currency_that_it_was_noted_in(client):
    party = make.make_party(currency="JPY")
    make.signed_in(client, party)
    client.post(url("paper_create"), SENT | {"fee_minor": "4500"})
    assert (Paper.objects.get().fee_minor, Paper.objects.get().currency) == (4500, "JPY")
    response = client.post(url("paper_create"), SENT | {"fee_minor": "45.50"})
    assert_refused(response, "fee_minor", "45.50")


def test_a_note_tells_nobody_and_a_moved_end_does(keeper, party, told):
    paper = make.make_paper(party, fee_minor=4550)
    sent = SENT | {"name": paper.name, "fee_spread": paper.fee_spread}
    keeper.post(url("paper_edit", paper.pk), sent | {"notes": "in the drawer"})
    assert told == []
    keeper.post(url("paper_edit", paper.pk), sent | {"expires_on": "2031-11-30"})
    assert told == [party]


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_name_may_be_in_any_script(keeper, name):
    response = keeper.post(url("paper_create"), SENT | {"name": name})
    assert Paper.objects.get().name == name
    assert name in text_of(keeper.get(response.url))
    assert b"<b>bold</b>" not in keeper.get(url("paper_list")).content


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("name", ""),
        ("name", LONG),
        ("number", LONG),
        ("holder", LONG),
        ("issuer", LONG),
        ("kind", "rumour"),
        ("issued_on", "2031-02-30"),
        ("expires_on", "2031-02-30"),
        ("expires_on", "2030-12-31"),
        ("expires_on", "soon"),
        ("renewal_lead_days", ""),
        ("renewal_lead_days", "1.5"),
        ("renewal_lead_days", "3651"),
        ("fee_minor", "10 USD"),
        ("fee_minor", "1.234,567"),
        ("fee_spread", "weekly"),
        ("sites", ["999999"]),
        ("sites", [HUGE]),
        ("sites", ["x"]),
        *[(name, bad) for name in ("fee_minor", "renewal_lead_days") for bad in NO_NUMBERS],
    ],
)
def test_what_cannot_be_right_is_refused_at_its_field_and_stays_as_typed(keeper, field, typed):
    response = keeper.post(url("paper_create"), SENT | {field: typed})
    unseen = field in ("kind", "fee_spread", "sites") or "\x00" in typed
    assert assert_refused(response, field, "" if unseen else typed)
    assert "Hand tools only." in text_of(response)
    assert not Paper.objects.exists()


def test_a_paper_may_end_on_its_first_day(keeper):
    keeper.post(url("paper_create"), SENT | {"expires_on": "2031-01-01"})
    assert Paper.objects.get().expires_on == dt.date(2031, 1, 1)


@pytest.mark.parametrize("field", ["issued_on", "expires_on"])
def test_a_fee_over_the_term_needs_both_ends(keeper, field):
    response = keeper.post(url("paper_create"), SENT | {field: ""})
    assert "first and last day" in assert_refused(response, "fee_spread")


def test_another_partys_site_can_be_neither_seen_nor_covered(keeper):
    strange = make.make_site(make.make_party(), "Strange creek")
    assert "Strange creek" not in text_of(keeper.get(url("paper_create")))
    response = keeper.post(url("paper_create"), SENT | {"sites": [strange.pk]})
    assert_refused(response, "sites")
    assert not Paper.objects.exists()


# --- the list


@pytest.mark.parametrize(
    ("day", "left", "words"),
    [
        ("2030-12-31", "365", "not yet begun, begins in 1 day"),
        ("2031-01-01", "364", "runs out in 364 days"),
        ("2031-12-30", "1", "runs out in 1 day"),
        ("2031-12-31", "0", "last day"),
        ("2032-01-01", "-1", "ran out 1 day ago"),
    ],
)
def test_each_paper_is_told_as_it_stands_on_the_day(keeper, party, day, left, words):
    make.make_paper(party)
    address = f"{url('paper_list')}?as_of={day}"
    row = csv_rows(keeper.get(f"{address}&export=csv"))[1]
    assert row[6:8] == [left, words]
    assert words in text_of(keeper.get(address))


@pytest.mark.parametrize(("day", "badge"), [("2031-10-31", "know"), ("2031-11-01", "do")])
def test_the_lead_days_begin_sixty_days_before_the_end(keeper, party, day, badge):
    make.make_paper(party)
    page = keeper.get(url("paper_list"), {"as_of": day}).content.decode()
    assert f'<span class="badge {badge}">' in page


def test_a_paper_without_a_printed_end_says_so(keeper, party):
    make.make_paper(party, issued_on=None, expires_on=None)
    page = text_of(keeper.get(url("paper_list")))
    assert "none printed" in page
    assert "no end printed" in page


def test_the_next_to_run_out_comes_first_and_what_ran_out_last(keeper, party):
    make.make_paper(party, name="Gone", expires_on=dt.date(2031, 2, 1))
    make.make_paper(party, name="Endless", expires_on=None)
    make.make_paper(party, name="Later", expires_on=dt.date(2031, 9, 1))
    make.make_paper(party, name="Sooner", expires_on=dt.date(2031, 6, 1))
    table = keeper.get(url("paper_list"), {"as_of": "2031-05-03"}).context["table"]
    assert [row.record.name for row in table.rows] == ["Sooner", "Later", "Endless", "Gone"]


def test_the_empty_list_offers_the_first_paper_to_keepers_only(client, party):
    for role, offered in (("reader", False), ("hand", False), ("keeper", True)):
        make.signed_in(client, party, role)
        page = client.get(url("paper_list")).content.decode()
        assert "No paper yet" in page
        assert (url("paper_create") in page) is offered
        client.logout()


def fill_with_papers(party, count):
    for _ in range(count):
        expires = None if party.papers.count() % 2 else dt.date(2031, 12, 31)
        make.make_paper(party, [make.make_site(party)], expires_on=expires)


def test_twice_the_papers_cost_no_more_queries(keeper, party):
    fill_with_papers(party, 4)
    few = queries_of(keeper, url("paper_list"))
    fill_with_papers(party, 4)
    assert queries_of(keeper, url("paper_list")) == few


def test_twice_the_sites_of_a_paper_cost_its_page_no_more_queries(keeper, party):
    paper = make.make_paper(party, [make.make_site(party) for _ in range(3)])
    few = queries_of(keeper, url("paper_detail", paper.pk))
    paper.sites.add(*[make.make_site(party) for _ in range(3)])
    assert queries_of(keeper, url("paper_detail", paper.pk)) == few


def test_the_list_sorts_by_every_column_both_ways(keeper, party):
    fill_with_papers(party, 4)
    make.make_paper(party, name="Gone", number="9", expires_on=dt.date(2030, 2, 1), issued_on=None)
    assert_sorts(keeper, url("paper_list"))


@pytest.mark.parametrize("sort", ["name", "-days_left", "state"])
def test_the_empty_list_can_be_sorted(keeper, sort):
    assert keeper.get(url("paper_list"), {"sort": sort}).status_code == 200


def test_exports_hold_all_rows_not_only_the_page(keeper, party):
    fill_with_papers(party, 27)
    lines = csv_rows(keeper.get(url("paper_list"), {"export": "csv"}))
    cells = xlsx_rows(keeper.get(url("paper_list"), {"export": "xlsx"}))
    assert len(lines) == len(cells) == 28
    assert lines[0] == list(cells[0])
    assert lines[1][4:6] == ["2031-01-01", "2031-12-31"]


# --- who may


@pytest.mark.parametrize("role", ["reader", "hand"])
def test_only_a_keeper_writes_papers(client, party, role):
    make.signed_in(client, party, role)
    paper = make.make_paper(party, name="Old name")
    for address in (url("paper_create"), url("paper_edit", paper.pk)):
        for method in (client.get, client.post):
            assert method(address, SENT).status_code == 403
    assert [each.name for each in Paper.objects.all()] == ["Old name"]
    page = client.get(url("paper_detail", paper.pk))
    assert page.status_code == 200
    assert url("paper_edit", paper.pk) not in page.content.decode()


def test_anothers_paper_is_not_found(keeper):
    paper = make.make_paper(make.make_party(), name="Strange permit")
    for name in ("paper_detail", "paper_edit"):
        assert keeper.get(url(name, paper.pk)).status_code == 404
        assert keeper.get(url(name, int(HUGE))).status_code == 404
    assert keeper.post(url("paper_edit", paper.pk), SENT).status_code == 404
    assert "Strange permit" not in text_of(keeper.get(url("paper_list")))


@pytest.mark.parametrize("field", ["people", "gear"])
def test_a_number_longer_than_any_row_is_refused_on_the_plan_of_a_trip_too(client, party, field):
    make.signed_in(client, party, "hand")
    site = make.make_site(party)
    sent = {"site": site.pk, "starts_on": "2031-05-03", "ends_on": "2031-05-03", field: [HUGE]}
    response = client.post(reverse("trips:trip_create"), sent)
    assert response.status_code == 200
    assert not party.trips.exists()
