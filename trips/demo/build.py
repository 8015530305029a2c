"""The demo's files as text, all of them, from the seed: the same text every time."""

import csv
import datetime as dt
import io
from typing import Any

from trips.demo import papers, places, purse, story, water, ways
from trips.demo.chance import Chance
from trips.demo.schedule import OUTINGS, Outing
from trips.demo.work import SITE, Diary

GEAR_BY_METHOD = {
    "pan": ("pan", "half", "shovel", "sucker"),
    "sluice": ("pan", "shovel", "bar", "sieve", "sluice"),
    "box": ("pan", "shovel", "bar", "sieve", "box", "pump"),
    "hired": ("pan", "shovel", "bar", "sieve"),
}
BOUGHT_ON = {gear["code"]: gear["bought_on"] for gear in story.GEAR}


def build() -> dict[str, str]:
    """File name → content, for every file of the demo but its README."""
    diary = Diary()
    for outing in OUTINGS:
        diary.live(outing)
    prices = purse.price_rows()
    lots, merged = purse.together(purse.lot_rows(diary.weigh_ins, prices))
    tables = {
        "trips": [trip_row(outing) for outing in OUTINGS],
        "trip_sites": [row for outing in OUTINGS for row in trip_site_rows(outing)],
        "hours": diary.hours,
        "weigh_ins": diary.weigh_ins,
        "pans": diary.pans,
        "runs": diary.runs,
        "holes": diary.holes,
        "costs": [row for outing in OUTINGS for row in purse.cost_rows(outing)],
        "merged_lots": merged,
        "lots": lots,
        "prices": prices,
    }
    files = {f"{name}.csv": csv_text(rows) for name, rows in tables.items()}
    party = {**story.PARTY, "log_ins": story.LOG_INS, "people": story.PEOPLE}
    files["party.toml"] = toml_text(party)
    files["sites.toml"] = toml_text({"sites": places.SITES})
    files["floods.toml"] = toml_text({"gauges": water.gauge_rows()})
    files["shapes.toml"] = toml_text({"shapes": ways.shape_rows()})
    files[ways.TRACK_FILE] = ways.track_gpx()
    files["papers.toml"] = toml_text({"papers": papers.PAPERS})
    files["duties.toml"] = toml_text({"duties": [duty_row(duty) for duty in papers.DUTIES]})
    files["kit.toml"] = toml_text({"vehicles": story.VEHICLES, "gear": story.GEAR})
    return files


def duty_row(duty: dict[str, Any]) -> dict[str, Any]:
    """A duty with its paper named the way people do: name and number."""
    named = {"paper": list(duty["paper"])} if "paper" in duty else {}
    return {**duty, **named}


def trip_row(outing: Outing) -> dict[str, Any]:
    chance = Chance(f"{outing.code} plan")
    driven: dict[str, int | None] = dict.fromkeys(
        ("driven_sealed_m", "driven_unsealed_m", "driven_track_m")
    )
    wrapped = outing.state == "wrapped_up"
    if wrapped and (len(outing.visited) > 1 or chance.happens(0.12)):
        driven = dict(purse.driven_m(outing))
    back_by = dt.datetime.combine(outing.ends_on, dt.time(19, 30), dt.UTC)
    gear = [code for code in GEAR_BY_METHOD[outing.method] if BOUGHT_ON[code] <= outing.starts_on]
    return {
        "code": outing.code,
        "name": outing.name,
        "state": outing.state,
        "starts_on": outing.starts_on,
        "ends_on": outing.ends_on,
        "people": ";".join(story.PERSON_OF[letter] for letter in outing.people),
        "vehicle": outing.vehicle,
        "gear": ";".join(gear),
        "fuel_price_milli_per_l": purse.fuel_price_milli(min(outing.starts_on, story.AS_OF)),
        "planned_work_minutes": outing.days * (180 if outing.method == "pan" else 360),
        **driven,
        "engine_fuel_ml": 2100 if outing.method == "hired" else None,
        "back_by": back_by,
        "alarm_at": back_by + dt.timedelta(hours=2),
        "alarm_name": "Ada Vayle",
        "alarm_contact": "000 0199",
        "plan_note": plan_note(outing),
        "story": outing.story,
        "incidents": incident(outing),
        "called_off_reason": outing.called_off_reason,
    }


def plan_note(outing: Outing) -> str:
    if outing.state == "planned" and outing.sites[0] == "HAR":
        return "Ask at the district office whose land it is before going."
    if outing.sites[0] == "MAR":
        return "Call Edda the evening before."
    return ""


def incident(outing: Outing) -> str:
    if outing.code == "T2030-21":
        return "Mika slipped on the ledge, bruised knee. We now rope up at the step."
    return ""


def trip_site_rows(outing: Outing) -> list[dict[str, Any]]:
    said = outing.state == "wrapped_up"
    return [
        {
            "trip": outing.code,
            "rank": rank,
            "site": SITE[site]["name"],
            "trigger": outing.trigger if rank else "",
            "was_visited": ("yes" if site in outing.visited else "no") if said else "",
        }
        for rank, site in enumerate(outing.sites)
    ]


def csv_text(rows: list[dict[str, Any]]) -> str:
    """Rows as CSV with a head; an empty cell is "not known"."""
    out = io.StringIO()
    writer = csv.DictWriter(out, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def toml_text(document: dict[str, Any]) -> str:
    """A TOML document: plain values first, then a [[list]] for every list of tables.

    A list of tables inside a table (a site's spots) follows it as [[outer.inner]].
    """
    lines: list[str] = []
    _table(lines, document, "")
    return "\n".join(lines).lstrip("\n") + "\n"


def _table(lines: list[str], table: dict[str, Any], path: str) -> None:
    nested = {key: value for key, value in table.items() if _is_tables(value)}
    for key, value in table.items():
        if key not in nested:
            lines.append(f"{key} = {_value(value)}")
    for key, rows in nested.items():
        name = f"{path}.{key}" if path else key
        for row in rows:
            lines.extend(("", f"[[{name}]]"))
            _table(lines, row, name)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list | tuple) and bool(value) and isinstance(value[0], dict)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return f"{value:_}" if value >= 10_000 else str(value)
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    text = str(value).replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{text}"'
