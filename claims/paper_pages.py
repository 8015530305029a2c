"""What the pages of papers show, fetched with the same few queries for any number."""

import datetime as dt
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass

from claims import agenda
from claims.models import ConditionMark, Duty, OwnRule, Paper, PaperCondition, Site
from claims.packs import packs_of
from claims.rules.duties import NextDue, next_due, weekend_words
from claims.rules.effects import PaperTerm
from claims.rules.repeats import due_days
from claims.rules.spans import from_iso
from claims.rules.term_end import Renewal, TermEnd
from claims.rules.terms import Term
from claims.web import show
from trips.calc.words import say

# How a state looks; "runs" is only worth knowing.
BADGES = {"not_begun": "stop", "ran_out": "stop", "runs_out": "do", "no_end": "ask"}
MARK_BADGES = {"kept": "know", "not_kept": "stop", "asked": "ask"}


@dataclass(frozen=True)
class PaperRow:
    """A paper in the list; `days_left` is None without a last day and negative after it.

    `expires_on` is the last day, printed or counted; `basis` says which.
    """

    pk: int
    name: str
    number: str
    kind: str
    issuer: str
    issued_on: dt.date | None
    expires_on: dt.date | None
    basis: str
    days_left: int | None
    code: str
    state: str
    sites: int


def list_papers(papers: Iterable[Paper], day: dt.date) -> tuple[PaperRow, ...]:
    """A party's papers as they stand on a day, the next to run out first; no query.

    Args: papers: with their sites.
    """
    rows = [_paper_row(paper, day) for paper in papers]
    late = {"ran_out": 2, "no_end": 1, "life": 1}
    return tuple(
        sorted(rows, key=lambda row: (late.get(row.code, 0), row.expires_on or dt.date.max))
    )


def _paper_row(paper: Paper, day: dt.date) -> PaperRow:
    term, end = paper.term_on(day), paper.end
    return PaperRow(
        pk=paper.pk,
        name=paper.name,
        number=paper.number,
        kind=paper.get_kind_display(),
        issuer=paper.issuer,
        issued_on=paper.issued_on,
        expires_on=end.last_day,
        basis=end.basis,
        days_left=(end.last_day - day).days if end.last_day else None,
        code=term.code,
        state=term.words,
        sites=len(paper.sites.all()),
    )


@dataclass(frozen=True)
class ConditionView:
    """A condition with what was said about keeping it, the newest first."""

    row: PaperCondition
    fill_words: str
    marks: tuple[tuple[ConditionMark, str], ...]
    rule: OwnRule | None = None
    rule_words: str = ""


@dataclass(frozen=True)
class PaperPage:
    """One paper as it stands on a day."""

    paper: Paper
    term: Term
    end: TermEnd
    renewal: Renewal
    apply_note: str
    badge: str
    sites: tuple[Site, ...]
    fee: str
    conditions: tuple[ConditionView, ...]
    duties: tuple[tuple[Duty, NextDue, str], ...]
    has_renewal_duty: bool
    rule_terms: tuple[tuple[str, str], ...] = ()


def paper_page(paper: Paper, day: dt.date) -> PaperPage:
    """A paper, its state, the sites it covers, its conditions and duties; six queries."""
    term, renewal = paper.term_on(day), paper.renewal
    fee = show.money(paper.fee_minor, paper.currency)
    lines = paper.condition_lines.select_related("own_rule__site").prefetch_related("marks__files")
    duties = tuple(paper.duties.prefetch_related("settled"))
    last = paper.last_day
    return PaperPage(
        paper=paper,
        term=term,
        end=paper.end,
        renewal=renewal,
        apply_note=weekend_words(renewal.apply_by) if renewal.apply_by else "",
        badge=BADGES.get(term.code, "know"),
        sites=tuple(paper.sites.all()),
        fee=fee if paper.fee_minor is None else f"{fee}, {paper.get_fee_spread_display()}",
        conditions=tuple(_condition(line, paper, day) for line in lines),
        duties=_duties(duties, day),
        has_renewal_duty=last is not None and agenda.has_renewal_duty(paper, last, duties),
        rule_terms=rule_terms(paper, day),
    )


