"""What `reports` hangs into the layers below it: beliefs that grow old, parts of their pages."""

from django.apps import AppConfig


def _mark(party_id):
    # Imported when first needed: models aren't ready while apps are being loaded.
    from reports.selectors.belief import mark_changed

    mark_changed(party_id)


def _mark_by_row(sender, instance, **_):
    """A flood, a gauge or the sites it reaches changed; from whichever side."""
    _mark(instance.party_id)


def _rebuild(party):
    from reports.selectors.belief import rebuild_all

    rebuild_all(party)


def _creek(request, page):
    # Imported when first needed, as above.
    from reports.pages.creek_part import creek_part

    return creek_part(request, page)


def _onward(trip, day):
    from reports.pages.field_tables import onward_triggers
    from reports.selectors.creek import creek_facts

    return onward_triggers(creek_facts(trip.party, trip, day))


def _work_found(party, asked, day):
    from reports.selectors.work_done import work_found

    return work_found(party, asked, day)


class ReportsConfig(AppConfig):
    """The answers over many trips; stores nothing of its own but what is worked out."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "reports"
    verbose_name = "Answers"

    def ready(self):
        from django.db.models.signals import m2m_changed, post_delete, post_save

        from claims import hooks as claim_hooks
        from claims.services import jobs
        from reports import jobs as work
        from trips import hooks
        from trips.models import Flood, Gauge

        jobs.kinds |= {"renewal": work.renewal, "tables": work.tables}
        for sender in (Flood, Gauge):
            post_save.connect(_mark_by_row, sender, dispatch_uid=f"belief {sender.__name__}")
            post_delete.connect(_mark_by_row, sender, dispatch_uid=f"no belief {sender.__name__}")
        m2m_changed.connect(_mark_by_row, Gauge.sites.through, dispatch_uid="belief reach")

        if _mark not in hooks.facts_changed:
            hooks.facts_changed.append(_mark)
            hooks.rebuilds.append(_rebuild)
            hooks.trip_page_parts.append(_creek)
            hooks.onward.append(_onward)
        if _work_found not in claim_hooks.work_found:
            claim_hooks.work_found.append(_work_found)
