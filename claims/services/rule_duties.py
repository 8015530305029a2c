"""Duties that rules leave for one visit become duties of the party, each only once.

What a person has touched stays as they left it: a duty that was edited by hand or settled, even
in part, is neither changed nor withdrawn when the plan behind it changes.
"""

import datetime as dt
from collections.abc import Iterable

from django.db import transaction

from claims.models import Duty, Paper, Party, Site
from claims.rules.due import DutyDue
from claims.rules.repeats import MOST_YEARS, plain_repeat
from claims.services.duties import save_duty

# Rule kinds → kinds of duty; what isn't named is "other".
KINDS = {
    "report_due": Duty.Kind.REPORT,
    "notice_required": Duty.Kind.REPORT,
    "rehab_duty": Duty.Kind.FILL_IN,
    "claim_maintenance": Duty.Kind.WORK,
    "fee": Duty.Kind.FEE,
    "application_deadline": Duty.Kind.RENEWAL,
}
YEARS_AHEAD = 10
# Behaviour at the creek: lines of the checklist, nothing for a calendar.
AT_THE_CREEK = frozenset({"at_once", "before_next_hole"})
# By when holes are filled hangs on each hole that is dug; without one there is nothing to do.
BY_HOLE = frozenset({"same_day", "before_leaving", "after_end"})
REASON = "made by a rule"


def is_kept(due: DutyDue) -> bool:
    """Whether a duty belongs among the stored ones."""
    if due.about_holes and due.point in BY_HOLE:
        return False
    return due.due_on is not None and due.point not in AT_THE_CREEK


@transaction.atomic
def keep_rule_duties(
    *,
    party: Party,
    site: Site | None,
    visit: str,
    dues: Iterable[DutyDue],
    now: dt.datetime,
    papers: Iterable[Paper] = (),
) -> tuple[Duty, ...]:
    """Make duties of those that have a day; those made before follow the plan.

    Args:
        visit: what the duties are left by, e.g. a trip's uuid; the same visit makes each once.
            A duty of every year is made once for the site, whichever visit came first.
        papers: those that cover the site; one that a rule names is linked.
    Returns: the duties that are new. A duty without a day has to be noted by hand.
    """
    papers = tuple(papers)
    made = []
    for due in _earliest(dues).values():
        owner = f"site-{site.pk}" if site is not None and due.repeats == "yearly" else visit
        key = _key(owner, due)
        old = party.duties.filter(origin_key=key).first()
        if old is not None and (due.repeats == "yearly" or not _is_untouched(old)):
            continue
        duty = old or Duty(party=party, origin_key=key)
        _fill(duty, due, site, papers)
        duty._change_reason = REASON
        save_duty(duty=duty, now=now)
        if old is None:
            made.append(duty)
    return tuple(made)


@transaction.atomic
def withdraw_rule_duties(
    *, party: Party, visit: str, but: Iterable[tuple[str, Iterable[DutyDue]]] = ()
) -> int:
    """Take back the duties of a visit that its rules no longer give; returns how many.

    Args: but: what is still given, by the part of the visit that gives it.
    """
    keep = {_key(part, due) for part, dues in but for due in dues}
    gone = [
        duty
        for duty in party.duties.filter(origin_key__startswith=f"{visit}/")
        if duty.origin_key not in keep and _is_untouched(duty)
    ]
    for duty in gone:
        duty.delete()
    return len(gone)


def _earliest(dues: Iterable[DutyDue]) -> dict[tuple[str, str], DutyDue]:
    """One duty for each rule: a visit of several days may give one with several days."""
    found: dict[tuple[str, str], DutyDue] = {}
    for due in dues:
        if due.due_on is None:
            continue
        other = found.get((due.pack_id, due.key))
        if other is None or (other.due_on is not None and due.due_on < other.due_on):
            found[due.pack_id, due.key] = due
    return found


def _key(owner: str, due: DutyDue) -> str:
    return f"{owner}/{due.pack_id}/{due.key}"[:200]


def _is_untouched(duty: Duty) -> bool:
    last = duty.history.order_by("-history_id").first()
    by_rule = last is not None and last.history_change_reason == REASON
    return by_rule and not duty.settled.exists()


def _fill(duty: Duty, due: DutyDue, site: Site | None, papers: tuple[Paper, ...]) -> None:
    assert due.due_on is not None
    named = [paper for paper in papers if due.paper_code and paper.rule_code == due.paper_code]
    duty.site = site
    duty.paper = named[0] if len(named) == 1 else None
    duty.kind = KINDS.get(due.kind, Duty.Kind.OTHER)
    duty.title = due.text[:160]
    duty.first_due = due.due_on
    duty.repeat = _repeat(due)
    duty.lead_span = f"P{min(due.lead_days, 3660)}D" if due.lead_days else ""
    duty.source = due.source[:300]
    duty.send_to = due.confirm_with[:200]
    duty.notes = due.text if len(due.text) > 160 else ""
    duty.measure, duty.work_amount = Duty.Measure.NONE, None
    if due.work_minor and due.currency == duty.party.currency:
        duty.measure, duty.work_amount = Duty.Measure.MONEY, due.work_minor


def _repeat(due: DutyDue) -> str:
    """Every year for a while, because a rule of law is looked at anew long before that."""
    if due.repeats != "yearly" or due.due_on is None:
        return ""
    years = min(YEARS_AHEAD, MOST_YEARS)
    last = due.due_on.replace(year=due.due_on.year + years, day=min(due.due_on.day, 28))
    return plain_repeat("yearly", due.due_on, last)
