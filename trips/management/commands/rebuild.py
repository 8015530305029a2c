"""Work out again what is derived, for every party or for those an older version worked out."""

from django.core.management.base import BaseCommand

from claims.models import Party
from trips import hooks
from trips.services.derive import parties_with_old_sums, rebuild_party


class Command(BaseCommand):
    help = "Work out again everything that is derived from facts (shares, trip figures, beliefs)."

    def add_arguments(self, parser):
        parser.add_argument(
            "--old",
            action="store_true",
            help="only of parties whose rows an older version worked out, as after an update",
        )

    def handle(self, *, old, **options):
        for party in parties_with_old_sums() if old else Party.objects.order_by("pk"):
            rebuild_party(party)
            for rebuild in hooks.rebuilds:
                rebuild(party)
            self.stdout.write(f"Rebuilt: {party.name}")
