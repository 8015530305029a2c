"""What to settle before going: closed windows, papers, holes, consent, and the usual cautions.

It shows what the party wrote down and whom to ask. No line ever says that going is allowed:
outcomes are stop, do, ask and know. Rows come in as arguments, so any number of sites costs the
same query of `checklist_rows`.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from claims.cautions import WorkFacts, cautions
from claims.lines import CheckLine, worst
from claims.models import Hole, Paper, Party, Site
from claims.notelines import hole_lines, line, noted_lines, who
from claims.paper_lines import paper_lines
from claims.rulebook import OF_BOOK, PlanFacts, RuleBook, book_at_hand
from claims.rulecheck import rule_lines
from claims.rules.ground import FillDue
from claims.rules.terms import first_closed_day, window_words
from claims.web import show
from claims.whole import Part, whole
from trips.calc.words import say

__all__ = [
    "CheckLine",
    "ChecklistRows",
    "WorkFacts",
    "checklist_rows",
    "first_checklist",
    "site_checklists",
    "worst",
]


@dataclass(frozen=True)
class ChecklistRows:
    """A party's papers (with their sites) and every hole that isn't filled or was filled later."""

    papers: tuple[Paper, ...]
    holes: tuple[Hole, ...]
    book: RuleBook


# What the checklists of a party rest on.
OF_CHECKLIST = (*OF_BOOK, Part("papers__sites"), Part("holes", ("site", "spot")))


def checklist_rows(party: Party) -> ChecklistRows:
    """Papers with their sites, holes, and the rules of a party; one query."""
    return rows_at_hand(whole(party, *OF_CHECKLIST))


def rows_at_hand(party: Party) -> ChecklistRows:
    """The same of a party that was fetched with it; no query."""
    return ChecklistRows(tuple(party.papers.all()), tuple(party.holes.all()), book_at_hand(party))


def first_checklist(
    party: Party,
    sites: Iterable[Site],
    day: dt.date,
    *,
    papers: Iterable[Paper],
    holes: Iterable[Hole],
    until: dt.date | None = None,
    facts: WorkFacts | None = None,
    book: RuleBook | None = None,
    plan: PlanFacts | None = None,
    dues: Mapping[int, FillDue] | None = None,
) -> tuple[CheckLine, ...]:
    """Lines of every site in the order given, then the cautions that hold anywhere.

    Args:
        papers: with their sites prefetched.
        holes: of the whole party; those not open on the day are left out here.
        until: last day of the trip; the same day when not given.
        facts: what is known about the work; unknown facts keep their caution.
    """
    sites = tuple(sites)
    by_site = site_checklists(
        sites, day, papers=papers, holes=holes, until=until, book=book, plan=plan, dues=dues
    )
    lines = [line for site in sites for line in by_site[site.pk]]
    lines += cautions(facts or WorkFacts())
    return tuple(lines)


def site_checklists(
    sites: Iterable[Site],
    day: dt.date,
    *,
    papers: Iterable[Paper],
    holes: Iterable[Hole],
    until: dt.date | None = None,
    book: RuleBook | None = None,
    plan: PlanFacts | None = None,
    dues: Mapping[int, FillDue] | None = None,
) -> dict[int, tuple[CheckLine, ...]]:
    """Lines by site id, worst first, for any number of sites; no queries of its own.

    Args:
        book: packs and own rules; without it only the party's own notes are looked at.
        plan: what is known of the work; what isn't asks.
        dues: by when holes are to be filled, by their ids.
    """
    plan = plan or PlanFacts()
    last = max(until or day, day)
    covering: dict[int, list[Paper]] = {}
    for paper in papers:
        for site in paper.sites.all():
            covering.setdefault(site.pk, []).append(paper)
    open_holes = [hole for hole in holes if is_open(hole, day)]
    return {
        site.pk: _in_order(
            [
                *_window_lines(site, day, last),
                *_land_lines(site),
                *paper_lines(site, covering.get(site.pk, []), day, last),
                *hole_lines(site, open_holes, day, dues),
                *noted_lines(site),
                *_rule_lines(book, site, day, last, covering.get(site.pk, []), open_holes, plan),
            ]
        )
        for site in sites
    }


def is_open(hole: Hole, day: dt.date) -> bool:
    """Whether a hole is open at the end of a day."""
    return hole.opened_on <= day and (hole.filled_on is None or hole.filled_on > day)


def _in_order(lines: list[CheckLine]) -> tuple[CheckLine, ...]:
    return tuple(sorted(lines, key=lambda line: line.rank))


def _rule_lines(
    book: RuleBook | None,
    site: Site,
    first: dt.date,
    last: dt.date,
    papers: list[Paper],
    holes: list[Hole],
    plan: PlanFacts,
) -> list[CheckLine]:
    if book is None:
        return []
    return rule_lines(book, site, first, last, papers=papers, holes=holes, plan=plan)


def _window_lines(site: Site, first: dt.date, last: dt.date) -> list[CheckLine]:
    window = window_words(site.closed_from, site.closed_until)
    if not window:
        if site.closed_reason:
            return [
                line(
                    site,
                    "know",
                    say(
                        "{site}: no closed window is noted. Your note: {closed_reason}",
                        site=site,
                        closed_reason=site.closed_reason,
                    ),
                    say("A note of your own; rules change from year to year."),
                    who(site),
                )
            ]
        return [
            line(
                site,
                "ask",
                say("{site}: no closed window is noted. Ask whether there is one.", site=site),
                say("Not noted isn't the same as none."),
                who(site),
            )
        ]
    reason = site.closed_reason or say("No reason is noted.")
    closed = first_closed_day(first, last, site.closed_from, site.closed_until)
    if closed:
        return [
            line(
                site,
                "stop",
                say("{site} is closed on {closed}.", site=site, closed=show.day(closed)),
                say("Closed {window} every year, as noted. {reason}", window=window, reason=reason),
                who(site),
            )
        ]
    return [
        line(
            site,
            "know",
            say("{site} is closed {window}.", site=site, window=window),
            say(
                "{first} is outside this window, as noted. {reason}",
                first=show.day(first),
                reason=reason,
            ),
            who(site),
        )
    ]


def _land_lines(site: Site) -> list[CheckLine]:
    if site.is_retired:
        return [
            line(
                site,
                "ask",
                say("{site} is marked as no longer used. Is it still meant?", site=site),
                say("The party retired it."),
                say("your own party"),
            )
        ]
    if site.land_kind == Site.LandKind.UNKNOWN:
        return [
            line(
                site,
                "ask",
                say("{site}: find out whose land it is and which rules apply.", site=site),
                say("The kind of land isn't known yet."),
                who(site),
            )
        ]
    if site.land_kind == Site.LandKind.PUBLIC and not site.rule_packs:
        return [
            line(
                site,
                "ask",
                say(
                    "{site} is a public area: ask which rules, gear limits and closed days apply.",
                    site=site,
                ),
                say("Open to the public doesn't mean open to digging."),
                who(site),
            )
        ]
    return []
