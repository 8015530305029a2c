"""Compare the storage with the record: bytes without a row, rows without bytes."""

from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import BaseCommand
from django.db import models
from django.utils import timezone

from claims.past import deleted_file_names
from claims.services import jobs
from claims.services.undo import forget_old_files

FOLDERS = ("files", "tracks")
SHOWN = 20


class Command(BaseCommand):
    help = (
        "Name photos, PDFs and tracks that no row points at (left when a process was killed half "
        "way) and rows whose file is missing. --remove deletes the former; stop the site first, "
        "because a file that is just being added has no row yet."
    )

    def add_arguments(self, parser):
        parser.add_argument("--remove", action="store_true", help="delete files without a row")

    def handle(self, *, remove, **options):
        now = timezone.now()
        jobs.forget_old(now)
        removed = forget_old_files(now)
        self.stdout.write(f"{removed} files of rows that were deleted over a month ago removed.")
        named = set(names_in_rows()) | deleted_file_names(now, can_come_back=True)
        stored = set(names_in_storage())
        spare, missing = sorted(stored - named), sorted(set(names_in_rows()) - stored)
        self._tell(f"{len(spare)} files without a row", spare)
        self._tell(f"{len(missing)} rows without their file", missing)
        if remove:
            for name in spare:
                default_storage.delete(name)
            self.stdout.write(f"Removed {len(spare)} files.")

    def _tell(self, title, names):
        self.stdout.write(f"{title}{':' if names else '.'}")
        for name in names[:SHOWN]:
            self.stdout.write(f"  {name}")
        if len(names) > SHOWN:
            self.stdout.write(f"  and {len(names) - SHOWN} more")


def names_in_rows():
    """Every stored name that a row of ours points at."""
    for label in ("claims", "trips", "reports"):
        for model in apps.get_app_config(label).get_models():
            # What the past states name is asked for apart: only the last month's is kept.
            if model.__name__.startswith("Historical"):
                continue
            for field in model._meta.concrete_fields:
                if isinstance(field, models.FileField):
                    yield from model.objects.exclude(**{field.name: ""}).values_list(
                        field.name, flat=True
                    )


def names_in_storage():
    """Every name in the folders that files of a record go to.

    A shared storage knows no folders, only names that begin alike: asking whether a folder
    exists would say no there.
    """
    waiting = list(FOLDERS)
    while waiting:
        folder = waiting.pop()
        try:
            folders, names = default_storage.listdir(folder)
        except FileNotFoundError:
            continue
        waiting += [f"{folder}/{name}" for name in folders]
        yield from (f"{folder}/{name}" for name in names)
