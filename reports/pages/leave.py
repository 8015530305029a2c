"""The page "When to leave": each hole of a trip after each clean-up, on the day or looking back."""

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from claims.models import Site, Spot
from claims.web import show
from claims.web.asof import zone
from claims.web.basis import Basis
from reports.charts.plots import RateStep, percent, rate_steps
from reports.charts.scene import Figure
from reports.decide.creek import NO_COST, USUAL_HOURS, best_fallback
from reports.decide.leave import CleanUp
from reports.decide.leave_advice import NOWHERE, Advice, There, advise
from reports.pages.basis_ahead import leave_bases
from reports.pages.field_tables import Leave, leave_rate
from reports.selectors.creek import CreekFacts
from trips.calc.counts import ClassCounts
from trips.calc.digits import number_range
from trips.calc.words import marked, say, several
from trips.models import Run, Trip

PARTLY = marked("Some classes of colours were not counted: there may have been more.")
NO_BACK_BY = marked(
    "When to be back isn't noted in the plan, so no time to leave by can be said: note it there."
)
NO_LITRES = marked(
    "How much gravel your gear washes in an hour isn't noted, nor "
    "known from runs, so no other place can be put into gold an hour: "
    "leaving means going home, worth nothing."
)
NOT_PLANNED = marked(
    "The hours at the creek aren't planned: {hours:g} hours are taken, "
    "or what is noted where that is more."
)
WERE_NOT_PLANNED = marked(
    "The hours at the creek weren't planned: those noted are taken for the day."
)
NO_PRICE = marked(
    "No gold price is known, so running costs are left out and gold alone is compared."
)


@dataclass(frozen=True)
class Hole:
    """A spot's clean-ups on one trip with the rules' advice after each; the last is now."""

    spot: Spot
    runs: tuple[Run, ...]
    rows: tuple[CleanUp, ...]
    advice: tuple[Advice, ...]
    there: There | None
    cost: float
    words: str
    details: tuple[str, ...]
    figure: Figure | None
    bases: tuple[Basis, ...] = ()

    @property
    def now(self) -> Advice:
        return self.advice[-1]

    @property
    def from_colours(self) -> bool:
        """Is some of its gold worked out from the colours, because it wasn't weighed?"""
        return any(getattr(run, "derived_share", None) is None for run in self.runs)

    @property
    def key(self) -> str:
        """The only one of its name on the page, for the chart."""
        return f"hole{self.spot.pk}"

    @property
    def printed(self) -> tuple["PrintedAdvice", ...]:
        """The advice after each clean-up in words."""
        return tuple(
            PrintedAdvice(
                each.after,
                say(show.UNKNOWN) if each.rate is None else _mg(each.rate),
                "–" if each.line is None else _mg(each.line),
                show.minutes(round(each.hours_left * 60)),
                _words(each, self.there),
            )
            for each in self.advice
        )


@dataclass(frozen=True)
class PrintedAdvice:
    """One row of the table of advice."""

    after: int
    rate: str
    line: str
    left: str
    said: str


@dataclass(frozen=True)
class LeavePage:
    """Everything that the template shows."""

    trip: Trip
    holes: tuple[Hole, ...]
    season: Leave
    is_over: bool


def leave_page(facts: CreekFacts, runs: Sequence[Run]) -> LeavePage:
    """Every hole of a trip, in the order in which it was begun."""
    season = leave_rate(facts)
    found = holes(facts, runs, season)
    return LeavePage(
        trip=facts.trip,
        holes=tuple(replace(hole, bases=leave_bases(facts, hole)) for hole in found),
        season=season,
        is_over=facts.trip.state == Trip.State.WRAPPED_UP,
    )


def holes(facts: CreekFacts, runs: Sequence[Run], season: Leave) -> tuple[Hole, ...]:
    """The clean-ups of each spot with the advice after each."""
    by_spot: dict[int, list[Run]] = {}
    for run in runs:
        by_spot.setdefault(run.spot_id, []).append(run)
    left = _hours_left(facts, runs)
    return tuple(_hole(facts, its, left, season) for its in by_spot.values())


def _hours_left(facts: CreekFacts, runs: Sequence[Run]) -> dict[int, float]:
    """Hours left after each run: other work is taken as spread evenly over the runs."""
    run_minutes = sum(run.minutes or 0 for run in runs)
    panned = sum(p.volume_ml for p in facts.pans) / 1000 * facts.setting.minutes_per_litre
    whole = max(facts.noted_minutes, run_minutes) + panned
    planned = facts.trip.planned_work_minutes
    if planned is None:
        over = facts.trip.state == Trip.State.WRAPPED_UP
        planned = whole if over else max(whole, USUAL_HOURS * 60)
    stretch = whole / run_minutes if run_minutes else 1.0
    left, gone = {}, 0.0
    for run in runs:
        gone += (run.minutes or 0) * stretch
        left[run.pk] = max(0.0, planned - gone) / 60
    return left


