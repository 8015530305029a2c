"""What a party's samples say of its ground on a day, kept and fitted anew only when they change."""

import datetime as dt
import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from operator import or_

from django.db import transaction
from django.db.models import F, Q, QuerySet

from claims.models import Party
from reports.decide.belief import Belief, learn
from reports.decide.colour_mass import ColourMass
from reports.decide.evidence import (
    BoxAgainstPans,
    Discount,
    Spot,
    Transfer,
    Washed,
    transfer_factor,
)
from reports.decide.stored import colours_from_plain, colours_to_plain, from_plain, to_plain
from reports.models import BeliefMark, DerivedBelief
from reports.selectors.colour_mass import evidence, learned_from, party_colour_mass
from reports.selectors.pace import NO_PACE, Pace, days_of, pace_of
from reports.selectors.pace import from_plain as from_plain_pace
from reports.selectors.pace import to_plain as to_plain_pace
from trips.calc.counts import ClassCounts
from trips.calc.floods import FloodEffect, kept_since
from trips.models import Flood, Run, TestPan, Trip
from trips.models.field import Layer
from trips.selectors.floods import floods_by_site
from trips.selectors.masses import class_masses

BELIEF_VERSION = 5  # raise when the same samples would give another belief
KEPT = (
    40  # rows a party: looking back through a season keeps them all, a curious reader can't flood
)
EVER = dt.date.min


@dataclass(frozen=True)
class Sample:
    """One counted pan or run as it lies in the record; `volume_ml` None is not known."""

    spot_id: int
    site_id: int
    day: dt.date
    is_box: bool
    volume_ml: int | None
    coarse: int | None
    medium: int | None
    fine: int | None
    share_ug: int | None = None
    weighed_on: dt.date | None = None

    def known_by(self, day: dt.date) -> "Sample":
        """The same without a weight that came later."""
        if self.weighed_on is None or self.weighed_on <= day:
            return self
        return replace(self, share_ug=None, weighed_on=None)


@dataclass(frozen=True)
class Ground:
    """All that a forecast rests on: belief in colours, ψ in mass, what colours weigh, pace.

    `mean_ug` is the mean colour's mass, with `mean_cv` doubt about it and `colour_cv` from colour
    to colour.
    """

    belief: Belief
    psi: Transfer
    colours: ColourMass
    weigh_ins: int
    pace: Pace

    @property
    def mean_ug(self) -> float:
        return self.colours.mean.mean_ug

    @property
    def mean_cv(self) -> float:
        return self.colours.mean.mean_cv

    @property
    def colour_cv(self) -> float:
        return self.colours.mean.colour_cv


def party_belief(party: Party, as_of: dt.date) -> Belief:
    """The belief from every sample up to `as_of`; one query when it is kept already."""
    return party_ground(party, as_of).belief


def party_ground(party: Party, as_of: dt.date) -> Ground:
    """Belief, ψ, colours and pace from all up to `as_of`; one query when they are kept already.

    Overburden is left out: nobody feeds it to a box.
    """
    (ground,) = grounds(party, as_of)
    return ground


def grounds(party: Party, *days: dt.date) -> tuple[Ground, ...]:
    """The same for several days; one query for those that are kept already."""
    kept = list(_kept(party, *days))
    found = []
    for day in days:
        row = next((row for row in kept if row.holds(day)), None)
        found.append(_read(row.content) if row else rebuild_ground(party, day))
    return tuple(found)


def party_colours(party: Party, as_of: dt.date) -> ColourMass:
    """What colours weigh; one query when it is kept, else learned without fitting a belief."""
    plain = _kept(party, as_of).values_list("content__colours", flat=True).first()
    return colours_from_plain(plain) if plain else party_colour_mass(party, as_of)


def _kept(party: Party, *days: dt.date) -> QuerySet[DerivedBelief]:
    """What is kept for any of these days and still holds."""
    on_a_day = [
        Q(first_day__lte=day) & (Q(next_day__isnull=True) | Q(next_day__gt=day)) for day in days
    ]
    return DerivedBelief.objects.filter(
        reduce(or_, on_a_day),
        party=party,
        sum_version=BELIEF_VERSION,
        changes=F("party__belief_mark__changes"),
    )


def rebuild_ground(party: Party, as_of: dt.date) -> Ground:
    """Work it out from the samples and keep it. The only writer of the table.

    The count of changes is read before the samples: a change in between leaves a row that shows
    as old, never an old belief that shows as new.
    """
    mark, _ = BeliefMark.objects.get_or_create(party=party)
    samples, floods = all_samples(party), floods_by_site(party, as_of)
    weighed, pace = evidence(party, as_of), pace_of(party, as_of)
    days = days_of(party)
    days |= {sample.weighed_on for sample in samples if sample.weighed_on}
    days |= set(Flood.objects.filter(party=party).values_list("day", flat=True))
    days |= set(party.weigh_ins.values_list("weighed_on", flat=True))
    samples = [sample.known_by(as_of) for sample in samples if sample.day <= as_of]
    basis = (BELIEF_VERSION, samples, sorted(floods.items()), weighed, class_masses(party))
    digest = hashlib.sha256(repr(basis).encode()).hexdigest()
    same = DerivedBelief.objects.filter(party=party, digest=digest).first()
    # Pace has no part in the fit, so that hours noted don't ask for a new one.
    content = (
        same.content | {"pace": to_plain_pace(pace)}
        if same
        else _plain(ground_from(party, samples, floods, weighed, as_of, pace))
    )
    with transaction.atomic():
        DerivedBelief.objects.update_or_create(
            party=party,
            first_day=max((day for day in days if day <= as_of), default=EVER),
            defaults={
                "changes": mark.changes,
                "next_day": min((day for day in days if day > as_of), default=None),
                "digest": digest,
                "content": content,
                "sum_version": BELIEF_VERSION,
            },
        )
        rows = DerivedBelief.objects.filter(party=party).order_by("-pk")
        DerivedBelief.objects.filter(pk__in=list(rows.values_list("pk", flat=True)[KEPT:])).delete()
    return _read(content)


