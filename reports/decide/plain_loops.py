"""The stopping table by plain loops over every count: slow and obvious, written apart.

The tests and `manage.py creek_benchmark` hold `stopping.py` against it. The tail of a pan's
colours is put on the highest count, which then has to be high enough.
"""

from collections.abc import Sequence
from math import exp, lgamma, log
from typing import Literal

from reports.decide.stopping import Pan, Stakes

Told = Literal["pan", "dig", "low"]


def _chance(x: int, number: float, stay: float) -> float:
    """Negative binomial probability of x."""
    logs = lgamma(number + x) - lgamma(number) - lgamma(x + 1)
    return exp(logs + number * log(stay) + (x * log(1 - stay) if x else 0.0))


def plain_table(
    shape: float,
    rate: float,
    pans: Sequence[Pan],
    stakes: Stakes,
    phi: float = 1.0,
    most: int = 40,
) -> tuple[float, dict[tuple[int, int], Told]]:
    """The value before the first pan, and the action by (pans done, colours so far)."""
    actions: dict[tuple[int, int], Told] = {}
    after: list[float] = []
    for done in range(len(pans), -1, -1):
        left = stakes.hours - sum(pan.hours for pan in pans[:done])
        washed = sum(pan.litres for pan in pans[:done])
        moving = max(0.0, left - stakes.move_hours) * stakes.fallback
        values = []
        for y in range(most + 1):
            a, b = shape + y / phi, rate + washed / phi
            choices: dict[Told, float] = {
                "dig": max(0.0, left) * (stakes.gain * a / b - stakes.cost),
                "low": max(moving, 0.0),
            }
            if done < len(pans) and left - pans[done].hours > 0:
                mean = pans[done].litres * a / b
                variance = phi * mean + (pans[done].litres / b) ** 2 * a
                number = mean**2 / (variance - mean)
                stay = number / (number + mean)
                total = spent = 0.0
                for x in range(most - y):
                    chance = _chance(x, number, stay)
                    spent += chance
                    total += chance * after[y + x]
                choices["pan"] = total + (1 - spent) * after[most]
            best = max(choices, key=lambda name: (choices[name], name == "dig"))
            values.append(choices[best])
            actions[done, y] = best
        after = values
    return after[0], actions
