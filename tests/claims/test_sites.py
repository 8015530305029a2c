"""Sites and spots as people meet them: lists, forms and what the forms refuse."""

import pytest
from django.urls import reverse

from claims import hooks
from claims.models import Site, Spot
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
    "name": "Upper bend",
    "land_kind": "claim",
    "water_name": "Marl Beck",
    "sealed_m": "12,5",
    "unsealed_m": "3",
    "track_m": "0",
    "drive_minutes": "0:35",
    "walk_minutes": "10 min",
    "position": "46,5012; 7,9034",
    "jurisdiction": "Vale of Orr",
    "time_zone": "Europe/Zurich",
    "closed_from": "11-1",
    "closed_until": "05-31",
    "closed_reason": "Fish spawn",
    "contact": "Office, 555 0100",
    "hazards": "Loose bank",
    "notes": "",
}


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def hand(client, party):
    return make.signed_in(client, party, "hand")


@pytest.fixture
def told(monkeypatch):
    calls = []
    monkeypatch.setattr(hooks, "party_changed", [calls.append])
    return calls


def test_a_site_is_saved_in_whole_base_units_and_its_page_opens(hand, party):
    response = hand.post(url("site_create"), SENT)
    site = Site.objects.get()
    assert response.url == reverse("reports:site_page", args=[site.pk])
    assert site.party == party
    assert (site.sealed_m, site.unsealed_m, site.track_m) == (12_500, 3_000, 0)
    assert (site.drive_minutes, site.walk_minutes) == (35, 10)
    assert (site.latitude_udeg, site.longitude_udeg) == (46_501_200, 7_903_400)
    assert (site.closed_from, site.closed_until) == ("11-01", "05-31")
    assert site.time_zone == "Europe/Zurich"
    assert "Upper bend is saved" in text_of(hand.get(response.url))


def test_a_name_alone_is_enough_and_what_is_left_empty_stays_unknown(hand):
    hand.post(url("site_create"), {"name": "Upper bend", "land_kind": "unknown"})
    site = Site.objects.get()
    legs = (site.sealed_m, site.unsealed_m, site.track_m, site.drive_minutes, site.walk_minutes)
    assert legs == (None,) * 5
    assert (site.latitude_udeg, site.longitude_udeg) == (None, None)
    page = text_of(hand.get(url("site_list")))
    assert "unknown" in page
    assert "none noted" in page


def test_distances_are_read_and_shown_in_ones_own_unit(client, party):
    user = make.make_user(distance_unit="mi")
    make.signed_in(client, party, "hand", user)
    client.post(url("site_create"), SENT | {"sealed_m": "10", "unsealed_m": "5 km"})
    site = Site.objects.get()
    # 1 mi = 1 609.344 m exactly; status: memory, the definition of the international mile.
    assert (site.sealed_m, site.unsealed_m) == (16_093, 5_000)
    page = client.get(url("site_edit", site.pk))
    client.post(url("site_edit", site.pk), shown_again(page))
    again = Site.objects.get()
    assert (again.sealed_m, again.unsealed_m) == (16_093, 5_000)


def shown_again(page):
    """What a browser sends when nothing in the form was changed."""
    form = page.context["page"].form
    sent = {}
    for bound in form:
        value = bound.value()
        if value is not None and value is not False:
            sent[bound.html_name] = value
    return sent


def test_saving_an_unchanged_form_changes_nothing_and_tells_nobody(hand, told):
    hand.post(url("site_create"), SENT)
    before = Site.objects.values().get()
    page = hand.get(url("site_edit", before["id"]))
    assert hand.post(url("site_edit", before["id"]), shown_again(page)).status_code == 302
    assert Site.objects.values().get() == before
    assert told == []


def test_a_changed_way_there_tells_whoever_keeps_derived_rows(hand, party, told):
    hand.post(url("site_create"), SENT)
    hand.post(url("site_edit", Site.objects.get().pk), SENT | {"track_m": "1"})
    assert told == [party]


def test_emptying_a_position_takes_it_away(hand):
    hand.post(url("site_create"), SENT)
    hand.post(url("site_edit", Site.objects.get().pk), SENT | {"position": ""})
    site = Site.objects.get()
    assert (site.latitude_udeg, site.longitude_udeg) == (None, None)


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_name_may_be_in_any_script_and_is_shown_as_typed(hand, name):
    response = hand.post(url("site_create"), SENT | {"name": name})
    assert Site.objects.get().name == name
    assert name in text_of(hand.get(response.url))
    assert b"<b>bold</b>" not in hand.get(url("site_list")).content


def test_digits_of_another_script_are_read(hand):
    hand.post(url("site_create"), SENT | {"sealed_m": "١٢٫٥", "closed_from": "११-०१"})
    site = Site.objects.get()
    assert (site.sealed_m, site.closed_from) == (12_500, "11-01")


