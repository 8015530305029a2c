"""What the party's weigh-ins teach about the mass of a colour; three queries."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from typing import NamedTuple

from django.db.models import Count, Q, Sum

from claims.models import Party
from reports.decide.colour_mass import ColourMass, Weighed, colour_mass
from reports.selectors.facts import trip_name
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

    @property
    def trip(self) -> str:
        """The trip's name in the reader's words."""
        return trip_name(self.own_name, self.starts_on)


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
    sums: dict[int | None, list[_Sums]] = defaultdict(list)
    for model in (Run, TestPan):
        for weigh_in_id, ml, records, volumes, *by_class in _by_weigh_in(model, party, as_of):
            each = _Sums(ml, records, volumes, by_class[:3], by_class[3:6], by_class[6:])
            sums[weigh_in_id].append(each)
    everything = [row for rows in sums.values() for row in rows]
    coarse, medium, fine = (sum(row.all[at] or 0 for row in everything) for at in range(3))
    weigh_ins = WeighIn.objects.filter(party=party, weighed_on__lte=as_of)
    return Evidence(
        rows=tuple(
            WeighedTrip(
                weigh_in_id=pk,
                trip_id=trip_id,
                own_name=own_name,
                starts_on=starts_on,
                day=day,
                weighed=_weighed(pk, gross_ug - tare_ug, resolution_ug, sums[pk]),
            )
            for pk, trip_id, own_name, starts_on, day, gross_ug, tare_ug, resolution_ug in (
                weigh_ins.order_by("weighed_on", "pk").values_list(
                    *("pk", "trip_id", "trip__name", "trip__starts_on", "weighed_on"),
                    *("gross_ug", "tare_ug", "resolution_ug"),
                )
            )
        ),
        colours=(coarse, medium, fine),
    )


class _Sums(NamedTuple):
    """Of the runs or pans of a weigh-in: ml, records, how many have a volume, and by class.

    By class, from coarse to fine: the `sums` of colours, how many records `counted` them, and `all`
    colours of records that counted every class; None where there is none.
    """

    ml: int | None
    records: int
    volumes: int
    sums: list[int]
    counted: list[int]
    all: list[int | None]


def _by_weigh_in(model, party: Party, as_of: dt.date):
    """Weigh-in (None: in none), then the values of `_Sums` one after the other."""
    sums = {f"sum_{name}": Sum(name) for name in CLASSES}
    sums |= {f"counted_{name}": Count(name) for name in CLASSES}
    sums |= {f"all_{name}": Sum(name, filter=ALL_COUNTED) for name in CLASSES}
    return (
        model.objects.filter(Q(day__lte=as_of) | Q(weigh_in__weighed_on__lte=as_of), party=party)
        .order_by()
        .values_list("weigh_in_id")
        .annotate(ml=Sum("volume_ml"), records=Count("pk"), volumes=Count("volume_ml"), **sums)
    )


def _weighed(pk: int, net_ug: int, resolution_ug: int, rows: list[_Sums]) -> Weighed:
    def colours(which: int) -> int | None:
        if not rows or any(row.counted[which] < row.records for row in rows):
            return None
        return sum(row.sums[which] for row in rows)

    known = rows and all(row.volumes == row.records for row in rows)
    return Weighed(
        key=str(pk),
        counts=ClassCounts(colours(0), colours(1), colours(2)),
        litres=sum(row.ml or 0 for row in rows) / 1000 if known else None,
        net_ug=net_ug,
        resolution_ug=resolution_ug,
    )
