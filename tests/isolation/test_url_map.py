"""Every address against everybody who shouldn't see it.

The walk takes the whole URL map. An address that isn't named below fails the test, so a new
page can't be forgotten.
"""

import functools
import hashlib
from typing import NamedTuple

import pytest
from django.apps import apps
from django.db import connection
from django.db.models import Model
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from claims.models import Party, User
from tests import factories as make
from tests.isolation.shown import read_whole
from tests.once import taken_back
from trips.backup import rows

pytestmark = pytest.mark.django_db

# Pages that anybody may open; they show nothing of a party. The field page's shell is kept on
# phones without a log-in and holds nobody's data.
OPEN = {"login", "logout", "new_password", "claims:sign_up", "claims:invitation_accept"}
OPEN |= {"trips:field_page", "trips:field_worker", "trips:field_manifest", "trips:field_texts"}
# Opened by its secret alone, for calendar programs.
OPEN |= {"claims:calendar_feed"}
# Help holds no data of anybody.
OPEN |= {"reports:help_index", "reports:help_page", "reports:checked"}
# Pages of one's own log-in, not of a party.
OWN = {
    "claims:party_create",
    "claims:own_settings",
    "claims:party_switch",
    "claims:password_change",
    "trips:bring_record_in",
}
# Which object the number in an address means, by the beginning of the address's name.
KINDS = {
    "claims:changes": "site",
    "claims:person_edit": "person",
    "claims:member_": "member",
    "claims:invitation_revoke": "invitation",
    "claims:site_": "site",
    "claims:rule_": "own_rule",
    "claims:pack_": "pack",
    "claims:spot_create": "site",
    "claims:spot_": "spot",
    "claims:file_": "file",
    "claims:hole_": "hole",
    "claims:job_": "job",
    "claims:paper_": "paper",
    "claims:duty_": "duty",
    "claims:settled_": "settled",
    "claims:condition_create": "paper",
    "claims:condition_": "condition",
    "claims:mark_create": "condition",
    "claims:mark_": "mark",
    "trips:trip_": "trip",
    "trips:signoff_detail": "signoff",
    "trips:pan_create": "trip",
    "trips:run_create": "trip",
    "trips:hours_create": "trip",
    "trips:cost_create": "trip",
    "trips:track_create": "trip",
    "trips:track_": "track",
    "trips:site_map": "site",
    "trips:weighin_create": "trip",
    "trips:pan_": "pan",
    "trips:run_": "run",
    "trips:hours_": "hours",
    "trips:cost_": "cost",
    "trips:vehicle_": "vehicle",
    "trips:gear_": "gear",
    "trips:lot_create": "weigh_in",
    "trips:weighin_": "weigh_in",
    "trips:lot_": "lot",
    "trips:merged_": "merged",
    "trips:gauge_": "gauge",
    "trips:rate_": "rate",
    "trips:flood_create": "gauge",
    "trips:flood_import": "gauge",
    "trips:flood_": "flood",
    "trips:price_": "price",
    "trips:import_": "batch",
    "trips:field_record_": "field_record",
    "reports:site_page": "site",
    "reports:trip_sheet": "trip",
    "reports:field_tables": "trip",
    "reports:creek_page": "trip",
    "reports:field_card": "trip",
    "reports:leave_page": "trip",
    "reports:hindsight": "trip",
    "reports:renewal_record": "paper",
}
# The last words of addresses that change something: a reader is told so at once.
WRITES = (
    "_create", "_edit", "_delete", "_start", "_call_off", "_reopen", "_wrap_up", "_fill",
    "_revoke", "_remove", "_take_apart", "_clock", "_anew", "_transfer", "_paste", "_sync",
    "_photo", "_settle",
)  # fmt: skip
FILLERS = {
    "fmt": "csv",
    "language": "en",
    "table": "sites",
    "token": "wrong-token",
    "kind": "site",
    "pack_id": "gravel-hills",
    "topic": "ranking",
    "key": "00000000-0000-4000-8000-000000000000",
    "uidb64": "MQ",
}


def addresses() -> dict[str, URLPattern]:
    found = {}

    def walk(patterns, namespace):
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                walk(pattern.url_patterns, pattern.namespace or namespace)
            else:
                name = f"{namespace}:{pattern.name}" if namespace else pattern.name
                found[name] = pattern

    walk(get_resolver().url_patterns, "")
    return found


ADDRESSES = addresses()
NUMBERED = {n: p for n, p in ADDRESSES.items() if "pk" in p.pattern.converters}


def kind_of(name: str) -> str:
    matches = [start for start in KINDS if name.startswith(start)]
    assert matches, f"{name} has no entry in KINDS: say which object its number means"
    return KINDS[max(matches, key=len)]


def whole_record(name: str) -> dict[str, int]:
    """The number of one object of each kind of a party called `name`."""
    return {kind: row.pk for kind, row in one_of_each(name).items()}


