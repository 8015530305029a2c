"""What to settle before going: closed windows, papers, holes, consent, and the usual cautions.

It shows what the party wrote down and whom to ask. No line ever says that going is allowed:
outcomes are stop, do, ask and know. Rows come in as arguments, so any number of sites costs the
same three queries of `checklist_rows`.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from claims.cautions import WorkFacts, cautions
from claims.joined import joined
from claims.lines import CheckLine, worst
from claims.models import Hole, Paper, Party, Site
from claims.notelines import hole_lines, line, noted_lines, who
from claims.rulebook import PlanFacts, RuleBook, party_book
from claims.rulecheck import rule_lines
from claims.rules.ground import FillDue
from claims.rules.terms import Term, first_closed_day, window_words
from claims.web import show

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


def checklist_rows(party: Party) -> ChecklistRows:
    """Papers with their sites, holes, and the rules of a party, in three queries."""
    return ChecklistRows(
        papers=tuple(joined(party.papers.all(), "sites")),
        holes=tuple(party.holes.select_related("site", "spot")),
        book=party_book(party),
    )


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
                *_paper_lines(site, covering.get(site.pk, []), day, last),
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
                    f"{site}: no closed window is noted. Your note: {site.closed_reason}",
                    "A note of your own; rules change from year to year.",
                    who(site),
                )
            ]
        return [
            line(
                site,
                "ask",
                f"{site}: no closed window is noted. Ask whether there is one.",
                "Not noted isn't the same as none.",
                who(site),
            )
        ]
    reason = site.closed_reason or "No reason is noted."
    closed = first_closed_day(first, last, site.closed_from, site.closed_until)
    if closed:
        return [
            line(
                site,
                "stop",
                f"{site} is closed on {show.day(closed)}.",
                f"Closed {window} every year, as noted. {reason}",
                who(site),
            )
        ]
    return [
        line(
            site,
            "know",
            f"{site} is closed {window}.",
            f"{show.day(first)} is outside this window, as noted. {reason}",
            who(site),
        )
    ]


def _land_lines(site: Site) -> list[CheckLine]:
    if site.is_retired:
        return [
            line(
                site,
                "ask",
                f"{site} is marked as no longer used. Is it still meant?",
                "The party retired it.",
                "your own party",
            )
        ]
    if site.land_kind == Site.LandKind.UNKNOWN:
        return [
            line(
                site,
                "ask",
                f"{site}: find out whose land it is and which rules apply.",
                "The kind of land isn't known yet.",
                who(site),
            )
        ]
    if site.land_kind == Site.LandKind.PUBLIC and not site.rule_packs:
        return [
            line(
                site,
                "ask",
                f"{site} is a public area: ask which rules, gear limits and closed days apply.",
                "Open to the public doesn't mean open to digging.",
                who(site),
            )
        ]
    return []


def _paper_lines(site: Site, papers: list[Paper], first: dt.date, last: dt.date) -> list[CheckLine]:
    lines = []
    if not papers and site.land_kind != Site.LandKind.PUBLIC:
        lines.append(
            line(
                site,
                "ask",
                f"No paper is noted for {site}.",
                "A claim, permit, licence or consent may be needed.",
                who(site),
                "the party's own papers",
            )
        )
    elif site.land_kind == Site.LandKind.PRIVATE and not any(
        paper.kind == Paper.Kind.CONSENT for paper in papers
    ):
        lines.append(
            line(
                site,
                "ask",
                f"No consent of the owner is noted for {site}.",
                "It is noted as private land.",
                who(site),
                "the party's own papers",
            )
        )
    terms = [(paper, _term(paper, first, last)) for paper in papers]
    for paper, term in terms:
        twins = [
            other
            for other, its in terms
            if other.pk != paper.pk and other.kind == paper.kind and its.covers
        ]
        lines.append(_paper_line(site, paper, term, twins))
        if term.covers and paper.issued_on is None:
            lines.append(
                line(
                    site,
                    "ask",
                    f"{paper}: from which day does it run?",
                    "The day of issue isn't noted.",
                    paper.issuer or who(site),
                    _printed(paper),
                )
            )
    return lines


def _term(paper: Paper, first: dt.date, last: dt.date) -> Term:
    """The state on the last day, unless the paper hasn't begun on the first."""
    start = paper.term_on(first)
    return start if start.code == "not_begun" or last == first else paper.term_on(last)


def _printed(paper: Paper) -> str:
    return f"dates noted from the {paper.get_kind_display()}"


def _counted(paper: Paper) -> str:
    """What to add to a last day that isn't printed on the paper."""
    end = paper.end
    return f", counted: {end.words}" if end.basis == "counted" else ""


def _paper_line(site: Site, paper: Paper, term: Term, twins: list[Paper]) -> CheckLine:
    asked = paper.issuer or who(site)
    source = _printed(paper)
    if term.code in ("not_begun", "ran_out"):
        dates = (
            f"It begins on {show.day(paper.issued_on)}."
            if term.code == "not_begun"
            else f"Its last day is {show.day(paper.last_day)}{_counted(paper)}."
        )
        if twins:
            return line(
                site,
                "know",
                f"{paper}: {term.words}.",
                f"{dates} {twins[0]} is noted for the same site and covers the day: "
                "check that it takes its place.",
                asked,
                source,
            )
        return line(
            site, "stop", f"{paper} doesn't cover the day: {term.words}.", dates, asked, source
        )
    if term.code == "no_end":
        return line(
            site,
            "ask",
            f"{paper}: ask until when it holds.",
            "No end is printed on it, or none is noted.",
            asked,
            source,
        )
    if term.code == "life":
        dates = "It is noted as being for life."
    else:
        dates = f"Its last day is {show.day(paper.last_day)}{_counted(paper)}."
    if term.code == "runs_out":
        return line(
            site,
            "do",
            f"Renew {paper}: {term.words}.",
            f"{dates} Renewal is due {paper.renewal_lead_days} days ahead, as set by you.",
            asked,
            source,
        )
    return line(site, "know", f"{paper}: {term.words}. Read its conditions.", dates, asked, source)
