"""Signing in: guessing is slowed, nobody is told who exists, a forgotten password has a way out."""

import datetime as dt
import re

import pytest
from axes.models import AccessAttempt
from django.core.management import CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from tests import factories as make
from trips.project.proxy import client_address

pytestmark = pytest.mark.django_db


def try_password(client, username, password, address="10.0.0.1"):
    words = {"username": username, "password": password}
    return client.post(reverse("login"), words, REMOTE_ADDR=address)


@pytest.fixture
def user():
    return make.make_user(username="robin")


def test_after_five_wrong_passwords_the_right_one_waits_too(client, user):
    answers = [try_password(client, "robin", f"wrong {number}").status_code for number in range(5)]
    assert answers == [200, 200, 200, 200, 429]
    response = try_password(client, "robin", make.PASSWORD)
    assert response.status_code == 429
    assert b"For the next 15 minutes" in response.content
    assert "_auth_user_id" not in client.session


def test_four_wrong_ones_and_the_right_one_start_the_count_anew(client, user):
    for _ in range(2):
        for _ in range(4):
            try_password(client, "robin", "wrong")
        assert try_password(client, "robin", make.PASSWORD).status_code == 302
        client.logout()


def test_the_wait_ends(client, user):
    for _ in range(5):
        try_password(client, "robin", "wrong")
    passed = timezone.now() - dt.timedelta(minutes=15, seconds=1)
    AccessAttempt.objects.update(attempt_time=passed)
    assert try_password(client, "robin", make.PASSWORD).status_code == 302


def test_from_elsewhere_the_person_gets_in(client, user):
    for _ in range(6):
        try_password(client, "robin", "wrong")
    assert try_password(client, "robin", make.PASSWORD, "10.0.0.2").status_code == 302


def test_a_name_that_does_not_exist_gets_the_same_answers(client, user):
    """Word for word and lock for lock, apart from the name that was typed."""
    there = [try_password(client, "robin", "wrong", "10.0.0.3") for _ in range(6)]
    nobody = [try_password(client, "nobody", "wrong", "10.0.0.4") for _ in range(6)]
    for one, other in zip(there, nobody, strict=True):
        assert one.status_code == other.status_code
        assert plain(one).replace("robin", "nobody") == plain(other)


def plain(response):
    """The page without the token that is new each time."""
    return re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", response.content.decode())


@pytest.mark.parametrize(
    ("proxies", "passed", "expected"),
    [
        (0, "203.0.113.9", "10.0.0.1"),
        (1, "203.0.113.9", "203.0.113.9"),
        # What the asker wrote in front of it isn't believed.
        (1, "198.51.100.1, 203.0.113.9", "203.0.113.9"),
        (2, "198.51.100.1, 203.0.113.9, 10.0.0.7", "203.0.113.9"),
        (2, "203.0.113.9", "10.0.0.1"),
        (1, "", "10.0.0.1"),
    ],
)
def test_the_address_behind_proxies(rf, settings, proxies, passed, expected):
    settings.PROXIES = proxies
    request = rf.get("/", REMOTE_ADDR="10.0.0.1", HTTP_X_FORWARDED_FOR=passed)
    assert client_address(request) == expected


def link_for(username, capsys):
    call_command("password_link", username)
    return capsys.readouterr().out.splitlines()[-1]


def test_a_forgotten_password_is_set_anew_once(client, user, capsys):
    link = link_for("robin", capsys)
    form = client.get(link, follow=True)
    assert b"Set the new password" in form.content
    words = {"new_password1": "a-longer-new-one", "new_password2": "a-longer-new-one"}
    done = client.post(form.redirect_chain[-1][0], words)
    assert done["Location"] == reverse("login")
    assert try_password(client, "robin", "a-longer-new-one").status_code == 302
    client.logout()
    again = client.get(link, follow=True)
    assert b"has been used or is older than a day" in again.content


def test_the_link_is_good_for_a_day(client, user, capsys, monkeypatch):
    from django.contrib.auth.tokens import PasswordResetTokenGenerator

    link = link_for("robin", capsys)
    now = dt.datetime.now()  # noqa: DTZ005 - as the generator itself counts
    for hours, is_good in ((23, True), (25, False)):
        later = now + dt.timedelta(hours=hours)
        monkeypatch.setattr(PasswordResetTokenGenerator, "_now", lambda self, at=later: at)
        page = client.get(link, follow=True)
        assert (b"Set the new password" in page.content) is is_good


def test_a_link_for_nobody_is_refused(db):
    with pytest.raises(CommandError, match="Nobody signs in as 'nobody'"):
        call_command("password_link", "nobody")
