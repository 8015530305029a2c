"""What can be compared: sites, spots and layers, each with its counted pans and its belief."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from django.db.models import Count, Q, Sum, Value
from django.db.models.functions import Coalesce

from claims.models import Party, Spot
from reports.decide.belief import Belief
from reports.decide.comparing import site_gamma, with_counts
from reports.decide.gammas import GammaMix
from trips.calc.counts import CLASSES
from trips.models import TestPan, Trip
from trips.models.field import Layer

Kind = Literal["site", "spot", "layer"]
UNSAID = [Q(**{f"{name}__isnull": True}) for name in CLASSES]
NOT_COUNTED, PARTLY = UNSAID[0] & UNSAID[1] & UNSAID[2], UNSAID[0] | UNSAID[1] | UNSAID[2]


@dataclass(frozen=True)
class Counted:
    """Plain colours and litres of counted pans; others are only numbered."""

    pans: int = 0
    colours: int = 0
    ml: int = 0
    not_counted: int = 0
    partly: int = 0

    @property
    def litres(self) -> float:
        return self.ml / 1000


@dataclass(frozen=True)
class Thing:
    """One side of a comparison; `key` stands in the address."""

    key: str
    kind: Kind
    site_id: int
    spot_id: int | None
    layer: str
    name: str
    counted: Counted

    def mix(self, belief: Belief) -> GammaMix:
        """Colours per litre: a site's mean, a spot, or a layer as a new spot with its own pans."""
        if self.kind == "site":
            return site_gamma(belief.site_points(self.site_id))
        if self.kind == "layer":
            return with_counts(
                belief.new_spot(self.site_id),
                self.counted.colours,
                self.counted.litres,
                belief.region.dispersion,
            )
        if self.spot_id in belief.spots:
            return belief.spot(self.spot_id)
        return belief.new_spot(self.site_id)


@dataclass(frozen=True)
class Things:
    """Everything that may be chosen, by heading."""

    sites: list[Thing] = field(default_factory=list)
    spots: list[Thing] = field(default_factory=list)
    layers: list[Thing] = field(default_factory=list)

    def find(self, key: str) -> Thing | None:
        every = (*self.sites, *self.spots, *self.layers)
        return next((thing for thing in every if thing.key == key), None)


def things(party: Party, until: dt.date) -> Things:
    """Sites and spots of the party, and the layers that pans were taken from; two queries."""
    by_spot: dict[int, dict[str, Counted]] = defaultdict(dict)
    for spot_id, layer, *sums in _counted(party, until):
        by_spot[spot_id][layer] = Counted(*(each or 0 for each in sums))
    spots = Spot.objects.filter(site__party=party).select_related("site")
    found = Things()
    of_site: dict[int, Counted] = defaultdict(Counted)
    names: dict[int, str] = {}
    for spot in spots.order_by("site__name", "site_id", "name", "pk"):
        place = f"{spot.site.name}: {spot.name}"
        names[spot.site_id] = spot.site.name
        layers = by_spot[spot.pk]
        # Belief leaves overburden out, because nobody feeds it to a box; so do these.
        whole = _sum(its for layer, its in layers.items() if layer != Layer.OVERBURDEN)
        of_site[spot.site_id] = _sum([of_site[spot.site_id], whole])
        found.spots.append(
            Thing(f"spot-{spot.pk}", "spot", spot.site_id, spot.pk, "", place, whole)
        )
        for layer, its in sorted(layers.items()):
            name = f"{place}, {Layer(layer).label}"
            key = f"layer-{spot.pk}-{layer}"
            found.layers.append(Thing(key, "layer", spot.site_id, spot.pk, layer, name, its))
    found.sites.extend(
        Thing(f"site-{pk}", "site", pk, None, "", name, of_site[pk]) for pk, name in names.items()
    )
    return found


def _counted(party: Party, until: dt.date) -> Iterable[tuple]:
    """Spot, layer and the sums of `Counted` in its order, one row for each of both; one query."""
    pans = TestPan.objects.filter(party=party, day__lte=until)
    coarse, medium, fine = (Coalesce(name, Value(0)) for name in CLASSES)
    return (
        pans.exclude(trip__state=Trip.State.CALLED_OFF)
        .order_by()
        .values_list("spot_id", "layer")
        .annotate(
            pans=Count("pk", filter=~NOT_COUNTED),
            colours=Sum(coarse + medium + fine, filter=~NOT_COUNTED),
            ml=Sum("volume_ml", filter=~NOT_COUNTED),
            uncounted=Count("pk", filter=NOT_COUNTED),
            partly=Count("pk", filter=~NOT_COUNTED & PARTLY),
        )
    )


def _sum(parts) -> Counted:
    total = Counted()
    for part in parts:
        total = Counted(
            total.pans + part.pans,
            total.colours + part.colours,
            total.ml + part.ml,
            total.not_counted + part.not_counted,
            total.partly + part.partly,
        )
    return total
