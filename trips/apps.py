from django.apps import AppConfig


class TripsConfig(AppConfig):
    """The work: gear, trips and what happened on them, weigh-ins, gold, prices."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "trips"
    verbose_name = "Trips and gold"