REFUSED = [
    ("name", ""),
    ("name", "   "),
    ("name", LONG),
    ("name", "a\x00b"),
    ("land_kind", "moon"),
    ("water_name", LONG),
    ("jurisdiction", LONG),
    ("time_zone", "Mars/Olympus"),
    ("sealed_m", "3001"),
    ("sealed_m", "5 kg"),
    ("drive_minutes", "25:99"),
    ("drive_minutes", "49 h"),
    ("closed_from", "02-30"),
    ("closed_from", "13-13"),
    ("closed_from", "1/10"),
    ("closed_from", "00-10"),
    ("closed_until", "04-31"),
    ("closed_until", "spring"),
    ("closed_until", ""),
    ("closed_from", ""),
    ("position", "91, 7"),
    ("position", "46, 181"),
    ("position", "-90.000001, 0"),
    ("position", "46.5"),
    ("position", "north, east"),
    ("position", f"{HUGE}, 7"),
    ("position", LONG),
    *[(name, bad) for name in ("sealed_m", "track_m", "drive_minutes") for bad in NO_NUMBERS],
]


@pytest.mark.parametrize(("field", "typed"), REFUSED)
def test_what_cannot_be_right_is_refused_at_its_field_and_stays_as_typed(hand, field, typed):
    response = hand.post(url("site_create"), SENT | {field: typed})
    seen = "" if "\x00" in typed or field in ("land_kind", "time_zone") else typed.strip()
    assert assert_refused(response, field, seen)
    assert 'value="Office, 555 0100"' in response.content.decode()
    assert not Site.objects.exists()


@pytest.mark.parametrize("typed", ["90, 180", "-90, -180", "0, 0", "90; -180"])
def test_the_ends_of_the_earth_are_still_on_it(hand, typed):
    hand.post(url("site_create"), SENT | {"position": typed})
    assert abs(Site.objects.get().latitude_udeg) in (0, 90_000_000)


def test_a_closed_window_may_begin_on_29_february_and_says_so_where_no_year_has_the_day(hand):
    hand.post(url("site_create"), SENT | {"closed_from": "02-29"})
    assert Site.objects.get().closed_from == "02-29"
    response = hand.post(url("site_create"), SENT | {"name": "B", "closed_from": "02-30"})
    assert "February has the days 01 to 29" in assert_refused(response, "closed_from")


def test_a_second_site_of_a_name_is_refused_in_the_party_and_free_in_another(client, hand, party):
    make.make_site(party, "Upper bend")
    response = hand.post(url("site_create"), SENT)
    assert "of this name already" in assert_refused(response, "name", "Upper bend")
    client.logout()
    make.signed_in(client, make.make_party(), "hand")
    assert client.post(url("site_create"), SENT).status_code == 302


def test_a_refused_change_leaves_the_stored_site_alone(hand, party):
    site = make.make_site(party, "Old name")
    response = hand.post(url("site_edit", site.pk), SENT | {"position": "200, 200"})
    assert_refused(response, "position", "200, 200")
    assert Site.objects.get().name == "Old name"


def test_a_site_is_put_away_and_not_deleted(hand, party):
    site = make.make_site(party)
    hand.post(url("site_edit", site.pk), SENT | {"is_retired": "on"})
    assert Site.objects.get().is_retired
    assert "no longer used" in text_of(hand.get(url("site_list")))


# --- the list


def test_the_empty_list_says_what_it_will_show_to_each_role(client, party):
    make.signed_in(client, party, "reader")
    page = client.get(url("site_list"))
    assert "No site yet" in text_of(page)
    assert url("site_create") not in page.content.decode()
    client.logout()
    make.signed_in(client, party, "hand")
    assert url("site_create") in client.get(url("site_list")).content.decode()


def test_the_way_is_unknown_as_long_as_one_stretch_is(hand, party):
    make.make_site(party, "Known")
    make.make_site(party, "Half known", track_m=None)
    rows = {row[0]: row for row in csv_rows(hand.get(url("site_list"), {"export": "csv"}))}
    assert rows["Known"][3] == "20000"
    assert rows["Half known"][3] == ""


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("2030-12-31", "1 not yet begun"),
        ("2031-01-01", "1 in date"),
        ("2031-10-31", "1 in date"),
        ("2031-11-01", "1 runs out soon"),
        ("2031-12-31", "1 runs out soon"),
        ("2032-01-01", "1 ran out"),
    ],
)
def test_papers_are_told_for_the_day_asked_for(hand, party, day, words):
    # 60 days' lead: 2031-11-01 is 60 days before the last day of the year.
    make.make_paper(party, [make.make_site(party)])
    address = f"{url('site_list')}?as_of={day}"
    assert csv_rows(hand.get(f"{address}&export=csv"))[1][7] == words
    assert words in text_of(hand.get(address))


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31", "nonsense", "2031-02-30"])
def test_any_day_in_the_address_gives_a_page(hand, party, day):
    site = make.make_site(party)
    make.make_paper(party, [site])
    make.make_hole(site)
    for name in ("site_list", "hole_list", "paper_list"):
        assert hand.get(url(name), {"as_of": day}).status_code == 200


