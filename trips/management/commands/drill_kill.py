"""Kill a writing site again and again; nothing it acknowledged may be lost."""

import os
import tempfile
from pathlib import Path

from django.core.management import BaseCommand, CommandError, call_command
from django.db import connection

SWITCH = "LEDGER_DRILL"


def is_for_drills() -> bool:
    """Whether the database at hand may be filled with rows of no meaning."""
    return os.environ.get(SWITCH) == "1"


class Command(BaseCommand):
    help = (
        "Kill a writing process at random moments and compare. SQLite: in a new file. PostgreSQL: "
        "in the empty database that DATABASE_URL names."
    )

    def add_arguments(self, parser):
        parser.add_argument("--entries", type=int, default=10_000)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument(
            "--longest", type=float, default=0.6, help="seconds that a writer lives at most"
        )

    def handle(self, *, entries, seed, longest, **options):
        from trips.drills.kill import drill

        os.environ[SWITCH] = "1"
        with tempfile.TemporaryDirectory() as folder:
            if connection.vendor == "sqlite":
                _use(Path(folder) / "drill.sqlite3")
            call_command("migrate", interactive=False, verbosity=0)
            refuse_a_record()
            count = drill(entries, seed=seed, mark=f"drill{seed}", longest_s=longest)
            connection.close()
        self.stdout.write(
            f"{connection.vendor}: {count.kills} kills, {count.acknowledged} acknowledged, "
            f"{count.lost} lost, {count.half} half, {count.unsound} unsound, "
            f"{count.unsaid} committed but not yet said"
        )
        if not count.is_good:
            raise CommandError("Something that was acknowledged is not there.")


def _use(path: Path) -> None:
    connection.close()
    connection.settings_dict["NAME"] = str(path)
    os.environ["DATABASE_URL"] = f"sqlite:///{path}"


def refuse_a_record() -> None:
    from claims.models import Party

    if Party.objects.exclude(name__startswith="drill").exists():
        raise CommandError("There is a record in this database. Name an empty one.")
