"""Rebuild what is worked out from facts. The only writer of the derived tables.

Every service that changes a fact calls the fitting function inside its transaction, so
a derived row is never older than the facts under it. `manage.py rebuild` does them all.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.db.models import Q, QuerySet

from claims.models import Party
from trips import hooks
from trips.calc.allocation import RunEvidence, net_units, split_weighin
from trips.calc.counts import ClassCounts, ClassMasses
from trips.calc.gold import fine_mass_ug
from trips.calc.kmrates import CarRates
from trips.calc.words import kept, say
from trips.models import DerivedShare, DerivedTripFigures, Run, TestPan, Trip, WeighIn
from trips.selectors.costing import (
    WORK,
    PaperTrips,
    cost_of,
    elapsed_minutes,
    fee_shares,
    minutes_by_person,
    paper_trips,
    trips_for_costing,
)
from trips.selectors.masses import class_masses
from trips.selectors.rates import car_rates, rate_use
from trips.selectors.worked import Around, around, worked

# Raise when the same facts would give other figures, or the rows keep more than they did.
SUM_VERSION = 2
FIGURES = (
    "mass_ug",
    "fine_ug",
    "fuel_minor",
    "outlay_minor",
    "wear_minor",
    "currency",
    "door_minutes",
    "person_minutes",
    "work_minutes",
    "washed_ml",
    "fee_parts",
    "rate_use",
    "unknown",
    "cost_lines",
    "worked",
    "sum_version",
)


def rebuild_trip(trip_id: int) -> None:
    """Shares and figures of one trip; of its neighbours too when a fee is shared anew."""
    rebuild_trips(Party.objects.get(trips=trip_id), [trip_id])


@kept()
@transaction.atomic
def rebuild_trips(party: Party, trip_ids: Iterable[int]) -> None:
    """Shares and figures of some trips, and figures of others that hang on them.

    Those are trips that share a fee with one that came under its paper or left it, and trips whose
    kilometres come after a drive that changed, where a published rate counts both.
    """
    trip_ids = frozenset(trip_ids)
    kept_before = DerivedTripFigures.objects.filter(trip__in=trip_ids)
    before = {pk: each for pk, *each in kept_before.values_list("trip", "fee_parts", "rate_use")}
    _rebuild_shares(party, trip_ids)
    under = paper_trips(party)
    papers: set[str] = set()
    uses: list[dict] = []
    for figures in _rebuild_figures(party, trip_ids, under):
        old_parts, old_use = before.get(figures.trip_id, ({}, {}))
        papers |= old_parts.keys() ^ figures.fee_parts.keys()
        if old_use != figures.rate_use:
            uses += [use for use in (old_use, figures.rate_use) if use]
    others = {t for paper in papers for t in under.trip_ids.get(int(paper), ())}
    if others := (others | _charged_after(party, uses)) - trip_ids:
        _rebuild_figures(party, others, under)
    hooks.tell_facts_changed(party.pk)


def _charged_after(party: Party, uses: Iterable[dict]) -> set[int]:
    """Trips whose kilometres come after a drive that a published rate counts, or counted."""
    first: dict[int, str] = {}
    for use in uses:
        first[use["car"]] = min(use["day"], first.get(use["car"], use["day"]))
    found: set[int] = set()
    for car, day in first.items():
        later = Trip.objects.filter(party=party, vehicle=car, starts_on__gte=day)
        found.update(later.values_list("pk", flat=True))
    return found


@kept()
@transaction.atomic
def rebuild_party(party: Party) -> None:
    """Everything that is derived from a party's facts."""
    _rebuild_shares(party, None)
    _rebuild_figures(party, None, paper_trips(party))
    hooks.tell_facts_changed(party.pk)


def parties_with_old_sums() -> QuerySet[Party]:
    """Parties that have shares or figures worked out by another version of the sums, by number."""
    shares = DerivedShare.objects.exclude(sum_version=SUM_VERSION)
    figures = DerivedTripFigures.objects.exclude(sum_version=SUM_VERSION)
    old = Q(pk__in=shares.values("weigh_in__party")) | Q(pk__in=figures.values("trip__party"))
    return Party.objects.filter(old).order_by("pk")


def _rebuild_shares(party: Party, trip_ids: Iterable[int] | None) -> None:
    weigh_ins = WeighIn.objects.filter(party=party)
    if trip_ids is not None:
        weigh_ins = weigh_ins.filter(trip_id__in=trip_ids)
    weigh_ins = list(weigh_ins.prefetch_related("runs", "pans"))
    DerivedShare.objects.filter(weigh_in__in=weigh_ins).delete()
    masses = class_masses(party)
    rows = [row for weigh_in in weigh_ins for row in _shares_of(weigh_in, masses)]
    DerivedShare.objects.bulk_create(rows, batch_size=500)


