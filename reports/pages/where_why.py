"""The sentences of "Where next" that say what the order rests on and what would change it."""

import datetime as dt
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from claims.models import Site
from reports.decide.ranking import Outing, Per, Ranking
from reports.decide.scouting import lessons
from reports.figures.outlook import PANS, Outlook, first_at_price
from reports.figures.ranking import PER_WORDS, said, toss_up
from reports.pages.forecast import Record
from trips.calc import local
from trips.calc.floods import kept_since
from trips.calc.gold import Unknown
from trips.calc.returns import seed_from
from trips.calc.words import say


def flood(found: Record, site: Site, last_visit: dt.date | None) -> str:
    """The last flood at a site, and what it leaves of what was seen before."""
    floods = found.floods.get(site.pk, ())
    if not floods:
        return gettext("none on record")
    last = floods[-1]
    size = gettext("size not known")
    if last.return_years is not None:
        size = gettext("about once in {return_years:.0f} years").format(
            return_years=last.return_years
        )
    words = f"{local.day(last.day)}, {size}"
    if last_visit and last_visit < last.day:
        kept = kept_since(floods, last_visit, found.as_of)
        words += gettext(
            "; of what you saw before, {value:.0f} % counts at the spots and "
            "{value_2:.0f} % for the site"
        ).format(value=100 * kept.spot_ratio, value_2=100 * kept.site_ratio)
    return words


def explore(
    outings: list[Outing],
    order: Ranking,
    names: dict[int, str],
    found: Record,
    day: dt.date,
    per: Per,
) -> str:
    """Where the two likeliest can't be told apart: one draw, the same all day long."""
    if not toss_up(order):
        return ""
    import numpy as np

    seed = seed_from([(found.party.pk, day.toordinal()), *((o.site_id, 1) for o in outings)])
    rng = np.random.default_rng(seed)
    nets = []
    for each in outings:
        part = rng.choice(len(each.rate.weights), p=np.array(each.rate.weights))
        drawn = rng.standard_gamma(each.rate.shapes[part]) / each.rate.rates[part]
        hours = each.hours if per == "hour" else 1
        nets.append(((each.gain * drawn - each.cost) / hours, each.site_id))
    pick = names[max(nets)[1]]
    return gettext(
        "The two likeliest can't be told apart, so a visit to either also "
        "teaches. If you like to leave it to chance, weighted by what is "
        "known: {pick} was drawn for this day."
    ).format(pick=pick)


def if_price(
    found: Record, looks: list[Outlook], order: Ranking, names: dict[int, str], per: Per
) -> str:
    """Whether a price of the past year would put another site first."""
    price, years = found.price, found.price_years()
    if isinstance(price, Unknown) or len(years) < 2 or len(order.rows) < 2:
        return ""
    now = float(price.price_per_g)
    told = []
    for word, other in (("lowest", min(years)), ("highest", max(years))):
        first = first_at_price(looks, other / now, per)
        if first is not None and first != order.rows[0].site_id:
            told.append(
                gettext("At the year's {word} price {names} would be first.").format(
                    word=word, names=names[first]
                )
            )
    return " ".join(told) or gettext("No price of the past year would put another site first.")


def thin(found: Record) -> tuple[str, ...]:
    """What is missing that the order would rest on, a sentence each."""
    belief, told = found.ground.belief, []
    seen = [row.seen for row in belief.spots.values()]
    if not belief.is_counted:
        told.append(
            gettext(
                "No pan and no run is counted yet: every site stands at the same guess "
                "of {mean:.2f} colours per litre, so the order is by way and hours "
                "alone."
            ).format(mean=belief.untested_site().mean())
        )
    elif not any(each.colours or each.weighed for each in seen):
        told.append(
            gettext(
                "Every pan so far was counted and none showed "
                "a colour: that is data, and it lowers what is "
                "expected everywhere."
            )
        )
    if not found.trips:
        told.append(gettext("No trip is wrapped up yet: hours, litres and outlay are assumed."))
    if not found.ground.weigh_ins:
        told.append(gettext("Nothing has been weighed: the mass of a colour is a starting value."))
    others = sorted({p.currency for p in found.prices} - {found.its.currency})
    if others:
        told.append(
            gettext(
                "Prices in {others} are not used: this record counts in {currency}, "
                "and nothing is converted."
            ).format(others=", ".join(others), currency=found.its.currency)
        )
    return tuple(told)


@dataclass(frozen=True)
class Taught:
    """The site that comes first when what a visit teaches counts, with the sentence about it."""

    site_id: int
    words: str


def taught(
    found: Record, looks: list[Outlook], order: Ranking, later: int, per: Per
) -> Taught | None:
    """Which site comes first when what a visit teaches counts for the trips to come, if any."""
    if not order.rows or later < 1:
        return None
    belief = found.ground.belief
    ranked = [look.outing for look in looks if look.outing is not None]
    # Twice the site's number for what is known best there, one more for a spot not tried yet.
    options = [replace(each, site_id=2 * each.site_id) for each in ranked] + [
        replace(each, site_id=2 * each.site_id + 1, rate=belief.new_spot(each.site_id))
        for each in ranked
        if belief.best_spot(each.site_id) is not None
    ]
    litres = PANS * found.pan_l / belief.region.dispersion
    best = lessons(options, later=later, litres=litres, per=per)[0]
    site, untried = divmod(best.site_id, 2)
    names = {each.pk: each.name for each in found.sites}
    spot = found.spot_names.get(belief.best_spot(site) or 0, "")
    where = say("at a spot not tried yet") if untried or not spot else say("at {spot}", spot=spot)
    place = f"{names[site]}, {where}"
    trips = (
        gettext("the next trip")
        if later == 1
        else gettext("the next {later} trips").format(later=later)
    )
    if site == order.rows[0].site_id and not untried:
        words = gettext(
            "With what a visit teaches counted for {trips}, {names} stays first."
        ).format(trips=trips, names=names[site])
        return Taught(site, words)
    words = gettext(
        "With what a visit teaches counted for {trips}, go to {place}: it "
        "promises {net} {PER_WORDS} by itself, and what it teaches is worth "
        "{lesson} more."
    ).format(
        trips=trips,
        place=place,
        net=said(best.net, found.its.currency),
        PER_WORDS=PER_WORDS[per],
        lesson=said(best.lesson, found.its.currency),
    )
    return Taught(site, words)
