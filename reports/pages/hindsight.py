"""The page "Looking back": what the same rules would have said, and what staying cost or won."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from claims.models import Spot
from claims.web import show
from reports.decide.creek import USUAL_HOURS
from reports.decide.creek_words import Verdict, colours_word, litres_word, verdict
from reports.decide.hindsight import Staying, staying
from reports.decide.leave import STEP_HOURS
from reports.pages.field_tables import leave_rate, table_of
from reports.pages.leave import Hole, holes
from reports.selectors.creek import CreekFacts
from trips.calc.digits import money_range
from trips.calc.money import minor_per_main
from trips.calc.words import marked, say, several
from trips.models import Run, Trip

WEIGHED_LATER = marked("Some gold is worked out from colours, because it wasn't weighed.")


@dataclass(frozen=True)
class PanStep:
    """After so many pans at a spot: what the table said."""

    pans: int
    litres: str
    colours: str
    said: str
    action: str


@dataclass(frozen=True)
class SpotBack:
    """One spot looked back on: its pans, and what was done afterwards."""

    spot: Spot
    steps: tuple[PanStep, ...]
    finding: str


@dataclass(frozen=True)
class HoleBack:
    """One hole looked back on: what staying cost or won, with its range, in gold and money."""

    hole: Hole
    staying: Staying | None
    finding: str
    range_words: str


@dataclass(frozen=True)
class HindsightPage:
    """Everything that the template shows."""

    trip: Trip
    is_over: bool
    spots: tuple[SpotBack, ...]
    holes: tuple[HoleBack, ...]
    belief_day: str
    notes: tuple[str, ...]


def hindsight_page(facts: CreekFacts, runs: Sequence[Run]) -> HindsightPage:
    """The day again, with what was believed the day before it."""
    is_over = facts.trip.state == Trip.State.WRAPPED_UP
    if not is_over:
        return HindsightPage(facts.trip, False, (), (), "", ())
    back = tuple(_hole(facts, hole) for hole in holes(facts, runs, leave_rate(facts)))
    counted = any(one.hole.from_colours for one in back)
    return HindsightPage(
        trip=facts.trip,
        is_over=True,
        spots=_spots(facts, runs),
        holes=back,
        belief_day=show.day(facts.belief_day),
        notes=(say(WEIGHED_LATER),) if counted else (),
    )


def _spots(facts: CreekFacts, runs: Sequence[Run]) -> tuple[SpotBack, ...]:
    spots = {spot.pk: spot for place in facts.places for spot in place.spots}
    planned = facts.trip.planned_work_minutes
    at_start = replace(facts, tried_hours=planned / 60 if planned else USUAL_HOURS)
    return tuple(
        _spot(at_start, spots[pk], [run for run in runs if run.spot_id == pk])
        for pk in dict.fromkeys(pan.spot_id for pan in facts.pans)
        if pk in spots and facts.counts_at(spots[pk])[0]
    )


def _spot(facts: CreekFacts, spot: Spot, runs: Sequence[Run]) -> SpotBack:
    setting = replace(facts.setting, hours=facts.tried_hours)
    table = table_of(facts.ground(spot), setting, facts.choices(facts.place_of(spot.site), spot))
    counts, _ = facts.counts_at(spot)
    found = [verdict(table, counts[: number + 1], setting.weights) for number in range(len(counts))]
    steps = tuple(
        PanStep(
            number + 1,
            litres_word(each.litres),
            colours_word(each.colours, setting.weights) if each.pans else gettext("not counted"),
            each.words.split(". ")[0],
            each.action,
        )
        for number, each in enumerate(found)
    )
    return SpotBack(spot, steps, _pan_finding(found, runs))


def _pan_finding(found: Sequence[Verdict], runs: Sequence[Run]) -> str:
    """One sentence on the first clear answer and what was done."""
    clear = next(
        (n for n, each in enumerate(found, 1) if each.action in ("dig", "move", "home")), None
    )
    ran = gettext("no box run followed here")
    if runs:
        ran = several("{n} box run followed here", "{n} box runs followed here", len(runs))
    if clear is None:
        return gettext("The pans never gave a clear answer; {ran}.").format(ran=ran)
    said = found[clear - 1].words.split(". ")[0]
    said = said[0].lower() + said[1:]
    more = len(found) - clear
    further = (
        several(" {n} more pan was washed, and", " {n} more pans were washed, and", more)
        if more
        else ""
    )
    return say(
        "After pan {clear} the table said: {said}.{further} {ran}.",
        clear=clear,
        said=said,
        further=further,
        ran=ran,
    ).replace(".  ", ". ")


def _hole(facts: CreekFacts, hole: Hole) -> HoleBack:
    found = staying(hole.rows, hole.advice, hole.there, hole.cost)
    if found is None:
        return HoleBack(hole, None, _no_finding(hole), "")
    return HoleBack(hole, found, _finding(facts, found), _range(facts, found))


def _no_finding(hole: Hole) -> str:
    if hole.now.action == "none":
        return gettext(
            "No clean-up has both its hours and its gold, so there is nothing to look back on."
        )
    first = next((each for each in hole.advice if each.action == "leave"), None)
    if first is None and hole.now.hours_left >= STEP_HOURS:
        return gettext(
            "The rules would have said stay after each clean-up; after the last one {minutes} of "
            "the planned time were left."
        ).format(minutes=show.minutes(round(hole.now.hours_left * 60)))
    later = hole.rows[first.after :] if first is not None else ()
    if first is None or (first.hours_left <= 0 and not later):
        return gettext(
            "The rules would have said stay until the planned time was over, and so it was done."
        )
    if not later:
        return gettext("Nobody stayed past the point at which the rules would have said leave.")
    if first.hours_left > 0:
        return gettext(
            "After clean-up {after} the rules would have said leave; what came after it has no "
            "hours noted, so it can't be held against going."
        ).format(after=first.after)
    return gettext(
        "With clean-up {after} the planned time was over, so there was nothing left to compare. "
        "What came after it brought {brought} of gold."
    ).format(after=first.after, brought=_gram(sum(row.gain for row in later)))


def _finding(facts: CreekFacts, found: Staying) -> str:
    where = found.there or "home"
    start = gettext(
        "After clean-up {after} the same rules would have said: leave for "
        "{where}. The {minutes} after it brought {brought} of gold, running "
        "cost taken off"
    ).format(
        after=found.after,
        where=where,
        minutes=show.minutes(round(found.hours * 60)),
        brought=_gram(found.brought),
    )
    if not found.there:
        return gettext("{start}; going home would have brought none.").format(start=start)
    start += gettext(
        "; {where} was expected to bring {expected_low} to {expected_high} in "
        "what was left after the move."
    ).format(
        where=where,
        expected_low=_gram(found.expected_low),
        expected_high=_gram(found.expected_high),
    )
    ends = {
        "cost": gettext(" Staying most likely cost gold."),
        "won": gettext(" Staying most likely won gold: the hole was better than it looked."),
        "even": gettext(
            " Both lie within what could be expected: too close to call, then and now."
        ),
    }
    return start + ends[found.finding]


def _range(facts: CreekFacts, found: Staying) -> str:
    """What staying cost or won as a range, below zero a loss, in gold and money."""
    low, high = -found.lost_high, -found.lost_low
    words = (
        gettext("{low} to {high}").format(low=_gram(low, True), high=_gram(high, True))
        if high > low
        else _gram(low, True)
    )
    money = facts.setting.money_per_mg
    if money is None:
        return gettext("{words}; in money unknown, because no gold price is known").format(
            words=words
        )
    currency = facts.setting.currency
    scale = minor_per_main(currency)
    ends = [round(ug / 1000 * money * scale) for ug in (low, high)]
    shown = money_range(ends[0], ends[0], ends[1], currency)
    return (
        gettext("{words}, {ends} to {ends_2}").format(
            words=words, ends=shown.low, ends_2=shown.high
        )
        if high > low
        else f"{words}, {shown.low}"
    )


def _gram(ug: float, sign: bool = False) -> str:
    plus = "+" if sign and ug > 0 else ""
    return plus + f"{ug / 1e6:.3f}\u202fg".replace("-", "\u2212")