def fill_with_sites(party, count):
    for _ in range(count):
        site = make.make_site(party, track_m=None if party.sites.count() % 2 else 5)
        make.make_paper(party, [site])


def test_twice_the_sites_cost_no_more_queries(hand, party):
    fill_with_sites(party, 4)
    few = queries_of(hand, url("site_list"))
    fill_with_sites(party, 4)
    assert queries_of(hand, url("site_list")) == few


def test_the_list_sorts_by_every_column_both_ways(hand, party):
    hand.get(url("site_list"), {"sort": "name"})
    fill_with_sites(party, 3)
    make.make_site(party, drive_minutes=None, walk_minutes=None, closed_from="", water_name="")
    assert_sorts(hand, url("site_list"))


def test_sorting_by_drive_puts_the_longer_last_and_backwards_first(hand, party):
    make.make_site(party, "Far", drive_minutes=100)
    make.make_site(party, "Near", drive_minutes=9)
    for sort, names in (("drive_minutes", ["Near", "Far"]), ("-drive_minutes", ["Far", "Near"])):
        table = hand.get(url("site_list"), {"sort": sort}).context["table"]
        assert [row.record.name for row in table.rows] == names


@pytest.mark.parametrize("query", ["sort=nothing", "sort=-", "page=0", "page=99", "page=x"])
def test_an_address_with_a_wrong_order_or_page_still_gives_the_list(hand, party, query):
    fill_with_sites(party, 2)
    assert "Site 1" in text_of(hand.get(f"{url('site_list')}?{query}"))


@pytest.mark.parametrize("sort", ["name", "-water_name"])
def test_the_empty_list_can_be_sorted(hand, sort):
    assert hand.get(url("site_list"), {"sort": sort}).status_code == 200


def test_exports_hold_all_rows_not_only_the_page(hand, party):
    fill_with_sites(party, 27)
    lines = csv_rows(hand.get(url("site_list"), {"export": "csv"}))
    cells = xlsx_rows(hand.get(url("site_list"), {"export": "xlsx"}))
    assert len(lines) == len(cells) == 28
    assert lines[0] == list(cells[0])
    assert lines[0][3:6] == ["one_way_m", "drive_minutes", "walk_minutes"]
    assert [line[0] for line in lines] == [row[0] for row in cells]


def test_a_name_that_looks_like_a_formula_is_defused_in_the_export(hand, party):
    make.make_site(party, "=1+1")
    assert csv_rows(hand.get(url("site_list"), {"export": "csv"}))[1][0] == "'=1+1"


def test_another_kind_of_export_shows_the_page(hand, party):
    make.make_site(party)
    assert hand.get(url("site_list"), {"export": "exe"})["Content-Type"].startswith("text/html")


def test_the_list_shows_no_other_partys_site(hand):
    make.make_site(make.make_party(), "Strange creek")
    assert "Strange creek" not in text_of(hand.get(url("site_list")))


# --- who may


@pytest.mark.parametrize("name", ["site_create", "site_edit", "spot_create", "spot_edit"])
def test_a_reader_writes_nothing(client, party, name):
    make.signed_in(client, party, "reader")
    spot = make.make_spot(make.make_site(party, "Old name"), "Old spot")
    pk = {"site_create": (), "spot_edit": (spot.pk,)}.get(name, (spot.site_id,))
    for method in (client.get, client.post):
        assert method(url(name, *pk), SENT).status_code == 403
    assert (Site.objects.get().name, Spot.objects.get().name) == ("Old name", "Old spot")


@pytest.mark.parametrize("pk", [0, 999_999, int(HUGE)])
def test_a_site_that_is_not_there_is_not_found(hand, pk):
    for name in ("site_edit", "spot_create", "spot_edit"):
        assert hand.get(f"{reverse('claims:site_list')}{pk}/edit/").status_code == 404
        assert hand.get(url(name, pk)).status_code == 404


def test_anothers_site_and_spot_are_not_found(hand):
    spot = make.make_spot(make.make_site(make.make_party()), "Strange spot")
    for name, pk in (
        ("site_edit", spot.site_id),
        ("spot_create", spot.site_id),
        ("spot_edit", spot.pk),
    ):
        assert hand.post(url(name, pk), SENT | {"feature": "bench"}).status_code == 404
    assert Spot.objects.get().name == "Strange spot"
