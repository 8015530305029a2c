"""Which sites are worth a look before a day's work, how many pans, and which of them on one day.

Money in the main unit. A look costs the way, other outlay that a look needs too, and the hours at
what an hour would bring otherwise; it brings better choices on later trips.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports.decide.ranking import Outing
from reports.decide.scouting import LATER, Prospect, evpi, evsi, joint_evsi, pans_worth
from reports.figures.outlook import Gold, Outlook
from trips.calc.money import minor_per_main

PAN_HOURS = 1 / 6  # to fill, wash and count one pan (own judgement)
BETWEEN_HOURS = 0.5  # from one site to the next on the same day (own judgement)
MOST_SITES = 4  # on one day
MOST_PANS = 40
DRAWS = 20_000
LOOK_LIGHT_HOURS = 10.0  # a day of looking at several sites isn't longer than this


@dataclass(frozen=True)
class Look:
    """A look at one site: its value over the later trips, what it costs, and what is left.

    `enough` pans: beyond them the next one isn't worth its time; `most` is what perfect knowledge
    would add, the upper end of any look's worth.
    """

    site_id: int
    pans: int
    value: float
    most: float
    cost: float
    own_gold: float
    hours: float
    enough: int

    @property
    def net(self) -> float:
        """What the look adds over not looking."""
        return self.value + self.own_gold - self.cost


@dataclass(frozen=True)
class LookDay:
    """Two sites or more on one day; `own_gold` is what the pans themselves bring."""

    site_ids: tuple[int, ...]
    value: float
    cost: float
    own_gold: float
    hours: float

    @property
    def net(self) -> float:
        """What the day adds over not looking."""
        return self.value + self.own_gold - self.cost


@dataclass(frozen=True)
class Scouting:
    """Looks, best first, and the best days of two to four sites; `hourly` is what an hour gives."""

    looks: tuple[Look, ...]
    days: tuple[LookDay, ...]
    hourly: float


def scouting(
    outlooks: Sequence[Outlook],
    gold: Gold,
    *,
    pan_l: float,
    pans: int,
    dispersion: float,
    later: int,
    seed: int,
) -> Scouting:
    """What looking first is worth at each site that can be ranked.

    Args: pans: at each site; later: trips of the season that could use what is learned.
    """
    known = {each.outing.site_id: (each, each.outing) for each in outlooks if each.outing}
    if len(known) < 2:
        return Scouting((), (), 0.0)
    hourly = {site: _net(outing) / outing.hours for site, (_, outing) in known.items()}
    best = max(hourly, key=lambda site: (hourly[site], -site))
    now = max(0.0, hourly[best])
    # Looks at one site and at several compare only over trips of one length: the best site's.
    length = known[best][1].hours
    looks = []
    for site, (each, outing) in known.items():
        rest = max(0.0, *(value for other, value in hourly.items() if other != site))
        prospect, other = _prospect(outing, length), rest * length
        per_pan = pan_l / dispersion
        uses = later * LATER
        worth = pans_worth(
            prospect,
            pan_l=per_pan,
            other=other,
            uses=uses,
            pan_cost=PAN_HOURS * now,
            most=MOST_PANS,
        )
        hours = each.place.travel_hours + pans * PAN_HOURS
        looks.append(
            Look(
                site,
                pans,
                uses * evsi(prospect, per_pan * pans, other),
                uses * evpi(prospect, other),
                (each.place.fuel_minor or 0) / minor_per_main(gold.currency) + hours * now,
                pans * pan_l * outing.rate.mean() * gold.per_colour / gold.psi_mean,
                hours,
                worth.enough,
            )
        )
    # What pays by what is left of it; of what doesn't, the most telling first.
    looks.sort(key=lambda look: (-max(look.net, 0.0), -look.value, look.site_id))
    days = _days(known, looks, gold, hourly, pan_l / dispersion * pans, length, seed, later * LATER)
    return Scouting(tuple(looks), days, now)


def _days(
    known: Mapping[int, tuple[Outlook, Outing]],
    looks: Sequence[Look],
    gold: Gold,
    hourly: Mapping[int, float],
    litres: float,
    length: float,
    seed: int,
    uses: float,
) -> tuple[LookDay, ...]:
    """The best looks together, one site more at a time: farthest way once, half an hour between."""
    found, now = [], max(0.0, *hourly.values())
    order = [look.site_id for look in sorted(looks, key=lambda look: (-look.value, look.site_id))]
    for count in range(2, min(MOST_SITES, len(order)) + 1):
        sites = order[:count]
        hours = max(known[site][0].place.travel_hours for site in sites)
        hours += BETWEEN_HOURS * (count - 1)
        hours += sum(look.pans * PAN_HOURS for look in looks if look.site_id in sites)
        if hours > LOOK_LIGHT_HOURS:
            break
        rest = max([0.0, *(value for site, value in hourly.items() if site not in sites)])
        prospects = [_prospect(known[site][1], length) for site in sites]
        value = joint_evsi(prospects, [litres] * count, rest * length, seed=seed, draws=DRAWS)
        fuel = max(known[site][0].place.fuel_minor or 0 for site in sites)
        found.append(
            LookDay(
                tuple(sites),
                uses * value,
                fuel / minor_per_main(gold.currency) + hours * now,
                sum(look.own_gold for look in looks if look.site_id in sites),
                hours,
            )
        )
    return tuple(found)


def _net(outing: Outing) -> float:
    return outing.gain * outing.rate.mean() - outing.cost


def _prospect(outing: Outing, hours: float) -> Prospect:
    """The outing as a later trip of so many hours at its own net per hour."""
    shape, rate = outing.rate.moment_gamma()
    times = hours / outing.hours
    return Prospect(shape, rate, max(outing.gain * times, 1e-9), outing.cost * times)
