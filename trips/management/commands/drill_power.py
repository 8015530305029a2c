"""Cut the power under a writing site at many moments; nothing it acknowledged may be lost."""

import os
import shutil
import tempfile
from pathlib import Path

from django.core.management import BaseCommand, CommandError, call_command
from django.db import connection

from trips.management.commands.drill_kill import SWITCH, _use


class Command(BaseCommand):
    help = (
        "Replay what a writing process hands to the disk, cut off at random moments, and compare. "
        "SQLite in a new file; needs Linux and strace."
    )

    def add_arguments(self, parser):
        parser.add_argument("--entries", type=int, default=400)
        parser.add_argument("--cuts", type=int, default=400)
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *, entries, cuts, seed, **options):
        from trips.drills.power import Unreadable, drill

        if shutil.which("strace") is None:
            raise CommandError("strace isn't installed here.")
        if connection.vendor != "sqlite":
            raise CommandError(
                "This follows SQLite's files. PostgreSQL keeps an acknowledged commit while fsync, "
                "full_page_writes and synchronous_commit are on."
            )
        os.environ[SWITCH] = "1"
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name).resolve()
            (folder / "site").mkdir()
            database = folder / "site" / "drill.sqlite3"
            _use(database)
            call_command("migrate", interactive=False, verbosity=0)
            connection.close()
            try:
                count = drill(
                    database, entries=entries, cuts=cuts, seed=seed, mark="drill", folder=folder
                )
            except Unreadable as problem:
                raise CommandError(str(problem)) from problem
        self.stdout.write(
            f"sqlite: {count.cuts} cuts, {count.acknowledged} acknowledged, {count.syncs} syncs of "
            f"the log, {count.lost} lost, {count.half} half, {count.unsound} unsound"
        )
        if not count.is_good or count.syncs < count.acknowledged:
            raise CommandError("Something that was acknowledged is not there, or wasn't synced.")
