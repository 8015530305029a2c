"""Every rule of some packs for one plan: an ordered list of findings, the strictest leading.

A rule that doesn't hold says nothing; one that can't be told asks. Packs only ever add: a stop of
one layer stands whatever the others say. The order in which packs are given makes no difference.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from claims.rules.apply import apply_effect
from claims.rules.due import DutyDue, TermRule
from claims.rules.facts import Situation
from claims.rules.findings import Finding, Said, SourceLine, asking
from claims.rules.judge import Case, judge_all
from claims.rules.quantities import Bound
from claims.rules.schema import Pack, Rule
from claims.rules.still import stands_still, tests_stand_still
from claims.rules.truth import Verdict, all_of, negated
from claims.rules.words import STANDING_WORDS
from trips.calc import local
from trips.calc.words import say

LONGEST_TRIP_DAYS = 92


@dataclass(frozen=True)
class Evaluation:
    """What packs say about one plan."""

    findings: tuple[Finding, ...]

    @property
    def worst(self) -> str:
        """The gravest outcome; "ask" where no rule speaks, because nothing is known."""
        return self.findings[0].outcome if self.findings else "ask"

    def by_outcome(self, outcome: str) -> tuple[str, ...]:
        """Keys of findings with an outcome, in order, each once."""
        return tuple(dict.fromkeys(each.key for each in self.findings if each.outcome == outcome))

    @property
    def duties(self) -> tuple[DutyDue, ...]:
        """What is left to be done, each once."""
        return tuple(dict.fromkeys(each.duty for each in self.findings if each.duty))

    @property
    def terms(self) -> tuple[TermRule, ...]:
        """How long papers run by these packs."""
        return tuple(dict.fromkeys(each.term for each in self.findings if each.term))


@dataclass(frozen=True)
class Kept:
    """What was found of one plan on other days, of rules on which the day has no bearing."""

    verdicts: dict[str, Verdict] = field(default_factory=dict)
    findings: dict[tuple[str, bool], Finding | None] = field(default_factory=dict)


def evaluate(packs: Iterable[Pack], situation: Situation, kept: Kept | None = None) -> Evaluation:
    """What packs say about a plan over all its days.

    Args: kept: given again with the same plan on other days and nothing else changed but the sun,
        so that rules on which the day has no bearing aren't judged again.
    """
    days = trip_days(situation)
    kept = Kept() if kept is None else kept
    found: dict[tuple[str, str], Finding] = {}
    for pack in packs:
        cases = [Case(pack, situation, day) for day in days]
        for rule in pack.rule:
            for case in cases:
                finding = _on_day(rule, case, kept)
                if finding is None:
                    continue
                same = found.get((finding.key, finding.outcome))
                found[finding.key, finding.outcome] = (
                    finding if same is None else replace(same, days=(*same.days, case.day))
                )
    findings = _shared_consents(_strictest(list(found.values())))
    return Evaluation(tuple(sorted(findings, key=lambda each: each.rank)))


def trip_days(situation: Situation) -> tuple[dt.date, ...]:
    """Days from first to last; a plan over the longest trip is cut there."""
    count = min((situation.last_day - situation.first_day).days, LONGEST_TRIP_DAYS)
    return tuple(situation.first_day + dt.timedelta(days=step) for step in range(max(0, count) + 1))


def _on_day(rule: Rule, case: Case, kept: Kept) -> Finding | None:
    """What a rule says on a day; of one on which the day has no bearing, with that day alone."""
    if not stands_still(rule, case.pack):
        return _finding(rule, case, kept)
    key = case.own(rule.id), _is_old(case)
    if key not in kept.findings:
        kept.findings[key] = _finding(rule, case, kept)
    finding = kept.findings[key]
    return finding and finding.on(case.day)


def _is_old(case: Case) -> bool:
    return case.pack.is_past_review(max(case.day, case.situation.as_of or case.day))


def _finding(rule: Rule, case: Case, kept: Kept) -> Finding | None:
    if rule.valid_from is not None and case.day < rule.valid_from:
        return None
    ended = rule.valid_to is not None and case.day > rule.valid_to
    if ended and rule.replaced_by:
        return None
    verdict = _holds(rule, case, kept)
    if verdict.value is False:
        return None
    if ended:
        said: Said | None = _after_its_end(rule)
    elif verdict.value is None:
        said = asking(verdict, rule.text)
    else:
        said = apply_effect(rule.effect, rule, case)
    if said is None:
        return None
    return _whole(_met(said, rule, case), verdict, rule, case)


def _holds(rule: Rule, case: Case, kept: Kept) -> Verdict:
    if not tests_stand_still(rule, case.pack):
        return _judged(rule, case)
    key = case.own(rule.id)
    if key not in kept.verdicts:
        kept.verdicts[key] = _judged(rule, case)
    return kept.verdicts[key]


def _judged(rule: Rule, case: Case) -> Verdict:
    verdict = judge_all(rule.when, case)
    if not rule.unless or verdict.value is False:
        return verdict
    return all_of([verdict, negated(judge_all(rule.unless, case))])


def _after_its_end(rule: Rule) -> Said:
    assert rule.valid_to is not None
    last = f"{rule.valid_to.day} {rule.valid_to:%b %Y}"
    return Said(
        "ask",
        say(
            "This text held until {last}. Ask what holds since. It said: {text}",
            last=last,
            text=rule.text,
        ),
        "plan",
        can_be_met=True,
    )


def _met(said: Said, rule: Rule, case: Case) -> Said:
    """What somebody has seen to, and said so, becomes something to know."""
    if said.can_be_met and case.situation.met.get(case.own(rule.id)):
        return replace(
            said, outcome="know", text=say("Seen to, as answered. {text}", text=rule.text)
        )
    return said


@dataclass(frozen=True)
class _Told:
    """What a rule's line says whatever the plan; made once a pack, because every page has it."""

    key: str
    sources: tuple[SourceLine, ...]
    confirm_with: str
    doubts: tuple[str, ...]
    late: str


