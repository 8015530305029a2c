"""Holes as people meet them: what is open, since when, and filling them in."""

import datetime as dt

import pytest

from claims.models import Hole
from tests import factories as make
from tests.claims.pages import (
    HUGE,
    NO_NUMBERS,
    assert_refused,
    assert_sorts,
    csv_rows,
    queries_of,
    text_of,
    url,
    xlsx_rows,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def site(party):
    return make.make_site(party, "Upper bend")


@pytest.fixture
def hand(client, party):
    return make.signed_in(client, party, "hand")


def sent(at, /, **changes):
    return {
        "site": at.pk,
        "spot": "",
        "opened_on": "2031-05-03",
        "filled_on": "",
        "length_mm": "1,2 m",
        "width_mm": "80",
        "depth_mm": "20 in",
        "notes": "By the alder",
    } | changes


def test_sizes_are_read_in_the_unit_that_stands_behind_them(hand, site):
    response = hand.post(url("hole_create"), sent(site))
    assert response.url == url("hole_list")
    hole = Hole.objects.get()
    # 1 in = 25.4 mm exactly; status: memory, the definition of the inch.
    assert (hole.length_mm, hole.width_mm, hole.depth_mm) == (1_200, 800, 508)
    assert (hole.site, hole.party, hole.filled_on) == (site, site.party, None)
    assert "The hole at Upper bend is saved" in text_of(hand.get(url("hole_list")))


def test_sizes_left_empty_stay_unknown(hand, site):
    hand.post(url("hole_create"), sent(site, length_mm="", width_mm="", depth_mm=""))
    assert Hole.objects.get().length_mm is None
    assert "unknown" in text_of(hand.get(url("hole_list"), {"as_of": "2031-05-03"}))
    assert (
        csv_rows(hand.get(url("hole_list"), {"export": "csv", "as_of": "2031-05-03"}))[1][5] == ""
    )


def test_somebody_who_drives_in_miles_writes_inches(client, party, site):
    make.signed_in(client, party, "hand", make.make_user(distance_unit="mi"))
    client.post(url("hole_create"), sent(site, length_mm="10", width_mm="10 cm"))
    hole = Hole.objects.get()
    assert (hole.length_mm, hole.width_mm) == (254, 100)


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("site", ""),
        ("site", "999999"),
        ("site", HUGE),
        ("spot", HUGE),
        ("opened_on", ""),
        ("opened_on", "2031-02-30"),
        ("opened_on", "yesterday"),
        ("filled_on", "2031-02-30"),
        ("filled_on", "2031-05-02"),
        ("length_mm", "0"),
        ("length_mm", "51 m"),
        ("length_mm", "3 kg"),
        ("depth_mm", HUGE),
        *[("width_mm", bad) for bad in NO_NUMBERS],
    ],
)
def test_what_cannot_be_right_is_refused_at_its_field_and_stays_as_typed(hand, site, field, typed):
    response = hand.post(url("hole_create"), sent(site, **{field: typed}))
    unseen = field in ("site", "spot") or "\x00" in typed
    assert assert_refused(response, field, "" if unseen else typed)
    assert "By the alder" in text_of(response)
    assert not Hole.objects.exists()


def test_a_hole_may_be_filled_on_the_day_it_was_opened(hand, site):
    hand.post(url("hole_create"), sent(site, filled_on="2031-05-03"))
    assert Hole.objects.get().filled_on == dt.date(2031, 5, 3)


def test_a_spot_belongs_to_the_site_of_the_hole(hand, party, site):
    spot = make.make_spot(make.make_site(party, "Lower bend"), "Boulder")
    response = hand.post(url("hole_create"), sent(site, spot=spot.pk))
    assert "Lower bend" in assert_refused(response, "spot")
    hand.post(url("hole_create"), sent(site, spot=make.make_spot(site, "Crevice").pk))
    assert Hole.objects.get().spot.name == "Crevice"


def test_another_partys_site_and_spot_cannot_be_chosen(hand, site):
    strange = make.make_spot(make.make_site(make.make_party(), "Strange creek"), "Strange spot")
    page = text_of(hand.get(url("hole_create"), {"site": strange.site_id}))
    assert "Strange" not in page
    assert_refused(hand.post(url("hole_create"), sent(site, site=strange.site_id)), "site")
    assert_refused(hand.post(url("hole_create"), sent(site, spot=strange.pk)), "spot")
    assert not Hole.objects.exists()


