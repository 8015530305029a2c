"""Lines of the checklist about the papers of a site, as their dates stand."""

import datetime as dt

from claims.lines import CheckLine
from claims.models import Paper, Site
from claims.notelines import line, who
from claims.rules.terms import Term
from claims.web import show
from trips.calc.words import say


def paper_lines(site: Site, papers: list[Paper], first: dt.date, last: dt.date) -> list[CheckLine]:
    """What a site's papers ask for on the days of a trip."""
    lines = []
    if not papers and site.land_kind != Site.LandKind.PUBLIC:
        lines.append(
            line(
                site,
                "ask",
                say("No paper is noted for {site}.", site=site),
                say("A claim, permit, licence or consent may be needed."),
                who(site),
                say("the party's own papers"),
            )
        )
    elif site.land_kind == Site.LandKind.PRIVATE and not any(
        paper.kind == Paper.Kind.CONSENT for paper in papers
    ):
        lines.append(
            line(
                site,
                "ask",
                say("No consent of the owner is noted for {site}.", site=site),
                say("It is noted as private land."),
                who(site),
                say("the party's own papers"),
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
                    say("{paper}: from which day does it run?", paper=paper),
                    say("The day of issue isn't noted."),
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
    return say("dates noted from the {get_kind_display}", get_kind_display=paper.get_kind_display())


def _counted(paper: Paper) -> str:
    """What to add to a last day that isn't printed on the paper."""
    end = paper.end
    return say(", counted: {words}", words=end.words) if end.basis == "counted" else ""


def _paper_line(site: Site, paper: Paper, term: Term, twins: list[Paper]) -> CheckLine:
    asked = paper.issuer or who(site)
    source = _printed(paper)
    if term.code in ("not_begun", "ran_out"):
        dates = (
            say("It begins on {issued_on}.", issued_on=show.day(paper.issued_on))
            if term.code == "not_begun"
            else say(
                "Its last day is {last_day}{paper}.",
                last_day=show.day(paper.last_day),
                paper=_counted(paper),
            )
        )
        if twins:
            return line(
                site,
                "know",
                f"{paper}: {term.words}.",
                say(
                    "{dates} {twins} is noted for the same site and covers the day: "
                    "check that it takes its place.",
                    dates=dates,
                    twins=twins[0],
                ),
                asked,
                source,
            )
        return line(
            site,
            "stop",
            say("{paper} doesn't cover the day: {words}.", paper=paper, words=term.words),
            dates,
            asked,
            source,
        )
    if term.code == "no_end":
        return line(
            site,
            "ask",
            say("{paper}: ask until when it holds.", paper=paper),
            say("No end is printed on it, or none is noted."),
            asked,
            source,
        )
    if term.code == "life":
        dates = say("It is noted as being for life.")
    else:
        dates = say(
            "Its last day is {last_day}{paper}.",
            last_day=show.day(paper.last_day),
            paper=_counted(paper),
        )
    if term.code == "runs_out":
        return line(
            site,
            "do",
            say("Renew {paper}: {words}.", paper=paper, words=term.words),
            say(
                "{dates} Renewal is due {renewal_lead_days} days ahead, as set by you.",
                dates=dates,
                renewal_lead_days=paper.renewal_lead_days,
            ),
            asked,
            source,
        )
    return line(
        site,
        "know",
        say("{paper}: {words}. Read its conditions.", paper=paper, words=term.words),
        dates,
        asked,
        source,
    )
