"""Rows of the quick transfer page → entries; all of them can be read, or none is stored."""

import datetime as dt
from collections.abc import Iterable

from django.core.exceptions import ValidationError

from claims.models import Spot
from trips.calc.words import say
from trips.forms.from_field import LABELS, CardRow
from trips.models import Trip
from trips.services.records import check_day
from trips.sync import bodies
from trips.sync.bundle import UNIT_LABELS

SECONDS = {"pan": 0, "run": 30}


def read_rows(
    rows: Iterable[CardRow], *, trip: Trip, day: str, unit: str
) -> tuple[list[dict[str, object]], list[str]]:
    """Entries for what was typed, and the sentences about what can't be read.

    Args: unit: taken where a volume is typed without one, e.g. "L".
    """
    problems = _day_problems(trip, day)
    spots = {str(spot.pk): spot for spot in Spot.objects.filter(site__party=trip.party)}
    by_key = {str(spot.uuid): spot for spot in spots.values()}
    above: dict[str, dict[str, str]] = {"pan": {}, "run": {}}
    spot = ""
    entries = []
    for row in rows:
        if not row.is_valid():
            problems += [f"{_named(row)}: {' '.join(e)}" for e in row.errors.values()]
            continue
        typed = row.cleaned_data
        kept = above[row.kind]
        kept |= {name: typed[name] for name in row.as_above if typed[name]}
        # The first run without a spot was at the spot of the last pan.
        spot = kept["spot"] = kept.get("spot") or spot
        if not row.is_used:
            continue
        told = {name: typed[name].strip() or None for name in row.parts} | {
            name: value or None for name, value in kept.items()
        }
        chosen = spots.get(spot)
        body = {
            **told,
            "day": day,
            "spot": str(chosen.uuid) if chosen else None,
            "volume": _with_unit(told["volume"] or "", unit),
        }
        known = bodies.Known(trip.party, trip, by_key.__getitem__)
        try:
            bodies.read(row.kind, body, known)
        except ValidationError as problem:
            for name, words in problem.message_dict.items():
                if name != "day":
                    label = LABELS.get(name, name).lower()
                    problems.append(f"{_named(row)}, {label}: {' '.join(words)}")
            continue
        entries.append(
            {
                "id": str(typed["key"]),
                "kind": row.kind,
                "trip": str(trip.uuid),
                # Follows from the row, so that a form sent twice says the same twice.
                "at": f"{day}T12:00:{SECONDS[row.kind]:02d}.{row.number:03d}+00:00",
                "body": body,
            }
        )
    return entries, problems


def _named(row: CardRow) -> str:
    return (
        say("Row {number}", number=row.number)
        if row.kind == "pan"
        else say("Run {number}", number=row.number)
    )


def _day_problems(trip: Trip, day: str) -> list[str]:
    try:
        check_day(trip, dt.date.fromisoformat(day))
    except ValueError:
        return [say("Day: expected a date such as 2031-05-03, not “{day}”.", day=day[:40])]
    except ValidationError as problem:
        return problem.messages
    return []


def _with_unit(text: str, unit: str) -> str | None:
    text = text.strip()
    if not text:
        return None
    return text if any(char.isalpha() for char in text) else f"{text} {UNIT_LABELS[unit]}"
