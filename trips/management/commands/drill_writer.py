"""The process that `drill_kill` kills: writes entries until it is."""

import itertools

from django.core.management import BaseCommand, CommandError
from django.db import transaction

from claims.models import Party, Person
from trips.management.commands.drill_kill import is_for_drills


class Command(BaseCommand):
    help = "Write entries of two rows each and say each one after its commit. For drill_kill only."

    def add_arguments(self, parser):
        parser.add_argument("mark")

    def handle(self, *, mark, **options):
        if not is_for_drills():
            raise CommandError("This fills a record with rows; it only runs within drill_kill.")
        for number in itertools.count():
            name = f"{mark} {number}"
            with transaction.atomic():
                party = Party(name=name)
                party.save()
                Person(party=party, name=name).save()
            self.stdout.write(name)
            self.stdout.flush()
