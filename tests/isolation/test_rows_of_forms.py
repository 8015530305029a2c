"""Sets of rows say themselves how many came. Each is bounded by what its page may have shown.

Every class of a set is looked for in the code, so a new one fails here until its page is named.
"""

import collections

import pytest
from django.forms import BaseFormSet
from django.urls import reverse

from claims.models import Party
from claims.web.forms import ShownRows
from tests import factories as make
from tests.isolation.shown import as_shown
from tests.isolation.test_url_map import ADDRESSES, address, contents, whole_record

pytestmark = pytest.mark.django_db
PAGES = ("trips:trip_create", "trips:trip_edit", "trips:trip_wrap_up")
COUNT = "-TOTAL_FORMS"
ASKED = "777777"


def kinds_of_sets() -> set[type]:
    """Every class of a set whose rows are a form of ours; the address map has imported them all."""
    found, open_ = set(), [BaseFormSet]
    while open_:
        kind = open_.pop()
        open_ += kind.__subclasses__()
        rooms = {base.__module__.partition(".")[0] for base in getattr(kind, "form", type).__mro__}
        if rooms & {"claims", "trips", "reports"}:
            found.add(kind)
    return found


@pytest.fixture
def built(monkeypatch):
    """How many rows were made since it was cleared, by the class of their set."""
    rows = collections.Counter()
    real = BaseFormSet._construct_form

    def counted(self, number, **kwargs):
        rows[type(self)] += 1
        return real(self, number, **kwargs)

    monkeypatch.setattr(BaseFormSet, "_construct_form", counted)
    return rows


@pytest.fixture
def keeper(client):
    record = whole_record("Ours")
    make.signed_in(client, Party.objects.get(pk=record["party"]))
    return record


def test_every_set_of_rows_is_bounded(client, keeper, built):
    met = set()
    for name in PAGES:
        path = address(name, ADDRESSES[name], keeper)
        built.clear()
        _, sent, _ = as_shown(client, path)
        shown = dict(built)
        for count in [key for key in sent if key.endswith(COUNT)]:
            built.clear()
            before = contents()
            answer = client.post(path, {**sent, count: [ASKED]})
            assert answer.status_code == 200, (name, count)
            assert answer.content.count(b"More rows were sent than this page shows") == 1, count
            assert contents() == before, (name, count)
            assert set(built) == set(shown), name
            for kind, rows in built.items():
                assert rows <= shown[kind] + ShownRows.SPARE, (name, count, kind)
            assert sum(built.values()) == sum(shown.values()) + ShownRows.SPARE, (name, count)
        met |= set(shown)
    assert met == kinds_of_sets()
    assert len(met) >= 5


def test_a_set_that_does_not_say_how_many_rows_it_has_is_told_so(client, keeper):
    path = reverse("trips:trip_wrap_up", args=[keeper["trip"]])
    _, sent, _ = as_shown(client, path)
    del sent["runs-TOTAL_FORMS"]
    before = contents()
    answer = client.post(path, sent)
    assert b"say how many rows it has. Open the page again." in answer.content
    assert contents() == before
