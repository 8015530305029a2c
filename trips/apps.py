from django.apps import AppConfig


def _rebuild(party):
    # Imported when first needed: the sums behind it are slow to load and not every start runs them.
    from trips.services.derive import rebuild_party

    rebuild_party(party)


class TripsConfig(AppConfig):
    """The work: gear, trips and what happened on them, weigh-ins, gold, prices."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "trips"
    verbose_name = "Trips and gold"

    def ready(self):
        from claims import hooks

        if _rebuild not in hooks.party_changed:
            hooks.party_changed.append(_rebuild)
