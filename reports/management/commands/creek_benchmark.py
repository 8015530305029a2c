"""How long a stopping table takes, against plain loops in the same run."""

from collections.abc import Callable
from statistics import median
from time import perf_counter

from django.core.management.base import BaseCommand

from reports.decide.plain_loops import plain_table
from reports.decide.stopping import Pan, Stakes, stopping_table

STAKES = Stakes(gain=40, cost=1, hours=5, fallback=3, move_hours=0.75)
PANS = [Pan(8, 1 / 6)] * 12


class Command(BaseCommand):
    """Prints seconds and ratios; believe the ratios, a machine is seldom alone."""

    help = "Time a stopping table of 12 pans for 40 and 200 colours, and plain loops beside it."

    def add_arguments(self, parser):
        parser.add_argument("--rounds", type=int, default=20, help="runs of the table")

    def handle(self, *args, **options):
        rounds = max(1, options["rounds"])
        stopping_table(1, 10, PANS, STAKES)  # loads numpy outside the time
        self.stdout.write(f"{len(PANS)} pans of {PANS[0].litres:g} L")
        self.stdout.write(f"{'colours':>8} {'table ms':>10} {'loops ms':>10} {'ratio':>7}")
        for most in (40, 200):
            table, value = _timed(
                lambda most=most: stopping_table(1, 10, PANS, STAKES, most_colours=most).value,
                rounds,
            )
            loops, other = _timed(
                lambda most=most: plain_table(1, 10, PANS, STAKES, most=most)[0], 3
            )
            self.stdout.write(f"{most:>8} {table:>10.2f} {loops:>10.1f} {loops / table:>7.0f}")
            self.stdout.write(f"{'value':>8} {value:>10.6f} {other:>10.6f}")


def _timed(work: Callable[[], float], rounds: int) -> tuple[float, float]:
    """Median milliseconds of several runs, and what the last one gave."""
    spent, value = [], 0.0
    for _ in range(rounds):
        start = perf_counter()
        value = work()
        spent.append((perf_counter() - start) * 1000)
    return median(spent), value