def rule_terms(paper: Paper, day: dt.date) -> tuple[tuple[str, str], ...]:
    """What rules of its pack say of the term of such a paper, with the source of each.

    Only for a paper that says which one of a pack it is; whether a rule's own conditions are met
    isn't looked at, and the last day printed on the paper comes first anyway.
    """
    pack_id, _, code = paper.rule_code.partition("/")
    loaded = packs_of(paper.party.packs.all()).get(pack_id) if code else None
    if loaded is None:
        return ()
    return tuple(
        (rule.text, f"{loaded.pack.sources_of(rule)[0].title}, {rule.section}".rstrip(", "))
        for rule in loaded.pack.rule
        if isinstance(rule.effect, PaperTerm)
        and rule.effect.paper == code
        and not (rule.valid_from and day < rule.valid_from)
        and not (rule.valid_to and day > rule.valid_to)
    )


def _duties(duties: tuple[Duty, ...], day: dt.date) -> tuple[tuple[Duty, NextDue, str], ...]:
    rows = []
    for duty in duties:
        days = due_days(duty.repeat, duty.first_due)
        lead = from_iso(duty.lead_span)
        found = next_due(days, agenda.settled_days(duty, day), lead, day)
        rows.append((duty, found, agenda.BADGES[found.state]))
    return tuple(sorted(rows, key=lambda row: row[1].due_on or dt.date.max))


def rule_source(line: PaperCondition, paper: Paper) -> str:
    """Where an own rule made of a condition says that it can be read."""
    return say("{paper}, condition {position}", paper=paper, position=line.position)[:200]


def rule_start(line: PaperCondition, paper: Paper) -> dict[str, str]:
    """What the form of an own rule starts from for a condition; the sort of rule where it's plain.

    Text too long for a rule is cut at a word, and a person sees it before it is saved.
    """
    text = " ".join(line.text.split())
    shape = "fill" if line.kind == PaperCondition.Kind.FILL_IN else ""
    due = {"same_day": "same_day", "leaving": "before_leaving"}.get(line.fill_due, "")
    return {
        "text": textwrap.shorten(text, 400, placeholder=" …"),
        "shape": shape,
        "due": due if shape else "",
        "agreed_with": (paper.issuer or str(paper))[:160],
        "written_where": rule_source(line, paper),
        "dated": paper.issued_on.isoformat() if paper.issued_on else "undated",
    }


def _rule_words(rule: OwnRule, paper: Paper) -> str:
    """Where an own rule holds, and from when to when; said if that isn't where the paper does."""
    where = say("at {site}", site=rule.site) if rule.site else say("at every site")
    covered = {site.pk for site in paper.sites.all()}
    if rule.site_id is not None and covered - {rule.site_id}:
        where += say(", which isn't every site of the paper")
    first = (
        say(", from {valid_from}", valid_from=show.day(rule.valid_from)) if rule.valid_from else ""
    )
    last = say(", until {valid_to}", valid_to=show.day(rule.valid_to)) if rule.valid_to else ""
    return f"{where}{first}{last}"


def _condition(line: PaperCondition, paper: Paper, day: dt.date) -> ConditionView:
    told = sorted(
        (mark for mark in line.marks.all() if mark.day <= day),
        key=lambda mark: (mark.day, mark.pk),
        reverse=True,
    )
    return ConditionView(
        line,
        fill_words(line),
        tuple((mark, MARK_BADGES[mark.state]) for mark in told),
        line.own_rule,
        _rule_words(line.own_rule, paper) if line.own_rule else "",
    )


def fill_words(line: PaperCondition) -> str:
    """By when a hole is to be filled under a condition; empty when it says nothing of it."""
    if not line.fill_due:
        return ""
    if line.fill_due == PaperCondition.FillDue.WITHIN:
        span = from_iso(line.fill_span)
        return (
            say("within {words}", words=span.words)
            if span
            else say("within a time that isn't noted")
        )
    if line.fill_due == PaperCondition.FillDue.FIXED:
        return (
            say("by {fill_by}", fill_by=show.month_day(line.fill_by))
            if line.fill_by
            else say("by a day not noted")
        )
    return str(line.get_fill_due_display())
