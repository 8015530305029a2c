"""Every page with the demo keeps to the screen when it is enlarged, or its letters are.

A file of its own, because tests of one file run one after the other,
and looking at every page takes minutes.
"""

import pytest

from tests.e2e.every_page import AS_OF, everything

pytestmark = pytest.mark.django_db(transaction=True)


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
