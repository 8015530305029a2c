"""What would following the advice have earned? A season played on creeks whose truth is known.

Four parties work the same invented creeks for the same days, each day as long as the next: one
knows every spot, one follows *Where next* and the stopping table, one goes back where its last
trip was best, one always goes to the nearest site. Rates are colours per litre, money is in the
main unit. All chance comes from the generator given, so a seed repeats a season.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from reports.decide.belief import Belief, learn
from reports.decide.evidence import Spot, Washed
from reports.decide.hierarchy import Region
from reports.decide.ranking import Outing
from reports.decide.scouting import lessons
from reports.decide.stopping import Pan, Stakes, row_for, says, stopping_table
from trips.calc.counts import ClassCounts

World = Literal["own prior", "clumpier"]
Array = Any
PAN_L, PAN_H = 8.0, 1 / 6
MOVE_H = 0.25
LITRES_PER_HOUR = 80.0
MOST_PANS = 8
PER_COLOUR = 0.2  # 2.6 mg (12 000 to the troy ounce) at some 77 a gram of raw gold
TRUE_PSI = 0.7


@dataclass(frozen=True)
class Creeks:
    """The truth: rate of each spot, (sites, spots), way and cost of each site, clumping of gold."""

    rates: Array
    drive_hours: Array
    fuel: Array
    day_hours: float
    clump: float | None  # shape of the negative binomial of a pan; None is Poisson
    region: Region  # what they were drawn from; φ is a pan's at the mean rate

    def seen(self, rng: Array, rate: float, litres: float, whole: float) -> int:
        """Colours in `litres`; clumps are of the size of `whole` litres."""
        mean = rate * litres
        if self.clump is not None and mean > 0:
            mean = mean * rng.gamma(self.clump * litres / whole) / (self.clump * litres / whole)
        return int(rng.poisson(mean))


def draw_creeks(rng: Array, world: World, sites: int = 8, spots: int = 6) -> Creeks:
    """Creeks from the belief's own prior, or from one with few rich spots and clumped gold."""
    import numpy as np

    mean = 0.1 * np.exp(rng.standard_normal())
    if world == "own prior":
        site_shape, spot_shape = np.exp(0.7 * rng.standard_normal(2))
        clump = None
    else:
        site_shape = spot_shape = 0.5
        clump = 0.7
    site_means = mean * rng.gamma(site_shape, 1 / site_shape, sites)
    rates = site_means[:, None] * rng.gamma(spot_shape, 1 / spot_shape, (sites, spots))
    drive = rng.uniform(0.3, 2.0, sites)
    phi = 1.0 if clump is None else 1 + mean * PAN_L / clump
    region = Region(float(mean), float(site_shape), float(spot_shape), float(phi))
    return Creeks(rates, drive, 2 * drive * 5.0 + 4.0, 9.0, clump, region)


@dataclass
class Day:
    """One day at one site: what is left of it and what came in."""

    site: int
    left: float
    net: float


@dataclass
class Memory:
    """What a party has washed, by site and spot, and what its trips brought.

    `region` is what it was told of the creeks' true shapes; None fits them.
    """

    washed: dict[tuple[int, int], list[Washed]] = field(default_factory=dict)
    last_net: dict[int, float] = field(default_factory=dict)
    region: Region | None = None

    def raw(self, site: int) -> dict[int, float]:
        """Colours per litre by spot of a site, pans and box as they come."""
        found = {}
        for (where, spot), rows in self.washed.items():
            if where == site:
                litres = sum(row.litres * (TRUE_PSI if row.is_box else 1) for row in rows)
                found[spot] = sum(row.counts.total or 0 for row in rows) / litres
        return found

    def belief(self, spots: int) -> Belief:
        """What the advice believes; spot ids count through the sites."""
        return learn(
            [
                Spot(site * spots + spot, site, tuple(rows))
                for (site, spot), rows in sorted(self.washed.items())
            ],
            self.region,
        )


