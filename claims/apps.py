from django.apps import AppConfig


class ClaimsConfig(AppConfig):
    """The ground and the law: party, site, spot, paper, hole, rule packs."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "claims"
    verbose_name = "Ground and papers"

    def ready(self):
        from django.db.models.signals import post_delete
        from simple_history.signals import pre_create_historical_record

        from claims import checks  # noqa: F401 registers what stops a start with a broken pack
        from claims.models import KeptFile
        from claims.services.changes import mark
        from claims.services.files import remove_bytes_after_commit

        post_delete.connect(
            remove_bytes_after_commit, sender=KeptFile, dispatch_uid="claims_file_bytes"
        )
        pre_create_historical_record.connect(mark, dispatch_uid="claims.changes.mark")
