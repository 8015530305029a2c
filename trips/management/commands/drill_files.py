"""Send hostile files to a running site; each is refused in words, within bounds."""

import os
import sys
import tempfile
from itertools import chain
from pathlib import Path

from django.core.management import BaseCommand, CommandError, call_command
from django.db import connection

from trips.management.commands.drill_kill import SWITCH, _use


class Command(BaseCommand):
    help = (
        "Send files made to hurt through every door of a site of its own, and to `restore`, and "
        "print what is said, and memory and processor time above an empty request. SQLite in a "
        "new file; Linux."
    )

    def add_arguments(self, parser):
        parser.add_argument("--only", default="", help="only doors or files with this word")

    def handle(self, *, only, **options):
        from trips.drills import hostile_backups
        from trips.drills.hostile import MOST_MB, MOST_S, drill
        from trips.drills.hostile_files import all_files

        if not sys.platform.startswith("linux"):
            raise CommandError("This reads what Linux tells of a process's memory.")
        if connection.vendor != "sqlite":
            raise CommandError("This fills a new SQLite file; leave DATABASE_URL out.")
        os.environ[SWITCH] = "1"
        files, backups = (
            [each for each in found if only in f"{each.door} {each.what}"]
            for found in (all_files(), hostile_backups.all_backups())
        )
        wrong = 0
        with tempfile.TemporaryDirectory() as name:
            _use(Path(name) / "drill.sqlite3")
            call_command("migrate", interactive=False, verbosity=0)
            sent = drill(iter(files), Path(name)) if files else iter(())
            for seen in chain(sent, hostile_backups.drill(backups)):
                wrong += not seen.is_good
                self.stdout.write(
                    f"{'' if seen.is_good else 'BAD '}{seen.file.door}: {seen.file.what}: "
                    f"{seen.mb:.0f} MB, {seen.seconds:.1f} s, {seen.status} "
                    f"{seen.words[:160]}"
                )
                self.stdout.flush()
        self.stdout.write(f"{len(files) + len(backups)} files, bounds {MOST_MB} MB and {MOST_S} s")
        if wrong:
            raise CommandError(f"{wrong} of them are not as they should be.")
