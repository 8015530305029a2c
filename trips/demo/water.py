"""Gauges of the demo's waters and their floods: yearly peaks, and one flood without a gauge."""

import datetime as dt
from typing import Any

from trips.demo import story
from trips.demo.chance import Chance

GAUGED = ("Velmarrow middle reach", "Velmarrow weir reach", "Ossaline claim", "Marrable meadow")
UPLAND = ("Drennock bends", "Skelvane gorge")
FIRST_YEAR = 2014


def gauge_rows() -> list[dict[str, Any]]:
    """Two gauges with their floods: seventeen yearly peaks and the one of spring 2031, by hand."""
    chance = Chance("floods")
    floods = []
    for year in range(FIRST_YEAR, story.FLOOD_ON.year):
        peak = chance.gamma(38.0, 0.45)
        day = dt.date(year, chance.pick((2, 3, 4, 11)), chance.between(1, 28))
        floods.append(_flood(day, round(peak * 1000, -2), "", "gauge sheet, invented"))
    floods.append(
        _flood(story.FLOOD_ON, 88_400, "Log jam at Ossaline moved.", "gauge sheet, invented")
    )
    upland = _flood(story.FLOOD_ON, None, "Drift line two metres up.", "our own eyes, invented")
    upland["own_return_tenths"] = 40
    del upland["peak_milli"]
    return [
        {
            "name": "Velmarrow at the weir bridge (invented)",
            "sites": list(GAUGED),
            "unit": "m3_s",
            "year_starts_month": 1,
            "note": "One peak a year, read off the board.",
            "floods": floods,
        },
        {
            "name": "Upland streams",
            "sites": list(UPLAND),
            "unit": "m",
            "year_starts_month": 1,
            "note": "No gauge up there; sizes are our own word.",
            "floods": [upland],
        },
    ]


def _flood(day: dt.date, peak_milli: float | None, note: str, source: str) -> dict[str, Any]:
    peak = None if peak_milli is None else int(peak_milli)
    return {"day": day, "peak_milli": peak, "note": note, "source": source}
