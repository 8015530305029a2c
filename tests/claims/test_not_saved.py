"""A database that takes nothing: a plain page, what was typed is kept, nothing half saved."""

import pytest
from django.db import InternalError, OperationalError, connection
from django.urls import reverse

from claims.models import Site
from tests import factories as make

pytestmark = pytest.mark.django_db
URL = reverse("claims:site_create")
TYPED = {"name": "Old <bend>", "notes": "First line\nsecond line", "land_kind": "unknown"}


def sqlite(statement):
    def apply():
        with connection.cursor() as cursor:
            cursor.execute(statement)

    return apply


def no_more_pages():
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA page_count")
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")


@pytest.fixture
def keeper(client):
    make.signed_in(client, make.make_party())
    return client


@pytest.fixture
def as_before():
    yield
    if connection.vendor == "sqlite":
        sqlite("PRAGMA query_only = OFF")()
        sqlite("PRAGMA max_page_count = 1073741823")()


def test_a_database_that_can_only_be_read(keeper, as_before, monkeypatch):
    if connection.vendor == "sqlite":
        sqlite("PRAGMA query_only = ON")()
    else:  # a test's own transaction can't be made writable again: its words stand in

        def only_read(*args, **kwargs):
            raise InternalError("cannot execute INSERT in a read-only transaction")

        monkeypatch.setattr(Site, "save", only_read)
    answer = keeper.post(URL, TYPED)
    page = answer.content.decode()
    assert answer.status_code == 503
    assert "can only be read at the moment" in page
    assert 'name="name" value="Old &lt;bend&gt;"' in page
    assert "second line" in page
    assert not Site.objects.exists()


@pytest.mark.skipif(connection.vendor != "sqlite", reason="fills a SQLite file to its last page")
def test_a_full_disk_keeps_what_was_there_and_what_was_typed(keeper, as_before):
    no_more_pages()
    notes = "x" * 90_000  # needs new pages
    answer = keeper.post(URL, TYPED | {"notes": notes})
    page = answer.content.decode()
    if answer.status_code == 200:  # refused by the form: too long a note is no test of the disk
        pytest.fail("the form takes fewer letters now; give another large field")
    assert answer.status_code == 503
    assert "is full" in page
    assert notes in page
    assert not Site.objects.exists()
    sqlite("PRAGMA max_page_count = 1073741823")()
    assert keeper.post(URL, TYPED | {"notes": notes}).status_code == 302
    assert Site.objects.get().notes == notes


def test_a_lock_that_does_not_end(keeper, monkeypatch):
    def locked(*args, **kwargs):
        raise OperationalError("database is locked")

    monkeypatch.setattr(Site, "save", locked)
    page = keeper.post(URL, TYPED).content.decode()
    assert "Somebody else was writing at the same time" in page
    assert "Send the same once more" in page


def test_a_password_is_never_shown_again(client, monkeypatch):
    def locked(*args, **kwargs):
        raise OperationalError("database is locked")

    monkeypatch.setattr("claims.views.people.SignUpForm.save", locked)
    words = {"username": "ann", "password1": "loose-gravel-31", "password2": "loose-gravel-31"}
    answer = client.post(reverse("claims:sign_up"), words)
    assert answer.status_code == 503
    assert "loose-gravel-31" not in answer.content.decode()


def test_it_is_sent_again_by_one_press(keeper, monkeypatch):
    with monkeypatch.context() as broken:
        broken.setattr(Site, "save", lambda *a, **k: (_ for _ in ()).throw(OperationalError("x")))
        answer = keeper.post(URL, TYPED)
    assert answer.status_code == 503
    assert keeper.post(URL, dict(answer.context["typed"])).status_code == 302
    assert Site.objects.get().name == "Old <bend>"


# --- Before any view ----------------------------------------------------------------------------
@pytest.fixture
def no_file(keeper, monkeypatch):
    """A folder that SQLite can't make its files in: not even the session can be read."""

    def fails(self):
        raise OperationalError("unable to open database file")

    monkeypatch.setattr("django.contrib.sessions.backends.db.SessionStore.load", fails)
    keeper.raise_request_exception = False
    return keeper


def test_a_database_that_cannot_be_opened_is_told_on_any_page(no_file):
    response = no_file.get(reverse("claims:site_list"))
    page = response.content.decode()
    assert response.status_code == 503
    assert "The file that holds the record can&#x27;t be opened for writing." in page
    assert "What you sent" not in page


def test_what_was_typed_is_shown_without_a_button_that_sends_it(no_file):
    page = no_file.post(URL, TYPED | {"password": "gravel"}).content.decode()
    assert "Old &lt;bend&gt;" not in page, "a secret beside it keeps all of it off the page"
    page = no_file.post(URL, TYPED).content.decode()
    assert "Old &lt;bend&gt;" in page
    assert "First line<br>second line" in page
    assert "<form" not in page


def test_another_mistake_keeps_its_own_page(keeper, monkeypatch):
    def fails(self):
        raise ValueError("unable to open")

    monkeypatch.setattr("django.contrib.sessions.backends.db.SessionStore.load", fails)
    keeper.raise_request_exception = False
    response = keeper.get(reverse("claims:site_list"))
    assert response.status_code == 500
    assert "Something went wrong here" in response.content.decode()