def ground_from(
    party: Party, samples, floods, weighed, as_of: dt.date, pace: Pace = NO_PACE
) -> Ground:
    """The same from rows at hand; no query."""
    colours = learned_from(party, weighed)
    mean_ug = colours.mean.mean_ug
    belief = learn(spots_of(samples, floods, mean_ug, as_of))
    return Ground(
        belief,
        transfer_factor(_weighed_against_pans(belief, samples, mean_ug)),
        colours,
        len(weighed.rows),
        pace,
    )


def _weighed_against_pans(
    belief: Belief, samples: Sequence[Sample], mean_ug: float
) -> list[BoxAgainstPans]:
    """Each spot's weighed runs against what its pans foretold for the same litres, in µg."""
    sums: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for sample in samples:
        if sample.is_box and sample.share_ug is not None and sample.volume_ml:
            sums[sample.spot_id][0] += sample.share_ug
            sums[sample.spot_id][1] += sample.volume_ml / 1000
    rows = []
    for spot_id, (brought, litres) in sorted(sums.items()):
        spot = belief.spots.get(spot_id)
        if spot is not None and spot.pan_rate is not None:
            foretold = spot.pan_rate * litres * mean_ug
            rows.append(BoxAgainstPans(brought, foretold, spot.seen.colours))
    return rows


def _plain(ground: Ground) -> dict:
    psi = ground.psi
    return {
        "belief": to_plain(ground.belief),
        "psi": [psi.median, psi.log_sd, psi.spots],
        "colours": colours_to_plain(ground.colours),
        "weigh_ins": ground.weigh_ins,
        "pace": to_plain_pace(ground.pace),
    }


def _read(plain: dict) -> Ground:
    return Ground(
        from_plain(plain["belief"]),
        Transfer(*plain["psi"]),
        colours_from_plain(plain["colours"]),
        plain["weigh_ins"],
        from_plain_pace(plain["pace"]),
    )


def mark_changed(party_id: int) -> None:
    """Every kept belief of a party is old from now on; runs in the transaction of the change."""
    BeliefMark.objects.filter(party_id=party_id).update(changes=F("changes") + 1)


def rebuild_all(party: Party) -> None:
    """The belief from everything on record, fitted anew whether or not its samples changed."""
    DerivedBelief.objects.filter(party=party).delete()
    rebuild_ground(party, dt.date.max)


def all_samples(party: Party) -> list[Sample]:
    """Pans and runs of every trip that wasn't called off, in a stable order; two queries."""
    columns = ("spot_id", "spot__site_id", "day", "volume_ml", "coarse", "medium", "fine")
    weight = ("derived_share__mass_ug", "weigh_in__weighed_on")
    found = []
    for model, is_box in ((TestPan, False), (Run, True)):
        rows = (
            model.objects.filter(party=party)
            .exclude(layer=Layer.OVERBURDEN)
            .exclude(trip__state=Trip.State.CALLED_OFF)
            .order_by("day", "pk")
            .values_list(*columns, *(weight if is_box else ()))
        )
        found += [Sample(spot, site, day, is_box, *rest) for spot, site, day, *rest in rows]
    return found


def spots_of(
    samples: Iterable[Sample],
    floods: Mapping[int, Sequence[FloodEffect]],
    mean_ug: float,
    as_of: dt.date,
) -> list[Spot]:
    """Samples by spot, older ones discounted by the floods that came over their site since.

    Args: mean_ug: mass of a mean colour, which turns a weight into colours.
    """
    discounts: dict[tuple[int, dt.date], Discount] = {}
    washed: dict[tuple[int, int], list[Washed]] = defaultdict(list)
    for sample in samples:
        key = (sample.site_id, sample.day)
        if key not in discounts:
            kept = kept_since(floods.get(sample.site_id, ()), sample.day, as_of)
            discounts[key] = Discount(kept.spot_ratio, kept.site_ratio)
        washed[sample.site_id, sample.spot_id].append(
            Washed(
                ClassCounts(sample.coarse, sample.medium, sample.fine),
                (sample.volume_ml or 0) / 1000,
                sample.is_box,
                discounts[key],
                None if sample.share_ug is None else sample.share_ug / mean_ug,
            )
        )
    return [Spot(spot, site, tuple(its)) for (site, spot), its in sorted(washed.items())]
