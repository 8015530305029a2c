"""How rich is each spot, each site and the region? Two-level gamma-Poisson, exact on a grid.

Site mean μ ~ Gamma(κ_b, κ_b/m); a spot's rate λ = μ·ε, ε ~ Gamma(κ_w, κ_w); colours counted in
v litres are Poisson(λ·v), with counts and litres both divided by the pooled dispersion φ. Given
(m, κ_b, κ_w) a site is a one-dimensional sum over u = ln μ. Rates are colours per loose litre.
Source of the form: conjugate gamma-Poisson and hierarchical credibility (memory: Jewell 1975).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import exp

from reports.decide.evidence import (
    BoxAgainstPans,
    Spot,
    Transfer,
    Washed,
    box_weight,
    class_shares,
    dispersion,
    seen,
    transfer_factor,
)
from reports.decide.gammas import GammaMix
from reports.decide.hierarchy import (
    Points,
    Region,
    Weighed,
    fit_region,
    prior_points,
    site_points,
)


@dataclass(frozen=True)
class Seen:
    """Evidence as noted: samples, colours counted, litres. `weighed` of the runs were only weighed;
    `left_out` had neither count nor weight, or no litres.
    """

    pans: int = 0
    runs: int = 0
    colours: int = 0
    litres: float = 0.0
    left_out: int = 0
    weighed: int = 0

    def __add__(self, other: "Seen") -> "Seen":
        return Seen(
            self.pans + other.pans,
            self.runs + other.runs,
            self.colours + other.colours,
            self.litres + other.litres,
            self.left_out + other.left_out,
            self.weighed + other.weighed,
        )


@dataclass(frozen=True)
class SpotBelief:
    """A spot's weighed evidence (colours, litres after φ, floods and box weight).

    `pan_rate` is the mean rate by pans alone, which the box is held against; None without pans.
    """

    site_id: int
    colours: float
    litres: float
    seen: Seen
    pan_rate: float | None = None


@dataclass(frozen=True)
class Shares:
    """Where an estimate comes from, parts of 1: this spot, other spots here, other sites."""

    spot: float
    site: float
    borrowed: float


@dataclass(frozen=True)
class Belief:
    """Everything believed about a party's ground. Unknown ids are untested ground, no error."""

    region: Region
    prior: Points
    sites: dict[int, Points]
    spots: dict[int, SpotBelief]
    box: Transfer  # colours in the box per colour that pans foretell
    shares: dict[str, float]  # of the classes among all colours

    @cached_property
    def _spots_of(self) -> dict[int, list[int]]:
        """Spots with their evidence by site."""
        found: dict[int, list[int]] = {}
        for spot_id, spot in self.spots.items():
            found.setdefault(spot.site_id, []).append(spot_id)
        return found

    @property
    def is_counted(self) -> bool:
        """Whether any pan or run was counted anywhere."""
        return any(row.seen.pans or row.seen.runs for row in self.spots.values())

    def spot(self, spot_id: int) -> GammaMix:
        """Colours per litre at a spot; a spot without counted samples is like any site's."""
        known = self.spots.get(spot_id)
        if known is None:
            return self.untested_site()
        return self._mix(self.site_points(known.site_id), known.colours, known.litres)

    def new_spot(self, site_id: int) -> GammaMix:
        """Colours per litre at an untested spot of a site."""
        return self._mix(self.site_points(site_id), 0.0, 0.0)

    def untested_site(self) -> GammaMix:
        """Colours per litre at a spot of a site where nothing was counted."""
        return self._mix(self.prior, 0.0, 0.0)

    def site_points(self, site_id: int) -> Points:
        """The site's mean rate."""
        return self.sites.get(site_id, self.prior)

    def best_spot(self, site_id: int) -> int | None:
        """The tested spot of highest mean, if it beats a new spot of the same site."""
        best, best_mean = None, self.new_spot(site_id).mean()
        for spot_id in sorted(self._spots_of.get(site_id, ())):
            mean = self.spot(spot_id).mean()
            if mean > best_mean:
                best, best_mean = spot_id, mean
        return best

    def seen_at(self, site_id: int) -> Seen:
        """What was counted at a site."""
        return sum((self.spots[pk].seen for pk in self._spots_of.get(site_id, ())), Seen())

    def site_shares(self, site_id: int) -> Shares:
        """How much of the site's mean is its own data: the part of ln μ's prior variance gone."""
        own = self._site_share(site_id)
        return Shares(0.0, own, 1 - own)

    def spot_shares(self, spot_id: int, site_id: int) -> Shares:
        """How much of a spot's rate is its own pans, its site's other data, other sites'."""
        own = self._site_share(site_id)
        known = self.spots.get(spot_id)
        spot = 0.0
        if known is not None:
            spot = known.litres / (
                known.litres + self.region.spot_shape / self.site_points(site_id).mean()
            )
        return Shares(spot, (1 - spot) * own, (1 - spot) * (1 - own))

    def _site_share(self, site_id: int) -> float:
        if site_id not in self.sites:
            return 0.0
        before, after = self.prior.log_variance(), self.sites[site_id].log_variance()
        return min(1.0, max(0.0, 1 - after / before))

    def _mix(self, points: Points, colours: float, litres: float) -> GammaMix:
        shape = self.region.spot_shape
        return GammaMix(
            points.weights,
            (shape + colours,) * len(points.weights),
            tuple(shape * exp(-u) + litres for u in points.log_means),
        )


