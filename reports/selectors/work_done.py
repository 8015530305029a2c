"""What the record shows of the work that duties ask for; registered in `claims.hooks`."""

import datetime as dt
from collections.abc import Sequence

from claims.models import Party
from claims.rules.work import WorkAsked, WorkFound
from reports.figures.renewal_facts import PaperWords
from reports.figures.work_done import work_done
from reports.selectors.renewal import facts_near


def work_found(party: Party, asked: Sequence[WorkAsked], day: dt.date) -> dict[int, WorkFound]:
    """The work of each duty, told on a day; the same queries for any number of duties."""
    every = any(one.sites is None for one in asked)
    wanted = party.sites.all()
    if not every:
        wanted = wanted.filter(pk__in={pk for one in asked for pk in one.sites or ()})
    sites = tuple(wanted.order_by("name", "pk").values_list("pk", "name"))
    words = PaperWords("", "", "", "", "", None, None, "", sites)
    first, last = min(one.first for one in asked), max(one.last for one in asked)
    facts = facts_near(party, words, first, min(last, max(day, first)))
    return {one.key: work_done(facts, one, day) for one in asked}
