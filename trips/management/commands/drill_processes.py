"""Kill one of two web processes under load; nothing it acknowledged may be lost."""

import importlib.util

from django.core.management import BaseCommand, CommandError, call_command
from django.db import connection

from trips.management.commands.drill_kill import refuse_a_record


class Command(BaseCommand):
    help = (
        "Two web processes and PostgreSQL (the empty database that DATABASE_URL names) under "
        "load; one is killed half way. Needs gunicorn."
    )

    def add_arguments(self, parser):
        parser.add_argument("--entries", type=int, default=2_000)
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *, entries, seed, **options):
        from trips.drills.two_processes import drill, make_hands

        if connection.vendor != "postgresql":
            raise CommandError("Several processes share a PostgreSQL: name one in DATABASE_URL.")
        if importlib.util.find_spec("gunicorn") is None:
            raise CommandError("gunicorn isn't installed here.")
        call_command("migrate", interactive=False, verbosity=0)
        refuse_a_record()
        seen = drill(entries, seed=seed, hands=make_hands(f"drill {seed}"))
        self.stdout.write(
            f"{connection.vendor}, 2 processes, 1 killed: {len(seen.acknowledged)} acknowledged in "
            f"{seen.seconds:.0f} s, {seen.lost} lost, {seen.twice} twice, {seen.failed_before} "
            f"requests failed before the kill, {seen.failed_after} after it and were sent again, "
            f"{seen.unsaid} stored but never acknowledged"
        )
        if not seen.is_good or seen.unsaid:
            raise CommandError("What was acknowledged and what is there differ.")
