"""Every page with the demo: fits the screen, one heading, no errors, nothing for axe to find."""

import re
from pathlib import Path

import pytest
from django.conf import settings

from tests.e2e.conftest import DESK, PHONE
from tests.e2e.every_page import AS_OF, everything

pytestmark = pytest.mark.django_db(transaction=True)
STATIC = Path(settings.BASE_DIR) / "trips" / "static"
# Pages of somebody who isn't signed in, looked at as such.
SIGNED_OUT = ("/sign-in/", "/sign-up/")


# What a dark scheme says besides colours would have to be looked at by every rule.
DARK = re.compile(r"@media \(prefers-color-scheme: dark\) \{\s*(.*?)\n\}", re.S)
COLOURS = re.compile(
    r":root(:not\(\[data-screen=sun\]\))? \{(\s*--[\w-]+: #[0-9a-f]{3,8};)+\s*\}", re.S
)
# Words in drawings that are smaller on the screen than anybody reads, whatever their own size.
SMALL_WORDS = """() => [...document.querySelectorAll("svg text")]
  .filter(each => each.checkVisibility()
    && parseFloat(getComputedStyle(each).fontSize) * each.getScreenCTM().a < 10.95)
  .map(each => each.textContent)"""


def test_every_page_fits_and_is_accessible(open_page, sign_in, axe, fits):
    """At both widths; finding the pages takes as long as looking at them at one."""
    user, addresses, other, made = everything()
    faults = []
    for options in (PHONE, DESK):
        faults += check_pages(sign_in(open_page(**options), user), addresses, axe, fits)
        faults += check_pages(sign_in(open_page(**options), other), made, axe, fits)
        faults += check_pages(open_page(**options), SIGNED_OUT, axe, fits)
    assert not faults, "\n".join(faults)


def test_a_dark_scheme_changes_colours_alone():
    sheets = [each.read_text() for each in STATIC.rglob("*.css") if "vendor" not in each.parts]
    dark = [block for sheet in sheets for block in DARK.findall(sheet)]
    assert len(dark) == sum(sheet.count("prefers-color-scheme") for sheet in sheets) > 1
    assert [block for block in dark if not COLOURS.fullmatch(block)] == []


def test_the_checker_sees_colours_when_asked_for_them_alone(desk, axe):
    desk.goto("/sign-in/")
    axe(desk)
    desk.evaluate(
        "() => document.querySelectorAll('label').forEach(each => { each.style.color = '#eee'; })"
    )
    with pytest.raises(AssertionError, match="color-contrast"):
        axe(desk, colours_again=True)


def test_small_words_in_a_drawing_would_be_found(phone):
    phone.set_content('<svg width="100" viewBox="0 0 200 20"><text font-size="13">Oct</text></svg>')
    assert phone.evaluate(SMALL_WORDS) == ["Oct"]


def check_pages(page, addresses, axe, fits) -> list[str]:
    """What is wrong with each of the pages; all are looked at before anything fails."""
    faults = []
    at = f"at {page.viewport_size['width']} px"
    for address in addresses:
        # Without motion: a button on its way from one colour to the other has neither.
        page.emulate_media(color_scheme="light", reduced_motion="reduce")
        answer = page.goto(address + AS_OF)
        try:
            assert answer.status == 200, f"status {answer.status}"
            assert page.url.split("?")[0].endswith(address), f"led to {page.url}"
            fits(page)
            assert page.evaluate(SMALL_WORDS) == [], "words under 11 px in a drawing"
            assert page.locator("h1").count() == 1, "not one h1"
            assert page.title().rsplit(" · ", 1)[0].strip() not in ("", "Gravel Ledger"), "no title"
        except AssertionError as error:
            faults.append(f"{address} {at}: {error}")
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
            try:
                axe(page, colours_again=scheme == "dark")
            except AssertionError as error:
                faults.append(f"{address} {at}, {scheme}: {error}")
    return faults
