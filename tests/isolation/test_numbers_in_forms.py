"""Another party's number in a query or a form comes to nothing, at every address that reads one.

The walk asks each address as a keeper with objects of their own and watches which names it reads
from the query and from what is sent. Each name is then given a number under which, whatever it
means, only another party has something. So a new field can't be forgotten either.
"""

import collections
import re

import pytest
from django import forms
from django.apps import apps
from django.core.handlers.wsgi import WSGIRequest
from django.db import connection, models, transaction
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from django.utils.functional import cached_property

from claims.models import Party
from claims.past import fact_models
from claims.web.fields import TypedField
from tests import factories as make
from tests.isolation.shown import as_shown, read_whole
from tests.isolation.test_url_map import (
    ADDRESSES,
    OPEN,
    address,
    one_of_each,
    whole_record,
)
from tests.next_numbers import next_numbers
from tests.once import taken_back
from trips.backup import rows

pytestmark = pytest.mark.django_db
# The first row that the other party has in a table, whatever the table.
THEIR_NUMBER = 777_777
MARK = "Theirs"
# Fields whose text is never a number of a row: what is measured or counted, days, yes and no.
PLAIN = (
    TypedField, forms.DateField, forms.BooleanField, forms.DecimalField, forms.FileField,
    forms.TimeField,
)  # fmt: skip
COUNTS = ("TOTAL_FORMS", "INITIAL_FORMS", "MIN_NUM_FORMS", "MAX_NUM_FORMS")
WRITTEN = re.compile(r'^\s*(INSERT INTO|UPDATE|DELETE FROM) "(claims|trips)_')


def ways_to_party(model, seen=()) -> list[str]:
    """Every way along links from a row to the party that it belongs to."""
    found = []
    for field in model._meta.concrete_fields:
        if not field.is_relation or field.related_model in (model, *seen):
            continue
        if field.related_model is Party:
            found.append(field.attname)
        elif field.related_model._meta.app_label in ("claims", "trips"):
            further = ways_to_party(field.related_model, (*seen, model))
            found += [f"{field.name}__{way}" for way in further]
    return found


TABLES = [
    (model, ways)
    for model in rows.tables(apps)
    if not model.__name__.startswith("Historical") and len(ways := ways_to_party(model)) > 1
]


def mixed_rows() -> list[str]:
    """Rows that belong to more than one party."""
    return [
        f"{model._meta.label} {found[0]}"
        for model, ways in TABLES
        for found in model._base_manager.values_list("pk", *ways)
        if len({party for party in found[1:] if party is not None}) > 1
    ]


def theirs(party: int) -> dict[str, list]:
    """Every row of a party that is typed or kept."""
    found = {}
    for model in {*fact_models().values(), *(model for model, _ in TABLES)}:
        way = getattr(model, "party_way", None) or ways_to_party(model)[0]
        names = [field.attname for field in rows.columns(model)]
        mine = model._base_manager.filter(**{way: party}).order_by("pk")
        found[model._meta.label] = list(mine.values_list(*names))
    return found


def write_mark(party: int) -> None:
    """Put a word into every free text of a party, by which a page would give it away."""
    for model in fact_models().values():
        mine = model._base_manager.filter(**{model.party_way: party})
        for field in model._meta.concrete_fields:
            is_text = isinstance(field, models.CharField | models.TextField) and not field.choices
            if not is_text or (field.max_length or 100) < 40 or field.name == "time_zone":
                continue
            for row in mine.values_list("pk", flat=True):
                mine.filter(pk=row).update(**{field.name: f"{MARK} {row}"})


