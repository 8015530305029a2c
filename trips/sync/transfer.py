"""Rows of the quick transfer page → pan entries; all of them can be read, or none is stored."""

import datetime as dt
from collections.abc import Iterable

from django.core.exceptions import ValidationError

from claims.models import Spot
from trips.forms.from_field import LABELS, PanRow
from trips.models import Trip
from trips.services.records import check_day
from trips.sync import bodies
from trips.sync.bundle import UNIT_LABELS

ABOVE = ("spot", "layer", "volume")


def read_rows(
    rows: Iterable[PanRow], *, trip: Trip, day: str, unit: str
) -> tuple[list[dict[str, object]], list[str]]:
    """Entries for what was typed, and the sentences about what can't be read.

    Args: unit: taken where a volume is typed without one, e.g. "L".
    """
    problems = _day_problems(trip, day)
    spots = {str(spot.pk): spot for spot in Spot.objects.filter(site__party=trip.party)}
    by_key = {str(spot.uuid): spot for spot in spots.values()}
    above: dict[str, str] = {}
    entries = []
    for row in rows:
        if not row.is_valid():
            problems += [f"Row {row.number}: {' '.join(e)}" for e in row.errors.values()]
            continue
        typed = row.cleaned_data
        above |= {name: typed[name] for name in ABOVE if typed[name]}
        if not row.is_used:
            continue
        chosen = spots.get(above.get("spot", ""))
        body = {
            "day": day,
            "spot": str(chosen.uuid) if chosen else None,
            "layer": above.get("layer") or None,
            "volume": _with_unit(above.get("volume", ""), unit),
            **{name: typed[name].strip() or None
               for name in ("depth", "coarse", "medium", "fine", "note")},
        }  # fmt: skip
        known = bodies.Known(trip.party, trip, by_key.__getitem__)
        try:
            bodies.read("pan", body, known)
        except ValidationError as problem:
            for name, words in problem.message_dict.items():
                if name != "day":
                    label = LABELS.get(name, name).lower()
                    problems.append(f"Row {row.number}, {label}: {' '.join(words)}")
            continue
        entries.append(
            {
                "id": str(typed["key"]),
                "kind": "pan",
                "trip": str(trip.uuid),
                # Follows from the row, so that a form sent twice says the same twice.
                "at": f"{day}T12:00:00.{row.number:03d}+00:00",
                "body": body,
            }
        )
    return entries, problems


def _day_problems(trip: Trip, day: str) -> list[str]:
    try:
        check_day(trip, dt.date.fromisoformat(day))
    except ValueError:
        return [f"Day: expected a date such as 2031-05-03, not “{day[:40]}”."]
    except ValidationError as problem:
        return problem.messages
    return []


def _with_unit(text: str, unit: str) -> str | None:
    text = text.strip()
    if not text:
        return None
    return text if any(char.isalpha() for char in text) else f"{text} {UNIT_LABELS[unit]}"
