"""No microgram and no cent comes or goes, whatever is done in whatever order."""

import datetime as dt
import uuid
from contextlib import contextmanager
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from simple_history.models import HistoricalRecords

from claims.past import deleted_sets
from claims.services.undo import bring_back
from reports.figures.ledger import gold_ledger
from reports.selectors.facts import party_facts
from reports.selectors.ledger import ledger_facts
from tests import factories as f
from trips.calc.holdings import holdings
from trips.models import Cost, DerivedShare, DerivedTripFigures, GoldLot, MergedLot, Run, WeighIn
from trips.selectors.gold import weighed_parts
from trips.services.derive import rebuild_party, rebuild_trip
from trips.services.gold import delete_lot, delete_weigh_in, save_lot, save_weigh_in
from trips.services.lots import merge_lots, save_merged, split_lot, split_merged, take_apart

pytestmark = pytest.mark.django_db
LATE = dt.date(2031, 12, 31)
PICK = st.integers(0, 1_000_000)
MASS = st.integers(1, 400_000)
FATES = st.sampled_from(["sold", "given", "on_hand"])


@contextmanager
def one_press():
    """What happens inside belongs to one change set, as one request does; yields its key."""
    press = uuid.uuid4()
    HistoricalRecords.context.request = SimpleNamespace(change_set=press, user=None)
    try:
        yield press
    finally:
        del HistoricalRecords.context.request


def pick(rows, at):
    """One of the rows, None of none."""
    rows = list(rows)
    return rows[at % len(rows)] if rows else None


