"""The page "Season plan": how to spend the free days that are left."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext

from claims.models import Party
from claims.stops import Stops
from reports.charts.plots import Figure, SiteMonth, SiteRow, season_calendar
from reports.decide.ranking import Outing
from reports.decide.season import NoPlan, Plan, Window, one_more_day, plan_season
from reports.figures.ranking import said
from reports.figures.season_days import Month, months, plan_range, season_choice
from reports.figures.words import listed
from reports.pages.forecast import Record, record, site_days
from trips.calc.digits import main_money_range
from trips.calc.gold import Unknown
from trips.calc.returns import seed_from

MOST_DAYS = 60
MOST_SITES = 40
SAMPLED = 7  # every so many days a site's checklist is asked


@dataclass(frozen=True)
class PlanRow:
    """Trips to one site in one month; `pin` is how the address names them."""

    month: str
    site_id: int
    site: str
    trips: int
    days: int
    pin: str
    pinned: bool


@dataclass(frozen=True)
class SeasonPage:
    """Everything that the template shows."""

    first: dt.date
    last: dt.date
    rows: tuple[PlanRow, ...]
    figure: Figure | None
    days: int
    free: int
    gain: str
    low: str
    high: str
    one_more: str
    refused: str
    missing: tuple[str, ...]
    closed: tuple[str, ...]
    keep_pct: int


def season_plan(
    party: Party,
    *,
    as_of: dt.date,
    last: dt.date,
    per_month: int,
    keep_pct: int,
    pins: Mapping[tuple[str, int], int],
) -> SeasonPage:
    """The free days from `as_of` to `last`, spent for the greatest expected net.

    Args: pins: (month as "2031-05", site) → trips that are fixed.
    """
    found = record(party, as_of)
    names = {site.pk: site.name for site in found.sites}
    parts = months(as_of, last)
    middle = as_of + (last - as_of) / 2
    gold, keep = found.gold_on(middle), keep_pct / 100
    days = site_days(found, middle, heed_stops=False)  # the windows ask day by day
    looks = [each.outlook for each in days]
    outings = [look.outing for look in looks if look.outing is not None]
    missing = tuple(f"{x.place.name}: {x.reason}" for x in looks if x.outing is None)
    if len(outings) > MOST_SITES:
        outings, beyond = _most_promising(outings)
        missing += (
            gettext(
                "{names}: a plan takes {most} sites at most, and these bring least on a first trip."
            ).format(names=listed(sorted(names[pk] for pk in beyond)), most=MOST_SITES),
        )
    if isinstance(gold, Unknown):
        missing = (gold.reason,)
    stays = {look.place.site_id: look.stay.days for look in looks}
    choices = [season_choice(outing, stays[outing.site_id], keep) for outing in outings]
    windows = _windows(found, parts, outings, per_month)
    number = {month.key: n for n, month in enumerate(parts)}
    wanted = {(number[key], site): n for (key, site), n in pins.items() if key in number}
    refused = ""
    try:
        plan = plan_season(choices, windows, wanted)
    except NoPlan as error:
        refused, wanted = gettext("{error} They were left out.").format(error=error), {}
        plan = plan_season(choices, windows)
    more, where = one_more_day(choices, windows, wanted, now=plan.gain)
    currency = found.its.currency
    log_sd = 0.0 if isinstance(gold, Unknown) else gold.log_sd
    seed = seed_from([(party.pk, as_of.toordinal()), (per_month, keep_pct)])
    low, high = plan_range(plan, outings, keep=keep, log_sd=log_sd, seed=seed)
    gain = main_money_range(low, plan.gain, high, currency)
    return SeasonPage(
        first=as_of,
        last=last,
        rows=_rows(plan, parts, names, stays, wanted),
        figure=_figure(plan, parts, windows, names),
        days=plan.days,
        free=sum(window.days for window in windows),
        gain=gain.best,
        low=gain.low,
        high=gain.high,
        one_more=gettext("One more free day would add nothing: every trip that pays is planned.")
        if where is None
        else gettext("One more free day would be worth {more}, in {name}.").format(
            more=said(more, currency), name=parts[where].name
        ),
        refused=refused,
        missing=missing,
        closed=tuple(
            gettext("{names} is stopped by its checklist all of the time.").format(
                names=names[outing.site_id]
            )
            for outing in outings
            if not any(window.open_days[outing.site_id] for window in windows)
        ),
        keep_pct=keep_pct,
    )


def _most_promising(outings: list[Outing]) -> tuple[list[Outing], list[int]]:
    """As many sites as a plan takes, by what a first trip brings, and those left out."""
    by_net = sorted(outings, key=lambda each: each.cost - each.gain * each.rate.mean())
    kept = {each.site_id for each in by_net[:MOST_SITES]}
    return (
        [each for each in outings if each.site_id in kept],
        [each.site_id for each in by_net[MOST_SITES:]],
    )


def _windows(
    found: Record, parts: tuple[Month, ...], outings: list[Outing], per_month: int
) -> list[Window]:
    """Each month with the free days in it and the days that no checklist stops, every 7th asked."""
    left, windows = MOST_DAYS, []
    stops = Stops(
        found.sites, papers=found.papers, holes=found.holes, book=found.book, plan=found.plan
    )
    for month in parts:
        asked = [month.first + dt.timedelta(days=n) for n in range(0, month.length, SAMPLED)]
        open_days = dict.fromkeys((outing.site_id for outing in outings), 0.0)
        for day in asked:
            stopped = stops.on(day)
            for site_id in open_days:
                if site_id not in stopped:
                    open_days[site_id] += month.length / len(asked)
        free = min(left, per_month, month.length)
        left -= free
        windows.append(Window(month.name, free, {s: round(n) for s, n in open_days.items()}))
    return windows


def _rows(
    plan: Plan,
    parts: tuple[Month, ...],
    names: dict[int, str],
    stays: dict[int, int],
    wanted: Mapping[tuple[int, int], int],
) -> tuple[PlanRow, ...]:
    return tuple(
        PlanRow(
            parts[n].name,
            site,
            names[site],
            trips,
            trips * stays[site],
            f"{parts[n].key}:{site}:{trips}",
            (n, site) in wanted,
        )
        for (n, site), trips in sorted(
            plan.trips.items(), key=lambda row: (row[0][0], names[row[0][1]])
        )
    )


def _figure(
    plan: Plan, parts: tuple[Month, ...], windows: list[Window], names: dict[int, str]
) -> Figure | None:
    """The plan as a calendar; sites without a trip stand in it with the time they are open."""
    sites = sorted({site for window in windows for site in window.open_days}, key=names.__getitem__)
    return season_calendar(
        [f"{month.first:%b}" for month in parts],
        [
            SiteRow(
                names[site],
                tuple(
                    SiteMonth(plan.trips.get((n, site), 0), window.open_days[site], month.length)
                    for n, (month, window) in enumerate(zip(parts, windows, strict=True))
                ),
            )
            for site in sites
        ],
        title=gettext("Season calendar"),
        desc=gettext(
            "Number: trips planned. Line at the foot: how much of the month no checklist stops. "
            "Dashed: stopped all month."
        ),
    )
