"""By when rules want each hole filled: those of its site, as they held when it was dug.

A rule that hangs on what isn't known here, such as the gear of that day, sets no day: a day is
only given where the rule certainly speaks.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from claims.models import Hole, Paper, Party
from claims.rulebook import PlanFacts, RuleBook, rule_book
from claims.rulecheck import situation_of
from claims.rules.due import DutyDue
from claims.rules.effects import Duty
from claims.rules.evaluate import evaluate
from claims.rules.ground import FillRule
from claims.rules.schema import Pack
from claims.rules.spans import from_iso


def rule_fills(
    party: Party, holes: Sequence[Hole], papers: Iterable[Paper]
) -> dict[int, tuple[FillRule, ...]]:
    """What rules say about filling each hole, by its id; at most two queries.

    Args:
        holes: with their sites.
        papers: with their sites prefetched.
    """
    if not holes:
        return {}
    chosen = any(hole.site.rule_packs for hole in holes)
    book = rule_book(party.packs.all() if chosen else (), party.own_rules.all(), party.name)
    papers = tuple(papers)
    seen: dict[tuple, tuple[FillRule, ...]] = {}
    found = {}
    for hole in holes:
        key = (hole.site_id, hole.opened_on)
        if key not in seen:
            seen[key] = _of_site(book, hole, papers)
        if seen[key]:
            found[hole.pk] = seen[key]
    return found


def _of_site(book: RuleBook, hole: Hole, papers: tuple[Paper, ...]) -> tuple[FillRule, ...]:
    packs = [short for pack in book.at(hole.site) if (short := _about_holes(pack)).rule]
    if not packs:
        return ()
    here = [paper for paper in papers if hole.site in paper.sites.all()]
    day = hole.opened_on
    plan = PlanFacts(as_of=day)
    situation = situation_of(hole.site, day, day, papers=here, holes=(), plan=plan)
    duties = evaluate(packs, situation).duties
    return tuple(rule for duty in duties if (rule := fill_rule(duty)) is not None)


def _about_holes(pack: Pack) -> Pack:
    rules = (rule for rule in pack.rule if isinstance(rule.effect, Duty) and rule.effect.holes)
    return replace(pack, rule=tuple(rules))


def fill_rule(duty: DutyDue) -> FillRule | None:
    """A rule's duty about holes as a due day for each hole; None where it names no day."""
    match duty.point:
        case "same_day":
            return FillRule("same_day", None, "", duty.source)
        case "before_leaving":
            return FillRule("leaving", None, "", duty.source)
        case "after_end":
            return FillRule("after_leaving", from_iso(f"P{duty.days or 0}D"), "", duty.source)
        case "on_date" if duty.month_day:
            return FillRule("fixed", None, str(duty.month_day), duty.source)
    return None
