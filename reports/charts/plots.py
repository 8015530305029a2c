"""Every chart by name: what pages and PDFs import."""

from reports.charts.curves import RateStep, StairPoint, rate_steps, value_against_cost
from reports.charts.months import SiteMonth, SiteRow, season_calendar
from reports.charts.rows import (
    BarRow,
    IntervalRow,
    Rung,
    bars,
    clock_words,
    hours_by_activity,
    interval_plot,
    pay_ladder,
)
from reports.charts.scale import percent, plain
from reports.charts.scene import Figure

__all__ = [
    "BarRow",
    "Figure",
    "IntervalRow",
    "RateStep",
    "Rung",
    "SiteMonth",
    "SiteRow",
    "StairPoint",
    "bars",
    "clock_words",
    "hours_by_activity",
    "interval_plot",
    "pay_ladder",
    "percent",
    "plain",
    "rate_steps",
    "season_calendar",
    "value_against_cost",
]
