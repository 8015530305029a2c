"""Where a trip's hours, gold and gear were: rows of a trip → what is kept with its figures.

What is kept is JSON. `sites` and `gear` are rows of [id of the site or piece of gear, minutes,
µg placed there, runs that may hold more, ml washed], `minutes` everybody's minutes by activity.
Nothing that has a name of its own is in it, so a name may change.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from claims.models import Spot
from trips.models import DerivedShare, HoursBlock, Run, TestPan, Trip

ON_THE_WAY = (HoursBlock.Activity.DRIVE, HoursBlock.Activity.WALK)


@dataclass(frozen=True)
class Around:
    """What a trip's own rows don't say: each spot's site, each run's and pan's share in µg."""

    site_of: dict[int, int]
    of_run: dict[int, int]
    of_pan: dict[int, int]


def around(trips: Sequence[Trip]) -> Around:
    """Sites and shares of everything on trips from `trips_for_costing`; two queries."""
    parties = {trip.party_id for trip in trips}
    sites = Spot.objects.filter(site__party__in=parties)
    shares = DerivedShare.objects.filter(weigh_in__party__in=parties)
    if len(trips) == 1:
        spots = {row.spot_id for row in [*trips[0].runs.all(), *trips[0].pans.all()]}
        sites = sites.filter(pk__in=spots)
        shares = shares.filter(weigh_in__trip=trips[0])
    of_run, of_pan = {}, {}
    for run_id, pan_id, mass_ug in shares.values_list("run_id", "pan_id", "mass_ug"):
        (of_run if run_id else of_pan)[run_id or pan_id] = mass_ug
    return Around(dict(sites.values_list("pk", "site_id")), of_run, of_pan)


def worked(trip: Trip, its: Around) -> dict[str, Any]:
    """What is kept of a trip from `trips_for_costing`; no query."""
    ground, minutes = _minutes(trip)
    runs, pans = list(trip.runs.all()), list(trip.pans.all())
    runs_at, pans_at = defaultdict(list), defaultdict(list)
    by_gear = defaultdict(list)
    for run in runs:
        site_id = its.site_of[run.spot_id]
        runs_at[site_id].append(run)
        by_gear[site_id, run.gear_id or 0].append(run)
    for pan in pans:
        pans_at[its.site_of[pan.spot_id]].append(pan)
    visited = {row.site_id for row in trip.trip_sites.all() if row.was_visited}
    sites = sorted(visited | ground.keys() | runs_at.keys() | pans_at.keys())
    return {
        "sites": [
            [site_id, ground.get(site_id, 0), *_at_site(runs_at[site_id], pans_at[site_id], its)]
            for site_id in sites
        ],
        "gear": [
            [gear_id or None, _minutes_run(mine), _shared(mine, its.of_run), _unweighed(mine),
             _litres(mine)]
            for (_, gear_id), mine in sorted(by_gear.items())
        ],
        "minutes": minutes,
    }  # fmt: skip


def _minutes(trip: Trip) -> tuple[dict[int, int], dict[str, int]]:
    """Person minutes at each site, neither driven nor walked in, and by activity.

    A block without a person counts for everybody.
    """
    people = max(1, len(trip.trip_people.all()))
    ground: dict[int, int] = defaultdict(int)
    activity: dict[str, int] = defaultdict(int)
    for block in trip.hours.all():
        total = block.minutes * (1 if block.person_id else people)
        activity[block.activity] += total
        if block.site_id is not None and block.activity not in ON_THE_WAY:
            ground[block.site_id] += total
    return ground, dict(sorted(activity.items()))


def _at_site(runs: Sequence[Run], pans: Sequence[TestPan], its: Around) -> list[int | None]:
    """Gold that is placed at a site, runs that may hold more, and litres washed there."""
    found = [mass for run in runs if (mass := its.of_run.get(run.pk)) is not None]
    found += [mass for pan in pans if (mass := its.of_pan.get(pan.pk)) is not None]
    found += [pan.mass_ug for pan in pans if pan.mass_ug is not None and pan.weigh_in_id is None]
    litres = _litres(runs) if runs else sum(pan.volume_ml for pan in pans) if pans else None
    return [sum(found) if found else None, _unweighed(runs), litres]


def _shared(rows: Iterable[Run], shares: dict[int, int]) -> int | None:
    found = [mass for row in rows if (mass := shares.get(row.pk)) is not None]
    return sum(found) if found else None


def _unweighed(runs: Iterable[Run]) -> int:
    """Runs in no weigh-in, unless every class was counted and none was there."""
    return sum(
        run.weigh_in_id is None and (run.coarse, run.medium, run.fine) != (0, 0, 0) for run in runs
    )


def _minutes_run(runs: Sequence[Run]) -> int | None:
    minutes = [run.minutes for run in runs]
    return None if None in minutes else sum(minutes)


def _litres(runs: Sequence[Run]) -> int | None:
    volumes = [run.volume_ml for run in runs]
    return None if None in volumes else sum(volumes)
