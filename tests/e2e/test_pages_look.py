"""Every page with the demo: fits the screen, one heading, no errors, nothing for axe to find.

The pages are found by themselves: every address of the site that answers a keeper with a page is
looked at, with the demo's own objects in it; where the demo has none of a kind, with one that is
made for the purpose.
"""

from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from claims.models import User
from tests.e2e.conftest import DESK, PHONE
from tests.isolation.test_url_map import ADDRESSES, FILLERS, kind_of, one_of_each, read_whole
from trips.demo.load import load
from trips.models import Trip

pytestmark = pytest.mark.django_db(transaction=True)
AS_OF = "?as_of=2031-10-12"
# Pages of somebody who isn't signed in, looked at as such.
SIGNED_OUT = ("/sign-in/", "/sign-up/")
# Kinds of which an early object shows little: the one that holds everything is looked at.
BEST = {"trip": {"state": "wrapped_up", "runs__isnull": False}}
TRIED = 6


def is_page(client, address: str) -> bool:
    """Whether an address gives a page, and not a file, a move elsewhere or a refusal."""
    answer = client.get(address + AS_OF)
    read_whole(answer)
    return answer.status_code == 200 and answer.get("Content-Type", "").startswith("text/html")


def pages_of(user, rows, *, only: set[str] | None = None) -> dict[str, str]:
    """Address by name of every page that `user` can open."""
    client = Client()
    client.force_login(user)
    found = {}
    for name, pattern in ADDRESSES.items():
        if only is not None and name not in only:
            continue
        for values in _values(name, pattern, rows):
            address = reverse(name, kwargs=values)
            if is_page(client, address):
                found[name] = address
                break
    return found


def _values(name, pattern, rows):
    keys = pattern.pattern.converters
    fixed = {key: FILLERS[key] for key in keys if key != "pk"}
    if "pk" not in keys:
        return [fixed]
    kind = kind_of(name)
    objects = type(rows[kind])._base_manager.order_by("pk")
    best = [row.pk for row in objects.filter(**BEST.get(kind, {}))[:TRIED]]
    return [{**fixed, "pk": pk} for pk in dict.fromkeys([*best[::-1], rows[kind].pk])]


@pytest.mark.parametrize("options", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_fits_and_is_accessible(options, open_page, sign_in, axe, fits):
    user, addresses, other, made = everything()
    faults = check_pages(sign_in(open_page(**options), user), addresses, axe, fits)
    faults += check_pages(sign_in(open_page(**options), other), made, axe, fits)
    faults += check_pages(open_page(**options), SIGNED_OUT, axe, fits)
    assert not faults, "\n".join(faults)


@pytest.mark.outside("WCAG 2.2, 1.4.4 Resize Text: 200 % (memory)")
@pytest.mark.outside("WCAG 2.2, 1.4.10 Reflow: 320 CSS pixels, as a desk at 400 % (memory)")
def test_every_page_fits_when_enlarged(open_page, sign_in, fits):
    """At 200 and 400 % a desk of 1,280 px has room for 640 and 320; then twice the letters."""
    user, addresses, other, made = everything()
    faults = []
    for who, theirs in ((user, addresses), (other, made)):
        page = sign_in(open_page(viewport={"width": 640, "height": 512}), who)
        for address in theirs:
            page.set_viewport_size({"width": 640, "height": 512})
            page.goto(address + AS_OF)
            for width, letters in ((640, "100%"), (320, "100%"), (1280, "200%")):
                page.set_viewport_size({"width": width, "height": 512})
                page.evaluate(
                    "size => { document.documentElement.style.fontSize = size; }", letters
                )
                try:
                    fits(page)
                except AssertionError as error:
                    faults.append(f"{address} at {width} px, letters {letters}: {error}")
    assert not faults, "\n".join(faults)


def everything() -> tuple[User, list[str], User, list[str]]:
    """The demo's keeper with their pages, and somebody with one of each thing that it lacks."""
    load(Path(settings.BASE_DIR) / "fixtures_demo")
    user = User.objects.get(username="robin")
    rows = one_of_each("Filler")
    pages = pages_of(user, rows)
    other = rows["member"].user
    missing = {name for name in ADDRESSES if name not in pages}
    made = pages_of(other, rows, only=missing)
    assert len(pages) > 60
    addresses = sorted(set(pages.values()))
    # A plan and a trip under way look different from one that is over.
    addresses += [
        reverse("trips:trip_detail", args=[Trip.objects.filter(state=state).first().pk])
        for state in ("planned", "under_way", "called_off")
    ]
    return user, addresses, other, sorted(made.values())


def check_pages(page, addresses, axe, fits) -> list[str]:
    """What is wrong with each of the pages; all are looked at before anything fails."""
    faults = []
    for address in addresses:
        answer = page.goto(address + AS_OF)
        try:
            assert answer.status == 200, f"status {answer.status}"
            assert page.url.split("?")[0].endswith(address), f"led to {page.url}"
            fits(page)
            assert page.locator("h1").count() == 1, "not one h1"
            assert page.title().rsplit(" · ", 1)[0].strip() not in ("", "Gravel Ledger"), "no title"
        except AssertionError as error:
            faults.append(f"{address}: {error}")
        for scheme in ("light", "dark"):
            # Without motion: a button on its way from one colour to the other has neither.
            page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
            try:
                axe(page)
            except AssertionError as error:
                faults.append(f"{address}, {scheme}: {error}")
    return faults
