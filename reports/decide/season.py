"""How to spend the free days of a season: a group knapsack over sites and months.

Each further trip to a site brings less than the one before. Choices are 0-1 (site, window,
further trip), solved exactly by branch and bound. Money in the main unit, days whole.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trips.calc.errors import OutOfRange

MOST_VISITS = 6


@dataclass(frozen=True)
class Choice:
    """A site: days a trip takes, what the first, second, … trip of the season brings on average."""

    site_id: int
    days: int
    gains: tuple[float, ...]


@dataclass(frozen=True)
class Window:
    """A part of the season: free days in it, and how many days each site is open in it."""

    name: str
    days: int
    open_days: Mapping[int, int]


@dataclass(frozen=True)
class Plan:
    """Trips by (window, site), in all, and what they bring on average."""

    trips: dict[tuple[int, int], int]
    visits: dict[int, int]
    days: int
    gain: float


class NoPlan(OutOfRange):
    """The pinned choices don't fit into the days."""


def falling(first: float, keep: float, trips: int = MOST_VISITS, cost: float = 0.0) -> list[float]:
    """Net of the first, second, … trip when each brings `keep` of the gold of the one before."""
    return [first * keep**n - cost for n in range(trips)]


def plan_season(
    choices: Sequence[Choice],
    windows: Sequence[Window],
    pinned: Mapping[tuple[int, int], int] | None = None,
) -> Plan:
    """The trips of greatest expected net that fit the windows.

    Args: pinned: (window, site) → at least this many trips, fixed by the party.
    Raises: NoPlan where the pinned trips don't fit; OutOfRange for a trip of no days.
    """
    pinned = dict(pinned or {})
    for each in choices:
        if each.days < 1:
            raise OutOfRange(f"A trip of {each.days} days was given; at least one was expected.")
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    days = [each.days for each in choices]
    most = {
        (w, s): min(
            len(each.gains),
            window.days // each.days,
            window.open_days.get(each.site_id, 0) // each.days,
        )
        for w, window in enumerate(windows)
        for s, each in enumerate(choices)
    }
    places = [(w, s) for (w, s), trips in most.items() if trips > 0]
    by_id = {each.site_id: s for s, each in enumerate(choices)}
    wanted = {(w, by_id[site]): n for (w, site), n in pinned.items() if site in by_id and n > 0}
    if any(most.get(place, 0) < n for place, n in wanted.items()) or any(
        site not in by_id for (_, site), n in pinned.items() if n > 0
    ):
        raise NoPlan("A pinned trip doesn't fit: its site is closed then or the days are too few.")
    if not places:
        return Plan({}, {}, 0, 0.0)
    # Whole trips by place first, then one 0-1 choice for each site's first, second, … trip.
    steps = [(s, k) for s, each in enumerate(choices) for k in range(len(each.gains))]
    count, total = len(places), len(places) + len(steps)
    value = np.zeros(total)
    value[count:] = [-choices[s].gains[k] for s, k in steps]
    rows, low, high = [], [], []
    for w, window in enumerate(windows):
        row = np.zeros(total)
        row[:count] = [days[s] if at == w else 0 for at, s in places]
        rows.append(row)
        low.append(0.0)
        high.append(float(window.days))
    for s in range(len(choices)):
        row = np.zeros(total)
        row[:count] = [1 if site == s else 0 for _, site in places]
        row[count:] = [-1 if site == s else 0 for site, _ in steps]
        rows.append(row)
        low.append(0.0)
        high.append(0.0)
    for at, (_, k) in enumerate(steps):
        if k:  # the second trip only after the first
            row = np.zeros(total)
            row[count + at], row[count + at - 1] = 1, -1
            rows.append(row)
            low.append(-1.0)
            high.append(0.0)
    least = np.zeros(total)
    least[:count] = [wanted.get(place, 0) for place in places]
    greatest = np.ones(total)
    greatest[:count] = [most[place] for place in places]
    found = milp(
        value,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=np.ones(total),
        bounds=Bounds(least, greatest),
    )
    if found.x is None:
        raise NoPlan("The pinned trips need more days than there are.")
    chosen = np.rint(found.x).astype(int)
    trips = {
        (w, choices[s].site_id): int(n)
        for (w, s), n in zip(places, chosen[:count], strict=True)
        if n
    }
    visits: dict[int, int] = {}
    for (_, site), n in trips.items():
        visits[site] = visits.get(site, 0) + n
    by_site = {each.site_id: each for each in choices}
    return Plan(
        trips,
        visits,
        sum(by_site[site].days * n for site, n in visits.items()),
        float(sum(sum(by_site[site].gains[:n]) for site, n in visits.items())),
    )


def one_more_day(
    choices: Sequence[Choice],
    windows: Sequence[Window],
    pinned: Mapping[tuple[int, int], int] | None = None,
) -> tuple[float, int | None]:
    """What one more free day would add at its best place, and in which window (None: nowhere)."""
    now = plan_season(choices, windows, pinned).gain
    best, where = 0.0, None
    for w, window in enumerate(windows):
        more = [*windows[:w], Window(window.name, window.days + 1, window.open_days)]
        added = plan_season(choices, [*more, *windows[w + 1 :]], pinned).gain - now
        if added > best + 1e-9:
            best, where = added, w
    return best, where
