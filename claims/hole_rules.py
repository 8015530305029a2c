"""By when rules want each hole filled: those of its site, as they held when it was dug.

A rule that hangs on what isn't known here, such as the gear of that day, sets no day: a day is
only given where the rule certainly speaks.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from claims import hooks
from claims.models import Hole, Paper, Party
from claims.rulebook import PlanFacts, RuleBook
from claims.rulecheck import situation_of
from claims.rules.due import DutyDue
from claims.rules.effects import Duty
from claims.rules.evaluate import evaluate
from claims.rules.ground import FillDue, FillRule, fill_due
from claims.rules.schema import Pack
from claims.rules.spans import from_iso


def fill_dues(
    party: Party, holes: Sequence[Hole], papers: Iterable[Paper], book: RuleBook
) -> dict[int, FillDue]:
    """By when each hole is to be filled, by its id, where a condition or a rule says so.

    Args:
        holes: with their sites.
        papers: all of the party, with their sites.
    """
    if not holes:
        return {}
    papers = tuple(papers)
    lines, fills = paper_fills(book, papers), rule_fills(holes, papers, book)
    ends = hooks.visit_ends(party, holes) if lines or fills else {}
    found = {}
    for hole in holes:
        rules = [*fills.get(hole.pk, ()), *fills_of_papers(hole, papers, lines)]
        if due := fill_due(hole.opened_on, ends.get(hole.pk), rules):
            found[hole.pk] = due
    return found


def paper_fills(book: RuleBook, papers: Iterable[Paper]) -> dict[int, tuple[FillRule, ...]]:
    """What conditions say about filling holes, by paper; no query."""
    names = {paper.pk: str(paper) for paper in papers}
    rules: dict[int, tuple[FillRule, ...]] = {}
    for line in book.conditions:
        said = names[line.paper_id]
        rule = FillRule(line.fill_due, from_iso(line.fill_span), line.fill_by, said)
        rules[line.paper_id] = (*rules.get(line.paper_id, ()), rule)
    return rules


def fills_of_papers(
    hole: Hole, papers: Iterable[Paper], lines: Mapping[int, tuple[FillRule, ...]]
) -> list[FillRule]:
    """What the papers that held when a hole was dug say about filling it."""
    return [
        rule
        for paper in papers
        if paper.pk in lines
        and paper.term_on(hole.opened_on).covers
        and hole.site_id in {site.pk for site in paper.sites.all()}
        for rule in lines[paper.pk]
    ]


def rule_fills(
    holes: Sequence[Hole], papers: Iterable[Paper], book: RuleBook
) -> dict[int, tuple[FillRule, ...]]:
    """What rules say about filling each hole, by its id; no query.

    Args:
        holes: with their sites.
        papers: with their sites prefetched.
    """
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
