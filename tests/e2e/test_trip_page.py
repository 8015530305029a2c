"""The page of a trip: short, in every state clean, folds that open by link and in print."""

import io
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse
from pypdf import PdfReader

from claims.models import User
from trips.demo.load import load
from trips.models import Trip

pytestmark = pytest.mark.django_db(transaction=True)
STATES = ("planned", "under_way", "wrapped_up", "called_off")
# A line of the checklist stays one on paper: the trip sheet holds the rest of it.
FOLDED = """() => [...document.querySelectorAll("details.fold:not(.line) > :not(summary)")]
  .filter(each => !each.closest(".no-print, .line") && each.tagName !== "FORM"
    && !each.matches("details") && !each.checkVisibility({contentVisibilityAuto: true}))
  .map(each => each.textContent.trim().slice(0, 60))"""


def test_the_trip_page_is_short_and_its_folds_open(page_at, sign_in, axe, fits):
    load(Path(settings.BASE_DIR) / "fixtures_demo")
    page = sign_in(page_at, User.objects.get(username="robin"))
    for state in STATES:
        trip = Trip.objects.filter(state=state).order_by("pk").last()
        page.goto(reverse("trips:trip_detail", args=[trip.pk]) + "?as_of=2031-10-12")
        fits(page)
        axe(page)
        height = page.evaluate("document.documentElement.scrollHeight")
        # What the page is meant to stay within; it was more than twice as long unfolded.
        assert height <= (4_500 if page.viewport_size["width"] > 1_000 else 7_000), state
    trip = Trip.objects.get(state="under_way")
    page.goto(reverse("trips:trip_detail", args=[trip.pk]) + "?as_of=2031-10-12")
    cost = page.locator("#money")
    assert not cost.is_visible()
    link = page.get_by_role("navigation", name="On this page").get_by_role("link")
    link.filter(has_text="What it costs").press("Enter")
    cost.wait_for(state="visible")
    assert page.evaluate(FOLDED)
    page.emulate_media(media="print")
    # The browser unfolds with its next frame.
    page.wait_for_function(f"() => ({FOLDED})().length === 0")


def test_a_planned_trip_prints_on_few_pages(desk, sign_in):
    load(Path(settings.BASE_DIR) / "fixtures_demo")
    page = sign_in(desk, User.objects.get(username="robin"))
    trip = Trip.objects.filter(state="planned").order_by("pk").last()
    page.goto(reverse("trips:trip_detail", args=[trip.pk]) + "?as_of=2031-10-12")
    printed = PdfReader(io.BytesIO(page.pdf(format="A4")))
    assert len(printed.pages) <= 7  # it was thirteen with every line unfolded
    assert "stand on the trip sheet" in " ".join(printed.pages[0].extract_text().split())