def one_of_each(name: str) -> dict[str, Model]:
    """One object of each kind of a party called `name`."""
    party = make.make_party(name=name)
    site = make.make_site(party=party, name=f"{name} site")
    trip = make.make_trip(party=party, site=site)
    spot = make.make_spot(site=site)
    pan, run = make.make_pan(trip=trip, spot=spot), make.make_run(trip=trip, spot=spot)
    weigh_in = make.make_weigh_in(trip=trip)
    gauge = make.make_gauge(party, [site], name=f"{name} gauge")
    member = make.make_member(party)
    paper = make.make_paper(party)
    condition = make.make_condition(paper)
    duty = make.make_duty(party, paper=paper, condition=condition)
    return {
        "party": party,
        "site": site,
        "spot": spot,
        "trip": trip,
        "pan": pan,
        "run": run,
        "hours": make.make_hours(trip),
        "cost": make.make_cost(trip),
        "weigh_in": weigh_in,
        "lot": make.make_lot(weigh_in, mass_ug=100_000),
        "merged": make.make_merged(
            make.make_lot(weigh_in, mass_ug=100_000), make.make_lot(weigh_in, mass_ug=100_000)
        ),
        "price": make.make_price(party),
        "vehicle": make.make_vehicle(party),
        "gauge": gauge,
        "rate": make.make_rate(party),
        "flood": make.make_flood(gauge),
        "gear": make.make_gear(party),
        "hole": make.make_hole(site),
        "file": make.make_file(spot),
        "paper": paper,
        "condition": condition,
        "duty": duty,
        "settled": make.make_done(duty),
        "mark": make.make_mark(condition),
        "track": make.make_track(trip),
        "person": make.make_person(party),
        "member": member,
        "invitation": make.make_invitation(party, member.user),
        "job": make.make_job(party, member.user, asked={"of": name}),
        "batch": make.make_import_batch(party, member.user),
        "field_record": make.make_field_record(trip),
        "own_rule": make.make_own_rule(party),
        "pack": make.make_party_pack(party),
        "signoff": make.make_sign_off(trip),
    }


def address(name: str, pattern: URLPattern, record: dict[str, int]) -> str:
    values = {}
    for key in pattern.pattern.converters:
        values[key] = record[kind_of(name)] if key == "pk" else FILLERS[key]
    return reverse(name, kwargs=values)


@functools.cache
def questions() -> dict[str, str]:
    """How to ask each table for all that it holds, by its model's label.

    Left out: the moment of the last log-in, and beliefs, which are worked out at the first read.
    """
    quote, found = connection.ops.quote_name, {}
    for model in rows.tables(apps):
        meta = model._meta
        if meta.app_label != "reports":
            names = [
                quote(each.column) for each in rows.columns(model) if each.name != "last_login"
            ]
            columns, key = ", ".join(names), quote(meta.pk.column)
            found[meta.label] = f"SELECT {columns} FROM {quote(meta.db_table)} ORDER BY {key}"
    return found


def contents() -> dict[str, str]:
    """What is in every row of every table, as one digest a table.

    Asked by plain SQL: making the same questions anew for each address took most of the time.
    """
    found = {}
    with connection.cursor() as cursor:
        for label, question in questions().items():
            cursor.execute(question)
            digest = hashlib.sha256()
            for row in cursor.fetchall():
                digest.update(repr(row).encode())
            found[label] = digest.hexdigest()
    return found


def test_the_comparison_sees_one_changed_letter():
    person = make.make_person(make.make_party(), name="Ann")
    before = contents()
    person.name = "Anna"
    person.save()
    changed = {label for label, digest in contents().items() if before[label] != digest}
    assert changed == {"claims.Person", "claims.HistoricalPerson"}


METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
ROLES = ("reader", "hand", "keeper")


class Two(NamedTuple):
    theirs: dict[str, int]
    ours: dict[str, int]
    users: dict[str, User]
    before: dict[str, str]


@pytest.fixture(scope="module")
def two(django_db_setup, django_db_blocker):
    """Two whole records, somebody of each role in ours, and what all tables hold.

    Made once: for each address anew it would take most of the time.
    """
    with taken_back(django_db_blocker):
        theirs, ours = whole_record("Theirs"), whole_record("Ours")
        party = Party.objects.get(pk=ours["party"])
        users = {role: make.make_member(party, role=role).user for role in ROLES}
        yield Two(theirs, ours, users, contents())


@pytest.mark.parametrize("name", sorted(NUMBERED))
def test_another_partys_object_does_not_exist(client, two, name):
    for role, user in two.users.items():
        client.force_login(user)
        for method in METHODS:
            response = client.generic(method, address(name, NUMBERED[name], two.theirs))
            read_whole(response)
            # A role that may not write at all is told so before any object is looked for.
            allowed = {404} if role == "keeper" else {404, 403}
            if response.status_code == 405:
                continue
            assert response.status_code in allowed, (name, role, method, response.status_code)
            assert b"Theirs" not in response.content
    assert contents() == two.before


@pytest.mark.parametrize("name", sorted(set(ADDRESSES) - OPEN))
def test_without_a_log_in_every_page_leads_to_the_sign_in(client, two, name):
    for method in METHODS:
        response = client.generic(method, address(name, ADDRESSES[name], two.theirs))
        read_whole(response)
        if response.status_code == 405:
            continue
        assert response.status_code == 302, (name, method)
        assert response["Location"].startswith(reverse("login"))
    assert contents() == two.before


@pytest.mark.parametrize("name", sorted(set(ADDRESSES) - OPEN - OWN))
def test_a_reader_changes_nothing_anywhere(client, two, name):
    client.force_login(two.users["reader"])
    for method in set(METHODS) - {"POST"}:
        read_whole(client.generic(method, address(name, ADDRESSES[name], two.ours)))
    response = client.post(address(name, ADDRESSES[name], two.ours))
    read_whole(response)
    if name.endswith(WRITES) or name.startswith("trips:import_") or name.endswith("_import"):
        assert response.status_code == 403, name
    assert response.status_code in {200, 403, 404, 405}, name
    assert contents() == two.before


def test_a_member_of_no_party_is_led_to_make_one(client):
    client.force_login(make.make_user())
    response = client.get(reverse("reports:where_next"))
    assert response.status_code == 302
    assert response["Location"] == reverse("claims:party_create")
