"""Write gauges and floods. Belief rests on floods, so whoever keeps it is told."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import transaction

from claims.models import Site
from claims.services import changes
from trips import hooks
from trips.calc.peak_csv import Peak
from trips.models import Flood, Gauge


@dataclass(frozen=True)
class PeakPlan:
    """What saving peaks would do: new days, days there with the same peak, and differing ones."""

    new: tuple[Peak, ...]
    same: tuple[Peak, ...]
    differing: tuple[Peak, ...]


@transaction.atomic
def save_gauge(*, gauge: Gauge, sites: Iterable[Site]) -> Gauge:
    """Store a gauge and which sites it reaches.

    Raises: ValidationError for a name that is taken.
    """
    gauge.full_clean()
    gauge.save()
    gauge.sites.set(sites)
    hooks.tell_facts_changed(gauge.party_id)
    return gauge


@transaction.atomic
def save_flood(*, flood: Flood) -> Flood:
    """Store a flood. Raises: ValidationError for a day that has one there already."""
    flood.full_clean()
    flood.save()
    hooks.tell_facts_changed(flood.party_id)
    return flood


@transaction.atomic
def delete_flood(*, flood: Flood) -> None:
    flood.delete()
    hooks.tell_facts_changed(flood.party_id)


@transaction.atomic
def delete_gauge(*, gauge: Gauge) -> None:
    """Delete a gauge with all its floods."""
    gauge.delete()
    hooks.tell_facts_changed(gauge.party_id)


def plan_peaks(gauge: Gauge, peaks: Sequence[Peak]) -> PeakPlan:
    """Compare peaks with the floods that are stored; one query."""
    stored = dict(gauge.floods.values_list("day", "peak_milli"))
    new = tuple(peak for peak in peaks if peak.day not in stored)
    known = [peak for peak in peaks if peak.day in stored]
    same = tuple(peak for peak in known if stored[peak.day] == peak.peak_milli)
    return PeakPlan(new, same, tuple(p for p in known if stored[p.day] != p.peak_milli))


@transaction.atomic
def import_peaks(*, gauge: Gauge, peaks: Sequence[Peak], source: str) -> PeakPlan:
    """Add the peaks of days that have none; doing it again adds nothing."""
    Gauge.objects.select_for_update().get(pk=gauge.pk)
    plan = plan_peaks(gauge, peaks)
    rows = [
        Flood(
            party=gauge.party,
            gauge=gauge,
            day=peak.day,
            peak_milli=peak.peak_milli,
            source=source,
        )
        for peak in plan.new
    ]
    if rows:
        # What every row shares is checked once; day and peak were checked by the reader.
        rows[0].full_clean(validate_unique=False, validate_constraints=False)
    changes.create_many(Flood, rows, party=gauge.party)
    hooks.tell_facts_changed(gauge.party_id)
    return plan
