"""The answer of "Where next" at the top of its page: where to go, where else, why, how sure."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, ngettext

from claims.models import Site
from reports.decide.ranking import Per, Ranking
from reports.figures.ranking import PER_WORDS, all_alike, pct, toss_up
from reports.pages.where_card import SiteCard
from trips.calc import digits


@dataclass(frozen=True)
class Answer:
    """What to do in one line, why with how sure, and what else to know before going.

    `to` is the site that the line names first; None where it names none.
    """

    line: str
    why: str
    notes: tuple[str, ...]
    to: Site | None


def answer(
    ranked: Sequence[SiteCard],
    others: Sequence[SiteCard],
    order: Ranking,
    *,
    counted: bool,
    teaches: str,
    currency: str,
    per: Per,
) -> Answer:
    """The answer for a day; every site of the party is in `ranked` or in `others`.

    Args: counted: has any pan or run been counted; teaches: the site that comes first when what a
        visit teaches counts.
    """
    out = _left_out(others)
    if not ranked:
        return _nowhere(others, out)
    if len(ranked) > 1 and all_alike(order):
        line = gettext("Nothing tells your sites apart yet: go where the day suits you.")
        why = gettext("All stand alike. Pans and runs at any of them will tell more.")
        if _loses(ranked[0]):
            why += " " + gettext("None is expected to pay.")
        return Answer(line, why, out, None)
    notes = _settle(ranked[0])
    if teaches and teaches != ranked[0].site.name:
        notes += (gettext("For what a visit teaches, rather {site}.").format(site=teaches),)
    if per == "hour" and _loses(ranked[0]):
        text = gettext(
            "Where nothing pays, a long drive spreads the loss over more hours: look at the net "
            "per trip, too."
        )
        notes += (text,)
    why = _why(ranked[0], order, counted=counted, currency=currency, per=PER_WORDS[per])
    return Answer(_line(ranked, order), why, notes + out, ranked[0].site)


def _line(ranked: Sequence[SiteCard], order: Ranking) -> str:
    first = ranked[0]
    if len(ranked) == 1:
        text = gettext("Go to {first}: nowhere else can be put in order.")
        if _loses(first):
            text = gettext("If you go, go to {first}; it isn't expected to pay.")
        return text.format(first=first.site.name)
    other = ranked[1]
    if _loses(first):
        text = gettext(
            "If you go, go to {first}; if it can't be, to {other}. Neither is expected to pay."
        )
    elif toss_up(order):
        other = _rival(ranked, order)
        text = gettext("Go to {first} or {other}: which is better can't be told yet.")
    elif _loses(other):
        text = gettext("Go to {first}. If it can't be, {other}, though it isn't expected to pay.")
    else:
        text = gettext("Go to {first}; if it can't be, to {other}.")
    return text.format(first=first.site.name, other=other.site.name)


def _rival(ranked: Sequence[SiteCard], order: Ranking) -> SiteCard:
    """The site beside the first that is the best most often."""
    rows = zip(ranked[1:], order.rows[1:], strict=True)
    return max(rows, key=lambda pair: pair[1].best_chance)[0]


def _loses(card: SiteCard) -> bool:
    return card.mean_minor is not None and card.mean_minor <= 0


def _why(first: SiteCard, order: Ranking, *, counted: bool, currency: str, per: str) -> str:
    net = digits.money_range(first.low_minor, first.mean_minor, first.high_minor, currency)
    told = gettext("Expected net there: {best} {per}, 80 % range {low} to {high}.").format(
        best=net.best, per=per, low=net.low, high=net.high
    )
    sites = len(order.rows)
    if sites > 1:
        told += " " + gettext("The best of {sites} with a chance of {chance}.").format(
            sites=sites, chance=pct(order.rows[0].best_chance)
        )
    if not counted:
        told += " " + gettext("No gravel is counted yet, so only the way and the hours speak.")
    return told


def _settle(first: SiteCard) -> tuple[str, ...]:
    """What rules and papers ask for at the first choice."""
    to_do, to_ask = (sum(line.outcome == each for line in first.lines) for each in ("do", "ask"))
    counts = ((gettext("{count} to do"), to_do), (gettext("{count} to ask"), to_ask))
    told = ", ".join(text.format(count=count) for text, count in counts if count)
    return (gettext("Before you go there: {lines}.").format(lines=told),) if told else ()


def _left_out(others: Sequence[SiteCard]) -> tuple[str, ...]:
    """Sites that the checklist stops on that day, and those that can't be put in order."""
    told = []
    stopped = [card.site.name for card in others if card.standing == "stopped"]
    if stopped:
        told.append(gettext("Stopped that day: {sites}.").format(sites=", ".join(stopped)))
    unknown = len(others) - len(stopped)
    if unknown:
        told.append(
            ngettext(
                "{count} site can't be put in order: see below.",
                "{count} sites can't be put in order: see below.",
                unknown,
            ).format(count=unknown)
        )
    return tuple(told)


def _nowhere(others: Sequence[SiteCard], out: tuple[str, ...]) -> Answer:
    lacking = [card for card in others if card.standing != "stopped"]
    if not others:
        line = gettext("Nothing is known yet: note the first site.")
        return Answer(line, gettext("A site, a car, prices and test pans make an order."), (), None)
    if not lacking:
        line = gettext("Nowhere on that day: what is noted stops every site.")
        return Answer(line, gettext("Each site below says why. Another day may be open."), (), None)
    why = gettext("{site}: {reason}").format(site=lacking[0].site.name, reason=lacking[0].needs)
    return Answer(gettext("Nothing can be said yet."), why, out, None)
