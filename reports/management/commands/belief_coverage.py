"""How often does the 80 % range of a spot hold the truth, on creeks whose truth is known?"""

from django.core.management.base import BaseCommand

from reports.decide.belief import Belief, learn
from reports.decide.evidence import Spot, Washed
from trips.calc.counts import ClassCounts

MEAN, SITE_SHAPE, SPOT_SHAPE, PAN_L = 0.12, 1.0, 1.5, 8.0


class Command(BaseCommand):
    """How often does the belief's 80 % range hold the truth, on creeks whose truth is known?"""

    help = "Coverage of the belief's 80 % ranges by simulation, and its error against raw rates."

    def add_arguments(self, parser):
        parser.add_argument("--repeats", type=int, default=60)
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *args, **options):
        import numpy as np

        repeats, seed = options["repeats"], options["seed"]
        self.stdout.write(f"{repeats} repeats a row, seed {seed}")
        self.stdout.write("| sites | clumps | spots | held | untested spots | held | error | raw |")
        self.stdout.write("|---|---|---|---|---|---|---|---|")
        for sites in (3, 12, 30):
            for clump in (None, 1.5, 0.7):
                rng = np.random.default_rng([seed, sites, int(10 * (clump or 0))])
                tried, new, errors, raw = [], [], [], []
                for _ in range(repeats):
                    spots, truth, fresh = _creeks(rng, sites, clump)
                    belief = learn(spots)
                    for spot in spots:
                        rate = truth[spot.spot_id]
                        mix = belief.spot(spot.spot_id)
                        tried.append(mix.quantile(0.1) <= rate <= mix.quantile(0.9))
                        errors.append(mix.mean() - rate)
                        seen = sum(each.counts.total or 0 for each in spot.washed)
                        raw.append(seen / sum(each.litres for each in spot.washed) - rate)
                    new += _untested(belief, fresh)
                self.stdout.write(
                    f"| {sites} | {'none' if clump is None else f'k = {clump}'} | {len(tried)} | "
                    f"{np.mean(tried):.2f} | {len(new)} | {np.mean(new):.2f} | "
                    f"{np.sqrt(np.mean(np.square(errors))):.3f} | "
                    f"{np.sqrt(np.mean(np.square(raw))):.3f} |"
                )


def _untested(belief: Belief, fresh: dict[int, float]) -> list[bool]:
    """Whether the range of an untested spot of each site holds one drawn there."""
    found = []
    for site, rate in fresh.items():
        mix = belief.new_spot(site)
        found.append(mix.quantile(0.1) <= rate <= mix.quantile(0.9))
    return found


def _creeks(rng, sites: int, clump: float | None):
    """One to four spots a site, one to seven pans a spot; the true rates; one more spot a site."""
    spots, truth, fresh = [], {}, {}
    for site in range(sites):
        mean = MEAN * rng.gamma(SITE_SHAPE, 1 / SITE_SHAPE)
        fresh[site] = mean * rng.gamma(SPOT_SHAPE, 1 / SPOT_SHAPE)
        for _ in range(rng.integers(1, 5)):
            rate = mean * rng.gamma(SPOT_SHAPE, 1 / SPOT_SHAPE)
            pans = []
            for _ in range(rng.integers(1, 8)):
                expected = rate * PAN_L
                if clump is not None:
                    expected *= rng.gamma(clump, 1 / clump)
                counts = ClassCounts(0, 0, int(rng.poisson(expected)))
                pans.append(Washed(counts, PAN_L))
            truth[len(spots)] = rate
            spots.append(Spot(len(spots), site, tuple(pans)))
    return spots, truth, fresh
