"""Bring everything back from one file."""

from pathlib import Path

from django.core.management import BaseCommand, CommandError
from django.utils import timezone

from trips.backup.bring_back import bring_back
from trips.backup.errors import BackupError


class Command(BaseCommand):
    help = "Bring everything back from a file that `backup` made; stop the site first."
    # The tables may not be there yet.
    requires_migrations_checks = False

    def add_arguments(self, parser):
        parser.add_argument("file", help="the backup")
        parser.add_argument(
            "--replace", action="store_true", help="put the record that is here aside"
        )

    def handle(self, *, file, replace, **options):
        try:
            done = bring_back(Path(file), replace=replace, stamp=f"{timezone.now():%Y%m%d-%H%M%S}")
        except BackupError as problem:
            raise CommandError(str(problem)) from problem
        if done.kept_old:
            self.stdout.write(f"What was here before is kept as {done.kept_old}")
        self.stdout.write(f"Brought back: {done.rows} rows, {done.files} files")
