"""Pages in longer words and from right to left: nothing runs out of a phone's screen."""

from pathlib import Path

import pytest
from django.conf import settings as live_settings
from playwright.sync_api import expect

from claims.models import Site, User
from tests.e2e.conftest import PHONE
from trips.demo.load import load
from trips.models import Trip
from trips.project import catalogues, pseudo, texts

pytestmark = pytest.mark.django_db(transaction=True)
AS_OF = "?as_of=2031-10-12"
ROOT = Path(live_settings.BASE_DIR)
ADDRESSES = ("/", "/trips/", "/papers/", "/my-settings/", "/pay/")


@pytest.fixture
def spoken(tmp_path, settings):
    source = texts.template_catalogue(ROOT)
    texts.write_changed(tmp_path, pseudo.LONGER, source, pseudo.longer)
    texts.write_changed(tmp_path, pseudo.TURNED, source, pseudo.turned)
    settings.LOCALE_PATHS = [tmp_path]
    settings.LANGUAGES = catalogues.offered([tmp_path])


LANGUAGES = [("en-xa", "de_DE", "ltr"), ("he-xb", "ar_EG", "rtl")]


def test_pages_fit_a_phone_in_any_language(spoken, open_page, sign_in, fits):
    """All in one: loading the demo takes longer than looking at its pages."""
    load(ROOT / "fixtures_demo")
    user = User.objects.get(username="robin")
    page = sign_in(open_page(**PHONE), user)
    faults = []
    site, trip = Site.objects.first(), Trip.objects.filter(state="wrapped_up").first()
    for language, region, direction in LANGUAGES:
        User.objects.filter(pk=user.pk).update(language=language, region=region)
        for address in (*ADDRESSES, f"/sites/{site.pk}/", f"/trips/{trip.pk}/"):
            page.goto(address + AS_OF)
            expect(page.locator("html")).to_have_attribute("dir", direction)
            expect(page.locator("a.skip")).to_contain_text(pseudo.OPEN)
            try:
                fits(page)
            except AssertionError as error:
                faults.append(f"{address}, {language}: {error}")
    assert not faults, "\n".join(faults)