class Party:
    """Works a day: pans and digs where it is told, and remembers what it saw."""

    def __init__(self, creeks: Creeks, rng: Array) -> None:
        self.creeks, self.rng, self.memory = creeks, rng, Memory()

    def start(self, site: int) -> Day:
        """Drive there and back at once, so that the rest of the day is for the creek."""
        left = self.creeks.day_hours - 2 * float(self.creeks.drive_hours[site])
        return Day(site, left, -float(self.creeks.fuel[site]))

    def pan(self, day: Day, spot: int) -> int:
        """One test pan."""
        colours = self.creeks.seen(self.rng, self.creeks.rates[day.site, spot], PAN_L, PAN_L)
        self._note(day.site, spot, colours, PAN_L, False)
        day.left -= PAN_H
        return colours

    def dig(self, day: Day, spot: int) -> None:
        """Feed the box for the rest of the day."""
        litres = max(0.0, day.left) * LITRES_PER_HOUR
        if litres:
            rate = self.creeks.rates[day.site, spot] * TRUE_PSI
            colours = self.creeks.seen(self.rng, rate, litres, PAN_L)
            self._note(day.site, spot, colours, litres, True)
            day.net += colours * PER_COLOUR
        day.left = 0.0

    def _note(self, site: int, spot: int, colours: int, litres: float, is_box: bool) -> None:
        rows = self.memory.washed.setdefault((site, spot), [])
        rows.append(Washed(ClassCounts(0, 0, colours), litres, is_box))


def play_knowing(creeks: Creeks, days: int, rng: Array) -> float:
    """The best spot of all, every day."""
    hours = creeks.day_hours - 2 * creeks.drive_hours
    gain = hours * LITRES_PER_HOUR * TRUE_PSI * PER_COLOUR
    best = int((gain * creeks.rates.max(axis=1) - creeks.fuel).argmax())
    party = Party(creeks, rng)
    total = 0.0
    for _ in range(days):
        day = party.start(best)
        party.dig(day, int(creeks.rates[best].argmax()))
        total += day.net
    return total


def _by_custom(party: Party, site: int) -> float:
    """Three pans each at two new spots, unless a spot is known; then dig the best by raw counts."""
    day, known = party.start(site), party.memory.raw(site)
    spots = party.creeks.rates.shape[1]
    if len(known) < 2 or max(known.values(), default=0.0) == 0.0:
        new = [spot for spot in range(spots) if spot not in known][:2]
        for spot in new:
            for _ in range(3):
                party.pan(day, spot)
    known = party.memory.raw(site)
    party.dig(day, max(known, key=lambda spot: (known[spot], -spot)))
    party.memory.last_net[site] = day.net
    return day.net


def play_nearest(creeks: Creeks, days: int, rng: Array) -> float:
    """Always the site of the shortest drive."""
    party, near = Party(creeks, rng), int(creeks.drive_hours.argmin())
    return sum(_by_custom(party, near) for _ in range(days))


def play_last_best(creeks: Creeks, days: int, rng: Array) -> float:
    """Where the last trip was best; while every last trip lost money, the nearest new site."""
    party, total = Party(creeks, rng), 0.0
    order = [int(site) for site in creeks.drive_hours.argsort()]
    for _ in range(days):
        last = party.memory.last_net
        new = [site for site in order if site not in last]
        best = max(last, key=lambda site: last[site], default=None)
        site = new[0] if new and (best is None or last[best] <= 0) else best
        total += _by_custom(party, order[0] if site is None else site)
    return total


def play_advised(creeks: Creeks, days: int, rng: Array) -> float:
    """The first of *Where next* by what a day brings alone, and at the creek the stopping table."""
    party = Party(creeks, rng)
    return sum(advised_day(party, 0) for _ in range(days))


def play_season(creeks: Creeks, days: int, rng: Array) -> float:
    """The same, but with what a visit teaches counted for the days that are left."""
    party = Party(creeks, rng)
    return sum(advised_day(party, days - 1 - n) for n in range(days))


def play_told(creeks: Creeks, days: int, rng: Array, region: Region) -> float:
    """The advice for the season when it is told of the region instead of learning it."""
    party = Party(creeks, rng)
    party.memory.region = region
    return sum(advised_day(party, days - 1 - n) for n in range(days))


