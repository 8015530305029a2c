"""What would following the advice have earned, on creeks whose truth is known?"""

from django.core.management.base import BaseCommand

from reports.decide.rehearsal import ADVISED, KNOWING, rehearse

WORLDS = ("own prior", "clumpier")


class Command(BaseCommand):
    """Play seasons on invented creeks: what would following the advice have earned?"""

    help = "What following Where next and the stopping table earns on creeks whose truth is known."

    def add_arguments(self, parser):
        parser.add_argument("--seasons", type=int, default=60)
        parser.add_argument("--days", type=int, default=20)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument(
            "--told", action="store_true", help="also the advice told parts of the truth"
        )

    def handle(self, *args, **options):
        import numpy as np

        seasons, days, seed = options["seasons"], options["days"], options["seed"]
        self.stdout.write(f"{seasons} seasons of {days} days, seed {seed}")
        self.stdout.write("| creeks | party | net a season | of all knowledge | advice ahead by |")
        self.stdout.write("|---|---|---|---|---|")
        for world in WORLDS:
            rows = rehearse(world, seasons, days, seed, options["told"])
            full, advised = np.array(rows[KNOWING]), np.array(rows[ADVISED])
            for name, nets in rows.items():
                ahead, ahead_by = advised - np.array(nets), ""
                if name != ADVISED and seasons > 1:
                    error = ahead.std(ddof=1) / seasons**0.5
                    ahead_by = f"{ahead.mean():.0f} ± {error:.0f}"
                share = 100 * sum(nets) / full.sum()
                self.stdout.write(
                    f"| {world} | {name} | {np.mean(nets):.0f} | {share:.0f} % | {ahead_by} |"
                )
