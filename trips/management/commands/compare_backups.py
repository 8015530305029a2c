"""Say whether two backups hold the same: the end of a restore drill."""

from pathlib import Path

from django.core.management import BaseCommand, CommandError

from trips.backup import archive
from trips.backup.errors import BackupError

SHOWN = 20


class Command(BaseCommand):
    help = (
        "Compare two backups table by table and file by file, to the last byte; whichever "
        "database each was made from. Ends with an error if they differ."
    )

    def add_arguments(self, parser):
        parser.add_argument("first")
        parser.add_argument("second")

    def handle(self, *, first, second, **options):
        try:
            one, other = (self._parts(Path(name)) for name in (first, second))
        except BackupError as problem:
            raise CommandError(str(problem)) from problem
        odd = sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))
        if odd:
            more = f" and {len(odd) - SHOWN} more" if len(odd) > SHOWN else ""
            raise CommandError(f"They differ in {', '.join(odd[:SHOWN])}{more}.")
        rows = sum(part.rows or 0 for part in one.values())
        files = sum(name.startswith("files/") for name in one)
        self.stdout.write(f"Equal: {rows} rows in {len(one) - files} tables, {files} files.")

    def _parts(self, path):
        return {part.name: part for part in archive.checked(path).parts}
