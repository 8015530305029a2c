"""Make one file of everything, while the site is running."""

from pathlib import Path

from django.core.management import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils import timezone

from trips.backup.errors import BackupError
from trips.backup.make import make


class Command(BaseCommand):
    help = "Write everything (rows, photos, papers) to one file; the site may go on running."

    def add_arguments(self, parser):
        parser.add_argument("file", nargs="?", help="where to; otherwise a dated name here")

    def handle(self, *, file, **options):
        now = timezone.now()
        target = Path(file or f"gravel-ledger-{now:%Y-%m-%d-%H%M%S}.zip").resolve()
        if target.exists():
            raise CommandError(f"{target} is there already; give another name.")
        if not target.parent.is_dir():
            raise CommandError(f"There is no folder {target.parent}.")
        try:
            made = make(target, now=now)
        except (BackupError, DatabaseError, OSError) as problem:
            raise CommandError(f"The backup could not be made: {problem}") from problem
        for name in made.missing:
            self.stderr.write(f"Missing on this site, so also in the backup: {name}")
        self.stdout.write(f"{made.path}: {made.rows} rows, {made.files} files")
