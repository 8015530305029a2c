"""What is next: duties, renewals, last days of papers and holes to fill, in one order by day."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Q
from django.urls import reverse

from claims import hooks
from claims.hole_rules import fills_of_papers, paper_fills, rule_fills
from claims.models import Duty, Hole, Paper, Party
from claims.rulebook import OF_BOOK, book_at_hand
from claims.rules.duties import (
    State,
    due_words,
    first_up,
    next_due,
    weekend_words,
    work_period,
)
from claims.rules.ground import FillDue, FillRule, fill_due
from claims.rules.repeats import due_days
from claims.rules.spans import days_words, from_iso
from claims.rules.work import WorkAsked, WorkFound
from claims.whole import Part, whole
from trips.calc.words import marked, say

# Templates say the words of the states themselves.
BADGES = {
    marked("late"): "stop",
    marked("due"): "do",
    marked("later"): "know",
    marked("settled"): "know",
    marked("ask"): "ask",
}
# A paper that nobody renewed stays in the list so long after its end.
LONG_OVER_DAYS = 90
# A renewal that somebody made a duty of is due within this time before the paper's end.
RENEWAL_SPAN = dt.timedelta(days=800)


@dataclass(frozen=True)
class Item:
    """One thing that is due; `day` None: it is open, but no day is noted.

    `state` is "ask" where the day has to be asked for. `work` is what the record shows of it.
    """

    day: dt.date | None
    kind: str
    title: str
    about: str
    state: str
    words: str
    url: str
    note: str = ""
    work: "Work | None" = None

    @property
    def badge(self) -> str:
        return BADGES[self.state]

    @property
    def rank(self) -> tuple:
        """Late things, then what has no day, then the rest, each by day."""
        place = 0 if self.state == "late" else 1 if self.day is None else 2
        return (place, self.day or dt.date.max, self.title)


@dataclass(frozen=True)
class Work:
    """Work done against work due for one due day, with the evidence."""

    asked: WorkAsked
    due: int
    found: WorkFound | None

    @property
    def done(self) -> int | None:
        return None if self.found is None else self.found.done

    @property
    def missing(self) -> int | None:
        """How much is still missing, 0 when there is enough; None when that isn't known."""
        return None if self.done is None else max(0, self.due - self.done)


@dataclass(frozen=True)
class Ledger:
    """Everything of a party that has a due day, fetched once; `day` is the day it is told for.

    `fill_rules` are by paper, `rule_fills` and `visit_ends` by hole.
    """

    party: Party
    day: dt.date
    duties: tuple[Duty, ...]
    papers: tuple[Paper, ...]
    holes: tuple[Hole, ...]
    fill_rules: dict[int, tuple[FillRule, ...]] = field(default_factory=dict)
    rule_fills: dict[int, tuple[FillRule, ...]] = field(default_factory=dict)
    visit_ends: dict[int, dt.date] = field(default_factory=dict)


OF_DUTIES = (
    Part("papers"),
    Part("papers__sites"),
    Part("duties", ("site",)),
    Part("duties__settled"),
)
# Each part once, papers before what is theirs; then the holes that are asked for.
_OF_LEDGER = tuple(dict.fromkeys((*OF_BOOK, *OF_DUTIES)))


def ledger(party: Party, day: dt.date, *, filled_since: dt.date | None = None) -> Ledger:
    """Duties, papers and holes of a party; the same two queries at most for any number of rows.

    Args: filled_since: holes filled on or after this day come along; else only open ones.
    """
    still = Q(filled_on=None) | Q(filled_on__gt=day)
    if filled_since is not None:
        still |= Q(filled_on__gte=filled_since)
    its = with_holes(party, Q(opened_on__lte=day) & still)
    return ledger_at_hand(its, day, its.holes.all())


def with_holes(party: Party, only: Q) -> Party:
    """A party with all that has a due day and some of its holes at hand; one query."""
    return whole(party, *_OF_LEDGER, Part("holes", ("site", "spot"), only=only))


def ledger_at_hand(party: Party, day: dt.date, holes: Iterable[Hole]) -> Ledger:
    """The ledger of a party that was fetched with what has a due day, with these of its holes.

    One query at most: when the trips that dug the holes ended, where a rule asks for it.
    """
    papers, holes, book = tuple(party.papers.all()), tuple(holes), book_at_hand(party)
    rules = paper_fills(book, papers)
    fills = rule_fills(holes, papers, book)
    ends = hooks.visit_ends(party, holes) if rules or fills else {}
    return Ledger(
        party=party,
        day=day,
        duties=duties_at_hand(party),
        papers=papers,
        holes=holes,
        fill_rules=rules,
        rule_fills=fills,
        visit_ends=ends,
    )


