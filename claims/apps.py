"""What `claims` sets up: the check of rule packs, the reader's language for sums, pasts."""

from django.apps import AppConfig


class ClaimsConfig(AppConfig):
    """The ground and the law: party, site, spot, paper, hole, rule packs."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "claims"
    verbose_name = "Ground and papers"

    def ready(self):
        from django.db.backends.signals import connection_created
        from django.utils.translation import get_language, gettext, ngettext, override
        from simple_history.signals import pre_create_historical_record

        from claims import checks  # noqa: F401 registers what stops a start with a broken pack
        from claims.services.changes import mark
        from claims.web.folded import add_to_sqlite
        from trips.calc.words import Tongue, speak_with

        speak_with(Tongue(gettext, ngettext, get_language, lambda: override("en")))

        pre_create_historical_record.connect(mark, dispatch_uid="claims.changes.mark")
        connection_created.connect(add_to_sqlite, dispatch_uid="claims.folded")