def _hole(facts: CreekFacts, runs: list[Run], left: dict[int, float], season: Leave) -> Hole:
    spot = runs[0].spot
    there = there_from(facts, spot)
    weights, setting = facts.setting.weights, facts.setting
    colour_ug = weights.mean_mg * 1000
    money = setting.money_per_mg
    cost = setting.cost / money * 1000 if money else 0.0
    rows, kept, notes = _rows(facts, runs)
    advice = tuple(
        advise(
            rows[: number + 1],
            hours_left=left[run.pk],
            there=there,
            cost=cost,
            colour_ug=colour_ug,
            scatter=setting.scatter,
            expected=_foretold(facts, spot),
            nowhere=say(NOWHERE) if setting.litres_per_hour is not None else say(NO_LITRES),
        )
        for number, run in enumerate(kept)
    ) or (advise((), hours_left=left[runs[-1].pk], there=there),)
    notes += _gaps(facts)
    return Hole(
        spot=spot,
        runs=tuple(kept),
        rows=rows,
        advice=advice,
        there=there,
        cost=cost,
        words=_words(advice[-1], there),
        details=(*_details(spot.site, facts, advice[-1], there), *advice[-1].notes, *notes),
        figure=_figure(kept, rows, advice[-1], season),
    )


def _gaps(facts: CreekFacts) -> list[str]:
    """What isn't known of the plan, and what is used instead."""
    notes = []
    if facts.trip.planned_work_minutes is None:
        over = facts.trip.state == Trip.State.WRAPPED_UP
        notes.append(say(WERE_NOT_PLANNED) if over else say(NOT_PLANNED, hours=USUAL_HOURS))
    if facts.setting.money_per_mg is None:
        notes.append(say(NO_PRICE))
    elif facts.setting.cost_per_hour is None:
        notes.append(say(NO_COST))
    return notes


def _rows(facts: CreekFacts, runs: list[Run]) -> tuple[tuple[CleanUp, ...], list[Run], list[str]]:
    """What each clean-up gave: weighed, else by its colours; those that say nothing are named."""
    rows, kept, counted, partly = [], [], 0, False
    for run in runs:
        hours = run.minutes / 60 if run.minutes else None
        share = getattr(run, "derived_share", None)
        counts = ClassCounts(run.coarse, run.medium, run.fine)
        if share is not None:
            gain = float(share.mass_ug)
        elif counts.total is not None:
            mean = dict(zip(("coarse", "medium", "fine"), facts.colours.mean_ug, strict=True))
            gain = sum((n or 0) * mean[name] for name, n in counts.by_class)
            counted, partly = counted + 1, partly or bool(counts.missing)
        else:
            continue
        rows.append(CleanUp(hours, gain))
        kept.append(run)
    notes = []
    if lost := len(runs) - len(kept):
        notes.append(
            several(
                "{n} clean-up left out: neither weighed nor counted.",
                "{n} clean-ups left out: neither weighed nor counted.",
                lost,
            )
        )
    if counted:
        mg = f"{facts.colours.mean.mean_ug / 1000:.2f}"
        notes.append(
            several(
                "{n} clean-up not weighed yet: the gold is worked out from the colours, with "
                "{mg} mg for a mean one.",
                "{n} clean-ups not weighed yet: the gold is worked out from the colours, with "
                "{mg} mg for a mean one.",
                counted,
                mg=mg,
            )
        )
    if partly:
        notes.append(say(PARTLY))
    return tuple(rows), kept, notes


def _ug_per_rate(facts: CreekFacts) -> float | None:
    """µg an hour for each plain colour a litre."""
    setting = facts.setting
    if setting.litres_per_hour is None:
        return None
    mean_ug = setting.weights.mean * setting.weights.mean_mg * 1000
    return setting.litres_per_hour * setting.transfer * mean_ug


def _foretold(facts: CreekFacts, spot: Spot) -> float | None:
    scale, ground = _ug_per_rate(facts), facts.ground(spot)
    return None if scale is None else ground.shape / ground.rate * scale


def there_from(facts: CreekFacts, spot: Spot) -> There | None:
    """The best other place from a spot, in µg an hour; None where nothing is known of it."""
    scale = _ug_per_rate(facts)
    choices = facts.choices(facts.place_of(spot.site), spot)
    best = best_fallback(facts.setting, choices, facts.setting.hours or USUAL_HOURS)
    if best is None or scale is None or not best.mean_rate > 0:
        return None
    rate = best.mean_rate * scale
    return There(best.name, rate, best.shape, best.shape / rate, best.move_hours)


