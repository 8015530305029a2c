"""Every refusal says what happened, what to do, and has a way back; nothing typed is lost."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests import factories as make
from trips.models import Cost

pytestmark = pytest.mark.django_db
OURS = {"HTTP_ORIGIN": "http://testserver"}
TEMPLATES = Path(settings.BASE_DIR) / "templates"


@pytest.fixture
def trip():
    return make.make_trip(make.make_party())


def cost_page(trip):
    return reverse("trips:cost_create", args=[trip.pk])


def hidden(html):
    """Names and values that the page would send again."""
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', html))


SENT = {"kind": "food", "amount_minor": "7,50", "note": 'Bread & "cheese"'}


def test_after_signing_out_a_form_can_be_sent_again(client, trip):
    member = make.make_member(trip.party)
    answer = client.post(cost_page(trip), SENT, **OURS)
    html = answer.content.decode()
    assert answer.status_code == 403
    assert "Sign in in another tab" in html
    kept = hidden(html)
    assert kept["note"] == "Bread &amp; &quot;cheese&quot;"
    assert f'action="{cost_page(trip)}"' in html
    client.force_login(member.user)
    assert client.post(cost_page(trip), kept | {"note": "Bread"}).status_code == 302
    assert Cost.objects.get().amount_minor == 750


def test_an_old_form_can_be_sent_again_with_a_new_mark(trip):
    client = Client(enforce_csrf_checks=True)
    client.force_login(make.make_member(trip.party).user)
    answer = client.post(cost_page(trip), SENT | {"csrfmiddlewaretoken": "x" * 64}, **OURS)
    html = answer.content.decode()
    assert answer.status_code == 403
    assert "once more" in html
    kept = hidden(html)
    assert kept["amount_minor"] == "7,50"
    assert client.post(cost_page(trip), kept, **OURS).status_code == 302
    assert Cost.objects.count() == 1


@pytest.mark.parametrize("origin", [{}, {"HTTP_ORIGIN": "https://elsewhere.example"}])
def test_a_foreign_form_is_never_offered_again(trip, origin):
    client = Client(enforce_csrf_checks=True)
    client.force_login(make.make_member(trip.party).user)
    answer = client.post(cost_page(trip), SENT, **origin)
    assert answer.status_code == 403
    assert "cheese" not in answer.content.decode()
    assert "Go to the first page" in answer.content.decode()


def test_passwords_are_never_written_into_a_page():
    client = Client(enforce_csrf_checks=True)
    sent = {"username": "robin", "password": "long-grass"}
    html = client.post(reverse("login"), sent, **OURS).content.decode()
    assert "long-grass" not in html


def test_an_address_for_buttons_only_says_so(client, trip):
    make.signed_in(client, trip.party)
    answer = client.get(reverse("trips:trip_start", args=[trip.pk]))
    assert (answer.status_code, answer["Allow"]) == (405, "POST")
    assert "Only a button leads" in answer.content.decode()


def test_too_many_fields_are_told_plainly(client, trip, settings):
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 5
    make.signed_in(client, trip.party)
    answer = client.post(cost_page(trip), {f"field{n}": "x" for n in range(9)})
    assert answer.status_code == 400
    assert "Nothing was saved" in answer.content.decode()


@pytest.mark.parametrize("code", ["400", "403", "403_csrf", "404", "405", "409", "500", "503"])
def test_every_refusal_has_a_way_back(code):
    page = (TEMPLATES / f"{code}.html").read_text(encoding="utf-8")
    page += (TEMPLATES / "_typed_again.html").read_text(encoding="utf-8") * (code == "403_csrf")
    assert 'href="/"' in page