@pytest.mark.parametrize("typed", ["x", "", "-1", HUGE, "²"])
def test_a_site_that_cannot_be_read_in_the_address_is_left_out(hand, site, typed):
    page = hand.get(url("hole_create"), {"site": typed})
    assert page.context["page"].form.initial["site"] is None


def test_the_form_opens_with_the_site_and_day_of_the_address(hand, site):
    page = hand.get(url("hole_create"), {"site": site.pk, "as_of": "2031-05-09"})
    assert f'<option value="{site.pk}" selected>' in page.content.decode()
    assert 'value="2031-05-09"' in page.content.decode()


def test_a_site_no_longer_used_is_offered_only_where_a_hole_is_there_already(hand, party):
    old = make.make_site(party, "Old bend", is_retired=True)
    assert "Old bend" not in text_of(hand.get(url("hole_create")))
    hole = make.make_hole(old)
    assert "Old bend" in text_of(hand.get(url("hole_edit", hole.pk)))


def test_a_change_is_saved_and_a_wrong_one_leaves_the_hole_alone(hand, site):
    hole = make.make_hole(site)
    assert_refused(
        hand.post(url("hole_edit", hole.pk), sent(site, filled_on="2031-05-01")), "filled_on"
    )
    hole.refresh_from_db()
    assert (hole.filled_on, hole.length_mm) == (None, 1000)
    hand.post(url("hole_edit", hole.pk), sent(site, filled_on="2031-05-04"))
    hole.refresh_from_db()
    assert (hole.filled_on, hole.length_mm) == (dt.date(2031, 5, 4), 1200)


# --- filling in


def test_the_button_fills_a_hole_on_the_day_shown(hand, site):
    hole = make.make_hole(site)
    response = hand.post(url("hole_fill", hole.pk), {"filled_on": "2031-05-10"})
    assert response.url == url("hole_list")
    hole.refresh_from_db()
    assert hole.filled_on == dt.date(2031, 5, 10)


@pytest.mark.parametrize("day", ["2031-05-02", "0001-01-01"])
def test_filling_before_the_day_it_was_opened_is_refused_in_words(hand, site, day):
    hole = make.make_hole(site)
    page = hand.post(url("hole_fill", hole.pk), {"filled_on": day}, follow=True)
    assert "can't be filled before it was opened" in text_of(page)
    hole.refresh_from_db()
    assert hole.filled_on is None


def test_a_hole_that_is_filled_keeps_its_day(hand, site):
    hole = make.make_hole(site, filled_on=dt.date(2031, 6, 1))
    page = hand.post(url("hole_fill", hole.pk), {"filled_on": "2031-05-10"}, follow=True)
    assert "filled already, on 1 Jun 2031" in text_of(page)
    hole.refresh_from_db()
    assert hole.filled_on == dt.date(2031, 6, 1)


def test_a_day_that_cannot_be_read_fills_nothing(hand, site):
    hole = make.make_hole(site, opened_on=dt.date(2020, 1, 1))
    page = hand.post(url("hole_fill", hole.pk), {"filled_on": "2031-02-30"}, follow=True)
    assert "Not saved: expected a day as 2031-05-09, not 2031-02-30" in text_of(page)
    hole.refresh_from_db()
    assert hole.filled_on is None


def test_looking_at_the_address_of_the_button_changes_nothing(hand, site):
    hole = make.make_hole(site)
    assert hand.get(url("hole_fill", hole.pk)).status_code == 405
    hole.refresh_from_db()
    assert hole.filled_on is None


# --- the list


@pytest.mark.parametrize(
    ("day", "state"),
    [
        ("2031-05-02", None),
        ("2031-05-03", ("", "0")),
        ("2031-05-09", ("", "6")),
        ("2031-05-10", ("2031-05-10", "7")),
        ("2031-06-01", ("2031-05-10", "7")),
    ],
)
def test_a_hole_is_told_as_it_was_on_the_day(hand, site, day, state):
    make.make_hole(site, filled_on=dt.date(2031, 5, 10))
    lines = csv_rows(hand.get(url("hole_list"), {"as_of": day, "export": "csv"}))[1:]
    assert [tuple(line[3:5]) for line in lines] == ([] if state is None else [state])


