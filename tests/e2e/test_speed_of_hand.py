"""An afternoon's pans and runs from the card to the record by keyboard, counted."""

import pytest
from playwright.sync_api import expect

from tests import factories as make
from tests.e2e.keys import Keys
from trips.models import Run, TestPan
from trips.services import derive

pytestmark = pytest.mark.django_db(transaction=True)
# Coarse, medium, fine; None is not counted. Two spots, five pans each.
PANS = [("0", "1", "4"), ("0", "0", "2"), ("0", "2", "7"), ("1", "0", "3"), ("0", "0", "0")]
PANS += [("0", "1", "9"), ("0", "3", "12"), ("0", "0", "5"), ("2", "1", "6"), ("0", "0", "1")]
RUNS = [("120", "1:30", "1", "6", "41"), ("95", "1:10", "0", "3", "22")]


def test_ten_pans_and_two_runs_in_under_three_minutes(desk, sign_in, axe, fits, capsys):
    party = make.make_party(pan_volume_ml=5_500)
    site = make.make_site(party=party, name="Alder ford")
    make.make_spot(site=site, name="Inside bend")
    make.make_spot(site=site, name="Lee of the slab")
    make.make_gear(party, name="Short sluice", kind="sluice_stream_fed")
    trip = make.make_trip(party=party, site=site, state="under_way")
    derive.rebuild_trip(trip.pk)
    sign_in(desk, make.make_member(party).user)
    page, keys = desk, Keys(desk)
    page.goto(f"/trips/{trip.pk}/")
    keys.to(f'[href="/trips/{trip.pk}/transfer/"]')
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Pans and runs from the card")
    # At the end of the page its save bar lies over no row, so that every box is looked at whole.
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    axe(page)
    fits(page)
    for number, counts in enumerate(PANS, start=1):
        if number in (1, 6):
            keys.to(f"[name=r{number}-spot]")
            keys.write("in" if number == 1 else "le")
        names = (f"r{number}-coarse", f"r{number}-medium", f"r{number}-fine")
        keys.fill(**dict(zip(names, counts, strict=True)))
    for number, figures in enumerate(RUNS, start=1):
        parts = ("volume", "minutes", "coarse", "medium", "fine")
        keys.fill(**{f"b{number}-{p}": f for p, f in zip(parts, figures, strict=True)})
    keys.press("Enter")
    expect(page.locator(".messages")).to_contain_text("12 rows saved.")
    pans = TestPan.objects.order_by("sequence").values_list(
        "spot__name", "volume_ml", "coarse", "medium", "fine"
    )
    where = ["Inside bend"] * 5 + ["Lee of the slab"] * 5
    assert list(pans) == [
        (spot, 5_500, *map(int, counts)) for spot, counts in zip(where, PANS, strict=True)
    ]
    runs = Run.objects.order_by("sequence").values_list("volume_ml", "minutes", "fine")
    assert list(runs) == [(120_000, 90, 41), (95_000, 70, 22)]
    with capsys.disabled():
        print(  # noqa: T201 (the count is what this test is asked for)
            f"\nten pans and two runs from the trip's page: {keys}, no click"
        )
    assert keys.seconds < 180
