"""What is believed of a site and its spots: before anything here, before the last day, and now."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext

from claims.models import Party, Site
from reports.charts.plots import IntervalRow, interval_plot
from reports.charts.scene import Figure
from reports.decide.belief import Belief
from reports.decide.gammas import GammaMix
from reports.figures.ranking import evidence_words, share_words
from reports.selectors.belief import grounds
from trips.calc.words import say


@dataclass(frozen=True)
class BelievedRow:
    """Colours per litre with the 80 % range; `mg_per_l` in a box is the mean colour's mass × ψ."""

    name: str
    mean: float
    low: float
    high: float
    mg_per_l: float
    evidence: str
    whose: str


@dataclass(frozen=True)
class SiteBelief:
    """Rows of the site as a whole (an untested spot there), then of its tested spots."""

    whole: tuple[BelievedRow, ...]
    spots: tuple[BelievedRow, ...]
    figure: Figure | None
    whose: str
    shared: str


def site_belief(
    party: Party, site: Site, as_of: dt.date, names: Mapping[int, str], days: Iterable[dt.date]
) -> SiteBelief:
    """The belief on a day.

    Args: names: of the site's spots by id; days: on which something was washed here.
    """
    last = max(days, default=None)
    wanted = [as_of] if last is None else [as_of, last - dt.timedelta(days=1)]
    ground, *earlier = grounds(party, *wanted)
    belief, mg = ground.belief, ground.mean_ug / 1000 * ground.psi.mean
    seen = belief.seen_at(site.pk)
    rows = [
        _row(
            gettext("Before anything here"),
            belief.untested_site(),
            mg,
            "",
            gettext("what your other sites say"),
        )
    ]
    whose = share_words(belief.site_shares(site.pk))
    if last is not None:
        before = earlier[0].belief
        if before.seen_at(site.pk).litres:
            rows.append(
                _row(
                    gettext("Before {day} {last:%b %Y}").format(day=last.day, last=last),
                    before.new_spot(site.pk),
                    mg,
                    evidence_words(before.seen_at(site.pk)),
                    share_words(before.site_shares(site.pk)),
                )
            )
        rows.append(_row(gettext("Now"), belief.new_spot(site.pk), mg, evidence_words(seen), whose))
    spots = tuple(sorted(_spots(belief, site, names, mg), key=lambda row: (-row.mean, row.name)))
    region = belief.region
    return SiteBelief(
        whole=tuple(rows),
        spots=spots,
        figure=_figure([*rows, *spots]),
        whose=whose,
        shared=(
            gettext(
                "Over all your sites {mean:.2f} colours per litre; pans vary "
                "{dispersion:.1f} times as much as by chance alone. A box brings "
                "{median:.2f} of what pans foretell"
            ).format(
                mean=region.expected_mean, dispersion=region.dispersion, median=ground.psi.median
            )
            + (
                gettext(", by {spots} of your spots.").format(spots=ground.psi.spots)
                if ground.psi.spots
                else gettext(", to start with.")
            )
        ),
    )


def _spots(belief: Belief, site: Site, names: Mapping[int, str], mg: float):
    for spot_id, name in names.items():
        known = belief.spots.get(spot_id)
        if known is None:
            continue
        yield _row(
            name,
            belief.spot(spot_id),
            mg,
            evidence_words(known.seen),
            share_words(belief.spot_shares(spot_id, site.pk)),
        )


def _row(name: str, mix: GammaMix, mg: float, evidence: str, whose: str) -> BelievedRow:
    mean = mix.mean()
    return BelievedRow(name, mean, mix.quantile(0.1), mix.quantile(0.9), mean * mg, evidence, whose)


def _figure(rows: list[BelievedRow]) -> Figure | None:
    return interval_plot(
        [IntervalRow(row.name, row.low, row.mean, row.high) for row in rows],
        title=gettext("Colours per litre to expect here"),
        desc=gettext(
            "Dot: best guess. Bar: 80 % range. The first rows are for a spot here that nobody "
            "tried, the others for each spot as of now."
        ),
        unit=say("colours per litre"),
        sign=False,
    )
