"""Every page with the demo: fits the screen, one heading, no errors, nothing for axe to find."""

from pathlib import Path

import pytest
from django.conf import settings
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from claims.models import Hole, Invitation, Membership, Paper, Person, Site, Spot, User
from tests import factories as make
from tests.e2e.conftest import DESK, PHONE
from trips.demo.load import load
from trips.models import (
    Cost,
    Gear,
    GoldLot,
    HoursBlock,
    ImportBatch,
    Price,
    Run,
    TestPan,
    Trip,
    Vehicle,
    WeighIn,
)

pytestmark = pytest.mark.django_db(transaction=True)
AS_OF = "?as_of=2031-10-12"
# Addresses that give a file, only take a POST, or belong to somebody signed out.
NO_PAGE = (
    "login", "logout", "claims:sign_up", "claims:party_switch", "claims:member_remove",
    "claims:invitation_revoke", "claims:hole_fill", "trips:trip_start", "trips:trip_reopen",
    "trips:import_template", "trips:import_refused", "reports:trip_sheet",
    "reports:site_returns_file", "reports:renewal_record_file", "reports:export_table",
)  # fmt: skip


def every_page(user) -> list[str]:
    """The address of each page, with the demo's first object of each kind in it."""
    party = Membership.objects.get(user=user).party
    batch = make.make_import_batch(party, user, result={"saved": 1, "already": 0, "refused": []})
    objects = {
        "site_": Site, "spot_edit": Spot, "hole_": Hole, "paper_": Paper, "person_": Person,
        "member_": Membership, "invitation_": Invitation, "renewal_": Paper, "trip_": Trip,
        "pan_edit": TestPan, "pan_delete": TestPan, "run_edit": Run, "run_delete": Run,
        "hours_edit": HoursBlock, "hours_delete": HoursBlock, "cost_edit": Cost,
        "cost_delete": Cost, "weighin_": WeighIn, "weighin_create": Trip, "lot_": GoldLot,
        "lot_create": WeighIn, "price_": Price, "vehicle_": Vehicle, "gear_": Gear,
        "pan_create": Trip, "run_create": Trip, "hours_create": Trip, "cost_create": Trip,
        "spot_create": Site, "import_": ImportBatch,
    }  # fmt: skip
    addresses = []
    for name, pattern in names(get_resolver().url_patterns, ""):
        if name in NO_PAGE:
            continue
        values = {}
        for key in pattern.pattern.converters:
            if key == "token":
                values[key] = "no-such-token"
                continue
            plain = name.split(":")[1]
            starts = [start for start in objects if plain.startswith(start)]
            assert starts, f"{name}: say here which object its number means"
            kind = objects[max(starts, key=len)]
            if kind is Trip:
                # One that is wrapped up and holds everything, but a plan can still be changed.
                row = Trip.objects.filter(state="wrapped_up", runs__isnull=False).latest("pk")
            else:
                row = batch if kind is ImportBatch else kind.objects.order_by("pk").first()
            values[key] = row.pk
        addresses.append(reverse(name, kwargs=values))
    return sorted(set(addresses))


def names(patterns, namespace):
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from names(pattern.url_patterns, pattern.namespace or namespace)
        elif isinstance(pattern, URLPattern):
            yield (f"{namespace}:{pattern.name}" if namespace else pattern.name), pattern


@pytest.mark.parametrize(
    "options",
    [{**PHONE, "color_scheme": "light"}, {**DESK, "color_scheme": "dark"}],
    ids=["phone-light", "desk-dark"],
)
def test_every_page_fits_and_is_accessible(options, open_page, sign_in, axe, fits, problems):
    problems.allow("/join/no-such-token/")  # the one page that is meant to be missing
    load(Path(settings.BASE_DIR) / "fixtures_demo")
    user = User.objects.get(username="robin")
    page = sign_in(open_page(**options), user)
    addresses = every_page(user)
    assert len(addresses) > 45
    # A plan and a trip under way look different from one that is over.
    addresses += [
        reverse("trips:trip_detail", args=[Trip.objects.filter(state=state).first().pk])
        for state in ("planned", "under_way", "called_off")
    ]
    faults = check_pages(page, addresses, axe, fits)
    faults += check_pages(open_page(**options), ["/sign-in/", "/sign-up/"], axe, fits)
    assert not faults, "\n".join(faults)


def check_pages(page, addresses, axe, fits) -> list[str]:
    """What is wrong with each of the pages; all are looked at before anything fails."""
    faults = []
    for address in addresses:
        answer = page.goto(address + AS_OF)
        try:
            expected = 404 if "no-such-token" in address else 200
            assert answer.status == expected, f"status {answer.status}"
            assert page.url.split("?")[0].endswith(address), f"led to {page.url}"
            fits(page)
            assert page.locator("h1").count() == 1, "not one h1"
            assert page.title().rsplit(" · ", 1)[0].strip() not in ("", "Gravel Ledger"), "no title"
            axe(page)
        except AssertionError as error:
            faults.append(f"{address}: {error}")
    return faults