def learn(spots: Sequence[Spot], region: Region | None = None) -> Belief:
    """The belief from all samples of a party; `region` fixes m, κ_b, κ_w and φ instead of fitting.

    First by pans alone, which gives the box's transfer factor in colours; then with the runs.
    """
    shares = class_shares(sample for spot in spots for sample in spot.washed)
    phi = region.dispersion if region else dispersion(spots, shares)
    by_pans = [
        Spot(s.spot_id, s.site_id, tuple(w for w in s.washed if not w.is_box)) for s in spots
    ]
    has_runs = any(sample.is_box for spot in spots for sample in spot.washed)
    fixed = region or fit_region(_weighed(by_pans, shares, phi, 1.0), phi)
    first = _believe(by_pans, shares, fixed, Transfer(), None)
    if not has_runs:
        return first
    box = transfer_factor(_box_against_pans(spots, shares, first))
    fixed = region or fit_region(_weighed(spots, shares, phi, box.median), phi)
    pan_rates = {s: row.pan_rate for s, row in first.spots.items() if row.pan_rate is not None}
    return _believe(spots, shares, fixed, box, pan_rates)


def _believe(
    spots: Sequence[Spot],
    shares: dict[str, float],
    region: Region,
    box: Transfer,
    pan_rates: dict[int, float] | None,
) -> Belief:
    weighed = _weighed(spots, shares, region.dispersion, box.median)
    points = site_points(weighed, region)
    rows = {}
    for spot, (_, colours, litres, _, _) in zip(spots, weighed, strict=True):
        seen_here = _seen(spot.washed, shares)
        if seen_here.pans or seen_here.runs or seen_here.left_out:
            rows[spot.spot_id] = SpotBelief(spot.site_id, colours, litres, seen_here)
    tested = {row.site_id for row in rows.values() if row.seen.pans or row.seen.runs}
    belief = Belief(
        region,
        prior_points(region),
        {site: its for site, its in points.items() if site in tested},
        rows,
        box,
        shares,
    )
    if pan_rates is None:
        pan_rates = {s: belief.spot(s).mean() for s, row in rows.items() if row.seen.pans}
    told = {s: replace(row, pan_rate=pan_rates.get(s)) for s, row in rows.items()}
    return replace(belief, spots=told)


def _weighed(
    spots: Sequence[Spot], shares: dict[str, float], phi: float, box_ratio: float
) -> list[Weighed]:
    """Colours and litres by spot after φ, box weight and floods; order as given."""
    rows = []
    for spot in spots:
        sums = [0.0, 0.0, 0.0, 0.0]
        for sample in spot.washed:
            told = seen(sample, shares)
            if told is None:
                continue
            colours, litres = told
            weight = 1 / phi
            if sample.is_box:
                weight, litres = weight * box_weight(colours), litres * box_ratio
            for place, keep in ((0, sample.discount.spot), (2, sample.discount.site)):
                sums[place] += weight * keep * colours
                sums[place + 1] += weight * keep * litres
        rows.append((spot.site_id, sums[0], sums[1], sums[2], sums[3]))
    return rows


def _seen(washed: Iterable[Washed], shares: dict[str, float]) -> Seen:
    total = Seen()
    for sample in washed:
        told = seen(sample, shares)
        if told is None:
            total += Seen(left_out=1)
            continue
        counted = sample.counts.total
        total += Seen(
            int(not sample.is_box),
            int(sample.is_box),
            counted or 0,
            sample.litres,
            weighed=int(counted is None),
        )
    return total


def _box_against_pans(
    spots: Sequence[Spot], shares: dict[str, float], by_pans: Belief
) -> list[BoxAgainstPans]:
    """Each spot's runs against its pans, both in colours."""
    rows = []
    for spot in spots:
        known = by_pans.spots.get(spot.spot_id)
        if known is None or known.pan_rate is None:
            continue
        runs = [told for w in spot.washed if w.is_box and (told := seen(w, shares)) is not None]
        rows.append(
            BoxAgainstPans(
                sum(colours for colours, _ in runs),
                known.pan_rate * sum(litres for _, litres in runs),
                known.seen.colours,
            )
        )
    return rows
