from django.apps import AppConfig


class ClaimsConfig(AppConfig):
    """The ground and the law: party, site, spot, paper, hole, rule packs."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "claims"
    verbose_name = "Ground and papers"
