"""What `trips` hangs into `claims`: rebuilding, pages of files, visits of holes, sound gold."""

from django.apps import AppConfig


def _rebuild(party):
    # Imported when first needed: the sums behind it are slow to load and not every start runs them.
    from trips.services.derive import rebuild_party

    rebuild_party(party)


def _gold_troubles(party):
    from trips.services.brought_back import gold_troubles

    return gold_troubles(party)


def _file_page(file):
    from trips.selectors.files import page_of_file

    return page_of_file(file)


def _visit_ends(party, holes):
    from trips.selectors.hole_visits import visit_ends

    return visit_ends(party, holes)


class TripsConfig(AppConfig):
    """The work: gear, trips and what happened on them, weigh-ins, gold, prices."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "trips"
    verbose_name = "Trips and gold"

    def ready(self):
        from django.db.models.signals import post_delete

        from claims import hooks
        from claims.services import jobs
        from trips import jobs as work
        from trips.models import TripFile
        from trips.services.files import remove_file_of_tie

        jobs.kinds |= {
            "import": work.save_import,
            "whole_record": work.whole_record,
            "bring_in": work.bring_in,
        }
        post_delete.connect(remove_file_of_tie, sender=TripFile, dispatch_uid="trips_file_tie")

        if _gold_troubles not in hooks.troubles:
            hooks.troubles.append(_gold_troubles)
        if _file_page not in hooks.file_pages:
            hooks.file_pages.append(_file_page)
        if _visit_ends not in hooks.visits_of_holes:
            hooks.visits_of_holes.append(_visit_ends)
        if _rebuild not in hooks.party_changed:
            hooks.party_changed.append(_rebuild)
