"""The invented party's people, gear, ground, papers and water; the sizes of a record."""

import datetime as dt
import random
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import count

from django.db import models

from claims.models import (
    ConditionMark,
    Duty,
    Paper,
    PaperCondition,
    Party,
    Person,
    Site,
    Spot,
)
from trips.models import Flood, Gauge, Gear, Vehicle

AS_OF = dt.date(2031, 10, 12)
SPOTS = 4
BATCH = 500


@dataclass(frozen=True)
class Sizes:
    """Rows of one party; trips are spread over the years before `AS_OF`."""

    sites: int
    trips: int
    pans: int
    runs: int
    costs: int
    years: int = 10

    def times(self, factor: float) -> "Sizes":
        """So many times the rows, over the same years; never too few for a page to show one."""
        rows = (self.sites, self.trips, self.pans, self.runs, self.costs)
        few = (2, 5, 5, 5, 5)
        return Sizes(
            *(max(least, round(n * factor)) for n, least in zip(rows, few, strict=True)),
            years=self.years,
        )


class Ground:
    """What trips rest on; rows are kept in the order in which they point at each other."""

    party: Party

    def __init__(self, name: str, sizes: Sizes, seed: int) -> None:
        self.name, self.sizes = name, sizes
        self.dice = random.Random(seed)
        self.numbers = count()
        self.made: list[type[models.Model]] = []

    def _keep(self, model, rows: Iterable[models.Model]) -> list:
        rows = list(rows)
        model.objects.bulk_create(rows, batch_size=BATCH)
        if model not in self.made:
            self.made.append(model)
        return rows

    def _id(self) -> uuid.UUID:
        return uuid.UUID(int=next(self.numbers))

    def _new(self, model, **values):
        return model(party=self.party, uuid=self._id(), **values)

    def _people_and_kit(self) -> None:
        party = self.party
        self.people = self._keep(
            Person, [Person(party=party, name=name) for name in ("Ann", "Bo", "Cy", "Di")]
        )
        [self.car] = self._keep(
            Vehicle,
            [
                Vehicle(
                    party=party, name="Car", sealed_ml_per_100km=7500, unsealed_ml_per_100km=9000,
                    track_ml_per_100km=14_000, wear_milli_per_km=110,
                )
            ],
        )  # fmt: skip
        self.gear = self._keep(
            Gear,
            [
                Gear(
                    party=party, name=f"Box {n}", kind=Gear.Kind.SLUICE_STREAM,
                    feed_ml_per_h=120_000, price_minor=24_000, residual_minor=4_000,
                    life_minutes=60_000,
                )
                for n in range(6)
            ],
        )  # fmt: skip

    def _ground(self) -> None:
        dice, party = self.dice, self.party
        self.sites = self._keep(
            Site,
            [
                Site(
                    party=party, name=f"Site {n:04}", sealed_m=dice.randrange(5_000, 90_000),
                    unsealed_m=dice.randrange(12_000), track_m=dice.randrange(4_000),
                    drive_minutes=dice.randrange(15, 150), walk_minutes=dice.randrange(60),
                    latitude_udeg=46_000_000 + dice.randrange(900_000),
                    longitude_udeg=13_000_000 + dice.randrange(900_000),
                )
                for n in range(self.sizes.sites)
            ],
        )  # fmt: skip
        spots = self._keep(
            Spot,
            [
                Spot(site=site, uuid=self._id(), name=f"Spot {n}")
                for site in self.sites
                for n in range(SPOTS)
            ],
        )
        self.spots = {
            site.pk: spots[at * SPOTS : (at + 1) * SPOTS] for at, site in enumerate(self.sites)
        }
        self.rates = {spot.pk: dice.gammavariate(1, 0.25) for spot in spots}

    def _papers(self) -> None:
        """One paper for five sites, with conditions, their marks and a yearly duty."""
        papers = self._keep(
            Paper,
            [
                Paper(
                    party=self.party, kind=Paper.Kind.PERMIT, name=f"Permit {n}",
                    issued_on=dt.date(2029, 4, 1), expires_on=dt.date(2032, 3, 31),
                    fee_minor=9_000, fee_spread=Paper.FeeSpread.TRIPS if n % 2 else "term",
                )
                for n in range(max(1, len(self.sites) // 5))
            ],
        )  # fmt: skip
        for n, paper in enumerate(papers):
            paper.sites.set(self.sites[n * 5 : n * 5 + 5])
        conditions = self._keep(
            PaperCondition,
            [
                PaperCondition(paper=paper, position=n + 1, text=f"Condition {n} of the permit.")
                for paper in papers
                for n in range(3)
            ],
        )
        self._keep(
            ConditionMark,
            [
                ConditionMark(condition=each, day=dt.date(2031, 6, 1), how="Looked after.")
                for each in conditions
            ],
        )
        self._keep(
            Duty,
            [
                self._new(
                    Duty, paper=paper, title="Report of the year", repeat="FREQ=YEARLY;COUNT=3",
                    first_due=dt.date(2030, 1, 31),
                )
                for paper in papers
            ],
        )  # fmt: skip

    def _water(self) -> None:
        """One stream for every ten sites, with a flood a year."""
        gauges = self._keep(
            Gauge,
            [
                Gauge(party=self.party, name=f"Stream {n}")
                for n in range(max(1, len(self.sites) // 10))
            ],
        )
        for n, gauge in enumerate(gauges):
            gauge.sites.set(self.sites[n * 10 : n * 10 + 10])
        self._keep(
            Flood,
            [
                Flood(
                    party=self.party, gauge=gauge, day=dt.date(AS_OF.year - year, 3, 20),
                    peak_milli=self.dice.randrange(20_000, 180_000),
                )
                for gauge in gauges
                for year in range(self.sizes.years)
            ],
        )  # fmt: skip
