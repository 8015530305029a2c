"""How fast the site is at the size of a long record and of a club, against floors."""

import os
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from statistics import median

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.test import override_settings

from claims.models import Party
from reports.benchmark import measure, shown
from reports.benchmark.alone import kept_alone
from reports.benchmark.club import multiply
from reports.benchmark.imports import imports
from reports.benchmark.pages import FILES, PAGES
from reports.benchmark.ranking import ranked
from reports.benchmark.record import MEMBER, SINGLE, build

PARTS = ("single", "imports", "ranking", "growth", "club", "start")
GROWTH = (1, 10, 100)


class Command(BaseCommand):
    """Prints tables; believe the ratios, a machine is seldom alone."""

    help = (
        "Build a ten-year record and a club of 1,000 parties in a database of its own and print "
        "how long pages, files, imports and ranking take against floors of the same run. "
        "DATABASE_URL says which engine; the database itself is a new one and goes afterwards."
    )

    def add_arguments(self, parser):
        parser.add_argument("parts", nargs="*", metavar="part", help=", ".join(PARTS))
        parser.add_argument("--quick", action="store_true", help="a hundredth of the rows")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--repeats", type=int, default=5)

    def handle(self, *, parts, quick, seed, repeats, **options):
        if unknown := set(parts) - set(PARTS):
            raise CommandError(f"No part {', '.join(sorted(unknown))}. Parts: {', '.join(PARTS)}.")
        self.share, self.seed, self.repeats = (0.01 if quick else 1), seed, repeats
        with _database():
            for part in parts or PARTS:
                getattr(self, f"part_{part}")()

    def part_single(self):
        built = self._build("single", SINGLE.times(self.share))
        self._table("Pages of one person's ten years", shown.pages(built, PAGES, self.repeats))
        self._table("Files of the same record", shown.pages(built, FILES, self.repeats))

    def part_imports(self):
        built = self._build("single", SINGLE.times(self.share))
        lines = max(40, round(2000 * self.share))
        self._table("Imports", shown.imports(imports(built, lines), min(3, self.repeats)))

    def part_ranking(self):
        self._table("Ranking", shown.ranking(ranked(max(20, round(1000 * self.share)))))

    def part_growth(self):
        runs = []
        for factor in GROWTH:
            built = self._build(f"×{factor}", SINGLE.times(self.share * factor / 10))
            runs.append((factor, shown.times_and_queries(built, PAGES, min(3, self.repeats))))
        self._table("Growth of one record", shown.growth(runs))

    def part_club(self):
        built = self._build("member", MEMBER.times(self.share))
        client = measure.sign_in(built.user)  # its session is in the copy, too
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        with kept_alone() as alone:
            begin = time.perf_counter()
            rows = multiply(max(5, round(1000 * self.share)))
            self.stdout.write(
                f"\n{Party.objects.count()} parties, {rows:,} rows in all, put beside one in "
                f"{time.perf_counter() - begin:.0f} s"
            )
            self._table(
                "One party's pages alone and in the club",
                shown.neighbours(client, built.party, alone, PAGES + FILES, self.repeats),
            )

    def part_start(self):
        """`manage.py check` against an empty Python that loads Django."""
        check = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), "check"]
        bare = [sys.executable, "-c", "import django.db.models, django.forms, django.template"]
        # A first start writes the compiled modules, and every later one finds them, also where
        # the environment tells Python not to write any.
        environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
        turns: tuple[list[float], list[float]] = ([], [])
        with tempfile.TemporaryDirectory() as compiled:
            environment["PYTHONPYCACHEPREFIX"] = compiled
            for turn in range(self.repeats + 1):
                for words, times in zip((check, bare), turns, strict=True):
                    seconds = _own_time(words, environment)
                    if turn:
                        times.append(seconds)
        spent = [median(times) for times in turns]
        self.stdout.write(
            f"\nmanage.py check: {spent[0]:.2f} s of its own processor time (budget 0.8 s), "
            f"{spent[0] / spent[1]:.1f} × a Python that loads Django alone"
        )

    def _build(self, name, sizes):
        call_command("flush", interactive=False, verbosity=0)
        begin = time.perf_counter()
        built = build(name, sizes, self.seed)
        self.stdout.write(
            f"\n{sizes} on {connection.vendor} in {time.perf_counter() - begin:.0f} s"
        )
        return built

    def _table(self, title, lines):
        self.stdout.write(f"\n### {title}\n")
        for line in lines:
            self.stdout.write(line)
            self.stdout.flush()


def _own_time(words, environment):
    """Seconds of processor time, which hang less on what else the machine does."""
    # Not on Windows, where the other parts run all the same.
    import resource

    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(words, check=True, capture_output=True, cwd=settings.BASE_DIR, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


@contextmanager
def _database():
    """A database of its own and an empty folder for files; nobody's record is touched."""
    name, test = connection.settings_dict["NAME"], connection.settings_dict["TEST"]
    with tempfile.TemporaryDirectory() as folder, override_settings(MEDIA_ROOT=folder):
        before = test["NAME"]
        if connection.vendor == "sqlite":
            test["NAME"] = str(Path(folder) / "benchmark.sqlite3")
        connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
        try:
            yield
        finally:
            connection.creation.destroy_test_db(name, verbosity=0)
            test["NAME"] = before
