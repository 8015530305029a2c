"""Chance with a name: the same name draws the same numbers, whatever was drawn before."""

import random

from trips.demo.story import SEED


class Chance:
    """A stream of draws of its own, seeded by the demo's seed and a name."""

    def __init__(self, name: str) -> None:
        # Not for secrets: the demo must come out the same on every machine.
        self._random = random.Random(f"{SEED}:{name}")

    def gamma(self, mean: float, cv: float) -> float:
        """A positive number of this mean and coefficient of variation."""
        shape = 1 / (cv * cv)
        return self._random.gammavariate(shape, mean / shape)

    def poisson(self, mean: float) -> int:
        """A whole number of this mean: how many waiting times fit into it."""
        count, waited = 0, self._random.expovariate(1)
        while waited < mean:
            count += 1
            waited += self._random.expovariate(1)
        return count

    def thinned(self, count: int, share: float) -> int:
        """How many of `count` are seen when each is seen with probability `share`."""
        return sum(self._random.random() < share for _ in range(count))

    def happens(self, probability: float) -> bool:
        return self._random.random() < probability

    def between(self, low: int, high: int, step: int = 1) -> int:
        """A multiple of `step` from `low` to `high`, both possible."""
        return low + step * self._random.randint(0, (high - low) // step)

    def around(self, value: float, share: float, step: int) -> int:
        """`value` give or take `share` of it, rounded to whole `step`s, at least one."""
        drawn = value * (1 + self._random.uniform(-share, share))
        return max(step, round(drawn / step) * step)

    def pick(self, options):
        return self._random.choice(list(options))

    def normal(self, mean: float, sd: float) -> float:
        return self._random.gauss(mean, sd)