@pytest.fixture
def names_read(monkeypatch):
    """The names that a request asks its query ("get") and what was sent ("post") for."""
    read: dict[str, set[str]] = {"get": set(), "post": set()}

    def note(asked, method, key):
        if isinstance(asked, QueryDict) and isinstance(key, str):
            if hasattr(asked, "way"):
                read[asked.way].add(key)
            elif method != "__contains__":  # which each new one asks itself while it is filled
                for names in read.values():
                    names.add(key)

    def watch(owner, method):
        real = getattr(owner, method)

        def watched(self, key, *rest):
            note(self, method, key)
            return real(self, key, *rest)

        monkeypatch.setattr(owner, method, watched, raising=False)

    watch(MultiValueDict, "__getitem__")
    watch(MultiValueDict, "getlist")
    watch(QueryDict, "__contains__")
    query, load = WSGIRequest.GET.func, WSGIRequest._load_post_and_files
    real_copy = QueryDict.copy

    def marked_query(self):
        found = query(self)
        found.way = "get"
        return found

    def load_marked(self):
        load(self)
        self._post.way = "post"

    def copy_marked(self):
        found = real_copy(self)
        vars(found).update({"way": self.way} if hasattr(self, "way") else {})
        return found

    watched_query = cached_property(marked_query)
    watched_query.__set_name__(WSGIRequest, "GET")
    monkeypatch.setattr(WSGIRequest, "GET", watched_query)
    monkeypatch.setattr(WSGIRequest, "_load_post_and_files", load_marked)
    monkeypatch.setattr(QueryDict, "copy", copy_marked)
    return read


@pytest.fixture(scope="module")
def made(django_db_setup, django_db_blocker):
    """Our whole record, and another party's whose rows have numbers of their own; who keeps ours.

    Made once for the file: every walk takes back what it sends.
    """
    with taken_back(django_db_blocker):
        next_numbers(1_000)  # PostgreSQL's don't go back with the test before
        ours = whole_record("Ours")
        next_numbers(THEIR_NUMBER)
        other = one_of_each(MARK)["party"].pk
        write_mark(other)
        next_numbers(900_000)
        keeper = make.make_member(Party.objects.get(pk=ours["party"])).user
        assert other == THEIR_NUMBER
        yield ours, theirs(other), keeper
        next_numbers(1)


@pytest.fixture
def two(client, made):
    ours, before, keeper = made
    client.force_login(keeper)
    return ours, before


def test_every_address_belongs_to_a_part():
    named = {name.partition(":")[0] for name in set(ADDRESSES) - OPEN}
    assert named == {"claims", "reports", "trips"}


def test_the_walk_would_see_a_mixed_row_and_knows_every_table(two):
    from claims.models import Hole, Spot

    assert mixed_rows() == []
    hole = Hole.objects.exclude(party=THEIR_NUMBER).get()
    Hole.objects.filter(pk=hole.pk).update(spot=Spot.objects.get(pk=THEIR_NUMBER))
    assert mixed_rows() == [f"claims.Hole {hole.pk}"]
    empty = [label for label, found in two[1].items() if not found]
    assert len(empty) < 12, empty
    assert two[1]["trips.TestPan"][0]


class Walk:
    """Sends things, looks that they neither show nor touch what is theirs, and takes them back."""

    def __init__(self, client, before):
        self.client, self.before = client, before
        self.problems: list[tuple] = []
        self.sent, self.saved = 0, 0

    def send(self, method: str, path: str, words: dict) -> None:
        wrote = []

        def watch(execute, sql, params, many, context):
            wrote.extend(WRITTEN.findall(sql))
            return execute(sql, params, many, context)

        with transaction.atomic(), connection.execute_wrapper(watch):
            answer = getattr(self.client, method)(path, words)
            read_whole(answer)
            if answer.status_code >= 500:
                self.problems.append(("fails", method, path, words))
            if not answer.streaming and MARK.encode() in answer.content:
                self.problems.append(("shows", method, path, words))
            if wrote:
                self.saved += 1
                if mixed := mixed_rows():
                    self.problems.append(("mixes", method, path, words, mixed))
                if theirs(THEIR_NUMBER) != self.before:
                    self.problems.append(("changes", method, path, words))
            self.sent += 1
            transaction.set_rollback(True)

    def offer(self, found: list[forms.BaseForm]) -> None:
        """Look that no choice on a page is theirs."""
        self.problems += [
            (type(form).__name__, *each) for form in found for each in theirs_in(form)
        ]


