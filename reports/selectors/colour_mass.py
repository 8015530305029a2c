"""What the party's weigh-ins teach about the mass of a colour; five queries."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from typing import NamedTuple

from django.db.models import Count, Q, Sum

from claims.models import Party
from reports.decide.colour_mass import ColourMass, Weighed, colour_mass
from trips.calc.counts import CLASSES, ClassCounts
from trips.models import Run, TestPan, WeighIn
from trips.selectors.masses import class_masses

ALL_COUNTED = Q(coarse__isnull=False, medium__isnull=False, fine__isnull=False)


class WeighedTrip(NamedTuple):
    """One weigh-in with its trip, as `reports.decide.colour_mass` takes it."""

    weigh_in_id: int
    trip_id: int
    own_name: str
    starts_on: dt.date
    day: dt.date
    weighed: Weighed


@dataclass(frozen=True)
class Evidence:
    """Weigh-ins up to a day, oldest first, and the colours of each class counted up to then."""

    rows: tuple[WeighedTrip, ...]
    colours: tuple[int, int, int]


def party_colour_mass(party: Party, as_of: dt.date) -> ColourMass:
    """Mass per colour by class, the class mix and the mean colour, learned up to a day."""
    return learned_from(party, evidence(party, as_of))


def learned_from(party: Party, found: Evidence) -> ColourMass:
    """The same from rows that are at hand already; no query."""
    return colour_mass([row.weighed for row in found.rows], found.colours, class_masses(party))


def evidence(party: Party, as_of: dt.date) -> Evidence:
    """All that the masses are learned from; five queries."""
    return Evidence(weighed_trips(party, as_of), colours_counted(party, as_of))


def weighed_trips(party: Party, as_of: dt.date) -> tuple[WeighedTrip, ...]:
    """Weigh-ins with the colours of their runs and pans; three queries.

    A class that was not counted in some run or pan of a weigh-in is not counted for the whole.
    """
    sums: dict[int, list[_Sums]] = defaultdict(list)
    for model in (Run, TestPan):
        for weigh_in_id, *its in _by_weigh_in(model, party, as_of):
            sums[weigh_in_id].append(_Sums(*its))
    rows = (
        WeighIn.objects.filter(party=party, weighed_on__lte=as_of)
        .order_by("weighed_on", "pk")
        .values_list(
            *("pk", "trip_id", "trip__name", "trip__starts_on", "weighed_on"),
            *("gross_ug", "tare_ug", "resolution_ug"),
        )
    )
    return tuple(
        WeighedTrip(
            weigh_in_id=pk,
            trip_id=trip_id,
            own_name=own_name,
            starts_on=starts_on,
            day=day,
            weighed=_weighed(pk, gross_ug - tare_ug, resolution_ug, sums[pk]),
        )
        for pk, trip_id, own_name, starts_on, day, gross_ug, tare_ug, resolution_ug in rows
    )


def colours_counted(party: Party, as_of: dt.date) -> tuple[int, int, int]:
    """Coarse, medium and fine colours of runs and pans that counted all three; two queries."""
    sums = {name: Sum(name, default=0) for name in CLASSES}
    found = [
        model.objects.filter(_known_by(as_of), ALL_COUNTED, party=party).aggregate(**sums)
        for model in (Run, TestPan)
    ]
    coarse, medium, fine = (sum(row[name] for row in found) for name in CLASSES)
    return coarse, medium, fine


def _known_by(day: dt.date) -> Q:
    """Washed by a day, or weighed by then."""
    return Q(day__lte=day) | Q(weigh_in__weighed_on__lte=day)


class _Sums(NamedTuple):
    """Of the runs or pans of a weigh-in: ml, records, how many have a volume, and by class.

    By class: the sum of colours, and how many records counted them.
    """

    ml: int
    records: int
    volumes: int
    coarse: int
    medium: int
    fine: int
    counted_coarse: int
    counted_medium: int
    counted_fine: int


def _by_weigh_in(model, party: Party, as_of: dt.date):
    """Weigh-in, then the values of `_Sums`."""
    sums = {f"sum_{name}": Sum(name, default=0) for name in CLASSES}
    sums |= {f"counted_{name}": Count(name) for name in CLASSES}
    return (
        model.objects.filter(_known_by(as_of), party=party, weigh_in__party=party)
        .order_by()
        .values_list("weigh_in_id")
        .annotate(
            ml=Sum("volume_ml", default=0), records=Count("pk"), volumes=Count("volume_ml"), **sums
        )
    )


def _weighed(pk: int, net_ug: int, resolution_ug: int, rows: list[_Sums]) -> Weighed:
    if not rows:
        return Weighed(str(pk), ClassCounts(), None, net_ug, resolution_ug)
    its = _Sums(*map(sum, zip(*rows, strict=True)))
    return Weighed(
        key=str(pk),
        counts=ClassCounts(
            its.coarse if its.counted_coarse == its.records else None,
            its.medium if its.counted_medium == its.records else None,
            its.fine if its.counted_fine == its.records else None,
        ),
        litres=its.ml / 1000 if its.volumes == its.records else None,
        net_ug=net_ug,
        resolution_ug=resolution_ug,
    )