def duties_at_hand(party: Party) -> tuple[Duty, ...]:
    """The duties of a party that was fetched with them and its papers, each with its paper."""
    by_id = {paper.pk: paper for paper in party.papers.all()}
    duties = tuple(party.duties.all())
    for duty in duties:
        if duty.paper_id is not None:
            duty.paper = by_id[duty.paper_id]
    return duties


def agenda(book: Ledger) -> tuple[Item, ...]:
    """What is next, late things first; settled duties and papers that were followed are left out.

    One more query for each kind of work, not for each duty.
    """
    work = work_of(book.party, [duty for duty in book.duties if duty.measure], book.day)
    items = [item for duty in book.duties if (item := _duty_item(duty, book.day, work))]
    for paper in book.papers:
        items += _paper_items(paper, book)
    items += _hole_items(book)
    return tuple(sorted(items, key=lambda item: item.rank))


def settled_days(duty: Duty, day: dt.date) -> set[dt.date]:
    """The due days that were settled by a day."""
    return {done.due_on for done in duty.settled.all() if done.done_on <= day}


def about_duty(duty: Duty) -> str:
    """Paper and site of a duty in words; empty when it names neither."""
    return ", ".join(str(one) for one in (duty.paper, duty.site) if one is not None)


def _duty_item(duty: Duty, day: dt.date, work: dict[int, Work]) -> Item | None:
    days = due_days(duty.repeat, duty.first_due)
    found = next_due(days, settled_days(duty, day), from_iso(duty.lead_span), day)
    if found.due_on is None:
        return None
    return Item(
        day=found.due_on,
        kind=duty.get_kind_display(),
        title=duty.title,
        about=about_duty(duty),
        state=found.state,
        words=found.words,
        url=reverse("claims:duty_detail", args=[duty.pk]),
        note=weekend_words(found.due_on) if found.state != "later" else "",
        work=work.get(duty.pk),
    )


def work_of(party: Party, duties: list[Duty], day: dt.date) -> dict[int, Work]:
    """Work done against work due, for the next open due day of each of these duties."""
    asked: dict[int, WorkAsked] = {}
    for duty in duties:
        days = due_days(duty.repeat, duty.first_due)
        due_on = next_due(days, settled_days(duty, day), None, day).due_on or days[-1]
        asked[duty.pk] = work_asked(duty, due_on)
    found = hooks.find_work(party, list(asked.values()), day)
    return {
        duty.pk: Work(asked[duty.pk], duty.work_amount or 0, found.get(duty.pk)) for duty in duties
    }


def work_asked(duty: Duty, due_on: dt.date) -> WorkAsked:
    """Which work counts for one due day of a duty."""
    days = due_days(duty.repeat, duty.first_due)
    begins = duty.work_from or (duty.paper.issued_on if duty.paper else None)
    period = work_period(days, due_on, begins, duty.work_year_end)
    sites: frozenset[int] | None = None
    if duty.site_id is not None:
        sites = frozenset({duty.site_id})
    elif duty.paper is not None:
        sites = frozenset(site.pk for site in duty.paper.sites.all())
    return WorkAsked(duty.pk, duty.measure, sites, period.first, period.last, duty.hour_value_minor)


def _paper_items(paper: Paper, book: Ledger) -> list[Item]:
    """When to ask for renewal and when it runs out; nothing once another paper has followed."""
    end = paper.last_day
    if end is None or followed_by(paper, book.papers) is not None:
        return []
    if (book.day - end).days > LONG_OVER_DAYS:
        return []
    url = reverse("claims:paper_detail", args=[paper.pk])
    sites = ", ".join(site.name for site in paper.sites.all())
    remind = end - dt.timedelta(days=paper.renewal_lead_days)
    items = [
        Item(
            day=end,
            kind=say("last day"),
            title=say("{paper} runs out", paper=paper),
            about=sites,
            state=day_state(end, remind, book.day),
            words=_end_words(end, book.day),
            url=url,
            note=""
            if paper.end.basis == "printed"
            else say("Counted: {words}.", words=paper.end.words),
        )
    ]
    apply_by = paper.renewal.apply_by
    if apply_by is not None and not has_renewal_duty(paper, end, book.duties):
        remind = apply_by - dt.timedelta(days=paper.renewal_lead_days)
        state = day_state(apply_by, remind, book.day)
        items.append(
            Item(
                day=apply_by,
                kind="renewal",
                title=say("Ask for the renewal of {paper}", paper=paper),
                about=paper.issuer,
                state=state,
                words=due_words((apply_by - book.day).days),
                url=url,
                note=weekend_words(apply_by) if state != "later" else "",
            )
        )
    return items