def _told(pack: Pack, rule: Rule) -> _Told:
    kept: _Told | None = pack.made.get(rule.id)
    if kept is None:
        head, review = pack.pack, pack.pack.review_by
        doubts: tuple[str, ...] = ()
        if STANDING_WORDS[rule.standing]:
            doubts = (
                say("Check it: {standing_words}.", standing_words=STANDING_WORDS[rule.standing]),
            )
        elif rule.id in pack.unsettled:
            doubts = (say("Check it: only read second-hand."),)
        kept = pack.made[rule.id] = _Told(
            f"{pack.id}/{rule.id}",
            tuple(
                SourceLine(s.title, s.url or "", s.where, s.date_of_text, s.how_known)
                for s in pack.sources_of(rule)
            ),
            pack.confirm_with(rule),
            doubts,
            say(
                "{title}: this pack was to be read again by {day}.",
                title=head.title,
                day=local.day(review),
            ),
        )
    return kept


def _whole(said: Said, verdict: Verdict, rule: Rule, case: Case) -> Finding:
    head, told = case.pack.pack, _told(case.pack, rule)
    warnings, outcome = told.doubts, said.outcome
    if _is_old(case):
        warnings = (*warnings, told.late)
        # An old text settles nothing, but what it forbids may well be forbidden still.
        outcome = "ask" if outcome == "know" else outcome
    asks = outcome in ("stop", "ask")
    return Finding(
        key=told.key,
        pack_id=head.id,
        rule_id=rule.id,
        kind=rule.kind,
        level=head.level,
        layer=head.title,
        outcome=outcome,
        phase=rule.phase or ("plan" if asks else said.phase),
        text=said.text,
        rule_text=rule.text,
        why=tuple(dict.fromkeys((*verdict.used, *said.why))),
        missing=said.missing,
        evidence=tuple(dict.fromkeys((*verdict.evidence, *said.evidence))),
        change=rule.change,
        sources=told.sources,
        section=rule.section,
        standing=rule.standing,
        confirm_with=told.confirm_with,
        warnings=warnings,
        due_on=said.due_on,
        due_words=said.due_words,
        duty=said.duty,
        term=said.term,
        can_be_met=said.can_be_met,
        days=(case.day,),
        limit=said.limit,
        consents=said.consents,
    )


def _shared_consents(findings: list[Finding]) -> list[Finding]:
    """Where fewer consents are noted than rules want, nobody can tell whose lacks: they ask."""
    resting = {each.key for each in findings if each.consents}
    noted = {name for each in findings for name in each.consents}
    if len(resting) <= len(noted):
        return findings
    many = say(
        "{resting} rules here each want a consent, and fewer are noted", resting=len(resting)
    )
    return [
        replace(
            each,
            outcome="ask",
            phase="plan",
            text=say(
                "{many} ({consents}): whose is it? {rule_text}",
                many=many,
                consents=", ".join(each.consents),
                rule_text=each.rule_text,
            ),
        )
        if each.consents
        else each
        for each in findings
    ]


def _strictest(findings: list[Finding]) -> list[Finding]:
    """Where packs bound the same thing, the looser bound says which one is stricter."""
    limits: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.limit is not None:
            limits.setdefault(finding.limit[0], []).append(finding)
    looser: dict[str, str] = {}
    for group in limits.values():
        if len({each.pack_id for each in group}) < 2:
            continue
        tops = [(top, each) for each in group if (top := _top(each.limit)) is not None]
        if not tops:
            continue
        least = min(top for top, _ in tops)
        strict = next(each for top, each in sorted(tops, key=_by_key) if top == least)
        for top, each in tops:
            if top > least:
                looser[each.key] = say(
                    "{layer} is stricter here: see {rule_id}.",
                    layer=strict.layer,
                    rule_id=strict.rule_id,
                )
    return [
        replace(each, warnings=(*each.warnings, looser[each.key]))
        if each.key in looser and each.limit is not None
        else each
        for each in findings
    ]


def _by_key(entry: tuple[tuple[int, int], Finding]) -> tuple[tuple[int, int], str]:
    return entry[0], entry[1].key


def _top(limit: tuple[str, Bound] | None) -> tuple[int, int] | None:
    """The upper side for comparing: base units, and 0 for a strict bound, which is tighter."""
    if limit is None:
        return None
    bound = limit[1]
    if bound.under is not None:
        return bound.under.base, 0
    return (bound.at_most.base, 1) if bound.at_most is not None else None
