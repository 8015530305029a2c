from django.apps import AppConfig


def _mark(party_id):
    # Imported when first needed: models aren't ready while apps are being loaded.
    from reports.selectors.belief import mark_changed

    mark_changed(party_id)


def _rebuild(party):
    from reports.selectors.belief import rebuild_all

    rebuild_all(party)


class ReportsConfig(AppConfig):
    """The answers over many trips; stores nothing of its own but what is worked out."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "reports"
    verbose_name = "Answers"

    def ready(self):
        from trips import hooks

        if _mark not in hooks.facts_changed:
            hooks.facts_changed.append(_mark)
            hooks.rebuilds.append(_rebuild)
