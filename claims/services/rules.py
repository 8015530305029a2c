"""Own rules, what holds at a site, and uploaded packs; each in one transaction."""

import datetime as dt

from django.db import transaction

from claims.models import OwnRule, PaperCondition, Party, PartyPack, Site, User
from claims.rulebook import said_at
from claims.rules.loader import LoadedPack


@transaction.atomic
def save_site_facts(*, site: Site, values: dict[str, object], by: User, at: dt.datetime) -> Site:
    """Keep answers about a site; an empty one is taken away, an unchanged one keeps its name.

    Answers that no pack of the site asks for any more stay as they are.
    """
    facts = dict(site.rule_facts)
    for key, value in values.items():
        text = "" if value is None else str(value)
        if not text:
            facts.pop(key, None)
        elif facts.get(key, {}).get("value") != text:
            facts[key] = {"value": text, "by": str(by), "on": said_at(at)}
    site.rule_facts = facts
    site.full_clean()
    site.save()
    return site


@transaction.atomic
def save_own_rule(*, rule: OwnRule, condition: PaperCondition | None = None) -> OwnRule:
    """Save an own rule; a condition of a paper that it was made of points at it from then on."""
    rule.full_clean()
    rule.save()
    if condition is not None:
        condition.own_rule = rule
        condition.save()
    return rule


@transaction.atomic
def keep_pack(
    *, party: Party, loaded: LoadedPack, text: str, by: User, at: dt.datetime
) -> PartyPack:
    """Keep an uploaded pack in the place of the party's one of the same id."""
    row = PartyPack.objects.filter(party=party, pack_id=loaded.id).first()
    row = row or PartyPack(party=party, pack_id=loaded.id)
    row.title, row.text, row.sha256 = loaded.pack.pack.title, text, loaded.sha256
    row.added_by, row.added_at = by, at
    row.full_clean()
    row.save()
    return row
