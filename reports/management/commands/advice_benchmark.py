"""Is the advice quick enough? Ranking, refit and a page against floors of the same run."""

from contextlib import ExitStack

from django.core.management.base import BaseCommand
from django.db import connection
from django.test import Client
from django.test.utils import setup_test_environment, teardown_test_environment

from claims.models import Party
from reports.benchmark.ranking import DRAWS, against_draws, outings_of, region, timed
from reports.decide.belief import learn
from reports.decide.ranking import rank
from reports.selectors.belief import mark_changed

SITES = 1000


class Command(BaseCommand):
    """Times of the advice as ratios to floors measured in the same run."""

    help = "Ranking, refit and page times as ratios to floors measured in the same run."

    def add_arguments(self, parser):
        parser.add_argument("--sites", type=int, default=SITES)
        parser.add_argument("--page-sites", type=int, default=40)

    def handle(self, *args, **options):
        import numpy as np

        count = options["sites"]
        rng = np.random.default_rng(1)
        spots = region(rng, count)
        fit = timed(lambda: learn(spots), 3)
        belief = learn(spots)
        log_sd = 0.4
        shapes = rng.gamma(2, 2, count).astype("f4")
        draws = np.random.default_rng(2)
        size = (count, DRAWS)
        fill = timed(lambda: draws.standard_gamma(shapes[:, None], size, dtype="f4"))
        self.stdout.write(f"float32 gamma fill of {count} × {DRAWS}: {1000 * fill:.0f} ms = 1")
        for is_tested, words in ((True, "at tested spots"), (False, "at untested spots")):
            outings = outings_of(rng, belief, is_tested)
            ranked = timed(lambda outings=outings: rank(outings, log_sd))
            chance, error, left = against_draws(rng, outings, log_sd)
            self.stdout.write(
                f"ranking of {count} sites {words}: {1000 * ranked:.0f} ms = {ranked / fill:.2f} "
                f"(goal 0.25); P(best) against {DRAWS} draws off by at most {chance:.4f}, "
                f"{error:.1f} standard errors; won by sites left out {left:.4f}"
            )
        self.stdout.write(
            f"refit of {count} sites, {len(spots)} spots: {1000 * fit:.0f} ms = {fit / fill:.2f}"
        )
        self._pages(options["page_sites"])

    def _pages(self, sites: int):
        """The page with a kept belief against the template with as many empty cards."""
        with ExitStack() as undo:
            # A database of its own, so that nobody's record is touched.
            name = connection.settings_dict["NAME"]
            connection.creation.create_test_db(verbosity=0, autoclobber=True)
            undo.callback(connection.creation.destroy_test_db, name, verbosity=0)
            setup_test_environment()  # so that a page tells what its template was given
            undo.callback(teardown_test_environment)
            client = _party_with(sites)
            client.get("/")
            kept = timed(lambda: client.get("/"))
            page = client.get("/").context
            empty = timed(lambda: _template(page))
            bare = timed(lambda: client.get("/trips/"))
            party = Party.objects.get()

            def unkept():
                mark_changed(party.pk)
                client.get("/")

            fresh = timed(unkept)
        self.stdout.write(
            f"Where next, {sites} sites, kept belief: {1000 * kept:.0f} ms; its template alone "
            f"{1000 * empty:.0f} ms = 1, page {kept / empty:.1f} (goal 3); a page of no rows "
            f"{1000 * bare:.0f} ms; after a change {fresh / kept:.1f} × the kept page "
            f"({connection.vendor})"
        )


def _template(context) -> None:
    from django.template.loader import render_to_string

    flat = context.flatten() if hasattr(context, "flatten") else context[0].flatten()
    render_to_string("reports/where_next.html", flat, request=flat.get("request"))


def _party_with(sites: int) -> Client:
    """A party with so many sites, a pan and a run at each."""
    import datetime as dt

    from claims.models import Membership, Site, Spot, User
    from trips.models import Price, Run, TestPan, Trip, TripSite, Vehicle
    from trips.services.derive import rebuild_party

    party = Party.objects.create(name="Benchmark", fuel_price_milli_per_l=1800)
    user = User.objects.create_user(username="benchmark-of-advice")
    Membership.objects.create(party=party, user=user)
    Vehicle.objects.create(party=party, name="Car", sealed_ml_per_100km=8000)
    day = dt.date(2024, 5, 1)
    Price.objects.create(
        party=party, day=day, currency="EUR", amount_micros=3_000_000_000, per_unit="ozt"
    )
    for n in range(sites):
        site = Site.objects.create(
            party=party, name=f"Site {n}", sealed_m=20_000 + n, drive_minutes=30 + n,
            walk_minutes=5,
        )  # fmt: skip
        spot = Spot.objects.create(site=site, name="Bend")
        trip = Trip.objects.create(
            party=party, starts_on=day, ends_on=day, state=Trip.State.WRAPPED_UP
        )
        TripSite.objects.create(trip=trip, site=site, was_visited=True)
        facts = {"party": party, "trip": trip, "spot": spot, "day": day, "coarse": 0, "medium": 1}
        TestPan.objects.create(volume_ml=6000, fine=n % 5, **facts)
        Run.objects.create(volume_ml=100_000, fine=10 + n % 9, **facts)
    rebuild_party(party)
    client = Client()
    client.force_login(user)
    return client
