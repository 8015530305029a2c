"""What a party's own hours and litres say of its pace, up to a day."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Count, Sum

from claims.models import Party
from trips.models import HoursBlock, Run, TestPan, Trip


@dataclass(frozen=True)
class Fed:
    """Runs through one piece of gear (None: not noted) whose litres and minutes are known."""

    gear_id: int | None
    volume_ml: int
    minutes: int
    runs: int


@dataclass(frozen=True)
class Season:
    """Gold and work of wrapped-up trips whose gold and hours are known."""

    mass_ug: int
    work_minutes: int
    trips: int


@dataclass(frozen=True)
class Pace:
    """Test pans with their minutes by the clock, what each box took, what work has brought."""

    pans: int
    pan_ml: int
    pan_minutes: int
    fed: tuple[Fed, ...]
    season: Season


NO_PACE = Pace(0, 0, 0, (), Season(0, 0, 0))


def pace_of(party: Party, until: dt.date) -> Pace:
    """Pace from everything up to a day; four queries."""
    pans, pan_ml, pan_minutes = _panned(party, until)
    return Pace(pans, pan_ml, pan_minutes, _fed(party, until), _season(party, until))


def days_of(party: Party) -> set[dt.date]:
    """Every day on which the pace may become another one; four queries."""
    asked = (
        TestPan.objects.filter(party=party).values_list("day", flat=True),
        Run.objects.filter(party=party).values_list("day", flat=True),
        HoursBlock.objects.filter(party=party, activity=HoursBlock.Activity.TEST).values_list(
            "day", flat=True
        ),
        Trip.objects.filter(party=party).values_list("ends_on", flat=True),
    )
    return {day for days in asked for day in days.order_by().distinct()}


def _panned(party: Party, until: dt.date) -> tuple[int, int, int]:
    """Test pans, their ml and minutes by the clock, of wrapped-up trips that have both."""
    pans = {
        row["trip"]: row
        for row in TestPan.objects.filter(
            party=party, trip__state=Trip.State.WRAPPED_UP, day__lte=until
        )
        .order_by()
        .values("trip")
        .annotate(ml=Sum("volume_ml"), number=Count("pk"))
    }
    # People pan side by side: the longest total of one person is the time by the clock.
    blocks: dict[int, dict[int | None, int]] = defaultdict(dict)
    rows = (
        HoursBlock.objects.filter(party=party, activity=HoursBlock.Activity.TEST, day__lte=until)
        .order_by()
        .values_list("trip", "person")
        .annotate(minutes=Sum("minutes"))
    )
    for trip, person, minutes in rows:
        blocks[trip][person] = minutes
    both = [(pans[trip], its) for trip, its in blocks.items() if trip in pans]
    return (
        sum(row["number"] for row, _ in both),
        sum(row["ml"] for row, _ in both),
        sum(
            its.get(None, 0) + max((m for p, m in its.items() if p is not None), default=0)
            for _, its in both
        ),
    )


def _fed(party: Party, until: dt.date) -> tuple[Fed, ...]:
    rows = (
        Run.objects.filter(
            party=party, minutes__isnull=False, volume_ml__isnull=False, day__lte=until
        )
        .order_by("gear_id")
        .values_list("gear_id")
        .annotate(ml=Sum("volume_ml"), minutes_fed=Sum("minutes"), number=Count("pk"))
    )
    return tuple(Fed(*row) for row in rows)


def _season(party: Party, until: dt.date) -> Season:
    rows = Trip.objects.filter(
        party=party,
        state=Trip.State.WRAPPED_UP,
        ends_on__lte=until,
        derived_figures__mass_ug__isnull=False,
        derived_figures__work_minutes__gt=0,
    ).aggregate(
        ug=Sum("derived_figures__mass_ug"),
        minutes=Sum("derived_figures__work_minutes"),
        number=Count("pk"),
    )
    return Season(rows["ug"] or 0, rows["minutes"] or 0, rows["number"])


def to_plain(pace: Pace) -> list:
    """Only lists and numbers; `from_plain` gives the same pace back."""
    season = pace.season
    return [
        *(pace.pans, pace.pan_ml, pace.pan_minutes),
        [[row.gear_id, row.volume_ml, row.minutes, row.runs] for row in pace.fed],
        [season.mass_ug, season.work_minutes, season.trips],
    ]


def from_plain(plain: list) -> Pace:
    """The pace that `to_plain` was given."""
    *pans, fed, season = plain
    return Pace(*pans, tuple(Fed(*row) for row in fed), Season(*season))