class Gold(RuleBasedStateMachine):
    """Weigh, edit counts, split, merge, sell, give, undo; pay costs. A refusal changes nothing."""

    @initialize()
    def begin(self):
        self.party = f.make_party()
        self.trip = f.make_trip(self.party, state="wrapped_up")
        self.expected_ug = 0

    @property
    def lots(self):
        return GoldLot.objects.filter(party=self.party).order_by("pk")

    @property
    def merged(self):
        return MergedLot.objects.filter(party=self.party).order_by("pk")

    @property
    def weigh_ins(self):
        return WeighIn.objects.filter(party=self.party).order_by("pk")

    def attempt(self, act, **given):
        """Do it; a refusal with words is fine and the invariants are checked either way."""
        try:
            with one_press():
                return act(**given)
        except ValidationError:
            return None

    @rule(mg=st.integers(1, 900), runs=st.integers(0, 3), fine=st.integers(0, 50))
    @precondition(lambda self: self.weigh_ins.count() < 4)
    def weigh(self, mg, runs, fine):
        made = [f.make_run(self.trip, fine=fine + at) for at in range(runs)]
        save_weigh_in(
            trip=self.trip,
            weighed_on=f.DAY,
            gross_ug=mg * 1_000,
            tare_ug=0,
            resolution_ug=1_000,
            fineness=900,
            runs=made,
            pans=[],
            note="",
        )
        self.expected_ug += mg * 1_000

    @rule(at=PICK, mg=st.integers(1, 900))
    def weigh_anew(self, at, mg):
        weigh_in = pick(self.weigh_ins, at)
        if weigh_in is None:
            return
        before = weigh_in.net_ug
        saved = self.attempt(
            save_weigh_in,
            trip=self.trip,
            instance=weigh_in,
            weighed_on=f.DAY,
            gross_ug=mg * 1_000,
            tare_ug=0,
            resolution_ug=1_000,
            fineness=None,
            runs=list(weigh_in.runs.all()),
            pans=[],
            note="",
        )
        if saved is not None:
            self.expected_ug += mg * 1_000 - before

    @rule(at=PICK)
    def take_a_weighing_back(self, at):
        weigh_in = pick(self.weigh_ins, at)
        if weigh_in is None:
            return
        net_ug, key = weigh_in.net_ug, weigh_in.pk
        self.attempt(delete_weigh_in, weigh_in=weigh_in)
        if not WeighIn.objects.filter(pk=key).exists():
            self.expected_ug -= net_ug

    @rule(at=PICK, count=st.none() | st.integers(0, 400))
    def edit_counts(self, at, count):
        run = pick(Run.objects.filter(party=self.party).order_by("pk"), at)
        if run is not None:
            run.fine = count
            run.save()
            rebuild_trip(self.trip.pk)

    @rule(at=PICK, mass_ug=MASS, priced=st.booleans())
    def make_lot(self, at, mass_ug, priced):
        weigh_in = pick(self.weigh_ins, at)
        if weigh_in is not None:
            lot = GoldLot(
                party=self.party,
                weigh_in=weigh_in,
                name="lot",
                mass_ug=mass_ug,
                currency="EUR",
                own_value_minor=900 if priced else None,
            )
            self.attempt(save_lot, lot=lot)

    @rule(at=PICK, fate=FATES)
    def move_lot(self, at, fate):
        lot = pick(self.lots, at)
        if lot is not None:
            lot.state, lot.moved_on, lot.proceeds_minor, lot.fee_minor = fate, LATE, 500, 20
            self.attempt(save_lot, lot=lot)

    @rule(at=PICK)
    def dissolve_lot(self, at):
        lot = pick(self.lots, at)
        if lot is not None:
            self.attempt(delete_lot, lot=lot)

    @rule(at=PICK, mass_ug=MASS)
    def split(self, at, mass_ug):
        lot = pick(self.lots, at)
        if lot is not None:
            self.attempt(split_lot, lot=lot, mass_ug=mass_ug, name="part")

    @rule(chosen=st.lists(PICK, min_size=1, max_size=4))
    def merge(self, chosen):
        rows = list(self.lots)
        if rows:
            lots = {rows[at % len(rows)] for at in chosen}
            self.attempt(merge_lots, party=self.party, lots=lots, name="together")

    @rule(at=PICK, fate=FATES)
    def move_merged(self, at, fate):
        merged = pick(self.merged, at)
        if merged is not None:
            merged.proceeds_minor, merged.fee_minor = 800, None
            self.attempt(save_merged, merged=merged, state=fate, moved_on=LATE, to_whom="")

    @rule(at=PICK, mass_ug=MASS)
    def part_merged(self, at, mass_ug):
        merged = pick(self.merged, at)
        if merged is not None:
            self.attempt(split_merged, merged=merged, mass_ug=mass_ug, name="half")

    @rule(at=PICK)
    def unmerge(self, at):
        merged = pick(self.merged, at)
        if merged is not None:
            self.attempt(take_apart, merged=merged)

    @rule(at=PICK)
    def bring_back_what_was_deleted(self, at):
        one = pick(deleted_sets(self.party, timezone.now()), at)
        if one is None:
            return
        weighed = set(self.weigh_ins.values_list("pk", flat=True))
        if self.attempt(bring_back, party=self.party, key=one.key, now=timezone.now()) is not None:
            new = self.weigh_ins.exclude(pk__in=weighed)
            self.expected_ug += sum(weigh_in.net_ug for weigh_in in new)

    def delete_and_bring_back(self, drop, row):
        """Nothing is otherwise than before, in any row, link or derived figure."""
        before = facts_and_figures(self.party)
        try:
            with one_press() as press:
                drop(row)
        except ValidationError:
            assert facts_and_figures(self.party) == before
            return
        assert facts_and_figures(self.party) != before
        with one_press():
            bring_back(party=self.party, key=press, now=timezone.now())
        after = facts_and_figures(self.party)
        assert {name: rows for name, rows in after.items() if rows != before[name]} == {}

    @rule(kind=st.sampled_from(Cost.Kind.values), amount=st.integers(0, 9_999))
    def pay(self, kind, amount):
        f.make_cost(self.trip, kind, amount)
        rebuild_trip(self.trip.pk)

    @rule(at=PICK)
    def forget_a_cost(self, at):
        cost = pick(self.trip.costs.order_by("pk"), at)
        if cost is not None:
            with one_press():
                drop_cost(cost)

    @invariant()
    def what_was_weighed_is_on_hand_sold_or_given(self):
        found = holdings(weighed_parts(self.party))
        assert found.weighed_ug == self.expected_ug
        assert found.on_hand_ug + found.sold_ug + found.given_ug == found.weighed_ug
        assert min(found.on_hand_ug, found.sold_ug, found.given_ug) >= 0

    @invariant()
    def the_ledger_ends_at_what_is_on_hand(self):
        weighings, lots = ledger_facts(self.party)
        ledger = gold_ledger(weighings, lots, [], party_facts(self.party), LATE)
        found = holdings(weighed_parts(self.party))
        assert ledger.on_hand_ug == found.on_hand_ug
        assert (ledger.sold_ug, ledger.given_ug) == (found.sold_ug, found.given_ug)
        assert all(line.balance_ug >= 0 for line in ledger.lines)
        assert not [words for words in ledger.problems if words.startswith("Lots of")]

    @invariant()
    def shares_make_up_each_weigh_in(self):
        for weigh_in in self.weigh_ins:
            shares = list(weigh_in.derived_shares.values_list("mass_ug", flat=True))
            assert not shares or sum(shares) == weigh_in.net_ug
            assert len(shares) == weigh_in.runs.count()

    @invariant()
    def lots_of_a_merged_lot_share_their_fate(self):
        for merged in self.merged:
            fates = set(merged.lots.values_list("state", "moved_on", "to_whom"))
            assert len(fates) == 1
            assert not merged.lots.filter(proceeds_minor__isnull=False).exists()

    @invariant()
    def costs_by_kind_make_up_the_outlay(self):
        figures = DerivedTripFigures.objects.filter(trip=self.trip).first()
        if figures is None or figures.outlay_minor is None:
            return
        lines = [line for line in figures.cost_lines if line["kind"] != "wear"]
        assert sum(line["amount_minor"] for line in lines) == figures.outlay_minor
        paid = sum(self.trip.costs.values_list("amount_minor", flat=True))
        assert figures.outlay_minor >= paid

    def teardown(self):
        """At the end everything that is derived is built anew and comes out the same."""
        if hasattr(self, "party"):
            before = derived_rows(self.party)
            rebuild_party(self.party)
            assert not before[1] or derived_rows(self.party) == before
            # And whatever can be deleted comes back as it was.
            for row in self.trip.costs.all():
                self.delete_and_bring_back(drop_cost, row)
            for merged in self.merged:
                self.delete_and_bring_back(lambda row: take_apart(merged=row), merged)
            for lot in self.lots:
                self.delete_and_bring_back(lambda row: delete_lot(lot=row), lot)
            for weigh_in in self.weigh_ins:
                self.delete_and_bring_back(lambda row: delete_weigh_in(weigh_in=row), weigh_in)


