"""A party's belief about its ground on a day, kept and fitted anew only when its samples change."""

import datetime as dt
import hashlib
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F

from claims.models import Party
from reports.decide.belief import Belief, learn
from reports.decide.evidence import Discount, Spot, Washed, flood_discount
from reports.decide.stored import from_plain, to_plain
from reports.models import BeliefMark, DerivedBelief
from trips.calc.counts import ClassCounts
from trips.models import Run, TestPan, Trip
from trips.models.field import Layer

BELIEF_VERSION = 1  # raise when the same samples would give another belief
KEPT = (
    40  # rows a party: looking back through a season keeps them all, a curious reader can't flood
)
EVER = dt.date.min


@dataclass(frozen=True)
class Sample:
    """One counted pan or run as it lies in the record; `volume_ml` None is not known."""

    spot_id: int
    site_id: int
    day: dt.date
    is_box: bool
    volume_ml: int | None
    coarse: int | None
    medium: int | None
    fine: int | None


@dataclass(frozen=True)
class FloodFact:
    """A flood that reworked a site on a day; None years: its size isn't known."""

    site_id: int
    day: dt.date
    return_years: float | None


def party_belief(party: Party, as_of: dt.date) -> Belief:
    """The belief from every sample up to `as_of`; one query when it is kept already.

    Overburden is left out: nobody feeds it to a box.
    """
    kept = (
        DerivedBelief.objects.filter(
            party=party,
            first_day__lte=as_of,
            sum_version=BELIEF_VERSION,
            changes=F("party__belief_mark__changes"),
        )
        .exclude(next_day__lte=as_of)
        .first()
    )
    return from_plain(kept.content) if kept else rebuild_belief(party, as_of)


def rebuild_belief(party: Party, as_of: dt.date) -> Belief:
    """Work the belief out from the samples and keep it. The only writer of the table.

    The count of changes is read before the samples: a change in between leaves a row that shows
    as old, never an old belief that shows as new.
    """
    mark, _ = BeliefMark.objects.get_or_create(party=party)
    samples, floods = all_samples(party), all_floods(party)
    days = sorted({s.day for s in samples} | {flood.day for flood in floods})
    first_day = max((day for day in days if day <= as_of), default=EVER)
    next_day = min((day for day in days if day > as_of), default=None)
    samples = [sample for sample in samples if sample.day <= as_of]
    floods = [flood for flood in floods if flood.day <= as_of]
    digest = hashlib.sha256(repr((BELIEF_VERSION, samples, floods)).encode()).hexdigest()
    same = DerivedBelief.objects.filter(party=party, digest=digest).first()
    content = same.content if same else to_plain(learn(spots_of(samples, floods)))
    with transaction.atomic():
        DerivedBelief.objects.update_or_create(
            party=party,
            first_day=first_day,
            defaults={
                "changes": mark.changes,
                "next_day": next_day,
                "digest": digest,
                "content": content,
                "sum_version": BELIEF_VERSION,
            },
        )
        rows = DerivedBelief.objects.filter(party=party).order_by("-pk")
        DerivedBelief.objects.filter(pk__in=list(rows.values_list("pk", flat=True)[KEPT:])).delete()
    return from_plain(content)


def mark_changed(party_id: int) -> None:
    """Every kept belief of a party is old from now on; runs in the transaction of the change."""
    if not BeliefMark.objects.filter(party_id=party_id).update(changes=F("changes") + 1):
        BeliefMark.objects.create(party_id=party_id, changes=1)


def rebuild_all(party: Party) -> None:
    """The belief from everything on record, fitted anew whether or not its samples changed."""
    DerivedBelief.objects.filter(party=party).delete()
    rebuild_belief(party, dt.date.max)


def all_samples(party: Party) -> list[Sample]:
    """Pans and runs of every trip that wasn't called off, in a stable order; two queries."""
    found = []
    for model, is_box in ((TestPan, False), (Run, True)):
        rows = (
            model.objects.filter(party=party)
            .exclude(layer=Layer.OVERBURDEN)
            .exclude(trip__state=Trip.State.CALLED_OFF)
            .order_by("day", "pk")
            .values_list(
                *("spot_id", "spot__site_id", "day", "volume_ml", "coarse", "medium", "fine")
            )
        )
        found += [Sample(spot, site, day, is_box, *rest) for spot, site, day, *rest in rows]
    return found


def all_floods(party: Party) -> list[FloodFact]:
    """Floods on the party's sites. None can be recorded yet, so nothing is discounted."""
    return []


def spots_of(samples: Iterable[Sample], floods: Iterable[FloodFact]) -> list[Spot]:
    """Samples by spot, older ones discounted by the floods that came over their site since."""
    at_site: dict[int, list[FloodFact]] = defaultdict(list)
    for flood in floods:
        at_site[flood.site_id].append(flood)
    discounts: dict[tuple[int, dt.date], Discount] = {}
    washed: dict[tuple[int, int], list[Washed]] = defaultdict(list)
    for sample in samples:
        key = (sample.site_id, sample.day)
        if key not in discounts:
            since = [f.return_years for f in at_site[sample.site_id] if f.day > sample.day]
            discounts[key] = flood_discount(since)
        washed[sample.site_id, sample.spot_id].append(
            Washed(
                ClassCounts(sample.coarse, sample.medium, sample.fine),
                (sample.volume_ml or 0) / 1000,
                sample.is_box,
                discounts[key],
            )
        )
    return [Spot(spot, site, tuple(its)) for (site, spot), its in sorted(washed.items())]
