"""Write the files of the demo anew from its seed."""

from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand


class Command(BaseCommand):
    help = "Write the demo's files anew from their seed; the result is the same every time."
    requires_system_checks = []  # touches neither pages nor database

    def add_arguments(self, parser):
        parser.add_argument(
            "--into",
            type=Path,
            default=settings.BASE_DIR / "fixtures_demo",
            help="folder to write to; otherwise fixtures_demo",
        )

    def handle(self, *, into, **options):
        from trips.demo.build import build

        into.mkdir(parents=True, exist_ok=True)
        files = build()
        for name, text in files.items():
            (into / name).write_text(text, encoding="utf-8", newline="\n")
        self.stdout.write(f"Wrote {len(files)} files to {into}.")