def drop_cost(cost):
    cost.delete()
    rebuild_trip(cost.trip_id)


def facts_and_figures(party):
    """Every row of gold and costs without its version, and what is worked out of them."""
    trips = {"trip__party": party}
    found = {}
    for model, mine in (
        (WeighIn, {"party": party}),
        (GoldLot, {"party": party}),
        (MergedLot, {"party": party}),
        (Cost, {"party": party}),
        (Run, {"party": party}),
        (DerivedTripFigures, trips),
        (DerivedShare, {"weigh_in__party": party}),
    ):
        rows = model.objects.filter(**mine).values()
        left_out = {"version", "id"} if model in (DerivedShare, DerivedTripFigures) else {"version"}
        found[model.__name__] = sorted(
            tuple((k, str(v)) for k, v in row.items() if k not in left_out) for row in rows
        )
    return found


def derived_rows(party):
    shares = DerivedShare.objects.filter(weigh_in__party=party).order_by("run_id")
    figures = DerivedTripFigures.objects.filter(trip__party=party)
    return (
        list(shares.values_list("run_id", "mass_ug", "method")),
        list(figures.values_list("mass_ug", "fine_ug", "outlay_minor", "cost_lines", "worked")),
    )


def test_nothing_is_created_and_nothing_is_lost():
    run_state_machine_as_test(
        Gold,
        settings=settings(
            max_examples=14,
            stateful_step_count=18,
            deadline=None,
            suppress_health_check=[HealthCheck.too_slow],
        ),
    )