def followed_by(paper: Paper, papers: tuple[Paper, ...]) -> Paper | None:
    """A later paper of the same kind, holder and issuer for one of the same sites, if any."""
    end, sites = paper.last_day, {site.pk for site in paper.sites.all()}
    for other in papers:
        if other.pk == paper.pk or _who(other) != _who(paper):
            continue
        shared = any(site.pk in sites for site in other.sites.all())
        if not shared and (sites or other.name != paper.name):
            continue
        its = other.end
        if its.basis == "life" or (
            end is not None and its.last_day is not None and its.last_day > end
        ):
            return other
    return None


def _who(paper: Paper) -> tuple[str, str, str]:
    return (paper.kind, paper.holder.casefold().strip(), paper.issuer.casefold().strip())


def has_renewal_duty(paper: Paper, end: dt.date, duties: tuple[Duty, ...]) -> bool:
    """Whether the party made a duty of asking for the renewal of this term."""
    return any(
        duty.paper_id == paper.pk
        and duty.kind == Duty.Kind.RENEWAL
        and any(end - RENEWAL_SPAN < day <= end for day in due_days(duty.repeat, duty.first_due))
        for duty in duties
    )


def day_state(day: dt.date, remind: dt.date, today: dt.date) -> State:
    if today > day:
        return "late"
    return "due" if today >= remind else "later"


def _end_words(end: dt.date, today: dt.date) -> str:
    left = (end - today).days
    if left < 0:
        return say("ran out {left} ago", left=days_words(-left))
    return say("last day today") if left == 0 else say("in {left}", left=days_words(left))


def hole_due(hole: Hole, book: Ledger) -> FillDue | None:
    """By when a hole is to be filled, by the papers and rules that held when it was dug."""
    rules = [
        *book.rule_fills.get(hole.pk, ()),
        *fills_of_papers(hole, book.papers, book.fill_rules),
    ]
    return fill_due(hole.opened_on, book.visit_ends.get(hole.pk), rules)


def dues_of_holes(party: Party, day: dt.date) -> dict[int, FillDue]:
    """By when each hole open on a day is to be filled, where a condition or a rule says so."""
    return dues_by_hole(ledger(party, day))


def dues_by_hole(book: Ledger) -> dict[int, FillDue]:
    """The same from what was fetched already."""
    found = {hole.pk: hole_due(hole, book) for hole in book.holes}
    return {pk: due for pk, due in found.items() if due is not None}


def _hole_items(book: Ledger) -> list[Item]:
    """One item for the holes of a site that are due on the same day."""
    groups: dict[tuple[int, dt.date | None], list[tuple[Hole, FillDue | None]]] = {}
    for hole in book.holes:
        if hole.filled_on is not None and hole.filled_on <= book.day:
            continue
        due = hole_due(hole, book)
        groups.setdefault((hole.site_id, due.day if due else None), []).append((hole, due))
    return [_hole_item(rows, book.day) for rows in groups.values()]


def _hole_item(rows: list[tuple[Hole, FillDue | None]], today: dt.date) -> Item:
    (hole, due), count = rows[0], len(rows)
    oldest = min(each.opened_on for each, _ in rows)
    title = say("Fill the hole at {spot}", spot=hole.spot or hole.site)
    if count > 1:
        title = say("Fill {count} holes at {site}", count=count, site=hole.site)
    if due is None:
        return Item(
            day=None,
            kind=say("filling in"),
            title=title,
            about=str(hole.site),
            state="ask",
            words=say(
                "open for {days}; no day is noted: ask", days=days_words((today - oldest).days)
            ),
            url=reverse("claims:hole_list"),
            note=say("No condition of a paper and no rule says by when. Note one if there is one."),
        )
    return Item(
        day=due.day,
        kind=say("filling in"),
        title=title,
        about=str(hole.site),
        state="late" if today > due.day else "due",
        words=due_words((due.day - today).days),
        url=reverse("claims:hole_list"),
        note=f"{first_up(due.words)}: {due.source}.",
    )
