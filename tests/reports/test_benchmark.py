"""The benchmark measures every main page; what a page costs in queries hangs on no other row.

No time is asserted here: a busy machine is no bug. The command prints the times.
"""

import re

import pytest
from django.db import connection, connections, transaction

from claims.models import Party
from reports.benchmark import measure, shown
from reports.benchmark.alone import asked_of
from reports.benchmark.club import multiply
from reports.benchmark.ground import Sizes
from reports.benchmark.imports import imports
from reports.benchmark.pages import FILES, PAGES, pages_of
from reports.benchmark.ranking import ranked
from reports.benchmark.record import build
from tests.next_numbers import next_numbers
from tests.reports import plans
from trips.models import DerivedTripFigures, GoldLot, Run, TestPan, Trip
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db
SMALL = Sizes(sites=5, trips=10, pans=30, runs=18, costs=18, years=2)
# Files of a whole record are long to make and plain to query; the pages show the same tables.
QUICK_FILES = [row for row in FILES if row[0] not in ("Everything as XLSX", "Whole record")]


@pytest.fixture(autouse=True)
def numbers_start_low(db):
    """A club's rows get a party's highest numbers times its parties."""
    next_numbers(1)
    yield
    next_numbers(1)


def test_the_record_is_the_same_for_the_same_seed():
    def figures(seed):
        party = build(f"party {seed}", SMALL, seed).party
        rows = DerivedTripFigures.objects.filter(trip__party=party).order_by("trip_id")
        made = list(rows.values_list("mass_ug", "outlay_minor", "door_minutes"))
        Party.objects.filter(pk=party.pk).update(name=f"old {party.pk}")
        party.memberships.get().user.delete()
        return made

    first, again, other = figures(3), figures(3), figures(4)
    assert first == again != other
    assert (Trip.objects.count(), TestPan.objects.count(), Run.objects.count()) == (30, 90, 54)


def test_what_was_built_derives_as_a_rebuild_would():
    party = build("party", SMALL, 1).party
    names = ("trip_id", "mass_ug", "outlay_minor", "wear_minor", "cost_lines", "worked", "unknown")
    stored = list(DerivedTripFigures.objects.order_by("trip_id").values_list(*names))
    rebuild_party(party)
    assert list(DerivedTripFigures.objects.order_by("trip_id").values_list(*names)) == stored


def test_every_main_page_and_file_is_printed_within_its_queries_whatever_the_rows():
    listed = [*PAGES, *QUICK_FILES]
    lines = list(shown.pages(build("small", SMALL, 1), listed, 1))[2:]
    for line in lines:
        assert re.match(r"\| .+ \| \d+ \| .+ \| (\d+\.\d\d|–) \| .+ \| \d+ \| \d+ \|", line)
    cells = [line.strip("| ").split(" | ") for line in lines]
    small = {row[0]: int(row[5]) for row in cells}
    assert list(small) == [row[0] for row in listed]
    assert {row[0] for row in cells if int(row[5]) > int(row[6])} == set()
    # Of the larger record the queries alone: its times would be printed in the same way.
    built = build("large", SMALL.times(3), 1)
    client, pages = measure.sign_in(built.user), pages_of(built.party, listed)
    large = {page.name: len(measure.look(client, page.address).queries) for page in pages}
    assert {page.name for page in pages if large[page.name] > page.queries} == set()
    # Fewer is fine: the larger record's trip under way holds fewer rows itself.
    assert {name for name in small if large[name] > small[name]} == set()


def test_every_import_and_the_ranking_are_printed():
    built = build("party", SMALL, 1)
    before = Trip.objects.count(), TestPan.objects.count()
    lines = list(shown.imports(imports(built, 20), 1))
    assert len(lines) == 2 + 6
    assert (Trip.objects.count(), TestPan.objects.count()) == before  # all of it undone
    assert sum("0.25" in line for line in shown.ranking(ranked(20))) == 1


def test_a_club_has_every_row_once_for_each_party():
    built = build("party", SMALL, 1)
    lots = GoldLot.objects.count()
    multiply(4)
    assert Party.objects.count() == 4
    for party in Party.objects.all():
        assert TestPan.objects.filter(party=party, spot__site__party=party).count() == 30
        assert GoldLot.objects.filter(party=party, weigh_in__trip__party=party).count() == lots
    assert Trip.history.filter(record_party_id=built.party.pk).count() == 10
    # New rows take free numbers afterwards.
    assert Party.objects.create(name="later").pk > 4
    with pytest.raises(ValueError, match="one party"):
        multiply(2)


def test_no_page_reads_a_table_of_all_parties_from_end_to_end():
    built = build("party", SMALL, 1)
    multiply(60)
    client = measure.sign_in(built.user)
    large = {name for name, model in plans.tables().items() if model._base_manager.count() > 250}
    assert {"trips_trip", "trips_testpan", "trips_run", "trips_hoursblock"} <= large
    found = set()
    for page in pages_of(built.party, [*PAGES, *QUICK_FILES]):
        queries = measure.look(client, page.address).queries
        with transaction.atomic():
            found |= {
                (page.name, table) for query in queries for table in plans.read_whole(query) & large
            }
    assert found == set()


def test_the_check_of_plans_sees_a_table_read_whole():
    build("party", SMALL, 1)
    multiply(60)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    sql = 'SELECT COUNT(*) FROM "trips_testpan" WHERE "trips_testpan"."note" = \'x\''
    assert plans.read_whole(sql) == {"trips_testpan"}
    mine = 'SELECT COUNT(*) FROM "trips_testpan" WHERE "trips_testpan"."party_id" = 1'
    assert plans.read_whole(mine) == set()


def test_a_page_is_asked_of_the_copy_while_its_turn_lasts():
    usual, other = connections["default"], connections["default"].copy()
    assert asked_of(other, lambda: connections["default"])() is other
    assert connections["default"] is usual
    built = build("party", SMALL, 1)
    client = measure.sign_in(built.user)
    lines = list(shown.neighbours(client, built.party, usual, PAGES[:2], 1))
    assert re.match(r"\| Where next \| \d+\.\d \| \d+\.\d \| \d\.\d\d \| \d+ \|$", lines[2])
    assert lines[-1].startswith("Median ratio ")