def _words(now: Advice, there: There | None) -> str:
    name = there.name if there else "home"
    if now.action == "none":
        return gettext("No advice yet")
    if now.hours_left <= 0:
        return gettext("No time is left: clean up and fill in")
    if now.action == "leave":
        return gettext("Leave now for {name}").format(name=name)
    stay = now.day.stay_hours if now.day else 0.0
    if stay >= now.hours_left - 1e-9:
        return gettext("Stay for the rest of the day")
    return gettext("Stay {minutes} more, then go to {name}").format(
        minutes=show.minutes(round(stay * 60)), name=name
    )


def _details(site: Site, facts: CreekFacts, now: Advice, there: There | None) -> tuple[str, ...]:
    said = []
    if now.rate is not None:
        rate, spread = _mg(now.rate), ""
        if now.low is not None and now.high is not None:
            shown = number_range(now.low / 1000, now.rate / 1000, now.high / 1000)
            rate = shown.best
            spread = gettext(", 80 % range {low} to {high}").format(low=shown.low, high=shown.high)
        said.append(gettext("Now {rate} mg an hour{spread}.").format(rate=rate, spread=spread))
    if there is not None:
        shown = number_range(there.gross(0.1) / 1000, there.rate / 1000, there.gross(0.9) / 1000)
        said.append(
            gettext(
                "{name} is believed to bring {rate} mg an hour (80 % range {mg} to "
                "{mg_2}), after {minutes} of moving."
            ).format(
                name=there.name,
                rate=shown.best,
                mg=shown.low,
                mg_2=shown.high,
                minutes=show.minutes(round(there.move_hours * 60)),
            )
        )
    if now.line is not None and now.hours_left > 0:
        said.append(
            gettext("With {minutes} left, staying pays above {line} mg an hour.").format(
                minutes=show.minutes(round(now.hours_left * 60)), line=_mg(now.line)
            )
        )
    if now.chance_go is not None:
        said.append(
            gettext("Chance that going at once is better: {chance_go}.").format(
                chance_go=percent(now.chance_go)
            )
        )
    if now.season is not None:
        said.append(
            gettext(
                "For a season of holes like this one: leave at {rate} mg an hour, "
                "after {minutes} of digging."
            ).format(rate=_mg(now.season.rate), minutes=show.minutes(round(now.season.hours * 60)))
        )
    if by := _leave_by(facts.trip, site, now):
        said.append(by)
    return tuple(said)


def _leave_by(trip: Trip, site: Site, now: Advice) -> str:
    """The time by the clock, reckoned back from the time to be back home; else what is missing."""
    if now.day is None or now.action != "stay":
        return ""
    drive, walk = site.drive_minutes, site.walk_minutes
    home = sum(minutes for minutes in (drive, walk) if minutes is not None)
    if trip.back_by is None:
        way = (
            gettext(" The way home from {site} takes {home}.").format(
                site=site, home=show.minutes(home)
            )
            if drive is not None
            else ""
        )
        return say(NO_BACK_BY) + way
    rest = (now.hours_left - now.day.stay_hours) * 60
    back = trip.back_by.astimezone(zone(site.time_zone or trip.party.time_zone))
    leave = back - dt.timedelta(minutes=home + math.ceil(rest))
    if leave.date() < trip.starts_on:
        return ""
    day = f"{show.day(leave.date())}, " if trip.ends_on != trip.starts_on else ""
    said = gettext("Leave this hole by {day}{leave:%H:%M} to be back when you said").format(
        day=day, leave=leave
    )
    if drive is None:
        return gettext(
            "{said}, and earlier by the drive home, which isn't noted at {site}."
        ).format(said=said, site=site)
    if walk is None:
        return gettext(
            "{said}, and earlier by the walk to the car, which isn't noted at {site}."
        ).format(said=said, site=site)
    return f"{said}."


def _mg(ug: float) -> str:
    mg = ug / 1000
    return f"{mg:.0f}" if mg >= 10 else f"{mg:.1f}"


def _figure(
    runs: Sequence[Run], rows: Sequence[CleanUp], now: Advice, season: Leave
) -> Figure | None:
    """Rates with the fitted steps; the line is today's while there is time, else the season's."""
    if not now.steps:
        return None
    line = now.line if now.line is not None else season.rate_ug_per_h
    steps, start, number = [], 0.0, 0
    for step in now.steps:
        first = number + 1
        number += step.merged
        name = (
            gettext("Clean-up {first}").format(first=first)
            if step.merged == 1
            else gettext("Clean-ups {first} to {number}").format(first=first, number=number)
        )
        end = start + step.hours * 60
        steps.append(RateStep(name, start, end, step.rate / 1000, step.fitted / 1000))
        start = end
    return rate_steps(
        steps,
        leave_rate=None if line is None else line / 1000,
        title=gettext("Gold an hour at {spot}").format(spot=runs[0].spot),
        desc=gettext(
            "Bars: each clean-up. Dashed steps: the falling rate behind them. Line: below it, "
            "leaving pays."
        ),
        unit=say("mg an hour"),
        words=lambda value: f"{value:.0f}" if value >= 10 else f"{value:.1f}",
    )
