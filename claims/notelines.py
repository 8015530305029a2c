"""Lines of a checklist that come from the party's own notes on a site."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace

from claims.lines import CheckLine
from claims.models import Hole, Site
from claims.rules.ground import FillDue
from claims.rules.words import Outcome
from claims.web import show
from trips.calc.words import marked, say, several

OWN_NOTE = marked("the party's own note on the site")


def line(
    site: Site,
    outcome: Outcome,
    text: str,
    why: str,
    confirm_with: str,
    source: str = "",
    phase: str = "",
) -> CheckLine:
    """A line about a site; stops and questions belong before the plan is made."""
    when = phase or ("plan" if outcome in ("stop", "ask") else "leave")
    return CheckLine(outcome, text, why, source or say(OWN_NOTE), confirm_with, site.pk, phase=when)


def who(site: Site) -> str:
    """Whom to ask about a site, as far as the party knows."""
    if site.contact:
        return site.contact
    if site.land_kind == Site.LandKind.PRIVATE:
        return say("the owner of the land")
    if site.jurisdiction:
        return say("the mining or land office of {jurisdiction}", jurisdiction=site.jurisdiction)
    return say("the mining or land office of the place")


def hole_lines(
    site: Site, holes: list[Hole], day: dt.date, dues: Mapping[int, FillDue] | None = None
) -> list[CheckLine]:
    """Holes that are open here, by when the first is to be filled, and how many elsewhere."""
    here = [hole for hole in holes if hole.site_id == site.pk]
    away = len(holes) - len(here)
    lines = []
    if here:
        oldest = max((day - hole.opened_on).days for hole in here)
        given = [dues[hole.pk] for hole in here if dues and hole.pk in dues]
        first = min(given, key=lambda due: due.day, default=None)
        made = line(
            site,
            "do",
            say("Fill {here} at {site} before you leave.", here=_holes(len(here)), site=site),
            several(
                "The oldest has been open for {n} day.",
                "The oldest has been open for {n} days.",
                oldest,
            ),
            who(site),
            say("the party's own record of holes"),
            "home",
        )
        if first is not None:
            past = say(": that day is past") if first.day < day else ""
            made = replace(
                made,
                due=f"{first.words}, {show.day(first.day)}{past}",
                why=say(
                    "{why} To be filled {words}: {source}.",
                    why=made.why,
                    words=first.words,
                    source=first.source,
                ),
            )
        lines.append(made)
    if away:
        lines.append(
            line(
                site,
                "know",
                say("{capitalize} at other sites.", capitalize=_holes(away).capitalize()),
                say("Filling them in is still to be done."),
                say("your own party"),
                say("the party's own record of holes"),
                "home",
            )
        )
    return lines


def _holes(count: int) -> str:
    return several("{n} open hole", "{n} open holes", count)


def noted_lines(site: Site) -> list[CheckLine]:
    lines = []
    if site.contact:
        lines.append(
            line(
                site,
                "know",
                say("Contact for {site}: {contact}", site=site, contact=site.contact),
                say("Tell them before you come if that is agreed."),
                site.contact,
            )
        )
    if site.hazards:
        lines.append(
            line(
                site,
                "know",
                say("Dangers noted at {site}: {hazards}", site=site, hazards=site.hazards),
                say("Noted by the party; others may be there."),
                say("whoever was there last"),
                phase="creek",
            )
        )
    return lines