def advised_day(party: Party, later: int) -> float:
    """One day by the advice: where to go, then pan, dig or move until the day is over."""
    creeks, spots = party.creeks, party.creeks.rates.shape[1]
    belief = party.memory.belief(spots)
    outings = []
    for site in range(len(creeks.drive_hours)):
        spot = belief.best_spot(site)
        hours = creeks.day_hours - 2 * float(creeks.drive_hours[site])
        gain = hours * LITRES_PER_HOUR * belief.box.mean * PER_COLOUR
        for mix, is_new in (
            (None if spot is None else belief.spot(spot), False),
            (belief.new_spot(site), True),
        ):
            if mix is not None:
                key = 2 * site + is_new
                outings.append(Outing(key, mix, gain, float(creeks.fuel[site]), creeks.day_hours))
    litres = MOST_PANS * PAN_L / belief.region.dispersion
    first = lessons(outings, later=later, litres=litres, per="trip")[0]
    site, untried = divmod(first.site_id, 2)
    day, tried = party.start(site), set[int]()
    while day.left > PAN_H:
        spot, rest = _choose(belief, site, spots, tried, bool(untried))
        tried.add(spot)
        if not _at_spot(party, day, belief, spot, rest, spots):
            break
        untried = 0
        belief = party.memory.belief(spots)
    return day.net


def _choose(
    belief: Belief, site: int, spots: int, tried: set[int], new_first: bool
) -> tuple[int, float]:
    """The spot of highest mean among those not left today, and the mean of the next best."""
    means = {}
    new = belief.new_spot(site).mean()
    for spot in range(spots):
        known = (site * spots + spot) in belief.spots
        if spot not in tried:
            means[spot] = belief.spot(site * spots + spot).mean() if known else new
    if not means:
        return max(tried, key=lambda s: belief.spot(site * spots + s).mean()), 0.0
    order = sorted(means, key=lambda s: (-means[s], s))
    fresh = [s for s in order if (site * spots + s) not in belief.spots]
    if new_first and fresh:
        order.remove(fresh[0])
        order.insert(0, fresh[0])
    return order[0], means[order[1]] if len(order) > 1 else 0.0


def _at_spot(party: Party, day: Day, belief: Belief, spot: int, rest: float, spots: int) -> bool:
    """Follow the table at a spot; True when it says to move on."""
    number = day.site * spots + spot
    mix = belief.spot(number) if number in belief.spots else belief.new_spot(day.site)
    shape, rate = mix.moment_gamma()
    gain = LITRES_PER_HOUR * belief.box.mean * PER_COLOUR
    phi = belief.region.dispersion
    table = stopping_table(
        shape,
        rate,
        [Pan(PAN_L, PAN_H)] * MOST_PANS,
        Stakes(gain, 0.0, day.left, fallback=gain * rest, move_hours=MOVE_H),
        phi,
    )
    action, colours, litres = table.first, 0, 0.0
    while action == "pan" and day.left > PAN_H:
        colours += party.pan(day, spot)
        litres += PAN_L
        row = row_for(table.rows, litres)
        action = "dig" if row is None else says(row, colours)
        if row is not None and row.pans >= MOST_PANS and action == "pan":
            action = "dig"
    if action == "move":
        day.left -= MOVE_H
        return True
    party.dig(day, spot)
    return False


KNOWING, ADVISED = "knows every spot", "follows the advice"
PLAYS: dict[str, Callable[[Creeks, int, Array], float]] = {
    KNOWING: play_knowing,
    ADVISED: play_season,
    "follows it for the day alone": play_advised,
    "where the last trip was best": play_last_best,
    "always the nearest": play_nearest,
}


# What the advice may be told of the truth, to see which part of it is missing.
TOLD: dict[str, Callable[[Region], Region]] = {
    "told the true shapes": lambda true: Region(
        site_shape=true.site_shape, spot_shape=true.spot_shape
    ),
    "told the true mean": lambda true: Region(mean=true.mean),
    "told mean, shapes and dispersion": lambda true: true,
    "the same, counts as pure chance": lambda true: replace(true, dispersion=1.0),
}


def rehearse(
    world: World, seasons: int, days: int, seed: int, told: bool = False
) -> dict[str, list[float]]:
    """Net of each party over each season; every season has creeks of its own, shared by all.

    Args: told: also the advice that knows parts of the truth, with the chance of the advice.
    """
    import numpy as np

    found: dict[str, list[float]] = {name: [] for name in (*PLAYS, *(TOLD if told else ()))}
    advised = list(PLAYS).index(ADVISED) + 1
    for season in range(seasons):
        creeks = draw_creeks(np.random.default_rng([seed, season]), world)
        for number, (name, play) in enumerate(PLAYS.items()):
            rng = np.random.default_rng([seed, season, number + 1])
            found[name].append(play(creeks, days, rng))
        for name, of_truth in TOLD.items() if told else ():
            rng = np.random.default_rng([seed, season, advised])
            found[name].append(play_told(creeks, days, rng, of_truth(creeks.region)))
    return found
