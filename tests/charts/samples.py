"""One of each chart with awkward contents."""

import datetime as dt

from reports.charts.plots import (
    BarRow,
    IntervalRow,
    RateStep,
    Rung,
    SiteMonth,
    SiteRow,
    StairPoint,
    bars,
    hours_by_activity,
    interval_plot,
    pay_ladder,
    rate_steps,
    season_calendar,
    value_against_cost,
)

HOSTILE = "Ford <script>alert('x')</script> & \"bar\" \x07"
LONG = "The gravel bar under the third bridge where the old road used to cross the stream"
FIRST = dt.date(2031, 4, 5)


def intervals(rows=None):
    return interval_plot(
        [
            IntervalRow("Alder Bend", -6.1, -3.1, 1.2, "8 trips"),
            IntervalRow(HOSTILE, -2.0, 4.55, 14.2, "3 trips"),
            IntervalRow(LONG, None, 2.0, None, "1 trip"),
            IntervalRow("Far gully", None, None, None, "no trips"),
        ]
        if rows is None
        else rows,
        title=f"Net per hour {HOSTILE}",
        desc="Best guess & range.",
        unit="EUR per hour",
    )


def grades():
    return bars(
        [
            BarRow("Inside bend", "gravel", 12.3, 8.0, 18.1, "14 pans"),
            BarRow("Inside bend", "bedrock", 48.0, 22.0, 96.0, "3 pans"),
            BarRow("Boulder", "gravel", 0.0, 0.0, 3.1, "4 pans"),
            BarRow("Boulder", "clay", None, None, None, "no pan"),
        ],
        title="Grade by spot and layer",
        desc="Bedrock on the inside bend leads.",
        unit="mg per loose litre",
    )


def ladder(value=70.2):
    return pay_ladder(
        [
            Rung("Fuel", 38.2, "chance 86 %"),
            Rung("Outlay", 61.0, "chance 55 %"),
            Rung("Wear", 92.4, "chance 20 %"),
            Rung("Own hourly figure", None, "unknown"),
        ],
        value=value,
        low=None if value is None else 52.0,
        high=None if value is None else 88.0,
        title="Pay ladder",
        desc="Paid its outlay.",
        unit="EUR",
    )


def stairs(days=12):
    return value_against_cost(
        [
            StairPoint(FIRST + dt.timedelta(days=9 * i), 30.0 * i, 38.0 * i + 20)
            for i in range(days)
        ],
        title="Value against cost",
        desc="Cost leads.",
        unit="EUR",
    )


def hours():
    return hours_by_activity(
        [("drive", 730), ("dig", 410), ("fill in", 40)], title="Hours", desc="Driving leads."
    )


def rates():
    return rate_steps(
        [
            RateStep("1", 0, 60, 210, 210),
            RateStep("2", 70, 130, 150, 160),
            RateStep("3", 130, 200, 170, 160),
            RateStep("4", 210, 260, None),
        ],
        leave_rate=95,
        title="Clean-up rates",
        desc="Falling.",
        unit="mg per hour",
    )


def calendar():
    return season_calendar(
        ["Oct", "Nov", "Dec", "Jan", "Feb"],
        [
            SiteRow(HOSTILE, tuple(SiteMonth(n, 30 - 7 * n, 30) for n in range(5))),
            SiteRow(LONG, (SiteMonth(0, 0, 31), *(SiteMonth(12, 31, 31),) * 4)),
        ],
        title="Season calendar",
        desc="Twelve trips a month & more.",
    )


ALL = {
    "intervals": intervals,
    "grades": grades,
    "ladder": ladder,
    "stairs": stairs,
    "hours": hours,
    "rates": rates,
    "calendar": calendar,
}
