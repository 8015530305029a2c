"""Every page with the demo: fits the screen, one heading, no errors, nothing for axe to find."""

import pytest

from tests.e2e.conftest import DESK, PHONE
from tests.e2e.every_page import AS_OF, everything

pytestmark = pytest.mark.django_db(transaction=True)
# Pages of somebody who isn't signed in, looked at as such.
SIGNED_OUT = ("/sign-in/", "/sign-up/")


@pytest.mark.parametrize("options", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_fits_and_is_accessible(options, open_page, sign_in, axe, fits):
    user, addresses, other, made = everything()
    faults = check_pages(sign_in(open_page(**options), user), addresses, axe, fits)
    faults += check_pages(sign_in(open_page(**options), other), made, axe, fits)
    faults += check_pages(open_page(**options), SIGNED_OUT, axe, fits)
    assert not faults, "\n".join(faults)


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