@pytest.mark.parametrize(
    ("app", "least_sent", "least_saved"),
    [("claims", 100, 20), ("reports", 20, 0), ("trips", 150, 30)],
)
def test_another_partys_number_in_a_query_or_a_form(
    client, two, names_read, app, least_sent, least_saved
):
    ours, before = two
    walk = Walk(client, before)
    for name in sorted(set(ADDRESSES) - OPEN):
        if not name.startswith(f"{app}:"):
            continue
        path = address(name, ADDRESSES[name], ours)
        for names in names_read.values():
            names.clear()
        with transaction.atomic():  # opening a page may keep what it worked out
            is_page, shown, found = as_shown(client, path)
            walk.offer(found)
            transaction.set_rollback(True)
        # A page without a form that leads to itself takes nothing but its query.
        takes_forms = shown or not is_page
        if takes_forms:
            walk.send("post", path, shown)
        # Each page reads its day and the form's mark; neither is a number of a row.
        plain = plain_fields(found) | repeated_fields(found) | {"as_of", "csrfmiddlewaretoken"}
        for key in sorted(names_read["get"] - plain):
            walk.send("get", path, {key: THEIR_NUMBER})
            if takes_forms:
                walk.send("post", f"{path}?{key}={THEIR_NUMBER}", shown)
        for key in sorted(names_read["post"] - plain):
            if takes_forms:
                walk.send("post", path, {**shown, key: [str(THEIR_NUMBER)]})
    assert walk.problems == []
    # Else the walk would hold whatever the site does.
    assert walk.sent > least_sent
    assert walk.saved >= least_saved


def plain_fields(found: list[forms.BaseForm]) -> set[str]:
    """Names of fields whose text can't be a number of a row."""
    return {
        form.add_prefix(key)
        for form in found
        for key, field in form.fields.items()
        if isinstance(field, PLAIN)
        or (isinstance(field, forms.CharField) and not field.widget.is_hidden)
    }


def repeated_fields(found: list[forms.BaseForm]) -> set[str]:
    """Names of a set's own counts, and in rows between its first and its last, stored or new.

    Such a row is the same form as those beside it; a page of thirty would take a minute each.
    """
    rows: dict[tuple, list[forms.BaseForm]] = collections.defaultdict(list)
    for form in found:
        if numbered := re.fullmatch(r"(.+)-\d+", form.prefix or ""):
            is_stored = bool(getattr(getattr(form, "instance", None), "pk", None))
            rows[numbered[1], type(form), is_stored].append(form)
    between = [form for alike in rows.values() for form in alike[1:-1]]
    counts = {f"{prefix}-{key}" for prefix, *_ in rows for key in COUNTS}
    return counts | {form.add_prefix(key) for form in between for key in form.fields}


def theirs_in(form: forms.BaseForm) -> list[tuple[str, str]]:
    """Fields of a form that offer or would take something of theirs."""
    wrong = []
    for key, field in form.fields.items():
        if key == "id":  # of a row in a set: the set looks it up among its own rows; sent, too
            continue
        if isinstance(field, forms.ModelChoiceField):
            if field.queryset.filter(pk=THEIR_NUMBER).exists():
                wrong.append((key, "takes theirs"))
        elif isinstance(field, forms.ChoiceField):
            offered = collections.deque(field.choices)
            while offered:
                value, words = offered.popleft()
                if isinstance(words, list | tuple):
                    offered.extend(words)
                elif str(value) == str(THEIR_NUMBER) or MARK in str(words):
                    wrong.append((key, "offers theirs"))
    return wrong
