"""The sections of a trip's page: in which order, which are open, what a folded one holds.

What matters most depends on the state: the plan and what to settle before a trip, the verdicts
and the records during it, the result after it. The rest is folded behind a line that says what
is inside.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext

from claims.models import Spot
from claims.web import show
from trips.calc.words import several
from trips.hooks import TripPart
from trips.models import TestPan, Trip
from trips.selectors.trip_page import TripPage

State = Trip.State
FEW_PANS = 8  # beyond these the pans of a spot are folded behind their counts
ORDER = {
    State.PLANNED: (
        "plan checks signed pays creek money pan run gold hours holes story tracks map files"
    ),
    State.UNDER_WAY: (
        "creek pan run gold hours result checks signed holes story pays money compared plan "
        "tracks map files"
    ),
    State.WRAPPED_UP: (
        "result compared pays gold run pan hours story creek money holes tracks map files "
        "plan signed"
    ),
    State.CALLED_OFF: "plan pays money pan run gold hours holes story tracks map files signed",
}
OPEN = {
    State.PLANNED: "plan checks pays creek map",
    State.UNDER_WAY: "creek pan run checks map",
    State.WRAPPED_UP: "result compared pays gold run pan story creek map",
    State.CALLED_OFF: "plan map",
}


@dataclass(frozen=True)
class Section:
    """A piece of the page; `said` is what stands beside its title while it is folded."""

    key: str
    title: str
    template: str
    said: str = ""
    is_open: bool = False
    part: Any = None


@dataclass(frozen=True)
class SpotPans:
    """The test pans of one spot with their numbers on the page."""

    spot: Spot
    pans: tuple[tuple[int, TestPan], ...]
    is_open: bool

    @property
    def volume_ml(self) -> int:
        return sum(pan.volume_ml for _, pan in self.pans)

    @property
    def colours(self) -> int | None:
        """All colours together; None as soon as a class wasn't counted."""
        counts = [n for _, p in self.pans for n in (p.coarse, p.medium, p.fine)]
        return None if None in counts else sum(counts)


def pans_by_spot(pans: Sequence[TestPan]) -> tuple[SpotPans, ...]:
    """Pans of each spot, spots in the order of their first pan."""
    found: dict[int, list[tuple[int, TestPan]]] = {}
    for number, pan in enumerate(pans, 1):
        found.setdefault(pan.spot_id, []).append((number, pan))
    few = len(pans) <= FEW_PANS
    return tuple(SpotPans(its[0][1].spot, tuple(its), few) for its in found.values())


def trip_sections(
    page: TripPage,
    *,
    parts: Iterable[TripPart],
    files: Sequence[Any],
    tracks: Sequence[Any],
    changed_since: Sequence[Any],
    mass_unit: str,
) -> tuple[Section, ...]:
    """Every section that this trip has, in the order of its state."""
    state = State(page.trip.state)
    known = {
        each.key: each
        for each in (
            *_of_plan(page, state),
            *_of_money(page, mass_unit, state),
            *_of_records(page),
            *_kept_along(page, files, tracks),
        )
    }
    for number, part in enumerate(parts):
        key = "creek" if number == 0 else f"part{number}"
        known[key] = Section(key, gettext("At the creek"), part.template, part=part.shown)
    opened = set(OPEN[state].split()) | ({"signed"} if changed_since else set())
    order = [key for key in ORDER[state].split() if key in known]
    order += [key for key in known if key not in order]
    return tuple(replace(known[key], is_open=key in opened) for key in order)


def _section(key: str, title: str, said: str = "") -> Section:
    return Section(key, title, f"trips/_trip_{key}.html", said)


def _of_plan(page: TripPage, state: Trip.State) -> list[Section]:
    """The plan, what there is to settle, and who signed it off."""
    found = [_section("plan", gettext("The plan"), _plan_words(page))]
    if page.checks:
        planned = state == State.PLANNED
        found.append(
            _section("checks", gettext("What to settle first") if planned else gettext("Checklist"))
        )
    if page.sign_offs:
        found.append(
            _section(
                "signed",
                gettext("Signed off"),
                counted(len(page.sign_offs), "{n} time", "{n} times"),
            )
        )
    return found


def _of_money(page: TripPage, mass_unit: str, state: Trip.State) -> list[Section]:
    """What came in, what it cost, and how far that is from the plan."""
    found = []
    if page.worths:
        over = state == State.WRAPPED_UP
        found.append(
            _section(
                "result",
                gettext("What it brought") if over else gettext("So far"),
                _so_far(page, mass_unit),
            )
        )
    pays = gettext("How much gold would pay for it") if page.is_plan else gettext("Does it pay")
    found.append(_section("pays", pays, _pays_words(page, mass_unit)))
    found.append(_section("money", gettext("What it costs"), _money_words(page, page.currency)))
    if page.compared:
        rows = counted(len(page.compared), "{n} figure", "{n} figures")
        found.append(
            _section(
                "compared",
                gettext("Plan and what happened"),
                gettext("{rows} side by side").format(rows=rows),
            )
        )
    return found


