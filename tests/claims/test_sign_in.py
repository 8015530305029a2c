"""Signing in: guessing is slowed, nobody is told who exists, a forgotten password has a way out."""

import datetime as dt
import re

import pytest
from axes.models import AccessAttempt, AccessFailureLog
from django.contrib.auth.hashers import get_hasher
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from claims.guesses import COOKIE
from tests import factories as make
from trips.project.proxy import UNKNOWN, client_address

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


def spend(client, settings, address="10.0.0.5"):
    """As many wrong passwords as an address may send, one a name."""
    for number in range(settings.WRONG_PASSWORDS_PER_ADDRESS):
        answer = try_password(client, f"name {number}", "wrong", address)
    return answer


@pytest.mark.parametrize("name", ["robin", "nobody"])
def test_a_name_that_does_not_exist_costs_as_much_hashing(client, user, monkeypatch, name):
    """The time of an answer is the time of its hash; none or two would tell who exists."""
    kind = type(get_hasher())
    hashed = []
    encode = kind.encode

    def counted(self, password, salt, *more):
        hashed.append(password)
        return encode(self, password, salt, *more)

    monkeypatch.setattr(kind, "encode", counted)
    try_password(client, name, "wrong")
    assert hashed == ["wrong"]


def test_one_password_tried_on_everybodys_name_ends_by_the_address(client, user, settings):
    assert spend(client, settings).status_code == 429
    right = try_password(client, "robin", make.PASSWORD, "10.0.0.5")
    assert right.status_code == 429
    assert b"over all names" in right.content
    assert "_auth_user_id" not in client.session
    assert try_password(client, "robin", make.PASSWORD, "10.0.0.6").status_code == 302


def test_a_club_behind_one_address_gets_in_after_many_wrong_ones(client, user, settings):
    settings.WRONG_PASSWORDS_PER_ADDRESS += 1
    for number in range(settings.WRONG_PASSWORDS_PER_ADDRESS - 1):
        assert try_password(client, f"name {number}", "wrong").status_code == 200
    assert try_password(client, "robin", make.PASSWORD).status_code == 302


def test_a_right_password_of_ones_own_does_not_start_the_address_anew(client, user, settings):
    for number in range(settings.WRONG_PASSWORDS_PER_ADDRESS - 1):
        try_password(client, f"name {number}", "wrong")
    assert try_password(client, "robin", make.PASSWORD).status_code == 302
    client.logout()  # which forgets all cookies
    assert try_password(client, "another", "wrong").status_code == 429


def test_the_wait_of_an_address_ends_after_an_hour(client, user, settings):
    spend(client, settings)
    passed = timezone.now() - dt.timedelta(hours=1, seconds=1)
    AccessFailureLog.objects.update(attempt_time=passed)
    assert try_password(client, "robin", make.PASSWORD, "10.0.0.5").status_code == 302
    try_password(Client(), "robin", "wrong", "10.0.0.5")
    assert AccessFailureLog.objects.count() == 1  # what no count needs any more is gone


def test_others_at_the_same_address_do_not_lock_out_a_browser_that_is_known(client, user, settings):
    address = "10.0.0.5"
    assert try_password(client, "robin", make.PASSWORD, address).status_code == 302
    client.post(reverse("logout"))  # which leaves the browser known
    other = Client()
    for _ in range(5):
        answer = try_password(other, "robin", "wrong", address)
    assert answer.status_code == 429
    assert spend(other, settings, address).status_code == 429
    assert try_password(other, "robin", make.PASSWORD, address).status_code == 429
    assert try_password(client, "robin", make.PASSWORD, address).status_code == 302


def test_a_known_browser_has_five_tries_too_and_only_for_its_own_name(client, user):
    make.make_user(username="sam")
    try_password(client, "robin", make.PASSWORD)
    client.post(reverse("logout"))  # which leaves the browser known
    answers = [try_password(client, "robin", "wrong", f"10.0.1.{n}") for n in range(5)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 200, 429]
    assert try_password(client, "robin", make.PASSWORD, "10.0.1.9").status_code == 429
    for _ in range(5):
        try_password(Client(), "sam", "wrong")
    assert try_password(client, "sam", make.PASSWORD).status_code == 429


@pytest.mark.parametrize("cookie", ["", "made up", "a.b:c:d", "0.1.2"])
def test_a_made_up_cookie_makes_no_browser_known(client, user, cookie):
    for _ in range(5):
        try_password(Client(), "robin", "wrong")
    client.cookies[COOKIE] = cookie
    assert try_password(client, "robin", make.PASSWORD).status_code == 429


def test_the_cookie_of_a_known_browser_tells_no_name_and_no_script(client, user):
    sent = try_password(client, "robin", make.PASSWORD).cookies[COOKIE]
    assert "robin" not in sent.value
    assert sent["httponly"]
    assert sent["path"] == reverse("login")


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
        (1, "203.0.113.9:4711", "203.0.113.9"),
        # Whoever has an IPv6 address has 2⁶⁴ of them.
        (1, "2001:db8:0:1:2:3:4:5", "2001:db8:0:1::"),
        (1, "[2001:db8:0:1::7]:4711", "2001:db8:0:1::"),
        (1, "::ffff:203.0.113.9", "203.0.113.9"),
        (1, "no address", UNKNOWN),
    ],
)
def test_the_address_behind_proxies(rf, settings, proxies, passed, expected):
    settings.PROXIES = proxies
    request = rf.get("/", REMOTE_ADDR="10.0.0.1", HTTP_X_FORWARDED_FOR=passed)
    assert client_address(request) == expected


def test_behind_a_socket_without_addresses_everybody_counts_as_one(client, user):
    for _ in range(5):
        answer = try_password(client, "robin", "wrong", "")
    assert answer.status_code == 429


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


@pytest.mark.parametrize("page", ["claims:party_detail", "trips:trip_list", "reports:export_list"])
def test_a_persons_pages_are_for_no_shared_cache(client, page):
    make.signed_in(client, make.make_party())
    assert client.get(reverse(page))["Cache-Control"] == "private, no-cache"
    sheet = client.get(reverse("reports:export_table", args=["sites", "csv"]))
    assert "private" in sheet["Cache-Control"]


def test_signing_out_clears_what_the_browser_keeps_of_the_pages(client):
    make.signed_in(client, make.make_party())
    assert "Clear-Site-Data" not in client.get(reverse("claims:party_detail"))
    assert client.post(reverse("logout"))["Clear-Site-Data"] == '"cache"'
    assert "Clear-Site-Data" not in client.get(reverse("login"))
