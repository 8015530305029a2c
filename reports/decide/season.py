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
    for each in choices:
        if each.days < 1:
            raise OutOfRange(f"A trip of {each.days} days was given; at least one was expected.")
    most = _most_trips(choices, windows)
    wanted = _wanted_trips(choices, most, pinned or {})
    worth = _worth_a_thought(choices, wanted)
    places = [place for place, trips in most.items() if trips > 0 and worth[place[1]]]
    if not places:
        return Plan({}, {}, 0, 0.0)
    chosen = _solved(choices, windows, _Search(places, worth, most, wanted))
    trips = {(w, choices[s].site_id): n for (w, s), n in zip(places, chosen, strict=True) if n}
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


# A window and a site, as places in the lists that were given.
_Place = tuple[int, int]


def _most_trips(choices: Sequence[Choice], windows: Sequence[Window]) -> dict[_Place, int]:
    return {
        (w, s): min(
            len(each.gains),
            window.days // each.days,
            window.open_days.get(each.site_id, 0) // each.days,
        )
        for w, window in enumerate(windows)
        for s, each in enumerate(choices)
    }


def _wanted_trips(
    choices: Sequence[Choice], most: Mapping[_Place, int], pinned: Mapping[tuple[int, int], int]
) -> dict[_Place, int]:
    """What is pinned, by place. Raises: NoPlan where a window alone can't hold it."""
    by_id = {each.site_id: s for s, each in enumerate(choices)}
    held = {place: n for place, n in pinned.items() if n > 0}
    wanted = {(w, by_id[site]): n for (w, site), n in held.items() if site in by_id}
    if len(wanted) < len(held) or any(most.get(place, 0) < n for place, n in wanted.items()):
        raise NoPlan("A pinned trip doesn't fit: its site is closed then or the days are too few.")
    return wanted


@dataclass(frozen=True)
class _Search:
    """Places that may hold trips, trips to each site that may pay, most and least at each place."""

    places: list[_Place]
    worth: list[int]
    most: Mapping[_Place, int]
    wanted: Mapping[_Place, int]


def _solved(choices: Sequence[Choice], windows: Sequence[Window], search: _Search) -> Sequence[int]:
    """Trips at each place. Raises: NoPlan where what is wanted doesn't fit together."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    places = search.places
    # Whole trips by place first, then one 0-1 choice for each site's first, second, … trip.
    steps = [(s, k) for s, last in enumerate(search.worth) for k in range(last)]
    count, total = len(places), len(places) + len(steps)
    value = np.zeros(total)
    value[count:] = [-choices[s].gains[k] for s, k in steps]
    rows, low, high = [], [], []
    for w, window in enumerate(windows):
        row = np.zeros(total)
        row[:count] = [choices[s].days if at == w else 0 for at, s in places]
        rows.append(row)
        low.append(0.0)
        high.append(float(window.days))
    for s in {s for s, _ in steps}:
        row = np.zeros(total)
        row[:count] = [1 if site == s else 0 for _, site in places]
        row[count:] = [-1 if site == s else 0 for site, _ in steps]
        rows.append(row)
        low.append(0.0)
        high.append(0.0)
    for at, (s, k) in enumerate(steps):
        # The second trip only after the first; where it brings less, it follows by itself.
        if k and choices[s].gains[k] > choices[s].gains[k - 1]:
            row = np.zeros(total)
            row[count + at], row[count + at - 1] = 1, -1
            rows.append(row)
            low.append(-1.0)
            high.append(0.0)
    least, greatest = np.zeros(total), np.ones(total)
    least[:count] = [search.wanted.get(place, 0) for place in places]
    greatest[:count] = [search.most[place] for place in places]
    found = milp(
        value,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=np.ones(total),
        bounds=Bounds(least, greatest),
    )
    if found.x is None:
        raise NoPlan("The pinned trips need more days than there are.")
    return [int(n) for n in np.rint(found.x[:count])]


def _worth_a_thought(choices: Sequence[Choice], wanted: Mapping[tuple[int, int], int]) -> list[int]:
    """How many trips to each site a plan may hold: to the last that pays, or all that are pinned.

    Leaving the rest out changes no plan, and where nothing pays there is nothing to search.
    """
    found = [
        max((k for k, gain in enumerate(each.gains, start=1) if gain > 0), default=0)
        for each in choices
    ]
    for s, each in enumerate(choices):
        held = sum(n for (_, site), n in wanted.items() if site == s)
        found[s] = min(max(found[s], held), len(each.gains))
    return found


def one_more_day(
    choices: Sequence[Choice],
    windows: Sequence[Window],
    pinned: Mapping[tuple[int, int], int] | None = None,
    *,
    now: float,
) -> tuple[float, int | None]:
    """What one more free day would add at its best place, and in which window (None: nowhere).

    Args: now: what the plan without it brings.
    """
    best, where = 0.0, None
    for w, window in enumerate(windows):
        more = [*windows[:w], Window(window.name, window.days + 1, window.open_days)]
        added = plan_season(choices, [*more, *windows[w + 1 :]], pinned).gain - now
        if added > best + 1e-9:
            best, where = added, w
    return best, where
