from django.core.management.base import BaseCommand

from claims.models import Party
from trips import hooks
from trips.services.derive import rebuild_party


class Command(BaseCommand):
    """Rebuild every derived row of every party."""

    help = "Work out again everything that is derived from facts (shares, trip figures, beliefs)."

    def handle(self, *args, **options):
        for party in Party.objects.order_by("pk"):
            rebuild_party(party)
            for rebuild in hooks.rebuilds:
                rebuild(party)
            self.stdout.write(f"Rebuilt: {party.name}")