def _shares_of(weigh_in: WeighIn, masses: ClassMasses) -> list[DerivedShare]:
    sources = {f"run {run.pk}": run for run in weigh_in.runs.all()}
    sources |= {f"pan {pan.pk}": pan for pan in weigh_in.pans.all()}
    if not sources:
        return []
    split = split_weighin(
        [_evidence(key, record) for key, record in sources.items()],
        net_units=net_units(weigh_in.gross_ug, weigh_in.tare_ug, weigh_in.resolution_ug),
        resolution_ug=weigh_in.resolution_ug,
        masses=masses,
    )
    return [
        DerivedShare(
            weigh_in=weigh_in,
            run=record if isinstance(record, Run) else None,
            pan=record if isinstance(record, TestPan) else None,
            mass_ug=share.mass_ug,
            sd_ug=None if share.sd_ug is None else round(share.sd_ug),
            method=split.method,
            flag=share.flag,
            sum_version=SUM_VERSION,
        )
        for share in split.shares
        for record in [sources[share.key]]
    ]


def _evidence(key: str, record: Run | TestPan) -> RunEvidence:
    counts = ClassCounts(record.coarse, record.medium, record.fine)
    return RunEvidence(
        key,
        None if counts.total is None else counts,
        record.volume_ml,
        record.minutes if isinstance(record, Run) else None,
    )


def _rebuild_figures(
    party: Party, trip_ids: Iterable[int] | None, under: PaperTrips
) -> list[DerivedTripFigures]:
    trips = trips_for_costing(party, trip_ids)
    rates = car_rates(party, trips)
    its = around(trips)
    rows = [_figures_of(trip, under, rates, its) for trip in trips]
    return DerivedTripFigures.objects.bulk_create(
        rows, batch_size=200, update_conflicts=True, unique_fields=["trip"], update_fields=FIGURES
    )


def _figures_of(trip: Trip, under: PaperTrips, rates: CarRates, its: Around) -> DerivedTripFigures:
    cost = cost_of(trip, under, rates)
    unknown = list(cost.unknown)
    mass_ug, fine_ug = _gold_of(trip)
    if mass_ug is None:
        unknown.append(say("Nothing has been weighed."))
    door = elapsed_minutes(trip)
    if door is None:
        unknown.append(say("No hours are noted."))
    runs = list(trip.runs.all())
    left = sum(run.weigh_in_id is None for run in runs)
    if mass_ug and left and trip.weigh_ins.all():
        unknown.append(
            say(
                "{left} of {runs} runs not weighed: the gold is at least this.",
                left=left,
                runs=len(runs),
            )
        )
    volumes = [run.volume_ml for run in runs]
    return DerivedTripFigures(
        trip=trip,
        mass_ug=mass_ug,
        fine_ug=fine_ug,
        fuel_minor=cost.fuel_minor if cost.is_known("fuel") else None,
        outlay_minor=cost.outlay_minor if cost.is_known("outlay") else None,
        wear_minor=cost.known_wear_minor,
        currency=cost.currency,
        door_minutes=door,
        person_minutes=None if door is None else sum(minutes_by_person(trip).values()),
        work_minutes=elapsed_minutes(trip, WORK),
        washed_ml=None if None in volumes or not volumes else sum(volumes),
        fee_parts={str(s.paper.pk): s.amount_minor for s in fee_shares(trip, under)},
        rate_use=rate_use(trip),
        unknown=unknown,
        cost_lines=[line._asdict() for line in cost.lines],
        worked=worked(trip, its),
        sum_version=SUM_VERSION,
    )


def _gold_of(trip: Trip) -> tuple[int | None, int | None]:
    """Weighed mass and its fine part in µg.

    Nothing weighed is unknown, unless every run and pan was counted and none showed a colour.
    Pans weighed alone are a trip's whole gold only when no box was run.
    """
    party = trip.party
    weighed = [(w.net_ug, w.fineness or party.fineness) for w in trip.weigh_ins.all()]
    runs, pans = list(trip.runs.all()), list(trip.pans.all())
    if weighed or not runs:
        weighed += [
            (pan.mass_ug, party.fineness)
            for pan in pans
            if pan.mass_ug is not None and pan.weigh_in_id is None
        ]
    if weighed:
        return (
            sum(mass for mass, _ in weighed),
            sum(fine_mass_ug(mass, fineness) for mass, fineness in weighed),
        )
    washed = [*runs, *pans]
    if washed and all((r.coarse, r.medium, r.fine) == (0, 0, 0) for r in washed):
        return 0, 0
    return None, None