def _of_records(page: TripPage) -> list[Section]:
    """What was noted at the creek, and holes to fill."""
    found = []
    if not page.is_plan or page.has_records:
        found += [
            _section(
                "pan",
                gettext("Test pans"),
                counted(len(page.pans), "{n} pan", "{n} pans"),
            ),
            _section(
                "run",
                gettext("Box runs"),
                counted(len(page.runs), "{n} run", "{n} runs"),
            ),
            _section(
                "gold",
                gettext("Weigh-ins"),
                counted(
                    len(page.weigh_ins),
                    "{n} weigh-in",
                    "{n} weigh-ins",
                ),
            ),
            _section("hours", gettext("Hours"), _hours_words(page)),
        ]
    if page.holes:
        words = gettext("{counted} to fill").format(
            counted=counted(len(page.holes), "{n} hole", "{n} holes")
        )
        found.append(_section("holes", gettext("Holes open at these sites"), words))
    return found


def _kept_along(page: TripPage, files: Sequence[Any], tracks: Sequence[Any]) -> list[Section]:
    """Story, tracks, map and files."""
    found = []
    if page.trip.story or page.trip.incidents:
        wrong = gettext("with what went wrong") if page.trip.incidents else gettext("as told")
        found.append(_section("story", gettext("The story"), wrong))
    if not page.is_plan or tracks:
        found.append(
            _section(
                "tracks",
                gettext("Tracks"),
                counted(len(tracks), "{n} track", "{n} tracks"),
            )
        )
    found.append(_section("map", gettext("On the map")))
    if not page.is_plan or files:
        found.append(
            _section(
                "files",
                gettext("Photos and documents"),
                counted(len(files), "{n} file", "{n} files"),
            )
        )
    return found


def counted(number: int, one: str, many: str) -> str:
    """A number of things in words: "none yet", "1 pan", "15 pans"."""
    return several(one, many, number) if number else gettext("none yet")


def _plan_words(page: TripPage) -> str:
    said = [page.first.site.name if page.first else gettext("no site chosen")]
    if page.fallbacks:
        said.append(counted(len(page.fallbacks), "{n} fallback", "{n} fallbacks"))
    said.append(
        gettext("back by {back_by}").format(back_by=page.back_by)
        if page.back_by
        else gettext("when to be back isn't said")
    )
    return ", ".join(said)


def _so_far(page: TripPage, mass_unit: str) -> str:
    ug = page.figures.mass_ug if page.figures else None
    gold = gettext("gold not weighed") if ug is None else show.quantity("mass", ug, mass_unit)
    return gettext("{gold}, outlay {outlay_minor}").format(
        gold=gold, outlay_minor=show.money(page.outlay_minor, page.currency)
    )


def _pays_words(page: TripPage, mass_unit: str) -> str:
    if page.is_plan:
        steps = [step for step in page.steps if step.gold_ug is not None]
        if not steps:
            return gettext("not known yet")
        gold = show.quantity("mass", steps[-1].gold_ug, mass_unit)
        return gettext("{counted}, up to {gold} for “{label}”").format(
            counted=counted(len(page.steps), "{n} step", "{n} steps"),
            gold=gold,
            label=steps[-1].label,
        )
    reached = sum(step.reached is True for step in page.steps)
    unknown = sum(step.reached is None for step in page.steps)
    return gettext("{reached} of {steps} steps reached").format(
        reached=reached, steps=len(page.steps)
    ) + (gettext(", {unknown} unknown").format(unknown=unknown) if unknown else "")


def _money_words(page: TripPage, money: str) -> str:
    lines = gettext("{counted}; {counted_2} noted").format(
        counted=counted(len(page.cost.lines), "{n} line", "{n} lines"),
        counted_2=counted(len(page.costs), "{n} cost", "{n} costs"),
    )
    said = [
        gettext("outlay {outlay_minor}; {lines}").format(
            outlay_minor=show.money(page.outlay_minor, money), lines=lines
        )
    ]
    said += [
        gettext("{payer} owes {payee} {amount_minor}").format(
            payer=move.payer, payee=move.payee, amount_minor=show.money(move.amount_minor, money)
        )
        for move in page.shares.transfers
    ]
    return "; ".join(said)


def _hours_words(page: TripPage) -> str:
    if not page.hours:
        return gettext("none yet")
    total = show.minutes(sum(minutes for _, minutes in page.activities))
    return gettext("{counted}, {total} as noted").format(
        counted=counted(len(page.hours), "{n} block", "{n} blocks"),
        total=total,
    )
