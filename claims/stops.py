"""Which sites does a line of their checklist stop, asked for many days in a row?"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable

from claims.checklist import is_open
from claims.models import Hole, Paper, Site
from claims.rulebook import PlanFacts, RuleBook
from claims.rulecheck import evaluation
from claims.rules.evaluate import Kept
from claims.rules.terms import is_closed


class Stops:
    """The same answer as `site_checklists`, without a word of it being made.

    What no day changes (whose papers cover which site, which sites have rules, what rules say that
    look at no day) is found once.
    """

    def __init__(
        self,
        sites: Iterable[Site],
        *,
        papers: Iterable[Paper],
        holes: Iterable[Hole],
        book: RuleBook,
        plan: PlanFacts,
    ) -> None:
        self._sites, self._papers, self._holes = tuple(sites), tuple(papers), tuple(holes)
        self._book, self._plan = book, plan
        self._here: dict[int, list[Paper]] = defaultdict(list)
        for paper in self._papers:
            for site in paper.sites.all():
                self._here[site.pk].append(paper)
        self._ruled = {site.pk for site in self._sites if book.at(site)}
        self._kept: dict[tuple[int, ...], Kept] = defaultdict(Kept)

    def on(self, day: dt.date) -> frozenset[int]:
        """Ids of the sites that are stopped on a day."""
        covers = {paper.pk: paper.term_on(day).covers for paper in self._papers}
        still_open = [hole for hole in self._holes if is_open(hole, day)]
        return frozenset(
            site.pk
            for site in self._sites
            if is_closed(day, site.closed_from, site.closed_until)
            or self._lacks_a_paper(site, covers)
            or (site.pk in self._ruled and self._rules_stop(site, day, still_open))
        )

    def _lacks_a_paper(self, site: Site, covers: dict[int, bool]) -> bool:
        """Whether a paper doesn't cover the day and no other of its kind takes its place."""
        here = self._here[site.pk]
        held = {paper.kind for paper in here if covers[paper.pk]}
        return any(not covers[paper.pk] and paper.kind not in held for paper in here)

    def _rules_stop(self, site: Site, day: dt.date, still_open: list[Hole]) -> bool:
        known = (site.pk, *(hole.pk for hole in still_open if hole.site_id == site.pk))
        found = evaluation(
            self._book,
            site,
            day,
            day,
            papers=self._here[site.pk],
            holes=still_open,
            plan=self._plan,
            kept=self._kept[known],
        )
        return found.worst == "stop"