def test_open_holes_come_first_and_the_oldest_of_them_first(hand, site, party):
    for number, (opened, filled) in enumerate([(1, 2), (5, None), (3, None)]):
        make.make_hole(
            site,
            spot=make.make_spot(site, f"S{number}"),
            opened_on=dt.date(2031, 5, opened),
            filled_on=filled and dt.date(2031, 5, filled),
        )
    page = hand.get(url("hole_list"), {"as_of": "2031-05-20"})
    assert [row.record.spot for row in page.context["table"].rows] == ["S2", "S1", "S0"]
    assert page.context["open_count"] == 2


def test_a_box_of_1000_by_800_by_500_mm_holds_400_litres(hand, site):
    make.make_hole(site)
    lines = csv_rows(hand.get(url("hole_list"), {"as_of": "2031-05-03", "export": "csv"}))
    assert lines[0][5] == "box_volume_ml"
    assert lines[1][5] == "400000"


def test_the_empty_list_leads_to_what_is_needed_first(client, party):
    make.signed_in(client, party, "hand")
    assert url("site_create") in client.get(url("hole_list")).content.decode()
    make.make_site(party)
    assert url("hole_create") in client.get(url("hole_list")).content.decode()
    client.logout()
    make.signed_in(client, party, "reader")
    page = client.get(url("hole_list")).content.decode()
    assert "No hole noted" in page
    assert url("hole_create") not in page


def fill_with_holes(site, count):
    for number in range(count):
        make.make_hole(
            site,
            spot=make.make_spot(site) if number % 2 else None,
            filled_on=make.DAY if number % 3 else None,
            length_mm=None if number % 2 else 900,
        )


def test_twice_the_holes_cost_no_more_queries(hand, site):
    address = f"{url('hole_list')}?as_of=2031-05-20"
    fill_with_holes(site, 5)
    few = queries_of(hand, address)
    fill_with_holes(make.make_site(site.party), 5)
    assert queries_of(hand, address) == few


def test_the_list_sorts_by_every_column_both_ways(hand, site):
    fill_with_holes(site, 6)
    assert_sorts(hand, f"{url('hole_list')}?as_of=2031-05-20")


@pytest.mark.parametrize("sort", ["site", "-volume_ml", "pk", "is_open"])
def test_the_empty_list_can_be_sorted(hand, sort):
    assert hand.get(url("hole_list"), {"sort": sort}).status_code == 200


def test_exports_hold_all_rows_not_only_the_page(hand, site):
    fill_with_holes(site, 27)
    asked = {"as_of": "2031-05-20"}
    lines = csv_rows(hand.get(url("hole_list"), asked | {"export": "csv"}))
    cells = xlsx_rows(hand.get(url("hole_list"), asked | {"export": "xlsx"}))
    assert len(lines) == len(cells) == 28
    assert lines[0] == list(cells[0])


# --- who may


def test_a_reader_writes_nothing_and_sees_no_button(client, party, site):
    make.signed_in(client, party, "reader")
    hole = make.make_hole(site)
    addresses = [url("hole_create"), url("hole_edit", hole.pk), url("hole_fill", hole.pk)]
    for address in addresses:
        assert client.post(address, sent(site, filled_on="2031-05-10")).status_code == 403
    hole.refresh_from_db()
    assert hole.filled_on is None
    page = client.get(url("hole_list"), {"as_of": "2031-05-20"}).content.decode()
    assert not any(address in page for address in addresses)


def test_anothers_hole_is_not_found(hand, site):
    hole = make.make_hole(make.make_site(make.make_party(), "Strange creek"))
    for name in ("hole_edit", "hole_fill"):
        for pk in (hole.pk, int(HUGE)):
            assert hand.post(url(name, pk), sent(site)).status_code == 404
    page = hand.get(url("hole_list"), {"as_of": "2031-05-20"})
    assert "Strange creek" not in text_of(page)
