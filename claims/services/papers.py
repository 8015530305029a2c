"""Papers and their conditions: saved with the sites; calendars and fees follow."""

import datetime as dt
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims import hooks
from claims.models import ConditionMark, Paper, PaperCondition, Site
from claims.rules.conditions import condition_lines

TERM_FACTS = (
    "issued_on",
    "expires_on",
    "term_convention",
    "term_span",
    "term_first_day",
    "cycle_end",
)
FEE_FACTS = ("fee_minor", "currency", "fee_spread", *TERM_FACTS)
CALENDAR_FACTS = (
    "name",
    "number",
    "issuer",
    "renew_from_span",
    "apply_by_span",
    "apply_by_on",
    "renewal_lead_days",
    *TERM_FACTS,
)


def _facts(row, names: Iterable[str]) -> tuple[object, ...]:
    return tuple(getattr(row, name) for name in names)


@transaction.atomic
def save_paper(*, paper: Paper, sites: Iterable[Site], now: dt.datetime) -> Paper:
    """Save a paper with the sites it covers.

    Trips are worked out anew if its fee moves; calendars get a new version if its dates do.
    """
    paper.full_clean()
    wanted = {site.pk for site in sites}
    before, covered = None, set()
    if paper.pk:
        before = Paper.objects.select_for_update().get(pk=paper.pk)
        covered = set(before.sites.values_list("pk", flat=True))
        if _facts(before, CALENDAR_FACTS) != _facts(paper, CALENDAR_FACTS):
            paper.changed_at = now
    else:
        paper.changed_at = now
    paper.save()
    paper.sites.set(wanted)
    fee_known = paper.fee_minor is not None or (before and before.fee_minor is not None)
    moved = before is None or (
        _facts(before, FEE_FACTS) != _facts(paper, FEE_FACTS) or covered != wanted
    )
    if fee_known and moved:
        hooks.tell_party_changed(paper.party)
    return paper


@transaction.atomic
def save_condition(*, condition: PaperCondition) -> PaperCondition:
    """Save one line of a paper's conditions; a new one goes last."""
    if condition.pk is None:
        last = condition.paper.condition_lines.order_by("-position").first()
        condition.position = 1 if last is None else last.position + 1
    condition.full_clean()
    condition.save()
    return condition


@transaction.atomic
def take_apart(*, paper: Paper) -> tuple[PaperCondition, ...]:
    """Make one line of each sentence of the paper's conditions. The text itself stays.

    Raises: ValidationError if there are lines already, or no text.
    """
    Paper.objects.select_for_update().get(pk=paper.pk)
    if paper.condition_lines.exists():
        raise ValidationError(gettext("there are lines already; add the missing one by hand."))
    found = condition_lines(paper.conditions)
    if not found:
        raise ValidationError(gettext("the paper's conditions hold no words yet."))
    rows = [
        PaperCondition(paper=paper, position=place, kind=line.kind, text=line.text)
        for place, line in enumerate(found, start=1)
    ]
    for row in rows:
        row.full_clean()
        row.save()
    return tuple(rows)


@transaction.atomic
def mark_condition(*, mark: ConditionMark) -> ConditionMark:
    """Note how a condition was kept, with its evidence."""
    mark.full_clean()
    mark.save()
    return mark
