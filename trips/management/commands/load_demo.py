"""Load the invented record of the demo into this database."""

from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from claims.models import Party, User
from trips.demo.story import AS_OF, LOG_INS, PARTY_NAME, PASSWORD

USERNAMES = [entry["username"] for entry in LOG_INS]


class Command(BaseCommand):
    help = "Load the invented record of the demo; a second time changes nothing."

    def add_arguments(self, parser):
        parser.add_argument(
            "--from",
            dest="folder",
            type=Path,
            default=settings.BASE_DIR / "fixtures_demo",
            help="folder with the demo's files; otherwise fixtures_demo",
        )
        parser.add_argument(
            "--into-this-database",
            action="store_true",
            help="load it even if this database holds another record; everybody may know the "
            "demo's password",
        )

    def handle(self, *, folder, into_this_database, **options):
        from trips.demo.load import load
        from trips.demo.shelf import DemoFileError

        refuse_somebodys_log_in()
        if not (settings.DEMO or into_this_database):
            refuse_another_record()
        try:
            counts = load(folder)
        except (DemoFileError, OSError) as problem:
            raise CommandError(f"The demo was not loaded. {problem}") from problem
        said = ", ".join(f"{number} {kind}" for kind, number in counts.items())
        who = ", ".join(f"{entry['username']} ({entry['role']})" for entry in LOG_INS)
        self.stdout.write(f"{PARTY_NAME}: {said}.")
        self.stdout.write(f"Log-ins: {who}; password {PASSWORD}.")
        told = f"The demo is told for {AS_OF}"
        if settings.TOLD_FOR != AS_OF:
            told += f": add ?as_of={AS_OF} to an address"
        self.stdout.write(f"{told}.")


def refuse_another_record():
    """The demo and somebody's own record must not share a database."""
    party = Party.objects.exclude(name=PARTY_NAME).first()
    user = User.objects.exclude(username__in=USERNAMES).first()
    if party or user:
        what = f"the party “{party.name}”" if party else f"the log-in “{user.username}”"
        raise CommandError(
            f"This database holds {what}, which isn't the demo's. Nothing was loaded, so that the "
            "demo and your own record don't mix. To see the demo in a file of its own: "
            "python3 manage.py demo"
        )


def refuse_somebodys_log_in():
    """A log-in of the same name that isn't the demo's must not get a known password."""
    theirs = User.objects.filter(username__in=USERNAMES).exclude(
        memberships__party__name=PARTY_NAME
    )
    if taken := theirs.first():
        raise CommandError(
            f"The log-in “{taken.username}” exists and isn't the demo's. Nothing was loaded."
        )
