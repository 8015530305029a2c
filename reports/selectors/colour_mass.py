"""What the party's weigh-ins teach about the mass of a colour; three queries."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Count, F, Q, Sum

from claims.models import Party
from reports.decide.colour_mass import ColourMass, Weighed, colour_mass
from reports.selectors.facts import trip_name
from trips.calc.counts import CLASSES, ClassCounts
from trips.models import Run, TestPan, WeighIn
from trips.selectors.masses import class_masses

ALL_COUNTED = Q(coarse__isnull=False, medium__isnull=False, fine__isnull=False)


@dataclass(frozen=True)
class WeighedTrip:
    """One weigh-in with its trip, as `reports.decide.colour_mass` takes it."""

    weigh_in_id: int
    trip_id: int
    trip: str
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
    """Weigh-ins with the colours of their runs and pans, and all colours counted; three queries.

    A class that was not counted in some run or pan of a weigh-in is not counted for the whole.
    """
    sums: dict[int | None, list[dict]] = defaultdict(list)
    for model in (Run, TestPan):
        for row in _by_weigh_in(model, party, as_of):
            sums[row["weigh_in_id"]].append(row)
    everything = [row for rows in sums.values() for row in rows]
    coarse, medium, fine = (sum(row[f"all_{name}"] or 0 for row in everything) for name in CLASSES)
    return Evidence(
        rows=tuple(
            WeighedTrip(
                weigh_in_id=weigh_in.pk,
                trip_id=weigh_in.trip_id,
                trip=trip_name(weigh_in.trip.name, weigh_in.trip.starts_on),
                day=weigh_in.weighed_on,
                weighed=_weighed(weigh_in, sums[weigh_in.pk]),
            )
            for weigh_in in WeighIn.objects.filter(party=party, weighed_on__lte=as_of)
            .select_related("trip")
            .order_by("weighed_on", "pk")
        ),
        colours=(coarse, medium, fine),
    )


def _by_weigh_in(model, party: Party, as_of: dt.date):
    """Per weigh-in (None: in none): colours, records without a count, litres."""
    sums = {f"sum_{name}": Sum(name) for name in CLASSES}
    sums |= {f"gaps_{name}": Count("pk", filter=Q(**{f"{name}__isnull": True})) for name in CLASSES}
    sums |= {f"all_{name}": Sum(name, filter=ALL_COUNTED) for name in CLASSES}
    return (
        model.objects.filter(Q(day__lte=as_of) | Q(weigh_in__weighed_on__lte=as_of), party=party)
        .order_by()
        .values("weigh_in_id")
        .annotate(ml=Sum("volume_ml"), records=Count("pk"), volumes=Count(F("volume_ml")), **sums)
    )


def _weighed(weigh_in: WeighIn, rows: list[dict]) -> Weighed:
    counts = {
        name: None
        if not rows or any(row[f"gaps_{name}"] for row in rows)
        else sum(row[f"sum_{name}"] for row in rows)
        for name in CLASSES
    }
    known = rows and all(row["volumes"] == row["records"] for row in rows)
    return Weighed(
        key=str(weigh_in.pk),
        counts=ClassCounts(**counts),
        litres=sum(row["ml"] for row in rows) / 1000 if known else None,
        net_ug=weigh_in.net_ug,
        resolution_ug=weigh_in.resolution_ug,
    )
