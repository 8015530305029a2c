"""The page "Scouting": is a look at a site worth it before a day's work, and how many pans?"""

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext

from claims.models import Party
from reports.figures.outlook import PANS
from reports.figures.ranking import said
from reports.figures.scout import (
    BETWEEN_HOURS,
    MOST_PANS,
    PAN_HOURS,
    LookDay,
    Scouting,
    scouting,
)
from reports.figures.words import listed
from reports.pages.forecast import record, site_days
from trips.calc.gold import Unknown
from trips.calc.returns import seed_from

DEFAULT_LATER = 6


@dataclass(frozen=True)
class LookRow:
    """One site, in words and stored units."""

    site_id: int
    name: str
    evidence: int
    value: str
    most: str
    cost: str
    net: str
    pays: bool
    minutes: int
    enough: str


@dataclass(frozen=True)
class DayRow:
    """Several sites on one day."""

    names: str
    value: str
    cost: str
    net: str
    pays: bool
    minutes: int


@dataclass(frozen=True)
class ScoutingPage:
    """Everything that the template shows; `missing` says what stands in the way."""

    day: dt.date
    rows: tuple[LookRow, ...]
    days: tuple[DayRow, ...]
    verdict: str
    hourly: str
    missing: tuple[str, ...]
    pans: int
    later: int
    pan_l: float
    notes: tuple[str, ...]


def scouting_page(
    party: Party, *, as_of: dt.date, day: dt.date, pans: int = PANS, later: int = DEFAULT_LATER
) -> ScoutingPage:
    """What looking first at each site is worth on `day`, over so many later trips."""
    found = record(party, as_of)
    gold, days = found.gold_on(day), site_days(found, day)
    names = {site.pk: site.name for site in found.sites}
    missing = tuple(
        f"{each.site.name}: {each.outlook.reason}" for each in days if each.outlook.outing is None
    )
    currency = found.its.currency
    if isinstance(gold, Unknown):
        asked, missing = Scouting((), (), 0.0), (gold.reason,)
    else:
        asked = scouting(
            [each.outlook for each in days],
            gold,
            pan_l=found.pan_l,
            pans=pans,
            dispersion=found.ground.belief.region.dispersion,
            later=later,
            seed=seed_from([(party.pk, day.toordinal()), (pans, later)]),
        )
    seen = {site: found.ground.belief.seen_at(site) for site in names}
    rows = tuple(
        LookRow(
            look.site_id,
            names[look.site_id],
            seen[look.site_id].pans,
            said(look.value, currency),
            said(look.most, currency),
            said(look.cost - look.own_gold, currency),
            said(look.net, currency),
            look.net > 0,
            round(60 * look.hours),
            gettext("more than {MOST_PANS}").format(MOST_PANS=MOST_PANS)
            if look.enough >= MOST_PANS
            else str(look.enough),
        )
        for look in asked.looks
    )
    return ScoutingPage(
        day=day,
        rows=rows,
        days=tuple(_day(each, names, currency) for each in asked.days),
        verdict=_verdict(asked, names, currency, pans),
        hourly=said(asked.hourly, currency),
        missing=missing,
        pans=pans,
        later=later,
        pan_l=found.pan_l,
        notes=(
            gettext(
                "A pan takes {value:.0f} minutes, and the way from one site to the "
                "next {value_2:.0f}: common practice, no source."
            ).format(value=60 * PAN_HOURS, value_2=60 * BETWEEN_HOURS),
            gettext(
                "One of five later trips can't use what was learned: floods, "
                "access and plans change."
            ),
            gettext(
                "A later trip is taken to be as long as one to the best site known, whichever "
                "site it goes to."
            ),
            gettext(
                "Time costs what an hour would bring at the "
                "best site otherwise; where that is a loss, it "
                "costs nothing."
            ),
        ),
    )


def _day(each: LookDay, names: dict[int, str], currency: str) -> DayRow:
    return DayRow(
        listed([names[site] for site in each.site_ids]),
        said(each.value, currency),
        said(each.cost - each.own_gold, currency),
        said(each.net, currency),
        each.net > 0,
        round(60 * each.hours),
    )


def _verdict(asked: Scouting, names: dict[int, str], currency: str, pans: int) -> str:
    """The answer in one sentence."""
    if not asked.looks:
        return ""
    best = asked.looks[0]
    day = max(asked.days, key=lambda each: each.net, default=None)
    if day is not None and day.net > max(0.0, best.net):
        together = listed([names[site] for site in day.site_ids])
        return gettext(
            "A day of looking at {together}, {pans} pans each, is worth it: {net} "
            "more than working at the best site known."
        ).format(together=together, pans=pans, net=said(day.net, currency))
    if best.net > 0:
        return gettext(
            "{pans} pans at {names} are worth the trip: {net} more than working at "
            "the best site known."
        ).format(pans=pans, names=names[best.site_id], net=said(best.net, currency))
    return gettext(
        "No look is worth a trip of its own. The nearest to it is {names}: it "
        "would add {value} and cost {said}. A few pans on the way to something "
        "else may still be."
    ).format(
        names=names[best.site_id],
        value=said(best.value, currency),
        said=said(best.cost - best.own_gold, currency),
    )
