"""Duties that rules leave for one visit become duties of the party, each only once."""

import datetime as dt
from collections.abc import Iterable

from django.db import transaction

from claims.models import Duty, Party, Site
from claims.rules.due import DutyDue
from claims.rules.repeats import MOST_YEARS, plain_repeat

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


@transaction.atomic
def keep_rule_duties(
    *, party: Party, site: Site | None, visit: str, dues: Iterable[DutyDue], now: dt.datetime
) -> tuple[Duty, ...]:
    """Make duties of those that have a day; those made before stay as they are.

    Args:
        visit: what the duties are left by, e.g. a trip's uuid; the same visit makes each once.
    Returns: the duties that are new. A duty without a day has to be noted by hand.
    """
    made = []
    for due in dues:
        if due.due_on is None:
            continue
        key = f"{visit}/{due.pack_id}/{due.key}"[:200]
        if party.duties.filter(origin_key=key).exists():
            continue
        duty = Duty(
            party=party,
            site=site,
            kind=KINDS.get(due.kind, Duty.Kind.OTHER),
            title=due.text[:160],
            first_due=due.due_on,
            repeat=_repeat(due),
            lead_span=f"P{min(due.lead_days, 3660)}D" if due.lead_days else "",
            source=due.source[:300],
            send_to=due.confirm_with[:200],
            notes=due.text if len(due.text) > 160 else "",
            origin_key=key,
            changed_at=now,
        )
        if due.work_minor and due.currency == party.currency:
            duty.measure, duty.work_amount = Duty.Measure.MONEY, due.work_minor
        duty.full_clean()
        duty.save()
        made.append(duty)
    return tuple(made)


def _repeat(due: DutyDue) -> str:
    """Every year for a while, because a rule of law is looked at anew long before that."""
    if due.repeats != "yearly" or due.due_on is None:
        return ""
    years = min(YEARS_AHEAD, MOST_YEARS)
    last = due.due_on.replace(year=due.due_on.year + years, day=min(due.due_on.day, 28))
    return plain_repeat("yearly", due.due_on, last)
