"""Serve an invented record to look around in. Never touches the person's own."""

from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command

from trips.demo.story import LOG_INS, PASSWORD
from trips.management.commands.start import add_serving_arguments, serve_until_stopped

USERNAME = LOG_INS[0]["username"]


class Command(BaseCommand):
    help = "Make and serve a demo record, in a database file of its own, until you press Ctrl+C."

    def add_arguments(self, parser):
        add_serving_arguments(parser)
        parser.add_argument(
            "--fresh", action="store_true", help="throw away what was changed in the demo before"
        )

    def handle(self, *, port, no_browser, fresh, **options):
        database = demo_database()
        if fresh:
            remove(database)
        self.stdout.write("Loading the demo …")
        self.stdout.flush()
        call_command("migrate", interactive=False, verbosity=0)
        call_command("load_demo", stdout=self.stdout)
        call_command("rebuild", old=True, stdout=self.stdout)
        login = f"Sign in as {USERNAME} with the password {PASSWORD}"
        serve_until_stopped(
            self, port=port, host="127.0.0.1", no_browser=no_browser, lines=(login,)
        )


def demo_database():
    """The demo's own file; refuses to go on with any other database.

    manage.py points the settings at it. A call by another way would fill somebody's own
    record with invented trips.
    """
    database = settings.DATABASES["default"]
    name = Path(str(database["NAME"]))
    is_sqlite = database["ENGINE"] == "django.db.backends.sqlite3"
    if not (settings.DEMO and is_sqlite and name.name == "demo.sqlite3"):
        raise CommandError(
            f"The demo would go into {name}, which is not its own file. "
            "Start it with: python3 manage.py demo"
        )
    return name


def remove(database):
    """Delete the file and what SQLite keeps beside it."""
    for path in [database, *(Path(f"{database}{end}") for end in ("-wal", "-shm"))]:
        path.unlink(missing_ok=True)
