"""The process that `drill_kill` and `drill_power` watch: writes entries until it is killed."""

import itertools

from django.core.management import BaseCommand, CommandError
from django.db import transaction

from claims.models import Party, Person
from trips.management.commands.drill_kill import is_for_drills


class Command(BaseCommand):
    help = "Write entries of two rows each and say each one after its commit. For drills only."

    def add_arguments(self, parser):
        parser.add_argument("mark")
        parser.add_argument("--entries", type=int, help="stop by itself after so many")

    def handle(self, *, mark, entries, **options):
        if not is_for_drills():
            raise CommandError(
                "This fills a record with rows; it only runs within drill_kill or drill_power."
            )
        for number in itertools.count() if entries is None else range(entries):
            name = f"{mark} {number}"
            with transaction.atomic():
                party = Party(name=name)
                party.save()
                Person(party=party, name=name).save()
            self.stdout.write(name)
            self.stdout.flush()
